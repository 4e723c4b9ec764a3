// The drawer: the parts a maker has, typed as "4k7 x3, 10k", and whether a set of parts can be made of them.

import { ask } from "cellwright";
import { TEXTS } from "../en.js";
import { free, words } from "../fields.js";

/** @typedef {{value: number, count: number}} Held */

/**
 * The parts of a text: apart by semicolons, new lines, or commas with a blank; "x3" says how many, one where it is left out.
 * @param {string} text
 * @param {import("cellwright").Unit} unit
 * @returns {Held[]}
 */
export function drawerOf(text, unit) {
  const parts = text.split(/[;\n]|,\s+|,$/).map((part) => part.trim()).filter(Boolean);
  return parts.map((part) => {
    const [, before, value, after] = /^(?:(\d+)\s*[x×]\s*)?(.*?)(?:\s*[x×]\s*(\d+))?$/i.exec(part) ?? [];
    const read = ask("parse", { text: value, unit, field: "drawer" });
    if (read.interval) throw new Error(`${part}: ${TEXTS.lines_one_number}`);
    return { value: read.value, count: Number(before ?? after ?? 1) };
  });
}

/**
 * The entry for one kind of parts.
 * @param {import("../fields.js").Home} home
 * @param {string} pointer of the parts in what is asked
 * @param {import("cellwright").Unit} unit
 */
export const drawer = (home, pointer, unit) => free(home, pointer, (text) => {
  const held = drawerOf(text, unit);
  home.set(pointer, held);
  return held.length > 0 ? `${TEXTS.read_as} ${held.map(({ value, count }) => `${count} × ${words(value, unit)}`).join(", ")}` : "";
});

/** The single parts of one that is made of one or two. @param {import("cellwright").Made} made */
const singles = ({ first, second }) => (typeof second === "number" ? [first, second] : [first]);

/**
 * Whether a set can be made of what the drawer holds, each part taken once.
 * @param {import("cellwright").TimerChoice} set
 * @param {{resistors_ohm: Held[], pots_ohm: Held[], capacitors_f: Held[]}} held
 */
export function canBeMade(set, held) {
  /** @param {number[]} wanted @param {Held[]} parts */
  const enough = (wanted, parts) => {
    const left = new Map();
    for (const { value, count } of parts) left.set(value, (left.get(value) ?? 0) + count);
    return wanted.every((value) => {
      const count = left.get(value) ?? 0;
      left.set(value, count - 1);
      return count > 0;
    });
  };
  return enough([...singles(set.ra), ...singles(set.rb)], held.resistors_ohm) && enough(singles(set.c), held.capacitors_f)
    && enough(typeof set.pot_ohm === "number" ? [set.pot_ohm] : [], held.pots_ohm);
}
