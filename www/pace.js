// When the work of a change is done: what was typed is shown first, then the answer, and everything else once the hand
// rests, a piece at a time, what is in sight first. A key drops what was begun for the one before it.

/** Time without a key before anything but the answer is worked out, in milliseconds. */
const REST_MS = 250;

/** A page that is not shown paints nothing: the answer waits no longer than this for it, in milliseconds. */
const PAINT_MS = 100;

/** Time without a key until what is off the screen is laid out again, in milliseconds. */
const STILL_MS = 1000;

/** Work that may come in slices: works until a moment, and says false where it is not done by then. @typedef {(until: number) => boolean | void} Work */
/** @typedef {{place: Element | null, work: Work}} Piece */

/** What waits until the hand rests, by name. @type {Map<string, Piece>} */
const pieces = new Map();

/** @type {number | undefined} */
let rest;

/** Longest piece of an answer between two looks at what the hand does, in milliseconds. */
const SLICE_MS = 8;

/** What follows the next paint: works until the moment it is given, and tells whether it is done. @type {((until: number) => boolean) | null} */
let next = null;
/** Tells a time of rest that was broken off, and an answer that was put off again, from those that are due. */
const turns = { rest: 0, paint: 0 };

/** Calls back when the browser has nothing else to do. @param {() => void} work */
export function whenIdle(work) {
  if ("requestIdleCallback" in globalThis) requestIdleCallback(work, { timeout: 1000 });
  else setTimeout(work, 30);
}

const breath = new MessageChannel();

/** Goes on once the browser has looked at what the hand does; a timer would wait four milliseconds for nothing. @param {() => void} work */
function afterBreath(work) {
  breath.port1.onmessage = work;
  breath.port2.postMessage(null);
}

/** Whether a place is on the screen or next to it. @param {Element | null} place */
function inSight(place) {
  if (!place) return true;
  const { top, bottom } = place.getBoundingClientRect();
  return place.getClientRects().length > 0 && bottom > -innerHeight && top < 2 * innerHeight;
}

/** Does one piece or a slice of it, and comes back for the next. @param {number} begun */
function slice(begun) {
  if (begun !== turns.rest || next !== null || pieces.size === 0) return;
  const [name, piece] = [...pieces].find(([, { place }]) => inSight(place)) ?? [...pieces][0];
  pieces.delete(name);
  try {
    if (piece.work(performance.now() + SLICE_MS) === false && !pieces.has(name)) pieces.set(name, piece);
  } finally {
    whenIdle(() => slice(begun));
  }
}

/** Begins the time of rest anew. */
function wait() {
  clearTimeout(rest);
  const begun = ++turns.rest;
  rest = setTimeout(() => whenIdle(() => slice(begun)), REST_MS);
}

/** Puts work off until the hand rests; of one name only the last counts. @param {string} name @param {Element | null} place where it shows @param {Work} work */
export function later(name, place, work) {
  pieces.set(name, { place, work });
  wait();
}

/** A button was pressed: no key follows that one would have to wait for. */
export function resting() {
  clearTimeout(rest);
  const begun = ++turns.rest;
  whenIdle(() => slice(begun));
}

/** @type {number | undefined} */
let still;

/** The hand types: until it rests, what is off the screen is not laid out. */
export function typing() {
  document.documentElement.dataset.typing = "";
  clearTimeout(still);
  still = setTimeout(() => delete document.documentElement.dataset.typing, STILL_MS);
}

/** There is nothing to do of that name any more. @param {string} name */
export function never(name) {
  pieces.delete(name);
}

/** Does something as soon as what stands now has been painted, a slice at a time; only the last of them. @param {(until: number) => boolean} work */
export function afterPaint(work) {
  next = work;
  wait();
  const begun = ++turns.paint;
  const go = () => {
    if (begun !== turns.paint || next === null) return;
    if (!next(performance.now() + SLICE_MS)) {
      afterBreath(go);
      return;
    }
    next = null;
    wait();
  };
  let painted = false;
  const first = () => {
    if (!painted) go();
    painted = true;
  };
  requestAnimationFrame(() => setTimeout(first, 0));
  setTimeout(first, PAINT_MS);
}

/** Does at once what waits for a paint. */
export function atOnce() {
  const work = next;
  next = null;
  work?.(Infinity);
}

/** Whether something waits for a paint. */
export const isPending = () => next !== null;

/** Nothing waits for a paint any more; tells whether anything did. */
export function dropped() {
  const was = isPending();
  next = null;
  return was;
}

/** Does everything that waits, as paper does not wait. */
export function everything() {
  delete document.documentElement.dataset.typing;
  atOnce();
  for (const [name, { work }] of [...pieces]) {
    pieces.delete(name);
    work(Infinity);
  }
}
