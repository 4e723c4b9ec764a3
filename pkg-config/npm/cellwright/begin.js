// Starts the Wasm once, whatever it comes as.

import start from "./core.js";

/** @type {Promise<void> | undefined} */
let begun;

/**
 * @param {() => unknown} find gives the Wasm: bytes, a compiled module, an answer of `fetch`, or an address
 * @returns {Promise<void>}
 */
export function begin(find) {
  begun ??= compile(find).catch((error) => {
    begun = undefined;
    throw error;
  });
  return begun;
}

/** @param {() => unknown} find */
async function compile(find) {
  let source = await find();
  if (typeof source === "string" || source instanceof URL) source = await fetch(source);
  if (typeof Response === "function" && source instanceof Response) {
    if (!source.ok) throw new Error(`${source.url} answered ${source.status}: the Wasm of cellwright is not there`);
    source = await source.arrayBuffer();
  }
  await start({ module_or_path: source });
}
