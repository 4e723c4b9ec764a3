// For browsers and bundlers: the Wasm is a file beside this one.

import { begin } from "./begin.js";

export * from "./core.js";

export function init(source) {
  return begin(() => source ?? new URL("./core.wasm", import.meta.url));
}

export default init;
