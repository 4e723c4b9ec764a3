// The cells of the bin: their lines as typed, and what screening has said of each. Nothing is lost: kept as typed, with undo.

import { LABELS, TEXTS } from "./en.js";
import { linesOf, rowsOf, split } from "./lines.js";
import { aside } from "./store.js";

/** What stands in a line behind the name. @type {readonly import("./lines.js").Column[]} */
export const COLUMNS = [["capacity_ah", "ampere_hour"], ["resistance_ohm", "ohm"], ["rest_v", "volt"], ["self_discharge_ratio", "ratio"], ["found_v", "volt"]];

/** @typedef {{name: string, capacity_ah?: any, resistance_ohm?: any, rest_v?: any, self_discharge_ratio?: any, found_v?: any}} Row */
/** @typedef {{fate: import("cellwright").Fate, line: string}} Fated */

const place = aside("bin");

/** Most steps back. */
const STEPS = 200;

/** @type {{text: string, past: string[], fates: Record<string, Fated>, tell: () => void}} */
export const found = { text: "", past: [], fates: {}, tell() {} };
const before = place.read();
if (typeof before?.text === "string") found.text = before.text;
for (const [name, fated] of Object.entries(before?.fates ?? {})) {
  if (Object.hasOwn(LABELS, `fate_${/** @type {any} */ (fated)?.fate}`)) found.fates[name] = /** @type {Fated} */ (fated);
}

function kept() {
  place.write({ text: found.text, fates: found.fates });
  found.tell();
}

/** What the lines say; a name that stands twice is wrong, because a value could go to either. */
export function rows() {
  const read = rowsOf(found.text, COLUMNS, { named: true, wide: true });
  /** @type {Set<string>} */
  const names = new Set();
  for (const { name } of read.rows) {
    if (names.has(name)) read.wrong.push(`${name}: ${TEXTS.bin_twice}`);
    names.add(name);
  }
  return { ...read, rows: /** @type {Row[]} */ (read.rows) };
}

/** Puts other lines in place. @param {string} text @param {boolean} [step] whether undo comes back to what stood before */
export function write(text, step = true) {
  if (text === found.text) return;
  if (step) {
    found.past.push(found.text);
    if (found.past.length > STEPS) found.past.shift();
  }
  found.text = text;
  kept();
}

/** Takes the last step back; false where there is none. */
export function back() {
  const text = found.past.pop();
  if (text === undefined) return false;
  found.text = text;
  kept();
  return true;
}

/** The line of a cell. @param {string} name */
const lineOf = (name) => linesOf(found.text).find((line) => split(line)[0] === name);

/**
 * Writes values of cells into their lines, new lines for cells that have none.
 * @param {{name: string, field: string, text: string}[]} values
 */
export function put(values) {
  const lines = linesOf(found.text);
  for (const { name, field, text } of values) {
    const column = COLUMNS.findIndex(([one]) => one === field) + 1;
    let at = lines.findIndex((line) => split(line)[0] === name);
    if (at < 0) at = lines.push(name) - 1;
    const parts = split(lines[at]);
    while (parts.length <= column) parts.push("");
    parts[column] = text;
    lines[at] = parts.join("; ");
  }
  write(lines.join("\n"));
}

/**
 * What screening has said of a cell. That it may be used holds only while its line stays as it was; that it must not
 * holds until it is screened again.
 * @param {string} name
 * @returns {import("cellwright").Fate | null}
 */
export function fateOf(name) {
  const fated = Object.hasOwn(found.fates, name) ? found.fates[name] : null;
  if (!fated || (fated.fate === "use" && fated.line !== lineOf(name))) return null;
  return fated.fate;
}

/** @param {string} name @param {import("cellwright").Fate} fate */
export function screened(name, fate) {
  found.fates[name] = { fate, line: lineOf(name) ?? "" };
  kept();
}
