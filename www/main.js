// The page: reads what is typed, asks the crate, shows its answer. No formula stands here.

import { saveLink } from "./itself.js";
import { ask, version } from "cellwright";
import { TEXTS } from "./en.js";
import { planChanged } from "./asking.js";
import { bin, takeOver } from "./bin.js";
import { beginCurves } from "./curves.js";
import { byId, make, save } from "./dom.js";
import { label, notify, refuseAt, wrong } from "./fields.js";
import { onOther, trouble } from "./kept.js";
import { beginLanguage, errorWords, mistakeWords, otherLanguage } from "./language.js";
import { load } from "./load.js";
import { anew, moved, movedParts } from "./moved.js";
import { plansPart } from "./plans.js";
import { isEmpty, mistakes, readable } from "./reading.js";
import { show, unfinished } from "./report.js";
import { clearHash, isPlan, share, stale, textOf } from "./share.js";
import { onPaper, refresh, sheets } from "./sheets.js";
import { add, isOutside, refreshed, restore, unreadables } from "./shelf.js";
import { start } from "./start.js";
import { STATIONS } from "./stations.js";
import { DEMOS, file, keep, redo, remember, settle, state, undo } from "./store.js";
import { freshTools, toolsOf } from "./tools/index.js";

/** Marks the entries that the crate refuses, in their own place. @param {import("cellwright").Mistake[]} errors */
function refuse(errors) {
  let placed = false;
  for (const mistake of errors) {
    if (refuseAt(document, "", mistake.path, (at) => mistakeWords(mistake, label(at)))) placed = true;
  }
  return placed ? TEXTS.stale : `${TEXTS.stale} ${errors.map((mistake) => mistakeWords(mistake, label(mistake.path))).join(" ")}`;
}

/** Sets a text that is read out when it changes, and only then. @param {string} id @param {string} text */
function say(id, text) {
  const place = byId(id);
  if (place.textContent !== text) place.textContent = text;
}

/** @type {() => void} */
let shelfChanged = () => {};

/** Works the plan out again and shows it; the last good report stays where that cannot be done. Tells whether it could. */
function recompute() {
  const kept = keep();
  say("kept", kept ? TEXTS.kept : TEXTS[trouble.why === "full" ? "no_room" : "not_kept"]);
  byId("kept").classList.toggle("caution", !kept);
  byId("outside").hidden = !isOutside();
  /** @type {HTMLButtonElement} */ (byId("do-undo")).disabled = state.past.length === 0;
  /** @type {HTMLButtonElement} */ (byId("do-redo")).disabled = state.next.length === 0;
  /** @type {HTMLTextAreaElement} */ (byId("plan-text")).value = JSON.stringify(state.plan);
  stale();
  shelfChanged();
  const fault = byId("stale");
  fault.hidden = wrong.size === 0;
  if (wrong.size > 0) {
    say("stale", TEXTS.stale);
    planChanged(null);
    return false;
  }
  try {
    const report = ask("whole_plan", state.plan);
    show(report);
    planChanged(report);
    refresh();
    moved();
    return true;
  } catch (error) {
    const errors = mistakes(error);
    if (errors.length === 0) throw error;
    planChanged(null);
    const open = errors.filter(({ path }) => isEmpty(state.plan, path));
    const others = errors.filter((one) => !open.includes(one));
    if (open.length > 0) unfinished(open.map(({ path }) => path));
    // Where the diary no longer fits the pack, it says so itself and can be thrown away.
    refresh(open.length > 0 ? undefined : ["diary"]);
    fault.hidden = others.length === 0;
    if (others.length > 0) say("stale", refuse(others));
    return false;
  }
}

/** Draws the entries anew, after the plan's shape has changed. */
function rebuild() {
  const open = new Set([...document.querySelectorAll("#stations details[open]")].map((part) => part.id));
  wrong.clear();
  byId("stations").replaceChildren(...Object.entries(STATIONS).map(([name, fields]) => make("details", { class: "part", id: `part-${name}`, open: open.has(`part-${name}`) },
    make("summary", {}, TEXTS[name], make("span", { class: "headline", id: `headline-${name}` })), make("div", { class: "answer-line", id: `answer-${name}` }), make("p", { class: "rests source", id: `rests-${name}` }, TEXTS[`rests_${name}`]),
    make("h3", { class: "change" }, TEXTS.change), ...fields(), ...toolsOf(name))));
}

function redraw() {
  rebuild();
  return recompute();
}

/** Shows the plan that now lies open. @param {string} note @param {(Node | string)[]} [told] */
function opened(note, told = []) {
  byId("told").replaceChildren(...told);
  say("build-note", state.forgot ? `${note} ${TEXTS.steps_forgotten}` : note);
  // Should the plan not work out, no number of another one stays.
  unfinished([]);
  anew(redraw());
}

/** Takes a plan from outside: as text, so that the crate sees what was written; the open plan stays on the shelf. @param {string} text */
function take(text) {
  try {
    add(readable(text), { outside: true });
    opened(TEXTS.outside);
  } catch (error) {
    say("build-note", `${TEXTS.refused} ${errorWords(error)}`);
  }
}

/** Takes the plan that stands in the address. */
async function fromAddress() {
  const { hash } = location;
  if (!isPlan(hash)) return;
  clearHash();
  try {
    take(await textOf(hash));
  } catch (error) {
    say("build-note", `${TEXTS.refused} ${errorWords(error)}`);
  }
}

/** @param {string} key @param {() => void} press */
const button = (key, press) => make("button", { type: "button", id: `do-${key}`, click: press }, TEXTS[key]);

/** @param {() => boolean} step */
function back(step) {
  const done = step();
  if (state.forgot) say("build-note", TEXTS.steps_forgotten);
  if (done || state.forgot) redraw();
  state.forgot = false;
}

function theme() {
  const { dataset } = document.documentElement;
  const dark = dataset.theme ? dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  dataset.theme = dark ? "light" : "dark";
  recompute();
}

function tools() {
  const chooser = /** @type {HTMLInputElement} */ (make("input", { type: "file", accept: ".json,application/json", id: "file", "aria-label": TEXTS.open }));
  chooser.addEventListener("change", async () => {
    const chosen = chooser.files?.[0];
    if (chosen) take(await chosen.text());
    chooser.value = "";
  });
  byId("build-tools").replaceChildren(button("undo", () => back(undo)), button("redo", () => back(redo)), button("theme", theme),
    button("language", () => { otherLanguage(); dress(); opened(""); byId("do-language").focus(); }),
    make("div", { class: "field" }, make("label", { for: "file" }, TEXTS.open), chooser));
  const link = share();
  document.getElementById("share")?.remove();
  byId("sheet-tools").replaceChildren(button("save", () => save("cellwright-plan.json", file())), link.button, button("print", () => print()), saveLink(),
    button("take", () => take(/** @type {HTMLTextAreaElement} */ (byId("plan-text")).value)));
  byId("sheet-tools").after(link.place);
  for (const name of ["build", "answer", "runtime", "sheet", "table"]) byId(`${name}-title`).textContent = TEXTS[name];
  byId("plan-text-label").textContent = TEXTS.plan_text;
  byId("outside").textContent = TEXTS.outside_mark;
}

/** The ways to another plan: begin one, or open one that is kept. */
function shelfTools() {
  const kept = plansPart({
    opened: () => opened(TEXTS.now_open),
    renamed: () => {
      const name = /** @type {HTMLInputElement | null} */ (document.querySelector('[name="/name"]'));
      if (name) name.value = state.plan.name;
      recompute();
    },
    fallback: () => DEMOS[0],
  });
  const begin = start((plan, told) => {
    try {
      add(plan, { fresh: true });
      opened(TEXTS.begun, told);
    } catch (error) {
      say("build-note", errorWords(error));
    }
  });
  byId("begin").replaceChildren(begin, kept.part);
  shelfChanged = kept.refresh;
}

/** What another window of this page has kept is taken in, and can be taken back. @param {string} name @param {string | null} text */
function fromOther(name, text) {
  refreshed();
  if (name === `plan-${state.id}` && text !== null && text !== JSON.stringify(state.plan)) {
    try {
      const plan = readable(text);
      remember();
      state.plan = plan;
      say("build-note", TEXTS.other_window);
      redraw();
    } catch {
      // This window's plan stays, and is kept with its next change.
    }
  } else shelfChanged();
}

/** Everything that is made once in a language; made anew when the language changes. What holds texts belongs here. */
function dress() {
  tools();
  shelfTools();
  movedParts(redraw);
  freshTools();
  byId("bin").replaceChildren(bin((rows, groups) => {
    takeOver(rows, groups);
    rebuild();
    recompute();
  }, toolsOf("bin")));
  const open = [...document.querySelectorAll("#sheets > details[open]")].map((part) => part.id);
  byId("sheets").replaceChildren(...sheets(), make("div", { class: "screen-only" }, ...toolsOf("bench")));
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  const { crate_version, data_version } = version();
  byId("version").textContent = TEXTS.versions.replace("{crate}", crate_version).replace("{data}", data_version);
}

async function main() {
  beginLanguage();
  await load();
  const before = restore(DEMOS[0]);
  notify.changed = recompute;
  notify.rebuilt = rebuild;
  onPaper();
  beginCurves();
  byId("app").hidden = false;
  dress();
  const damaged = unreadables();
  opened(damaged.length > 0 ? `${TEXTS.damaged} ${damaged.join(" ")}` : before ? "" : TEXTS.example_open);
  performance.mark("cellwright-report");
  onOther(fromOther);
  document.addEventListener("change", settle);
  addEventListener("hashchange", fromAddress);
  await fromAddress();
}

main().catch((error) => {
  byId("version").textContent = `${TEXTS.not_started} ${error}`;
});
