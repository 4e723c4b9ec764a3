// The plan as it stands, kept as typed; undo, storage and files.

import pump from "../tests/plans/watering-pump.json";
import blower from "../tests/plans/seed-drying-blower.json";
import lamp from "../tests/plans/market-stall-lamp.json";

export const DEMOS = [pump, blower, lamp];

const KEY = "cellwright-plan-1";

/** @typedef {any} Json */

/** @type {{plan: Json, past: string[], kept: boolean}} */
export const state = { plan: copy(pump), past: [], kept: false };

/** @param {Json} value */
export function copy(value) {
  return JSON.parse(JSON.stringify(value));
}

/**
 * The value at a JSON Pointer, or undefined.
 * @param {string} pointer
 * @returns {Json}
 */
export const get = (pointer) => at(state.plan, pointer);

/** The same in any value. @param {Json} value @param {string} pointer @returns {Json} */
export function at(value, pointer) {
  for (const key of pointer.split("/").slice(1)) {
    if (value === null || typeof value !== "object" || !Object.hasOwn(value, key)) return undefined;
    value = value[key];
  }
  return value;
}

/**
 * Puts a value where a JSON Pointer of the page's own points; the place before it exists.
 * @param {string} pointer
 * @param {Json} value
 */
export function set(pointer, value) {
  remember();
  put(state.plan, pointer, value);
}

/** The same in any value, without remembering. @param {Json} root @param {string} pointer @param {Json} value */
export function put(root, pointer, value) {
  const keys = pointer.split("/").slice(1);
  const last = /** @type {string} */ (keys.pop());
  const holder = at(root, ["", ...keys].join("/"));
  if (holder) holder[last] = value;
}

export function remember() {
  state.past.push(JSON.stringify(state.plan));
  if (state.past.length > 100) state.past.shift();
}

export function undo() {
  const before = state.past.pop();
  if (before) state.plan = JSON.parse(before);
  return before !== undefined;
}

/**
 * What was typed outside the plan, kept under a name of its own; nothing where the browser keeps nothing.
 * @param {string} name
 */
export function aside(name) {
  const key = `cellwright-${name}-1`;
  return {
    /** @returns {Json} */
    read() {
      try {
        return JSON.parse(localStorage.getItem(key) ?? "null");
      } catch {
        return null;
      }
    },
    /** @param {Json} value */
    write(value) {
      try {
        localStorage.setItem(key, JSON.stringify(value));
      } catch {
        // Nothing is kept where the browser keeps nothing; the page says so beside the plan.
      }
    },
  };
}

const BENCH = "cellwright-bench-1";

/** What the maker read off the meter on the bench, by measurement, as typed. */
export const readings = {
  /** @type {Record<string, string>} */
  text: {},
  /** @param {string} key @param {string} text */
  put(key, text) {
    this.text[key] = text;
    try {
      localStorage.setItem(BENCH, JSON.stringify(this.text));
    } catch {
      // Nothing is kept where the browser keeps nothing; the page says so beside the plan.
    }
  },
};
try {
  const before = JSON.parse(localStorage.getItem(BENCH) ?? "{}");
  for (const [key, text] of Object.entries(before)) if (typeof text === "string" && key.length < 500) readings.text[key] = text;
} catch {
  readings.text = {};
}

export function keep() {
  try {
    localStorage.setItem(KEY, JSON.stringify(state.plan));
    state.kept = true;
  } catch {
    state.kept = false;
  }
  return state.kept;
}

/** What was kept before, as text, or null. */
export function kept() {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

/** The plan as a file. */
export function file() {
  return new Blob([JSON.stringify(state.plan, null, 1), "\n"], { type: "application/json" });
}
