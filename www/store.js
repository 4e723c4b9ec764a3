// The plan as it stands, kept as typed; each change can be taken back and made again, across reloads as well.

import { example } from "./examples.js";
import { read, trouble, write } from "./kept.js";
import { at, copy, has, put } from "./pointer.js";
import { readable } from "./reading.js";
import { listed, noted, recalled, shortened, state } from "./steps.js";

/** @typedef {any} Json */

/** @typedef {import("./steps.js").Step} Step */

export { copy, state };
// Until the one that was kept is read.
state.plan = example(0);

/** The plan as text when it was last kept, and before the change that is being typed. */
let last = "";
let base = "";
/** The entry that is being typed into, and whether its change is the last of `past`. */
let burst = "";
let open = false;

/**
 * The value at a JSON Pointer, or undefined.
 * @param {string} pointer
 * @returns {Json}
 */
export function get(pointer) {
  return at(state.plan, pointer);
}

/** A plan with another value at a place that exists. @param {Json} plan @param {string} pointer @param {Json} value */
function changed(plan, pointer, value) {
  if (pointer === "") return copy(value);
  const whole = copy(plan);
  if (!has(whole, pointer)) throw new Error(pointer);
  put(whole, pointer, value);
  return whole;
}

/**
 * Puts a value where a JSON Pointer of the page's own points; the place before it exists.
 * @param {string} pointer
 * @param {Json} value
 */
export function set(pointer, value) {
  remember(pointer);
  put(state.plan, pointer, value);
}

/** A change begins; what is typed into one entry without a pause elsewhere is one change. @param {string} [pointer] */
export function remember(pointer = "") {
  if (pointer !== "" && pointer === burst) return;
  settle();
  burst = pointer;
}

/** Whatever comes next is a change of its own. */
export function settle() {
  burst = "";
  open = false;
  base = last;
}

/** The smallest place that differs. @param {Json} a @param {Json} b @param {string} [pointer] @returns {Step | null} */
function difference(a, b, pointer = "") {
  if (a === b) return null;
  const whole = { at: pointer, before: a, after: b };
  const keys = Object.keys(a ?? {});
  const alike = [a, b].every((one) => one !== null && typeof one === "object") && Array.isArray(a) === Array.isArray(b)
    && JSON.stringify(keys) === JSON.stringify(Object.keys(b));
  if (!alike) return whole;
  /** @type {Step | null} */
  let found = null;
  for (const key of keys) {
    const inner = difference(a[key], b[key], `${pointer}/${key}`);
    if (inner && found) return whole;
    found ??= inner;
  }
  return found;
}

/** The plan before the change that is being typed. @type {{text: string, plan: Json}} */
const standing = { text: "", plan: null };

/** Notes what has changed since the change began, and keeps it as one record. @param {string} text */
function note(text) {
  if (text === last) return;
  if (standing.text !== base) Object.assign(standing, { text: base, plan: JSON.parse(base) });
  const found = difference(standing.plan, state.plan);
  const step = found && copy(found);
  const again = open;
  if (open) state.past.pop();
  if (step) state.past.push(step);
  open = step !== null;
  state.next = [];
  last = text;
  noted(step, again);
}

/** The plan as it was kept last. */
export const text = () => last;

/**
 * Keeps the plan and its changes; tells whether the browser did. The plan is written whole, so that no other text is
 * needed to read it; of the changes only the one that is being typed.
 */
export function keep() {
  note(JSON.stringify(state.plan));
  // Where room is short the plan matters more than what it once was.
  return write(`plan-${state.id}`, last) || (trouble.why === "full" && shortened() && write(`plan-${state.id}`, last));
}

/**
 * One change back or forth; false where there is none.
 * @param {"past" | "next"} from @param {"past" | "next"} to @param {"before" | "after"} side
 */
function move(from, to, side) {
  settle();
  const step = state[from].pop();
  if (!step) return false;
  try {
    const plan = changed(state.plan, step.at, step[side]);
    // Looked at as if it came from outside; what is taken is the very plan that was left.
    readable(JSON.stringify(plan));
    state.plan = plan;
  } catch {
    // What was kept of the changes does not belong to this plan.
    Object.assign(state, { past: [], next: [], forgot: true });
    listed();
    return false;
  }
  state[to].push(step);
  last = base = JSON.stringify(state.plan);
  listed();
  return true;
}

export const undo = () => move("past", "next", "before");
export const redo = () => move("next", "past", "after");

/** Puts a plan on the bench, with the changes that were kept of it. @param {string} id @param {Json} plan */
export function bring(id, plan) {
  Object.assign(state, { id, plan, forgot: false });
  recalled();
  last = JSON.stringify(plan);
  settle();
  readings.load();
}

/**
 * What was typed outside the plan, kept under a name of its own; nothing where the browser keeps nothing.
 * @param {string} name
 */
export function aside(name) {
  return {
    /** @returns {Json} */
    read() {
      try {
        return JSON.parse(read(`beside-${name}`) ?? "null");
      } catch {
        return null;
      }
    },
    /** @param {Json} value */
    write(value) {
      write(`beside-${name}`, JSON.stringify(value));
    },
  };
}

/** What the maker read off the meter on the bench, by measurement, as typed; each plan has its own. */
export const readings = {
  /** @type {Record<string, string>} */
  text: Object.create(null),
  /** @param {string} key @param {string} text */
  put(key, text) {
    this.text[key] = text;
    write(`bench-${state.id}`, JSON.stringify(this.text));
  },
  load() {
    this.text = Object.create(null);
    try {
      for (const [key, text] of Object.entries(JSON.parse(read(`bench-${state.id}`) ?? "{}"))) {
        if (typeof text === "string" && key.length < 500 && text.length < 500) this.text[key] = text;
      }
    } catch {
      // Readings that cannot be read are entered again.
    }
  },
};

/** The plan as a file. */
export function file() {
  return new Blob([JSON.stringify(state.plan, null, 1), "\n"], { type: "application/json" });
}
