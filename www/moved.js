// What a change has moved in the answer: told once, when the hand rests, by what the crate says of both plans.

import { TEXTS } from "./en.js";
import { byId, make } from "./dom.js";
import { UNITS, findingWords, range, words } from "./language.js";
import { later, never, resting } from "./pace.js";
import { inSlices } from "./stepping.js";
import { state, undo } from "./store.js";

/** How long the hand rests before anything is told, in milliseconds. */
const REST_MS = 600;

/** The last plan that could be worked out and was told of, as text. */
let told = "";
let timer = 0;

/** Most new or gone findings that the line says in full. */
const IN_FULL = 2;

/** @typedef {import("cellwright").PlanChanges} Changes */

/** @param {string} path @param {any} plan */
function called(path, plan) {
  const [, first, second] = path.split("/");
  const name = TEXTS[`moved_${path.split("/").pop()}`] ?? path;
  if (first === "settings") return `${TEXTS.knob} ${words(plan.control?.positions?.[path.split("/")[3]] ?? 0, "ratio")}, ${name}`;
  if (first === "runs") return `${plan.runs?.[second]?.name ?? TEXTS.runs}: ${name}`;
  if (first === "charge") return `${TEXTS.charging}: ${name}`;
  return name;
}

/** Rows of the promises that differ: what it is, before, after. @param {Changes} changes @param {any} plan @returns {string[][]} */
export function promises(changes, plan) {
  const shown = (/** @type {any} */ value, /** @type {string} */ unit) => range(value, UNITS[unit] ?? "count", "…");
  // Two numbers that read the same have not moved for anybody.
  return changes.promises.map(({ path, unit, before, after }) => [called(path, plan), shown(before, unit), shown(after, unit)])
    .filter(([, before, after]) => before !== after);
}

/** The same behind the verdict, where that differs. @param {Changes} changes @param {any} plan @returns {string[][]} */
export function rows(changes, plan) {
  const verdict = changes.verdict_before === changes.verdict_after ? []
    : [[TEXTS.verdict, TEXTS[`verdict_${changes.verdict_before}`], TEXTS[`verdict_${changes.verdict_after}`]]];
  return [...verdict, ...promises(changes, plan)];
}

/** @param {import("cellwright").Finding[]} findings @param {string} key @returns {(Node | string)[]} */
function findings(findings, key) {
  if (findings.length === 0) return [];
  const said = findings.slice(0, IN_FULL).flatMap((one) => [`${TEXTS[one.urgency]}: `, findingWords(one), " "]);
  return [`${TEXTS[key]} `, ...said, ...(findings.length > IN_FULL ? [`${TEXTS.and_more} ${findings.length - IN_FULL}. `] : [])];
}

/** The line: verdict and runtime in full, how much else there is, what is new and what is gone. @param {Changes} changes @param {any} plan */
function line(changes, plan) {
  const all = rows(changes, plan);
  const first = all.filter(([name]) => name === TEXTS.verdict || name === TEXTS.moved_runtime_s).slice(0, 2);
  const said = first.map(([name, before, after]) => `${name} ${before} → ${after}`);
  const rest = all.length - first.length;
  const numbers = [...said, ...(rest > 0 ? [`${rest} ${said.length > 0 ? TEXTS.more_numbers : TEXTS.numbers}`] : [])].join("; ");
  const parts = [...(numbers === "" ? [] : [`${TEXTS.moved} ${numbers}. `]), ...findings(changes.appeared, "new"), ...findings(changes.vanished, "gone")];
  return parts.length === 0 ? [TEXTS.nothing_moved] : parts;
}

/** @param {string[]} head @param {(Node | string)[][]} list @param {string} name */
export function table(head, list, name) {
  return make("div", { class: "wide compared", tabindex: "0", role: "region", "aria-label": name },
    make("table", {}, make("thead", {}, make("tr", {}, ...head.map((cell) => make("th", { scope: "col" }, cell)))),
      make("tbody", {}, ...list.map(([first, ...others]) => make("tr", {}, make("th", { scope: "row" }, first), ...others.map((cell) => make("td", {}, cell)))))));
}

/** Says what has moved. @param {Changes} changes @param {any} plan */
function say(changes, plan) {
  byId("moved").replaceChildren(...line(changes, plan));
  const all = rows(changes, plan);
  byId("moved-tools").hidden = false;
  byId("moved-more").hidden = all.length === 0;
  byId("moved-table").replaceChildren(table([TEXTS.what, TEXTS.before, TEXTS.afterwards], all, TEXTS.everything_moved));
}

/** Works out what has moved since it was told last; a key that comes in between drops it. */
function tell() {
  const now = JSON.stringify(state.plan);
  if (now === told) return;
  if (told === "") {
    told = now;
    return;
  }
  const plan = JSON.parse(now);
  later("moved", byId("moved"), inSlices("compare_plans", { before: JSON.parse(told), after: plan }, (changes) => {
    told = now;
    say(changes, plan);
  }, () => {
    // One of the two cannot be worked out: the answer itself says why.
    told = now;
    byId("moved").textContent = "";
  }));
  resting();
}

/** The plan as it stands was worked out: tells what has moved since, when no more changes come. */
export function moved() {
  hush();
  timer = setTimeout(tell, REST_MS);
}

/** The hand does not rest: nothing is told yet. */
export function hush() {
  clearTimeout(timer);
  never("moved");
}

/** Another plan was opened: what comes next is held against it. @param {boolean} works whether it can be worked out */
export function anew(works) {
  hush();
  told = works ? JSON.stringify(state.plan) : "";
  byId("moved").textContent = "";
  byId("moved-tools").hidden = true;
  byId("moved-more").hidden = true;
}

/** @param {() => void} changed */
export function movedParts(changed) {
  byId("moved-title").textContent = TEXTS.everything_moved;
  byId("moved-tools").replaceChildren(make("button", { type: "button", id: "do-take-back", click: () => { if (undo()) changed(); } }, TEXTS.take_back));
}
