// Entries: how one is read, and what is wrong with it.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "./en.js";
import { make } from "./dom.js";
import { decimal, errorWords, language, mistakeWords, plain, words } from "./language.js";
import { get, remember, set } from "./store.js";

export { words };

/** Entries that cannot be used, by pointer. @type {Map<string, string>} */
export const wrong = new Map();

/** Called after every change. @type {{changed: () => void, rebuilt: () => void}} */
export const notify = { changed() {}, rebuilt() {} };

/** @param {string} pointer */
export const label = (pointer) => {
  const parts = pointer.split("/").filter((part) => !/^\d+$/.test(part));
  return LABELS[parts.slice(-2).join("/")] ?? LABELS[parts.slice(-1)[0] ?? ""] ?? pointer;
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
 * @param {{wide?: boolean, optional?: boolean}} [kind]
 */
export function number(pointer, unit, { wide = false, optional = false } = {}) {
  const id = `field${pointer.replaceAll("/", "-")}`;
  const read = make("p", { class: "read", id: `${id}-read` });
  const fault = make("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const input = /** @type {HTMLInputElement} */ (make("input", {
    id, name: pointer, type: "text", inputmode: unit === "degree_celsius" ? "text" : "decimal", autocomplete: "off",
    spellcheck: "false", "aria-describedby": `${id}-read ${id}-wrong`,
  }));
  input.value = entry(get(pointer));

  /** @param {string} message */
  function refuse(message) {
    wrong.set(pointer, message);
    fault.textContent = message;
    fault.hidden = false;
    input.setAttribute("aria-invalid", "true");
    read.textContent = "";
  }
  /** @param {unknown} error */
  function told(error) {
    const first = /** @type {any} */ (error).errors?.[0];
    if (first && language.code !== "en") return mistakeWords(first, label(pointer));
    return errorWords(error).replace(/^\S*\//, "").replace(/^[a-z0-9_]+ is/, `${label(pointer)} is`);
  }
  function accept() {
    wrong.delete(pointer);
    fault.hidden = true;
    input.removeAttribute("aria-invalid");
  }
  function understand() {
    if (input.value.trim() === "" && optional) {
      accept();
      read.textContent = TEXTS.leave_out;
      set(pointer, null);
      return;
    }
    try {
      const reading = ask("parse", { text: input.value, unit, field: pointer, decimal: decimal() });
      if (reading.interval && !wide) throw new Error(TEXTS.one_number.replace("{field}", label(pointer)));
      accept();
      read.textContent = `${TEXTS.read_as} ${reading.words}`;
      const { value, interval } = reading;
      set(pointer, wide ? interval ?? { low: value, likely: value, high: value } : value);
    } catch (error) {
      refuse(told(error));
    }
  }
  const value = get(pointer);
  if (value === null || value === undefined) read.textContent = optional ? TEXTS.leave_out : "";
  else read.textContent = typeof value === "object" ? spread(value, unit) : `${TEXTS.read_as} ${words(value, unit)}`;
  input.addEventListener("input", () => {
    understand();
    notify.changed();
  });
  input.addEventListener("cellwright-refused", (event) => {
    refuse(/** @type {CustomEvent} */ (event).detail);
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer)), input, read, fault);
}

/**
 * One of several words.
 * @param {string} pointer
 * @param {string[]} options
 * @param {(chosen: string) => void} [choose] what to do; sets the word itself where left out
 * @param {string} [chosen]
 */
export function choice(pointer, options, choose, chosen = String(get(pointer))) {
  const id = `field${pointer.replaceAll("/", "-")}`;
  const select = /** @type {HTMLSelectElement} */ (make("select", { id, name: pointer },
    ...options.map((option) => make("option", { value: option }, LABELS[option] ?? TEXTS[option] ?? option))));
  select.value = chosen;
  select.addEventListener("change", () => {
    if (choose) choose(select.value);
    else set(pointer, select.value);
    if (choose) notify.rebuilt();
    notify.changed();
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer)), select);
}

/** A yes or a no, or not known where `optional`. @param {string} pointer */
export function flag(pointer, optional = false) {
  const value = get(pointer);
  const now = value === null || value === undefined ? "unknown" : value ? "yes" : "no";
  const options = optional ? ["unknown", "yes", "no"] : ["yes", "no"];
  return choice(pointer, options, (chosen) => set(pointer, chosen === "unknown" ? null : chosen === "yes"), now);
}

/** @param {string} pointer */
export function text(pointer) {
  const id = `field${pointer.replaceAll("/", "-")}`;
  const input = /** @type {HTMLInputElement} */ (make("input", { id, name: pointer, type: "text", autocomplete: "off" }));
  input.value = get(pointer) ?? "";
  input.addEventListener("input", () => {
    set(pointer, input.value);
    notify.changed();
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer)), input);
}

/** @param {...HTMLElement} children */
export const grid = (...children) => make("div", { class: "fields" }, ...children);

/**
 * A button that changes the shape of the plan.
 * @param {string} key
 * @param {string} about
 * @param {() => void} change
 */
export function button(key, about, change) {
  return make("button", { type: "button", "aria-label": `${TEXTS[key]}: ${about}`, click: () => {
    remember();
    change();
    notify.rebuilt();
    notify.changed();
  } }, TEXTS[key]);
}
