// How answers of tools are said: lines, words for parts, what changes in the plan.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "../en.js";
import { make } from "../dom.js";
import { words } from "../fields.js";
import { promises } from "../moved.js";
import { finding, wide } from "../report.js";
import { decimal, findingWords, range } from "../language.js";
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

/**
 * What a change makes of the plan's promises and findings, before it is taken over.
 * @param {(plan: any) => void} change
 */
export function moved(change) {
  const plan = copy(state.plan);
  change(plan);
  const changes = ask("compare_plans", { before: state.plan, after: plan });
  const { verdict_before, verdict_after, appeared, vanished } = changes;
  const numbers = promises(changes, plan);
  return [make("h3", {}, TEXTS.moves), ...(numbers.length > 0 ? [wide(TEXTS.moves, [TEXTS.what, TEXTS.before, TEXTS.afterwards], numbers)] : [line(TEXTS.moves_nothing)]),
    ...(verdict_before === verdict_after ? [] : [caution(`${TEXTS.verdict_becomes} ${TEXTS[`verdict_${verdict_after}`]}.`)]),
    ...appeared.map(finding), ...vanished.map((gone) => line(`${TEXTS.vanishes} `, findingWords(gone)))];
}

/** @param {string} key @param {string} [more] */
export const named = (key, more = "") => `${LABELS[key] ?? TEXTS[key] ?? key}${more}`;
