// For Node: the Wasm is read from the file beside this one.

import { readFile } from "node:fs/promises";
import { begin } from "./begin.js";

export * from "./core.js";

export function init(source) {
  return begin(() => source ?? readFile(new URL("./core.wasm", import.meta.url)));
}

export default init;
