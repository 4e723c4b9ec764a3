// The entry of the npm package: nothing happens but that names are given. `define` makes the elements known; the Wasm
// lies beside this file and is asked for when an element is near.

import { Core } from "./core.js";
import { cores } from "./element.js";

cores.short ??= new Core(() => fetch(new URL("./cellwright-embed.wasm", import.meta.url)));
cores.whole ??= new Core(() => fetch(new URL("./cellwright-plan.wasm", import.meta.url)));

export * from "./index.js";
