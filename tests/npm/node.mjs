// The package as Node finds it: a failed start can be repeated, a second one is harmless, both entries share one Wasm.

import assert from "node:assert/strict";
import { ask, init, marking, version } from "cellwright";
import * as inline from "cellwright/inline";

await assert.rejects(init(new Uint8Array([1, 2, 3])), WebAssembly.CompileError);
// From the text inside the script.
await Promise.all([inline.init(), inline.init()]);
await init();
assert.equal(ask("marking", { resistor_letters: "4K7" }).ohm, 4700);
assert.equal(marking({ resistor_letters: "4K7" }).ohm, 4700);
assert.equal(inline.marking, marking);
assert.throws(() => ask("marking", { resistor_letters: 4.7 }), { name: "CellwrightError" });
assert.match(version().crate_version, /^\d+\.\d+\.\d+$/);
console.log("cellwright/inline answers in Node");
