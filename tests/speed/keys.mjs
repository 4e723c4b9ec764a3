// Times a key press on a processor made four times slower, for each example plan: script time from the start of the input
// handler to the last change of the page, and time from the event to the next paint as the browser tells it (in steps of
// 8 ms). 100 keys each, after one that warms up. Beside them the processor time of a key, which other programs of the
// machine do not lengthen: of script, and of everything the page's thread does.

import { closeAll, open } from "../page/browser.mjs";

const KEYS = 100;
const SLOWER = 4;
/** The page is quiet when nothing changed for so long, in milliseconds. */
const QUIET_MS = 150;

/** Notes in the page when an entry was made, when the page changed last, and what the browser tells of events. */
const watch = () => {
  const seen = { from: 0, last: 0, paints: [] };
  globalThis.__keys = seen;
  addEventListener("input", () => {
    seen.from = performance.now();
    seen.last = seen.from;
  }, { capture: true });
  new MutationObserver(() => {
    seen.last = performance.now();
  }).observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) if (entry.name === "keypress" || entry.name === "keydown") seen.paints.push(entry.duration);
  }).observe({ type: "event", durationThreshold: 16 });
};

/** Seconds of processor time that the page's thread has spent, by name. */
async function spent(session) {
  const { metrics } = await session.send("Performance.getMetrics");
  return Object.fromEntries(metrics.map(({ name, value }) => [name, value]));
}

const quiet = async (quietMs) => {
  const seen = globalThis.__keys;
  while (seen.from === 0 || performance.now() - seen.last < quietMs) await new Promise((go) => setTimeout(go, 20));
  const time = seen.last - seen.from;
  seen.from = 0;
  return time;
};

const high = (/** @type {number[]} */ numbers) => numbers.toSorted((a, b) => a - b)[Math.ceil(numbers.length * 0.95) - 1] ?? 0;

const page = await open("chromium", { width: 360, height: 740, slower: SLOWER });
await page.until(() => document.querySelector("#verdict").textContent !== "");
await page.evaluate(watch);
const session = await page.tab.page.createCDPSession();
await session.send("Performance.enable", { timeDomain: "threadTicks" });
const entry = '[name="/loads/0/works_to_v"]';
const examples = await page.evaluate(() => [...document.querySelectorAll("#demo option")].map((option) => [option.value, option.textContent]).slice(1));
console.log(`a key press at ${SLOWER}x slower, 95th percentile of ${KEYS} (aims: script 16 ms, paint 50 ms):`);
for (const [value, name] of examples) {
  await page.tab.page.select("#demo", value);
  await page.evaluate(() => {
    for (const part of document.querySelectorAll("#stations details")) part.open = true;
  });
  await page.tab.page.$eval(entry, (input) => {
    input.focus();
    input.value = "14";
  });
  await page.tab.page.keyboard.type(".");
  await page.evaluate(quiet, QUIET_MS);
  await page.evaluate(() => globalThis.__keys.paints.splice(0));
  const times = [];
  const before = await spent(session);
  for (let key = 0; key < KEYS; key += 1) {
    await page.tab.page.keyboard.press(key % 2 === 0 ? "5" : "Backspace");
    times.push(await page.evaluate(quiet, QUIET_MS));
  }
  const after = await spent(session);
  const each = (/** @type {string} */ name) => `${(((after[name] - before[name]) * 1000) / KEYS).toFixed(1)} ms`;
  const paints = await page.evaluate(() => globalThis.__keys.paints);
  console.log(`${high(times).toFixed(1).padStart(8)} ms script, ${paints.length > 0 ? `${high(paints)} ms` : "under 16 ms"} to paint  ${name}`);
  console.log(`            processor time of a key: script ${each("ScriptDuration")}, all ${each("TaskDuration")}`);
}
await page.close();
await closeAll();
