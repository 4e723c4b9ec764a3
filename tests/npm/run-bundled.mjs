// Runs the one plain script in a context that has no modules.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { runInThisContext } from "node:vm";

runInThisContext(readFileSync(process.argv[2], "utf8"));
assert.equal(await globalThis.done, 4700);
console.log("cellwright/inline answers as one plain script");
