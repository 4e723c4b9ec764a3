// The page takes plans from a paste box, a file and the browser's own store: nothing hostile among them runs, each is
// refused with a reason or shown as text, and what stood there before stays.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { closeAll, open } from "./browser.mjs";
import { NAMED_PLANS, REFUSED_PLANS, SCRIPTS } from "./hostile.mjs";

after(closeAll);

const answered = () => document.querySelector("#verdict").textContent;

/** What a hostile text may have done, beside what the page itself holds. */
const harm = () => ({
  ran: "__ran" in globalThis,
  polluted: [...Object.keys(Object.prototype), ...Object.keys(Array.prototype)].concat("polluted" in {} ? ["polluted"] : []),
  foreign: document.querySelectorAll("iframe, object, embed, base, img, video, math, marquee").length,
});
const UNHARMED = { ran: false, polluted: [], foreign: 0 };

/**
 * Pastes each text and tells what the page says, whether every plan that was kept still is, and whether the text is called
 * ready. A plan whose values are out of range is opened beside the others, so that it can be put right.
 */
const pasted = (texts) => {
  const [box, note] = ["#plan-text", "#build-note"].map((at) => document.querySelector(at));
  return texts.map((text) => {
    const before = Object.entries(localStorage).filter(([key]) => key.includes("-plan-"));
    note.textContent = "";
    box.value = text;
    document.querySelector("#do-take").click();
    const told = note.textContent;
    const kept = before.length > 0 && before.every(([key, plan]) => localStorage.getItem(key) === plan);
    const taken = box.value !== text;
    return { told, kept, ready: taken && document.querySelector("#verdict").textContent.startsWith("Ready") };
  });
};

test("chromium: a hostile plan in the paste box is refused with a reason, and the plan before it stays", async () => {
  const page = await open("chromium");
  await page.until(answered);
  // An example that nobody changed need not be kept.
  await page.evaluate(() => {
    for (const part of document.querySelectorAll("#stations details")) part.open = true;
  });
  await page.fill('[name="/name"]', "Own pump");
  for (let at = 0; at < REFUSED_PLANS.length; at += 20) {
    const texts = REFUSED_PLANS.slice(at, at + 20);
    for (const [i, { told, kept, ready }] of (await page.evaluate(pasted, texts)).entries()) {
      assert.ok(told !== "" && kept && !ready, `${texts[i].slice(0, 80)}: ${told}`);
    }
  }
  assert.deepEqual(await page.evaluate(harm), UNHARMED);
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

test("chromium: a plan whose name would run is shown as text, pasted or as a file", async () => {
  const page = await open("chromium");
  await page.until(answered);
  for (const [i, text] of NAMED_PLANS.slice(0, 10).entries()) {
    await page.evaluate(async (plan, isFile) => {
      document.querySelector("#build-note").textContent = "";
      if (!isFile) {
        document.querySelector("#plan-text").value = plan;
        document.querySelector("#do-take").click();
        return;
      }
      const files = new DataTransfer();
      files.items.add(new File([plan], "plan.json"));
      const chooser = document.querySelector("#file");
      chooser.files = files.files;
      chooser.dispatchEvent(new Event("change"));
    }, text, i % 2 === 1);
    await page.until(() => document.querySelector("#build-note").textContent !== "");
    const name = await page.evaluate(() => JSON.parse(document.querySelector("#plan-text").value).name);
    assert.equal(name, SCRIPTS[i]);
  }
  assert.deepEqual(await page.evaluate(harm), UNHARMED);
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

test("chromium: what stands in the browser's store is as hostile as a file", async () => {
  for (const text of ["{", "null", "[]", REFUSED_PLANS.find((plan) => plan.includes("__proto__")), SCRIPTS[2], "x".repeat(3_000_000), NAMED_PLANS[2]]) {
    const page = await open("chromium");
    await page.until(answered);
    await page.evaluate((kept) => {
      const keys = ["cellwright-plan-1", "cellwright-bench-1", "cellwright-2-shelf", "cellwright-2-plan-1", "cellwright-2-steps-1", "cellwright-2-language"];
      for (const key of [...keys, ...Object.keys(localStorage)]) localStorage.setItem(key, kept.slice(0, 700_000));
    }, text);
    await page.tab.page.reload({ waitUntil: "load" });
    assert.match(await page.until(answered), /\w/);
    assert.deepEqual(await page.evaluate(harm), UNHARMED, text.slice(0, 40));
    await page.close();
  }
});
