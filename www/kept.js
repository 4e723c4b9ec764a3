// What the browser keeps for this page: texts by name, under names of our own with a version, and in memory as well.

/** Names of this version begin like this. */
const PREFIX = "cellwright-2-";

/** @type {Map<string, string | null>} */
const memory = new Map();

/** Why the last text was not kept: "" where it was, "none" where the browser keeps nothing, "full" where no room is left. */
export const trouble = { why: "" };

/** @param {string} name */
export function read(name) {
  if (memory.has(name)) return memory.get(name) ?? null;
  try {
    return localStorage.getItem(PREFIX + name);
  } catch {
    trouble.why = "none";
    return null;
  }
}

/** What was kept under a full name of an earlier version. @param {string} name */
export function earlier(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    return null;
  }
}

/**
 * Keeps a text; in memory in any case. Tells whether the browser kept it.
 * @param {string} name @param {string} text
 */
export function write(name, text) {
  if (memory.get(name) === text && trouble.why === "") return true;
  memory.set(name, text);
  try {
    localStorage.setItem(PREFIX + name, text);
    trouble.why = "";
    return true;
  } catch (error) {
    const full = error instanceof DOMException && /quota/i.test(error.name);
    trouble.why = full ? "full" : "none";
    return false;
  }
}

/** @param {string} name */
export function drop(name) {
  memory.set(name, null);
  try {
    localStorage.removeItem(PREFIX + name);
  } catch {
    // Nothing was kept, so nothing is left.
  }
}

/** Names of everything that is kept. */
export function names() {
  const all = new Set([...memory].filter(([, text]) => text !== null).map(([name]) => name));
  try {
    for (let i = 0; i < localStorage.length; i += 1) {
      const name = localStorage.key(i);
      if (name?.startsWith(PREFIX) && memory.get(name.slice(PREFIX.length)) !== null) all.add(name.slice(PREFIX.length));
    }
  } catch {
    // What is in memory is all there is.
  }
  return [...all];
}

/** Tells when another window of this page has kept something. @param {(name: string, text: string | null) => void} tell */
export function onOther(tell) {
  addEventListener("storage", ({ key, newValue }) => {
    if (!key?.startsWith(PREFIX)) return;
    const name = key.slice(PREFIX.length);
    memory.set(name, newValue);
    tell(name, newValue);
  });
}
