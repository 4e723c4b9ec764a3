// How answers of tools are said: lines, words for parts, what changes in the plan.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "../en.js";
import { make } from "../dom.js";
import { words } from "../fields.js";
import { promises } from "../moved.js";
import { finding, wide } from "../report.js";
import { decimal, errorWords, findingWords, range } from "../language.js";
import { later, resting } from "../pace.js";
import { inSlices } from "../stepping.js";
import { copy, state } from "../store.js";

/** @param {...(Node | string)} said */
export const line = (...said) => make("p", {}, ...said);

/** The answer itself. @param {...(Node | string)} said */
export const main = (...said) => make("p", { class: "big" }, ...said);

/** @param {...(Node | string)} said */
export const caution = (...said) => make("p", { class: "caution" }, ...said);

export { cited, english } from "../language.js";

/** @param {string} key @param {any} value an interval @param {import("cellwright").Unit} unit */
export const ranged = (key, value, unit) => line(`${TEXTS[key]} ${range(value, unit, "…")}.`);

/** @param {number | null | undefined} value @param {import("cellwright").Unit} unit */
export const known = (value, unit) => (typeof value === "number" ? words(value, unit) : TEXTS.not_known);

/** A time that may be short. @param {number} value */
export const seconds = (value) => ask("format", { value, unit: "second", decimal: decimal() }).words;

/** A part of one or two. @param {import("cellwright").Made} made @param {import("cellwright").Unit} unit */
export const made = ({ value, first, second, joined }, unit) => (typeof second === "number"
  ? `${words(value, unit)} (${words(first, unit)} ${joined === "in_series" ? "+" : "∥"} ${words(second, unit)}, ${TEXTS[joined]})` : words(value, unit));

/** @param {import("cellwright").PlanChanges} changes @param {any} plan */
function movedLines(changes, plan) {
  const { verdict_before, verdict_after, appeared, vanished } = changes;
  const numbers = promises(changes, plan);
  return [...(numbers.length > 0 ? [wide(TEXTS.moves, [TEXTS.what, TEXTS.before, TEXTS.afterwards], numbers)] : [line(TEXTS.moves_nothing)]),
    ...(verdict_before === verdict_after ? [] : [caution(`${TEXTS.verdict_becomes} ${TEXTS[`verdict_${verdict_after}`]}.`)]),
    ...appeared.map(finding), ...vanished.map((gone) => line(`${TEXTS.vanishes} `, findingWords(gone)))];
}

/** How often it was asked: each has a name of its own. */
let askings = 0;

/**
 * What a change makes of the plan's promises and findings, before it is taken over; worked out in slices.
 * @param {(plan: any) => void} change
 */
export function moved(change) {
  const plan = copy(state.plan);
  change(plan);
  const place = make("div", { "aria-busy": "true" }, line(TEXTS.being_compared));
  const tell = (/** @type {(Node | string)[]} */ lines) => {
    place.removeAttribute("aria-busy");
    place.replaceChildren(...lines);
  };
  const work = inSlices("compare_plans", { before: copy(state.plan), after: plan }, (changes) => tell(movedLines(changes, plan)), (error) => tell([caution(errorWords(error))]));
  // What nobody sees any more is not worked out.
  later(`moved-${(askings += 1)}`, place, (until) => (place.isConnected ? work(until) : true));
  resting();
  return [make("h3", {}, TEXTS.moves), place];
}

/** @param {string} key @param {string} [more] */
export const named = (key, more = "") => `${LABELS[key] ?? TEXTS[key] ?? key}${more}`;
