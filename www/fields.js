// Entries: how one is read, and what is wrong with it.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "./en.js";
import { make } from "./dom.js";
import { decimal, errorWords, mistakeWords, plain, words } from "./language.js";
import { copy, get, remember, set } from "./store.js";

export { words };

/** Entries that cannot be used, by pointer. @type {Map<string, string>} */
export const wrong = new Map();

/** Called after every change; `typed` after a key, whose answer may be shown a moment later. @type {{changed: () => void, typed: () => void, rebuilt: () => void}} */
export const notify = { changed() {}, typed() {}, rebuilt() {} };

/**
 * Where what is entered goes: the plan, or the input of a question that a tool asks.
 * @typedef {object} Home
 * @property {string} name stands before the pointers in the names of its entries
 * @property {(pointer: string) => any} get
 * @property {(pointer: string, value: any) => void} set
 * @property {Map<string, string>} wrong entries that cannot be used
 * @property {() => void} before called before its shape changes
 * @property {() => void} changed called after every change
 * @property {() => void} typed called after every key instead
 * @property {() => void} rebuilt called before that, where the shape has changed
 */

/** @type {Home} */
export const PLAN = { name: "", get, set, wrong, before: remember, changed: () => notify.changed(), typed: () => notify.typed(), rebuilt: () => notify.rebuilt() };

/** @param {Home} home @param {string} pointer */
const idOf = (home, pointer) => `field${home.name}${pointer.replaceAll("/", "-")}`;

/**
 * Tells the entry at a place, or the nearest one around it, that it is refused; nothing where there is none.
 * @param {ParentNode} root @param {string} prefix of the entries' names @param {string} pointer
 * @param {(at: string) => string} words why, for the entry at that place
 */
export function refuseAt(root, prefix, pointer, words) {
  for (let at = pointer; at; at = at.slice(0, at.lastIndexOf("/"))) {
    const entry = /** @type {HTMLElement | null} */ (root.querySelector(`[name="${CSS.escape(prefix + at)}"]`));
    if (!entry) continue;
    entry.dispatchEvent(new CustomEvent("cellwright-refused", { detail: words(at) }));
    return { entry, at };
  }
  return null;
}

/** What a place is called; a tool may call it otherwise than the plan. @param {string} pointer @param {string} [home] name of the tool's entries */
export const label = (pointer, home = "") => {
  const parts = pointer.split("/").filter((part) => !/^\d+$/.test(part));
  const own = parts.slice(-1)[0] ?? "";
  return (home ? LABELS[home + own] : undefined) ?? LABELS[parts.slice(-2).join("/")] ?? LABELS[own] ?? pointer;
};

/**
 * An interval read back.
 * @param {{low: number, likely: number, high: number}} value
 * @param {import("cellwright").Unit} unit
 */
function spread({ low, likely, high }, unit) {
  const shown = low < high ? `${words(low, unit)} .. ${words(likely, unit)} .. ${words(high, unit)}` : words(likely, unit);
  return `${TEXTS.read_as} ${shown}`;
}

/**
 * The entry that stands for a value.
 * @param {any} value
 */
function entry(value) {
  if (value === null || value === undefined) return "";
  if (typeof value === "object") return value.low < value.high ? `${plain(value.low)}..${plain(value.high)}` : plain(value.likely);
  return plain(value);
}

/**
 * A number, with a tolerance or a range where `wide`; left out where `optional`.
 * @param {string} pointer
 * @param {import("cellwright").Unit} unit
 * @param {{wide?: boolean, optional?: boolean, home?: Home}} [kind]
 */
export function number(pointer, unit, { wide = false, optional = false, home = PLAN } = {}) {
  const id = idOf(home, pointer);
  const read = make("p", { class: "read", id: `${id}-read` });
  const fault = make("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const input = /** @type {HTMLInputElement} */ (make("input", {
    id, name: home.name + pointer, type: "text", inputmode: unit === "degree_celsius" ? "text" : "decimal", autocomplete: "off",
    spellcheck: "false", "aria-describedby": `${id}-read ${id}-wrong`,
  }));
  input.value = entry(home.get(pointer));

  /** @param {string} message */
  function refuse(message) {
    home.wrong.set(pointer, message);
    fault.textContent = message;
    fault.hidden = false;
    input.setAttribute("aria-invalid", "true");
    read.textContent = "";
  }
  /** @param {unknown} error */
  function told(error) {
    const first = /** @type {any} */ (error).errors?.[0];
    return first ? mistakeWords(first, label(pointer, home.name)) : errorWords(error);
  }
  function accept() {
    home.wrong.delete(pointer);
    if (!fault.hidden) fault.hidden = true;
    input.removeAttribute("aria-invalid");
  }
  /** @param {string} text */
  function say(text) {
    if (read.textContent !== text) read.textContent = text;
  }
  function understand() {
    if (input.value.trim() === "" && (optional || (home === PLAN && get(pointer) === null))) {
      accept();
      say(optional ? TEXTS.leave_out : TEXTS.still_open);
      home.set(pointer, null);
      return;
    }
    try {
      const reading = ask("parse", { text: input.value, unit, field: pointer, decimal: decimal() });
      if (reading.interval && !wide) throw new Error(TEXTS.one_number.replace("{field}", label(pointer, home.name)));
      accept();
      const { value, interval } = reading;
      // Days and hours as a clock: rounded to the digits that were written, 14 d would read 1200000 s.
      say(`${TEXTS.read_as} ${unit === "second" && !interval && value >= 60 ? words(value, unit) : reading.words}`);
      home.set(pointer, wide ? interval ?? { low: value, likely: value, high: value } : value);
    } catch (error) {
      refuse(told(error));
    }
  }
  const value = home.get(pointer);
  if (value === null || value === undefined) read.textContent = optional ? TEXTS.leave_out : home === PLAN ? TEXTS.still_open : "";
  else read.textContent = typeof value === "object" ? spread(value, unit) : `${TEXTS.read_as} ${words(value, unit)}`;
  input.addEventListener("input", () => {
    understand();
    home.typed();
  });
  input.addEventListener("cellwright-refused", (event) => {
    refuse(/** @type {CustomEvent} */ (event).detail);
  });
  input.addEventListener("cellwright-read", understand);
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer, home.name)), input, read, fault);
}

/**
 * One of several words.
 * @param {string} pointer
 * @param {string[]} options
 * @param {(chosen: string) => void} [choose] what to do; sets the word itself where left out
 * @param {string} [chosen]
 * @param {Home} [home]
 */
export function choice(pointer, options, choose, chosen, home = PLAN) {
  const id = idOf(home, pointer);
  const select = /** @type {HTMLSelectElement} */ (make("select", { id, name: home.name + pointer },
    ...options.map((option) => make("option", { value: option }, (home.name ? LABELS[home.name + option] : undefined) ?? LABELS[option] ?? TEXTS[option] ?? option))));
  select.value = chosen ?? String(home.get(pointer));
  select.addEventListener("change", () => {
    if (choose) choose(select.value);
    else home.set(pointer, select.value);
    if (choose) home.rebuilt();
    home.changed();
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer, home.name)), select);
}

/** A yes or a no, or not known where `optional`. @param {string} pointer @param {Home} [home] */
export function flag(pointer, optional = false, home = PLAN) {
  const value = home.get(pointer);
  const now = value === null || value === undefined ? "unknown" : value ? "yes" : "no";
  const options = optional ? ["unknown", "yes", "no"] : ["yes", "no"];
  return choice(pointer, options, (chosen) => home.set(pointer, chosen === "unknown" ? null : chosen === "yes"), now, home);
}

/** @param {string} pointer @param {Home} [home] */
export function text(pointer, home = PLAN) {
  const id = idOf(home, pointer);
  const input = /** @type {HTMLInputElement} */ (make("input", { id, name: home.name + pointer, type: "text", autocomplete: "off" }));
  input.value = home.get(pointer) ?? "";
  input.addEventListener("input", () => {
    home.set(pointer, input.value);
    home.typed();
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer, home.name)), input);
}

/**
 * An entry of free text, kept beside what it stands for under the same name with `_text`.
 * @param {Home} home
 * @param {string} pointer
 * @param {(text: string) => string} take puts what the text stands for where it belongs and gives it in words, or throws
 * @param {number} [rows] more than one where it has lines
 */
export function free(home, pointer, take, rows = 1) {
  const id = idOf(home, pointer);
  const input = /** @type {HTMLTextAreaElement} */ (make(rows > 1 ? "textarea" : "input", { id, name: home.name + pointer, autocomplete: "off", spellcheck: "false",
    "aria-describedby": `${id}-read ${id}-wrong`, ...(rows > 1 ? { rows: String(rows) } : { type: "text" }) }));
  const read = make("p", { class: "read", id: `${id}-read` });
  const fault = make("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  input.value = home.get(`${pointer}_text`) ?? "";
  /** @param {string} message */
  const refuse = (message) => {
    home.wrong.set(pointer, message);
    fault.textContent = message;
    fault.hidden = false;
    input.setAttribute("aria-invalid", "true");
  };
  const understand = () => {
    home.wrong.delete(pointer);
    fault.hidden = true;
    input.removeAttribute("aria-invalid");
    home.set(`${pointer}_text`, input.value);
    try {
      read.textContent = take(input.value);
    } catch (error) {
      read.textContent = "";
      refuse(errorWords(error));
    }
  };
  understand();
  input.addEventListener("input", () => {
    understand();
    home.typed();
  });
  input.addEventListener("cellwright-read", understand);
  input.addEventListener("cellwright-refused", (event) => refuse(/** @type {CustomEvent} */ (event).detail));
  return make("div", { class: "field broad" }, make("label", { for: id }, label(pointer, home.name)), input, read, fault);
}

/** @param {...HTMLElement} children */
export const grid = (...children) => make("div", { class: "fields" }, ...children);

/**
 * A button that changes the shape of the plan, or of what a tool asks.
 * @param {string} key
 * @param {string} about what it is done to; where one is added or taken away that is seen as well
 * @param {() => void} change
 * @param {Home} [home]
 */
export function button(key, about, change, home = PLAN) {
  const said = `${TEXTS[key]}: ${about}`;
  return make("button", { type: "button", "aria-label": said, click: () => {
    home.before();
    change();
    home.rebuilt();
    home.changed();
  } }, key === "add" || key === "remove" ? said : TEXTS[key]);
}

/**
 * A list of equal things with buttons to add and remove one.
 * @param {string} pointer
 * @param {(at: string, one: any) => HTMLElement[]} entries
 * @param {any} first what the first one is
 * @param {number} [least]
 * @param {Home} [home]
 */
export function list(pointer, entries, first, least = 0, home = PLAN) {
  const all = home.get(pointer) ?? [];
  const name = LABELS[pointer.split("/").pop() ?? ""] ?? pointer;
  return [...all.map((/** @type {any} */ one, /** @type {number} */ i) => make("div", { class: "item" }, make("h3", {}, one?.name || `${name} ${i + 1}`),
    grid(...entries(`${pointer}/${i}`, one)),
    ...(all.length > least ? [make("div", { class: "tools" }, button("remove", one?.name || `${name} ${i + 1}`, () => all.splice(i, 1), home))] : []))),
  make("div", { class: "tools" }, button("add", name, () => {
    if (!home.get(pointer)) home.set(pointer, []);
    home.get(pointer).push(copy(all[all.length - 1] ?? first));
  }, home))];
}

/**
 * One of several shapes of a value, each with entries of its own.
 * @param {string} pointer
 * @param {Record<string, [any, (at: string) => HTMLElement[]]>} shapes what each starts with, and its entries
 * @param {string | null} [without] the word for "left out", where it may be
 * @param {Home} [home]
 */
export function shape(pointer, shapes, without = null, home = PLAN) {
  const value = home.get(pointer);
  const kind = value === null || value === undefined ? without ?? "" : typeof value === "string" ? value : Object.keys(value)[0];
  const pick = choice(pointer, [...(without ? [without] : []), ...Object.keys(shapes)], (chosen) => {
    if (chosen === without) home.set(pointer, null);
    else home.set(pointer, shapes[chosen][0] === chosen ? chosen : { [chosen]: copy(shapes[chosen][0]) });
  }, kind, home);
  return [pick, ...(shapes[kind] && typeof value === "object" ? shapes[kind][1](`${pointer}/${kind}`) : [])];
}
