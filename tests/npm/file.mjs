// The package as Node finds it, the Wasm read from its file.

import assert from "node:assert/strict";
import init, { marking } from "cellwright";

await init();
assert.equal(marking({ resistor_letters: "4K7" }).ohm, 4700);
console.log("cellwright answers in Node");
