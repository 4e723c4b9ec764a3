// A tool: entries that make the input of one question, the crate's answer as lines, and what may be taken into the plan.

import { Stepped, ask } from "cellwright";
import { TEXTS } from "./en.js";
import { make, onOpened } from "./dom.js";
import { label, notify, refuseAt } from "./fields.js";
import { errorWords, mistakeWords } from "./language.js";
import { at, put } from "./pointer.js";
import { atOnce, later } from "./pace.js";
import { inSteps } from "./stepping.js";
import { aside, copy, remember, state } from "./store.js";

/** @typedef {import("./fields.js").Home} Home */
/** @typedef {import("cellwright").Mistake} Mistake */
/** @typedef {(words: string, change: () => void) => HTMLElement} Taking a button that changes the plan, and can be undone */

/**
 * @typedef {object} Tool
 * @property {keyof import("cellwright").Questions} question
 * @property {() => any} first what the entries begin with; shaped as the question's input wherever errors shall find them
 * @property {(home: Home, draft: any) => HTMLElement[]} entries
 * @property {(draft: any) => any} [input] what is asked; the entries as they stand where left out
 * @property {(answer: any, draft: any, taking: Taking) => (Node | string)[]} shows
 * @property {{count: number, so_far: (progress: any) => string}} [steps] where it takes long: the effort of one step, and how far it has come in words
 * @property {boolean} [follows] whether its entries name things of the plan
 */

const drafts = aside("tools");

/** @type {Record<string, any>} */
const kept = (() => {
  const before = drafts.read();
  return before && typeof before === "object" && !Array.isArray(before) ? before : {};
})();

/**
 * What was typed before, where it still has the places that this version begins with.
 * @param {string} name
 * @param {any} fresh
 */
function keptDraft(name, fresh) {
  const before = Object.hasOwn(kept, name) ? kept[name] : null;
  const isObject = before !== null && typeof before === "object" && !Array.isArray(before);
  const same = isObject && Object.entries(fresh).every(([key, value]) => Object.hasOwn(before, key) && Array.isArray(before[key]) === Array.isArray(value));
  // A choice of one shape out of several has one place alone, whose name is what was chosen.
  return same || (isObject && Object.keys(fresh).length === 1 && Object.keys(before).length === 1) ? before : fresh;
}

/** What has to look at the plan again after it has changed. @type {((plan: string) => void)[]} */
const watchers = [];

/** Forgets the tools that were made. */
export function forget() {
  watchers.length = 0;
}

/** The last report of the plan that is shown; none where it cannot be worked out. @type {{report: import("cellwright").Report | null}} */
export const last = { report: null };

/** That report, for what needs one. */
export function reported() {
  if (!last.report) throw new Error(TEXTS.plan_first);
  return last.report;
}

/** Tells every answer on the page that the plan has changed: what is offered of the one before is taken away at once. @param {string} plan */
export function planChanged(plan) {
  last.report = null;
  for (const watch of watchers) watch(plan);
}

/** What is wrong, in the words of the page. @param {Mistake} mistake @param {string} place @param {string} name */
function told(mistake, place, name) {
  if (mistake.code === "missing" || mistake.given === "null") return TEXTS.enter_first;
  return mistakeWords(mistake, label(place, name));
}

/**
 * Marks the entries that the crate refuses, and goes to the first of them; gives every mistake in words.
 * @param {string} name
 * @param {HTMLElement} form
 * @param {Mistake[]} mistakes
 */
function refuse(name, form, mistakes) {
  /** @type {HTMLElement | undefined} */
  let first;
  const lines = mistakes.map((mistake) => {
    const refused = refuseAt(form, name, mistake.path, (at) => told(mistake, at, name));
    first ??= refused?.entry;
    const at = refused?.at ?? mistake.path;
    return `${label(at, name)}: ${told(mistake, at, name)}`;
  });
  first?.focus();
  return [...new Set(lines)];
}

/**
 * Something to ask beside the plan, worked out when its button is pressed.
 * @param {string} name
 * @param {Tool} tool
 */
export function asking(name, { question, first, entries, input = (draft) => draft, shows, steps, follows = false }) {
  const prefix = `${name}:`;
  const form = make("div", {});
  const outcome = make("div", { class: "outcome", role: "status" });
  /** The plan that the outcome belongs to. */
  let asked = "";
  /** @type {any} */
  let draft;

  /** @type {{job: {stop: boolean}, old: boolean} | undefined} */
  let running;

  /** @type {Home} */
  const home = { name: prefix, get: (pointer) => at(draft, pointer), set(pointer, value) {
    if (pointer === "") draft = value;
    else put(draft, pointer, value);
  }, wrong: new Map(),
    before() {}, rebuilt: fill, typed: edited, changed: edited };

  function edited() {
    kept[name] = draft;
    drafts.write(kept);
    if (running) running.old = true;
    old();
  }

  function fill() {
    const focused = /** @type {HTMLInputElement | null} */ (document.activeElement)?.name;
    home.wrong.clear();
    try {
      form.replaceChildren(...entries(home, draft));
    } catch {
      // What was kept has another shape than this version's: the entries begin anew.
      draft = first();
      form.replaceChildren(...entries(home, draft));
    }
    if (focused?.startsWith(prefix)) /** @type {HTMLElement | null} */ (form.querySelector(`[name="${CSS.escape(focused)}"]`))?.focus();
  }

  /** Says of an outcome that something under it has changed; nothing of it can be taken over any more. */
  function old() {
    if (outcome.childElementCount === 0 || outcome.querySelector(".stale")) return;
    for (const press of outcome.querySelectorAll("button.take")) press.remove();
    outcome.prepend(make("p", { class: "stale" }, TEXTS.answer_old));
  }

  /** @type {Taking} */
  const taking = (words, change) => make("button", { type: "button", class: "take", click: () => {
    remember();
    change();
    asked = JSON.stringify(state.plan);
    for (const press of outcome.querySelectorAll("button.take")) press.remove();
    outcome.append(make("p", { class: "taken", tabindex: "-1" }, TEXTS.taken));
    notify.rebuilt();
    notify.changed();
    /** @type {HTMLElement} */ (outcome.lastElementChild).focus();
  } }, words);

  /** Answers in steps; stopped, it shows what the draws so far say. @param {any} asked_input @param {any} of */
  function stepped(asked_input, of) {
    const { count, so_far } = /** @type {NonNullable<Tool["steps"]>} */ (steps);
    const job = inSteps(new Stepped(/** @type {any} */ (question), asked_input), count, (progress) => {
      outcome.textContent = so_far(progress);
    }, (answer) => {
      const isOld = running?.old === true || asked !== JSON.stringify(state.plan);
      running = undefined;
      press.textContent = TEXTS.work_out;
      outcome.removeAttribute("aria-busy");
      outcome.replaceChildren(...shows(answer, of, taking));
      if (isOld) old();
    });
    running = { job, old: false };
    press.textContent = TEXTS.bin_stop;
    outcome.setAttribute("aria-busy", "true");
  }

  function work() {
    if (running) {
      running.job.stop = true;
      return;
    }
    for (const entry of form.querySelectorAll("[aria-invalid]")) entry.dispatchEvent(new CustomEvent("cellwright-read"));
    // What a tool takes from the report is that of the plan as it stands.
    atOnce();
    if (home.wrong.size > 0) {
      outcome.replaceChildren(...[...home.wrong].map(([pointer, message]) => make("p", { class: "wrong" }, `${label(pointer, prefix)}: ${message}`)));
      return;
    }
    asked = JSON.stringify(state.plan);
    try {
      const of = copy(draft);
      if (steps) stepped(input(copy(draft)), of);
      else outcome.replaceChildren(...shows(ask(question, input(copy(draft))), of, taking));
    } catch (error) {
      const { errors } = /** @type {any} */ (error);
      const lines = Array.isArray(errors) ? refuse(prefix, form, errors) : [errorWords(error)];
      outcome.replaceChildren(...lines.map((line) => make("p", { class: "wrong" }, line)));
    }
  }

  const press = make("button", { type: "button", class: "ask", click: work }, TEXTS.work_out);
  const note = TEXTS[`tool_${name}_note`];
  const part = /** @type {HTMLDetailsElement} */ (make("details", { class: "item tool screen-only", id: `tool-${name}` }, make("summary", {}, TEXTS[`tool_${name}`]),
    ...(note ? [make("p", {}, note)] : []), form,
    make("div", { class: "tools" }, press), outcome));
  onOpened(part, () => {
    if (draft && !follows) return;
    draft ??= keptDraft(name, first());
    fill();
  });
  let seen = "";
  watchers.push((now) => {
    if (asked && asked !== now) old();
    if (follows && draft && part.open && seen !== now) later(`tool-${name}`, part, () => {
      if (part.isConnected && !form.contains(document.activeElement)) fill();
    });
    seen = now;
  });
  return part;
}
