// Times the opening of the page, on a processor made six times slower: from the start of the navigation until the first
// report stands, against the end of the script in the same file without its Wasm text. Pairs are taken alternately,
// because the machine's own pace changes by half.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { PAGE, closeAll, open } from "../page/browser.mjs";

const PAIRS = 20;
const SLOWER = 6;

/** Milliseconds from the start of the navigation. */
async function opened(url, moment) {
  const page = await open("chromium", { url, width: 360, height: 740, slower: SLOWER });
  const time = await page.until(moment);
  await page.close();
  return time;
}

const report = () => performance.getEntriesByName("cellwright-report")[0]?.startTime;
const script = () => performance.getEntriesByType("navigation")[0].domInteractive;
const median = (/** @type {number[]} */ numbers) => numbers.toSorted((a, b) => a - b)[numbers.length >> 1];

const folder = mkdtempSync(join(tmpdir(), "cellwright-speed-"));
const bare = join(folder, "bare.html");
const html = readFileSync(fileURLToPath(PAGE), "utf8");
writeFileSync(bare, html.replace(/(<script type="text\/plain" id="wasm">)[^<]*/, "$1"));

const full = [];
const without = [];
const ratios = [];
for (let pair = 0; pair < PAIRS; pair += 1) {
  without.push(await opened(pathToFileURL(bare).href, script));
  full.push(await opened(PAGE, report));
  ratios.push(full[pair] / without[pair]);
}
await closeAll();
rmSync(folder, { recursive: true });
console.log(`opening at ${SLOWER}x slower, medians of ${PAIRS} pairs: first report ${median(full).toFixed(0)} ms,`);
console.log(`script without Wasm ${median(without).toFixed(0)} ms, ratio ${median(ratios).toFixed(2)} (aim: 1.5)`);
