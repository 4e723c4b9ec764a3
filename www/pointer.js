// Places in a plan, or in any value, by JSON Pointer; only what a value owns itself counts.

/** @typedef {any} Json */

/** @param {Json} value @returns {Json} */
export const copy = (value) => JSON.parse(JSON.stringify(value));

/** The value at a place, or undefined. @param {Json} value @param {string} pointer @returns {Json} */
export function at(value, pointer) {
  for (const key of pointer.split("/").slice(1)) {
    if (value === null || typeof value !== "object" || !Object.hasOwn(value, key)) return undefined;
    value = value[key];
  }
  return value;
}

/** The holder of a place, or undefined, and the place's key in it. @param {Json} root @param {string} pointer @returns {[Json, string]} */
export function place(root, pointer) {
  const end = pointer.lastIndexOf("/");
  return [at(root, pointer.slice(0, Math.max(end, 0))), pointer.slice(end + 1)];
}

/** Whether a place is there. @param {Json} root @param {string} pointer */
export function has(root, pointer) {
  const [holder, key] = place(root, pointer);
  return holder !== null && typeof holder === "object" && Object.hasOwn(holder, key);
}

/** Puts a value at a place whose holder exists. @param {Json} root @param {string} pointer @param {Json} value */
export function put(root, pointer, value) {
  const [holder, key] = place(root, pointer);
  if (holder) holder[key] = value;
}
