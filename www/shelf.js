// Several plans, kept by name: which there are, which one lies open, which were thrown away last.

import { drop, earlier, names, read, write } from "./kept.js";
import { errorWords } from "./language.js";
import { LONGEST, readable } from "./reading.js";
import { TEXTS } from "./en.js";
import { forgotten } from "./steps.js";
import { bring, copy, keep, state } from "./store.js";

/** Most plans that are kept, and most thrown away ones that can be brought back. */
const MOST = 100;
const MOST_GONE = 5;

/**
 * `fresh` plans were never changed and make room by themselves; `outside` ones came by file, text or link.
 * @typedef {{id: string, outside: boolean, gone: boolean, fresh: boolean}} Entry
 */

/** @type {{open: string, plans: Entry[]}} */
const shelf = { open: "", plans: [] };

const ID = /^p\d{1,9}$/;

/** Entries of what was kept, whatever it is. @param {string | null} text @returns {{open: string, plans: Entry[]}} */
function entries(text) {
  /** @type {any} */
  let value = null;
  try {
    if (text && text.length < 100_000) value = JSON.parse(text);
  } catch {
    // The plans themselves are found by their names.
  }
  const list = Array.isArray(value?.plans) ? value.plans : [];
  const known = list.filter((/** @type {any} */ one) => one !== null && typeof one === "object" && typeof one.id === "string" && ID.test(one.id));
  return {
    open: typeof value?.open === "string" ? value.open : "",
    plans: known.map((/** @type {any} */ { id, outside, gone, fresh }) => ({ id, outside: outside !== false, gone: gone === true, fresh: fresh === true })),
  };
}

/** The shelf with everything that lies in storage, whoever put it there. */
function collect() {
  const told = entries(read("shelf")).plans;
  const found = names().filter((name) => name.startsWith("plan-")).map((name) => name.slice(5)).filter((id) => ID.test(id));
  for (const id of found.sort((a, b) => Number(a.slice(1)) - Number(b.slice(1)))) {
    if (shelf.plans.some((one) => one.id === id)) continue;
    shelf.plans.push(told.find((one) => one.id === id) ?? { id, outside: true, gone: false, fresh: false });
  }
  shelf.plans = shelf.plans.filter(({ id }) => found.includes(id));
}

function note() {
  write("shelf", JSON.stringify(shelf));
}

/** @param {string} id */
const entry = (id) => shelf.plans.find((one) => one.id === id);

/** Names by the text of the plan they stand in: the shelf is shown at every key, and other plans hardly change. @type {Map<string, unknown>} */
const known = new Map();

/** @param {string} id */
function nameOf(id) {
  if (id === state.id) return state.plan.name;
  const text = read(`plan-${id}`);
  if (!text || text.length > LONGEST) return "";
  if (!known.has(text)) {
    if (known.size > MOST) known.clear();
    known.set(text, JSON.parse(text).name);
  }
  return known.get(text);
}

/** The name that stands in a kept plan. @param {string} id */
function named(id) {
  try {
    const name = nameOf(id);
    return typeof name === "string" && name.trim() !== "" ? name.slice(0, 200) : TEXTS.unnamed;
  } catch {
    return TEXTS.unreadable;
  }
}

/** What lies on the shelf, in the order it came. */
export const plans = () => shelf.plans.map((one) => ({ ...one, open: one.id === state.id, name: named(one.id) }));

/** The text of a kept plan, whatever it is. @param {string} id */
export const textOf = (id) => (id === state.id ? JSON.stringify(state.plan) : read(`plan-${id}`) ?? "");

/** A kept plan; throws what the crate says against it. @param {string} id */
export const planOf = (id) => (id === state.id ? state.plan : readable(textOf(id)));

/** Whether the open plan came from outside. */
export const isOutside = () => entry(state.id)?.outside === true;

/** @param {string} id */
function forget(id) {
  for (const kind of ["plan", "bench"]) drop(`${kind}-${id}`);
  forgotten(id);
  shelf.plans = shelf.plans.filter((one) => one.id !== id);
}

/** A fresh plan that was left as it was makes room. */
function tidy() {
  const one = entry(state.id);
  if (one?.fresh && state.past.length === 0) forget(one.id);
}

/**
 * Puts a plan on the shelf and opens it; the one that lay open stays.
 * @param {any} plan @param {{outside?: boolean, fresh?: boolean}} [kind]
 */
export function add(plan, { outside = false, fresh = false } = {}) {
  collect();
  const text = JSON.stringify(plan);
  const same = outside && shelf.plans.find((one) => one.outside && !one.gone && textOf(one.id) === text);
  if (same) {
    open(same.id);
    return;
  }
  if (shelf.plans.length >= MOST) throw new Error(TEXTS.shelf_full);
  const number = Math.max(0, ...shelf.plans.map(({ id }) => Number(id.slice(1)))) + 1;
  tidy();
  const id = `p${number}`;
  shelf.plans.push({ id, outside, gone: false, fresh });
  bring(id, copy(plan));
  keep();
  shelf.open = id;
  note();
}

/** Opens a kept plan; throws what the crate says against it, and the open one stays. @param {string} id */
export function open(id) {
  if (id === state.id) return;
  const plan = readable(textOf(id));
  tidy();
  bring(id, plan);
  shelf.open = id;
  note();
}

/** A copy of a plan, opened. @param {string} id */
export function duplicate(id) {
  const plan = copy(planOf(id));
  const from = entry(id);
  // Who copies a plan wants both.
  if (from) from.fresh = false;
  plan.name = `${plan.name} (${TEXTS.copy_of})`.slice(0, 200);
  add(plan, { outside: from?.outside === true });
}

/** Throws a plan away; it can be brought back. Opens another where it lay open. @param {string} id @param {any} otherwise */
export function remove(id, otherwise) {
  const one = entry(id);
  if (!one) return;
  keep();
  one.gone = true;
  one.fresh = false;
  const gone = shelf.plans.filter((each) => each.gone);
  for (const old of gone.filter((each) => each !== one).slice(0, Math.max(0, gone.length - MOST_GONE))) forget(old.id);
  if (id === state.id && !openAny()) add(otherwise, { fresh: true });
  note();
}

/** @param {string} id */
export function bringBack(id) {
  const one = entry(id);
  if (!one) return;
  one.gone = false;
  open(id);
  note();
}

/** The plan that lay open last, or any that can be read. @param {string} [last] */
function openAny(last = "") {
  const rest = shelf.plans.filter((one) => !one.gone && one.id !== state.id).reverse();
  for (const { id } of [...rest.filter((one) => one.id === last), ...rest]) {
    try {
      open(id);
      return true;
    } catch {
      // It stays on the shelf, and says why when it is opened.
    }
  }
  return false;
}

/** What cannot be read of a kept plan, in words; nothing where it can. @param {string} id */
function unreadable(id) {
  try {
    planOf(id);
    return [];
  } catch (error) {
    return [errorWords(error)];
  }
}

/** Looks through the kept plans that do not lie open, one at a time, and tells what cannot be read. @param {(work: () => void) => void} soon @param {(words: string[]) => void} tell */
export function lookThrough(soon, tell) {
  const ids = shelf.plans.filter(({ id, gone }) => !gone && id !== state.id).map(({ id }) => id);
  /** @type {string[]} */
  const found = [];
  const next = () => {
    const id = ids.shift();
    if (id !== undefined) {
      if (entry(id)) found.push(...unreadable(id));
      soon(next);
    } else if (found.length > 0) tell(found);
  };
  soon(next);
}

/** Opens what lay open before, or `otherwise`; tells whether anything was kept. @param {any} otherwise */
export function restore(otherwise) {
  const last = entries(read("shelf")).open;
  collect();
  const text = shelf.plans.length === 0 ? earlier("cellwright-plan-1") : null;
  if (text) {
    try {
      add(readable(text));
      return true;
    } catch {
      // It was of a time before the first version; the example stands instead.
    }
  }
  if (openAny(last)) return true;
  add(otherwise, { fresh: true });
  return false;
}

/** Looks again at what other windows have put there. */
export const refreshed = collect;
