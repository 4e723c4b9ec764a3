// The plan as it stands, kept as typed; each change can be taken back and made again, across reloads as well.

import { drop, read, trouble, write } from "./kept.js";
import { at, has, put } from "./pointer.js";
import { readable } from "./reading.js";
import pump from "../tests/plans/watering-pump.json";
import blower from "../tests/plans/seed-drying-blower.json";
import lamp from "../tests/plans/market-stall-lamp.json";

export const DEMOS = [pump, blower, lamp];

/** Longest list of changes that is kept, in characters; the oldest are forgotten first. */
const STEPS_LONGEST = 150_000;

/** @typedef {any} Json */

/** One change: what stood at a JSON Pointer before and after. @typedef {{at: string, before: Json, after: Json}} Step */

/** @type {{id: string, plan: Json, past: Step[], next: Step[], forgot: boolean}} */
export const state = { id: "", plan: copy(pump), past: [], next: [], forgot: false };

/** The plan as text when it was last kept, and before the change that is being typed. */
let last = "";
let base = "";
/** The entry that is being typed into, and whether its change is the last of `past`. */
let burst = "";
let open = false;

/** @param {Json} value */
export function copy(value) {
  return JSON.parse(JSON.stringify(value));
}

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
  const same = (/** @type {Json} */ x, /** @type {Json} */ y) => JSON.stringify(x) === JSON.stringify(y);
  if (same(a, b)) return null;
  const holders = [a, b].every((one) => one !== null && typeof one === "object") && Array.isArray(a) === Array.isArray(b);
  if (holders && same(Object.keys(a), Object.keys(b))) {
    const keys = Object.keys(a).filter((key) => !same(a[key], b[key]));
    if (keys.length === 1) return difference(a[keys[0]], b[keys[0]], `${pointer}/${keys[0]}`);
  }
  return { at: pointer, before: a, after: b };
}

/** Notes what has changed since the change began. @param {string} text */
function note(text) {
  if (text === last) return;
  const step = difference(JSON.parse(base), state.plan);
  if (open) state.past.pop();
  if (step) state.past.push(copy(step));
  open = step !== null;
  state.next = [];
  last = text;
}

/** Keeps the plan and its changes; tells whether the browser did. */
export function keep() {
  note(JSON.stringify(state.plan));
  const kept = write(`plan-${state.id}`, last);
  while (state.past.length + state.next.length > 0) {
    const steps = JSON.stringify({ past: state.past, next: state.next });
    if (steps.length <= STEPS_LONGEST && (write(`steps-${state.id}`, steps) || trouble.why !== "full")) break;
    // Where room is short the plan matters more than what it once was.
    const fewer = Math.ceil(state.past.length / 2);
    if (fewer > 0) state.past.splice(0, steps.length <= STEPS_LONGEST ? fewer : 1);
    else state.next = [];
  }
  if (state.past.length + state.next.length === 0) drop(`steps-${state.id}`);
  return kept || write(`plan-${state.id}`, last);
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
    return false;
  }
  state[to].push(step);
  last = base = JSON.stringify(state.plan);
  return true;
}

export const undo = () => move("past", "next", "before");
export const redo = () => move("next", "past", "after");

/** @param {Json} value @returns {Step[]} */
const steps = (value) => (Array.isArray(value) ? value.filter((step) => step !== null && typeof step === "object" && typeof step.at === "string"
  && Object.hasOwn(step, "before") && Object.hasOwn(step, "after")) : []);

/** Puts a plan on the bench, with the changes that were kept of it. @param {string} id @param {Json} plan */
export function bring(id, plan) {
  let kept = { past: [], next: [] };
  try {
    const text = read(`steps-${id}`) ?? "{}";
    if (text.length <= 2 * STEPS_LONGEST) kept = JSON.parse(text);
  } catch {
    // Changes that cannot be read are forgotten; the plan itself is whole.
  }
  Object.assign(state, { id, plan, past: steps(kept?.past), next: steps(kept?.next), forgot: false });
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
