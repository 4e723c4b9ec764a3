// Plans as text from anywhere: the crate says what is one; entries that are still empty are no mistake.

import { ask_text } from "cellwright";
import { TEXTS } from "./en.js";
import { at, place, put } from "./pointer.js";

/** Longest text of a plan that is read, in characters. */
export const LONGEST = 1_000_000;

/** Most rounds of empty entries that are looked at; the crate tells two hundred mistakes a round. */
const ROUNDS = 50;

/** Entries by the unit that ends their name: these may be empty in a plan that is not finished. */
const ENTRY = /(^duty|^exponent|_(v|a|ah|ohm|w|wh|degc|s|hz|f|h|m|mm2|ratio|per_w|per_s))$/;

/** @typedef {import("cellwright").Mistake} Mistake */

/** @param {unknown} error @returns {Mistake[]} */
export const mistakes = (error) => {
  const list = error !== null && typeof error === "object" ? /** @type {any} */ (error).errors : undefined;
  return Array.isArray(list) ? list : [];
};

/** Whether an entry stands at a place and is still empty. @param {any} plan @param {string} pointer */
export function isEmpty(plan, pointer) {
  return ENTRY.test(place(plan, pointer)[1]) && at(plan, pointer) === null;
}

/**
 * The plan that a text is, in today's format; out of range is no mistake here.
 * @param {string} text
 * @returns {any}
 */
export function readable(text) {
  if (text.length > LONGEST) throw new Error(TEXTS.too_long);
  /** @type {string[]} */
  const empty = [];
  let asked = text;
  for (let round = 0; ; round += 1) {
    try {
      const plan = ask_text("plan_file", asked);
      for (const path of empty) put(plan, path, null);
      return plan;
    } catch (error) {
      const list = mistakes(error);
      if (round === ROUNDS || list.length === 0) throw error;
      const plan = JSON.parse(asked);
      const holes = list.filter(({ path }) => isEmpty(plan, path));
      // The last mistake of a long list only says that there are more.
      if (holes.length === 0 || holes.length < list.length - (list.length >= 200 ? 1 : 0)) throw error;
      for (const { path, accepted } of holes) {
        put(plan, path, accepted.includes("number") ? 1 : { low: 1, likely: 1, high: 1 });
        empty.push(path);
      }
      asked = JSON.stringify(plan);
    }
  }
}
