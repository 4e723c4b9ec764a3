// Times every case of `cases.json` in the page's Wasm: `NAME<tab>SECONDS` a line.

import { readFileSync } from "node:fs";

const here = (/** @type {string} */ path) => new URL(path, import.meta.url);
const { ask_text, initSync } = await import(here("../../dist/wasm/cellwright.js").href);
initSync({ module: readFileSync(here("../../dist/wasm/cellwright_bg.wasm")) });

// As in native.rs, where the reasons stand.
const ROUND_S = 0.2;
const ROUNDS = 5;

for (const { name, question, input, bin } of JSON.parse(readFileSync(here("cases.json"), "utf8"))) {
  const text = JSON.stringify(bin ? cells(bin) : input);
  console.log(`${name}\t${seconds(() => ask_text(question, text))}`);
}

/** A bin of invented cells, as in native.rs. */
function cells({ cells: count, series, parallel }) {
  const cell = (_, i) => {
    const likely = 1.6 + ((i * 0.61803398875) % 1);
    return { name: `C${i}`, chemistry: "nmc", model: "one", capacity_ah: { low: 0.98 * likely, likely, high: 1.02 * likely } };
  };
  return { cells: Array.from({ length: count }, cell), series, parallel };
}

function seconds(call) {
  for (let calls = 1; ; ) {
    let quickest = Infinity;
    for (let round = 0; round < ROUNDS; round += 1) {
      const start = performance.now();
      for (let i = 0; i < calls; i += 1) call();
      quickest = Math.min(quickest, (performance.now() - start) / 1000);
    }
    if (quickest >= ROUND_S || calls >= 1 << 24) return quickest / calls;
    calls = Math.ceil(calls * Math.min(100, Math.max(2, (1.2 * ROUND_S) / Math.max(quickest, 1e-9))));
  }
}
