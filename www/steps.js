// The changes of the open plan, kept so that undo outlives a reload: a list that is rarely written, and a record of its
// own for each change since. A key writes one record. The list says with which record it goes on, so that whatever was
// interrupted is read as it stood before or after.

import { drop, names, read, trouble, write } from "./kept.js";
import { at, copy, put } from "./pointer.js";

/** Longest list of changes that is kept, in characters; the oldest are forgotten first. */
const LONGEST = 150_000;

/** Most records before they are put into the list. */
const MOST = 64;

/** @typedef {any} Json */

/** One change: what stood at a JSON Pointer before and after. @typedef {{at: string, before: Json, after: Json}} Step */

/** The open plan, the changes that led to it and those that were taken back. @type {{id: string, plan: Json, past: Step[], next: Step[], forgot: boolean}} */
export const state = { id: "", plan: null, past: [], next: [], forgot: false };

/** Number of the first record, how many there are, and how long they and the list are in characters. */
const kept = { first: 0, many: 0, length: 0 };

/** @param {string} id @param {number} number */
const record = (id, number) => `step-${id}-${number}`;

/** Numbers of the records of a plan, in order. @param {string} id */
function numbers(id) {
  const start = `step-${id}-`;
  return names().filter((name) => name.startsWith(start)).map((name) => Number(name.slice(start.length))).filter(Number.isInteger).sort((a, b) => a - b);
}

/** Writes the list whole; the oldest changes go where it is too long, or where no room is left. Tells whether it stands. */
export function listed() {
  const { id, past, next } = state;
  const from = kept.first + kept.many;
  for (;;) {
    const text = JSON.stringify({ past, next, from });
    const fits = text.length <= LONGEST;
    if (fits && (write(`steps-${id}`, text) || trouble.why !== "full")) {
      kept.length = text.length;
      break;
    }
    if (past.length > 0) past.splice(0, Math.ceil(past.length / (fits ? 2 : 4)));
    else if (next.length > 0) next.length = 0;
    else {
      drop(`steps-${id}`);
      kept.length = 0;
      break;
    }
  }
  for (let number = kept.first; number < from; number += 1) drop(record(id, number));
  Object.assign(kept, { first: from, many: 0 });
}

/** Makes room; tells whether there was anything to forget. */
export function shortened() {
  if (state.past.length + state.next.length === 0) return false;
  state.past.splice(0, Math.ceil(state.past.length / 2));
  if (state.past.length === 0) state.next = [];
  listed();
  return true;
}

/** Keeps the latest change. @param {Step | null} step nothing where everything is as it was @param {boolean} again whether it takes the place of the one before */
export function noted(step, again) {
  const beside = !again || kept.many > 0;
  if (again && beside) kept.many -= 1;
  if (step && (!beside || (!again && (kept.many >= MOST || kept.length > LONGEST)))) {
    // The one that is being typed stays out of the list, so that the next key writes it alone.
    state.past.pop();
    listed();
    state.past.push(step);
  }
  const name = record(state.id, kept.first + kept.many);
  if (!step) {
    drop(name);
    if (!beside) listed();
    return;
  }
  const text = JSON.stringify(step);
  kept.length += text.length;
  kept.many += 1;
  if (!write(name, text) && trouble.why === "full") listed();
}

/** @param {Json} value */
const isStep = (value) => value !== null && typeof value === "object" && typeof value.at === "string" && Object.hasOwn(value, "before") && Object.hasOwn(value, "after");

/** @param {Json} value @returns {Step[]} */
const steps = (value) => (Array.isArray(value) ? value.filter(isStep) : []);

/** What a text that was kept says; nothing where it cannot be read. @param {string} name @returns {Json} */
function parsed(name) {
  const text = read(name);
  try {
    return text && text.length <= 2 * LONGEST ? JSON.parse(text) : null;
  } catch {
    // Changes that cannot be read are forgotten; the plan itself is whole.
    return null;
  }
}

/** Whether two values agree wherever both say something: the crate adds what an older plan did not have. @param {Json} a @param {Json} b @returns {boolean} */
function agree(a, b) {
  if (a === null || b === null || typeof a !== "object" || typeof b !== "object") return a === b;
  if (Array.isArray(a) !== Array.isArray(b) || (Array.isArray(a) && a.length !== b.length)) return false;
  return Object.keys(a).every((key) => !Object.hasOwn(b, key) || agree(a[key], b[key]));
}

/** The changes that led to the plan, as far back as each ends where the next begins. @param {Step[]} all */
function leading(all) {
  let plan = copy(state.plan);
  for (let i = all.length - 1; i >= 0; i -= 1) {
    const step = all[i];
    if (!agree(at(plan, step.at), step.after)) return all.slice(i + 1);
    if (step.at === "") plan = copy(step.before);
    else put(plan, step.at, copy(step.before));
  }
  return all;
}

/** Brings the changes of the open plan back. */
export function recalled() {
  const { id } = state;
  const list = parsed(`steps-${id}`);
  const from = Number.isInteger(list?.from) && list.from >= 0 ? list.from : 0;
  const past = steps(list?.past);
  let many = 0;
  for (const number of numbers(id)) {
    const step = number === from + many && many < 2 * MOST ? parsed(record(id, number)) : null;
    if (!isStep(step)) {
      drop(record(id, number));
      continue;
    }
    past.push(step);
    many += 1;
  }
  Object.assign(kept, { first: from, many, length: 0 });
  state.past = leading(past);
  // Where something was changed anew, nothing is left to be made again.
  state.next = many > 0 ? [] : steps(list?.next);
  if (state.past.length < past.length) listed();
}

/** Forgets the changes of a plan that is thrown away. @param {string} id */
export function forgotten(id) {
  drop(`steps-${id}`);
  for (const number of numbers(id)) drop(record(id, number));
}
