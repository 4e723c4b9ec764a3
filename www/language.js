// The language of the page: which one it is, how numbers are written in it, how sentences of the crate are said in it.
//
// TEXTS and LABELS of en.js are what every module shows; they change their texts in place with the language. The crate
// gives codes, values and English: another language words its sentences by their code, and says in English, marked as
// such, what it has no words for.

import { ask } from "cellwright";
import { LABELS, NEEDS, TEXTS } from "./en.js";
import * as GERMAN from "./de.js";
import { make } from "./dom.js";

/** @typedef {import("cellwright").Said} Said */
/** @typedef {import("cellwright").Unit} Unit */
/** @typedef {import("cellwright").Mistake} Mistake */

const KEY = "cellwright-language-1";
const ENGLISH = { TEXTS: { ...TEXTS }, LABELS: { ...LABELS }, NEEDS: { ...NEEDS } };

/** What index.html says in English, by key. @type {Map<string, string>} */
const standing = new Map();

/** The language of the page now. @type {{code: "en" | "de"}} */
export const language = { code: "en" };

/** Changes every text to a language; what is shown already has to be shown anew. @param {"en" | "de"} code */
function change(code) {
  language.code = code;
  document.documentElement.lang = code;
  Object.assign(TEXTS, ENGLISH.TEXTS, code === "de" ? GERMAN.TEXTS : {});
  Object.assign(LABELS, ENGLISH.LABELS, code === "de" ? GERMAN.LABELS : {});
  Object.assign(NEEDS, ENGLISH.NEEDS, code === "de" ? GERMAN.NEEDS : {});
  for (const place of document.querySelectorAll("[data-text]")) {
    const key = place.getAttribute("data-text") ?? "";
    if (!standing.has(key)) standing.set(key, place.textContent ?? "");
    place.textContent = (code === "de" ? GERMAN.STATIC[key] : undefined) ?? standing.get(key) ?? "";
  }
}

/** Begins in the language chosen before, or in the browser's. */
export function beginLanguage() {
  /** @type {string | null} */
  let chosen = null;
  try {
    chosen = localStorage.getItem(KEY);
  } catch {
    // Nothing is kept here: the browser's language stands.
  }
  change((chosen ?? navigator.language).startsWith("de") ? "de" : "en");
}

/** Changes to the other language and keeps the choice, where the browser keeps anything. */
export function otherLanguage() {
  change(language.code === "en" ? "de" : "en");
  try {
    localStorage.setItem(KEY, language.code);
  } catch {
    // The choice lasts until the page is closed.
  }
}

/** The sign of a decimal in the language of the page. @returns {"comma" | "point"} */
export const decimal = () => (language.code === "de" ? "comma" : "point");

/** A number as JavaScript writes it, with the sign of the language. @param {number | string} value */
export const plain = (value) => (language.code === "de" ? String(value).replaceAll(".", ",") : String(value));

/** Numbers that were said before: a key changes few of them. @type {Map<string, string>} */
const spoken = new Map();

/** Most numbers that are remembered. */
const SPOKEN_MOST = 2000;

/**
 * The words for a number of the crate.
 * @param {number} value
 * @param {Unit} unit
 * @param {number} [digits]
 */
export function words(value, unit, digits) {
  if (unit === "count" && Number.isInteger(value) && digits === undefined) return String(value);
  const key = `${value} ${unit} ${digits} ${language.code}`;
  const before = spoken.get(key);
  if (before !== undefined) return before;
  if (spoken.size >= SPOKEN_MOST) spoken.clear();
  // A number is not torn from its unit at the end of a line.
  const said = ask("format", { value, unit, digits, decimal: decimal(), clock: unit === "second" ? "down" : undefined }).words.replaceAll(" ", "\u00a0");
  spoken.set(key, said);
  return said;
}

/** The same, where there is a number. @param {number | null | undefined} value @param {Unit} unit */
export const one = (value, unit) => (typeof value === "number" ? words(value, unit) : "–");

/** From the lowest to the highest, or the one number; so too where both read the same. @param {any} value @param {Unit} unit @param {string} [between] */
export function range(value, unit, between = "–") {
  if (!value) return "–";
  if (!(value.low < value.high)) return words(value.likely, unit);
  const [low, high] = [words(value.low, unit), words(value.high, unit)];
  return low === high ? low : `${low} ${between} ${high}`;
}

/** Units by the ending of a field's name. @type {Record<string, Unit>} */
export const UNITS = { v: "volt", a: "ampere", ah: "ampere_hour", wh: "watt_hour", ohm: "ohm", ratio: "ratio", hz: "hertz", s: "second",
  degc: "degree_celsius", w: "watt", f: "farad", h: "henry", m: "metre", mm2: "square_millimetre", coulomb: "coulomb" };

/** A number with the ending of its field's name for a unit. @param {number} value @param {string} ending */
export const number = (value, ending) => words(value, UNITS[ending] ?? "count");

/** Without the zeros behind the last digit that counts. @param {string} text */
const trimmed = (text) => text.replace(/([.,]\d*?)0+(?=\D|$)/, "$1").replace(/[.,](?=\D|$)/, "");

/**
 * Puts values into the places of a wording, all at once: what is put in is never read again.
 * @param {string} wording
 * @param {Record<string, string>} values
 */
const filled = (wording, values) => wording.replace(/\{(\w+)\}/g, (_, place) => values[place] ?? "");

/** A sentence in German; nothing where German has no words for it. @param {Said} said @returns {string | undefined} */
function german({ code, values }) {
  const wording = GERMAN.SAID[code];
  if (wording === undefined) return undefined;
  /** @type {Record<string, string>} */
  const places = {};
  for (const [place, value] of values.entries()) {
    const text = "said" in value ? german(value.said) : "number" in value ? trimmed(number(value.number.value, value.number.unit)) : value.text;
    if (text === undefined) return undefined;
    places[place] = text;
  }
  return filled(wording, places);
}

/** What another language has no words for, marked as English. @param {string} text */
export const english = (text) => (language.code === "en" || text === "" ? text : make("span", { lang: "en" }, text));

/**
 * A sentence of the crate in the language of the page.
 * @param {string} text the crate's English words
 * @param {Said | null | undefined} said the same by code; without it the words are the maker's own
 * @returns {Node | string}
 */
export function say(text, said) {
  if (language.code === "en" || !said) return text;
  return german(said) ?? english(text);
}

/** As `say`, by a code alone. @param {string} text @param {string} code */
export const sayCode = (text, code) => (code === "" ? text : say(text, { code, values: [] }));

/** Several of them, with what stands between two. @param {(Node | string)[]} all @param {string} joint */
export const joined = (all, joint) => all.flatMap((one, i) => (i === 0 ? [one] : [joint, one]));

/** @typedef {import("cellwright").Finding} Finding */

/** What a finding is about. @param {Finding} finding @returns {string} */
export const nameOf = ({ name, name_said }) => (language.code === "en" || !name_said ? name : german(name_said) ?? name) || TEXTS.no_name;

/** What a rule could not be judged without: an entry by its name on the page, or the crate's words. @param {string} needs */
function needed(needs) {
  const last = needs.split("/").pop() ?? "";
  return NEEDS[needs] ?? NEEDS[last] ?? LABELS[last];
}

/** What a finding says. @param {Finding} finding @returns {Node | string} */
export function findingWords(finding) {
  const { code, judgement, measured, limit, unit, needs, words: said } = finding;
  const wording = GERMAN.SAID[code];
  if (judgement === "not_judged" && (language.code === "en" || wording !== undefined)) {
    const [before, after] = filled(TEXTS.not_judged_words, { name: nameOf(finding), needs: "\n" }).split("\n");
    const missing = needed(needs) ?? (language.code === "en" ? needs : undefined);
    return missing === undefined ? make("span", {}, before ?? "", english(needs), after ?? "") : `${before}${missing}${after}`;
  }
  if (language.code === "en") return said;
  if (wording === undefined) return english(said);
  const shown = (/** @type {number | null} */ value) => (typeof value === "number" ? number(value, unit) : "");
  return filled(wording, { name: nameOf(finding), measured: shown(measured), limit: shown(limit) });
}

/** @typedef {{fits: RegExp, wording: string}} Template */

/** @type {Map<Record<string, string>, Template[]>} */
const ready = new Map();

/**
 * The templates of a table with places, ready to be held against a text; made when they are first needed.
 * @param {Record<string, string>} table
 * @returns {Template[]}
 */
function templates(table) {
  const before = ready.get(table);
  if (before) return before;
  const made = Object.entries(table).filter(([template]) => template.includes("{")).map(([template, wording]) => {
    const pattern = template.replace(/[.*+?^$()|[\]\\]/g, "\\$&").replace(/\{\d\}/g, "(.+?)");
    return { fits: new RegExp(`^${pattern}$`, "s"), wording };
  });
  ready.set(table, made);
  return made;
}

/**
 * A text of the crate that has no code, by the table of its English words; nothing where it is not there.
 * @param {string} text @param {Record<string, string>} table @param {(part: string) => string} inner
 */
function found(text, table, inner) {
  if (Object.hasOwn(table, text)) return table[text];
  for (const { fits, wording } of templates(table)) {
    const parts = fits.exec(text);
    if (parts) return filled(wording, Object.fromEntries(parts.slice(1).map((part, i) => [String(i), inner(part)])));
  }
  return undefined;
}

/** What a field takes, in German where there are words for it. @param {string} accepted */
const germanAccepted = (accepted) => found(accepted, GERMAN.ACCEPTED, (part) => part) ?? accepted;

/** The words of the language for what the crate draws: it sets them to measure. @returns {import("cellwright").Tongue} */
export const tongue = () => ({ words: language.code === "de" ? Object.entries(GERMAN.SAID) : [], decimal: decimal() });

/** A sheet of the open plan, drawn in the language of the page. @param {any} plan @param {import("cellwright").DrawnSheet} sheet */
export const drawn = (plan, sheet) => ask("drawn", { plan, sheet, tongue: tongue() });

/** A mistake of the crate in the language of the page. @param {Mistake} mistake @param {string} field what the page calls the field */
export function mistakeWords({ code, message, field: name, given, accepted, position, low, high }, field) {
  const wording = language.code === "de" ? GERMAN.ERRORS[code] : undefined;
  // The crate's sentence begins with the name that the value has in a file.
  if (wording === undefined) return message.startsWith(`${name} `) ? field + message.slice(name.length) : message;
  const bound = (/** @type {number | null} */ value) => (typeof value === "number" ? plain(value) : "");
  return filled(wording, { field, given: code === "out_of_range" ? plain(given) : given, accepted: germanAccepted(accepted),
    position: String((position ?? 0) + 1), low: bound(low), high: bound(high) });
}

/** What went wrong, in words: the crate's mistakes, or what the browser says. @param {unknown} error */
export function errorWords(error) {
  const mistakes = /** @type {{errors?: Mistake[]}} */ (error)?.errors;
  if (!Array.isArray(mistakes)) return error instanceof Error ? error.message : String(error);
  return mistakes.map((mistake) => mistakeWords(mistake, LABELS[mistake.field] ?? mistake.field)).join(" ");
}

/** Where a fact comes from: titles of works stay as they are. @param {{title: string, edition: string, place: string}} source */
export function cited({ title, edition, place }) {
  const part = (/** @type {string} */ text) => (language.code === "de" ? GERMAN.SOURCES[text] ?? english(text) : text);
  return make("p", { class: "source" }, `${TEXTS.source} `, ...joined([title, edition, place].filter(Boolean).map(part), ", "));
}

/** A name or a note of the examples. @param {string} text */
export const exampleWords = (text) => (language.code === "de" && Object.hasOwn(GERMAN.EXAMPLES, text) ? GERMAN.EXAMPLES[text] : text);

/** Colours of a resistor. @param {string[]} colours */
export const colourWords = (colours) => colours.map((colour) => TEXTS[`colour_${colour}`] ?? colour).join(", ");
