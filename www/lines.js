// Lines of values, as typed in a column or copied out of a spreadsheet: read by the crate, with what is wrong in each.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "./en.js";
import { free, words } from "./fields.js";
import { errorWords } from "./language.js";

/** Most lines that are read. */
const MOST = 1000;

/** @typedef {readonly [field: string, unit: import("cellwright").Unit]} Column */

/** What lies between the values of a line: tabs, semicolons or wide gaps; a comma may be a decimal one. @param {string} line */
export const split = (line) => line.split(/\t|;|\s{2,}/).map((part) => part.trim());

/** The lines that hold something. @param {string} text */
export const linesOf = (text) => text.split("\n").map((one) => one.trim()).filter(Boolean);

/** @param {string} text @param {import("cellwright").Unit} unit @param {string} field */
export function interval(text, unit, field) {
  const { value, interval: range } = ask("parse", { text, unit, field });
  return range ?? { low: value, likely: value, high: value };
}

/**
 * The rows of a text; a first line without a digit is taken for headings.
 * @param {string} text
 * @param {readonly Column[]} columns
 * @param {{named?: boolean, wide?: boolean}} [kind] `named`: a name stands first; `wide`: values may have a tolerance
 */
export function rowsOf(text, columns, { named = false, wide = false } = {}) {
  /** @type {Record<string, any>[]} */
  const rows = [];
  /** @type {string[]} */
  const wrong = [];
  const all = linesOf(text);
  const headed = all.length > 1 && !/\d/.test(all[0]);
  const lines = headed ? all.slice(1) : all;
  if (lines.length > MOST) wrong.push(`${TEXTS.lines_most} ${MOST}.`);
  for (const line of lines.slice(0, MOST)) {
    const parts = split(line);
    /** @type {Record<string, any>} */
    const row = named ? { name: parts.shift() } : {};
    try {
      if (parts.length > columns.length) throw new Error(TEXTS.lines_too_many);
      columns.forEach(([field, unit], i) => {
        if (!parts[i]) return;
        const read = interval(parts[i], unit, field);
        if (!wide && read.low < read.high) throw new Error(`${LABELS[field] ?? field}: ${TEXTS.lines_one_number}`);
        row[field] = wide ? read : read.likely;
      });
      rows.push(row);
    } catch (error) {
      wrong.push(`${named ? row.name : line}: ${errorWords(error)}`);
    }
  }
  return { rows, wrong, headed };
}

/**
 * An entry of several lines.
 * @param {import("./fields.js").Home} home
 * @param {string} pointer of the rows in what is asked
 * @param {readonly Column[]} columns
 */
export const lines = (home, pointer, columns) => free(home, pointer, (text) => {
  const { rows, wrong } = rowsOf(text, columns);
  home.set(pointer, rows);
  if (wrong.length > 0) throw new Error(wrong.join(" "));
  return rows.map((row) => columns.map(([field, unit]) => (field in row ? words(row[field], unit) : "–")).join(", ")).join(" · ");
}, 4);
