// The diary of a pack and the curves of a run, on the built page in three engines.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { violations } from "./axe.mjs";
import { ENGINES, SIZES, closeAll, open } from "./browser.mjs";
import { settled } from "./steps.mjs";

after(closeAll);

const answered = () => document.querySelector("#verdict").textContent;

/** @param {import("./browser.mjs").Page} page */
async function opened(page) {
  await page.until(answered);
  await take(page, []);
  await page.evaluate(() => { document.querySelector("#part-diary").open = true; });
  await page.until(() => document.querySelector("#diary-write") !== null);
}

const kept = () => JSON.parse(document.querySelector("#plan-text").value).diary?.entries ?? [];

/** Entries of months past, put into the plan as text. Invented. */
const months = (fall, count) => Array.from({ length: count }, (_, i) => ({
  date: `2026-0${i + 1}-05`, state: "after_charge", voltmeter: { reading_ratio: 0.005, digits: 2, step_v: 0.001 }, group_v: [4.16, 4.16 - fall * i, 4.155],
}));

/** @param {import("./browser.mjs").Page} page @param {any[]} entries */
async function take(page, entries) {
  await page.evaluate((list) => {
    const box = document.querySelector("#plan-text");
    const plan = JSON.parse(box.value);
    plan.diary = { entries: list };
    box.value = JSON.stringify(plan);
    document.querySelector("#do-take").click();
  }, entries);
  await page.until((count) => JSON.parse(document.querySelector("#plan-text").value).diary.entries.length === count, entries.length);
}

for (const engine of ENGINES) {
  test(`${engine}: the first example has a diary that shows what it is for`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(() => { document.querySelector("#part-diary").open = true; });
    await page.until(() => document.querySelector("#sheet-diary svg") !== null);
    assert.equal((await page.evaluate(kept)).length, 6);
    assert.match(await page.text("#sheet-diary"), /for the winter/);
    assert.equal(await page.evaluate(() => document.querySelector("#sheet-diary .finding.stop")), null);
    assert.match(await page.text("#verdict"), /^Ready/);
    await page.close();
  });

  test(`${engine}: today's reading is written down with few touches, kept in the plan, and taken back`, async () => {
    // Not every engine can type at the size of a phone.
    const page = await open(engine);
    await opened(page);
    assert.match(await page.text("#sheet-diary"), /Nothing was read yet/);
    assert.match(await page.text("#diary-date-read"), /today/);
    for (const [group, typed] of [[1, "4,152"], [2, "4.148"], [3, "4,15 V"]]) await page.fill(`#diary-v${group}`, String(typed));
    assert.match(await page.text("#diary-v1-read"), /4\.152 V/);
    await page.evaluate(() => document.querySelector("#diary-write").click());
    await page.until(() => JSON.parse(document.querySelector("#plan-text").value).diary?.entries.length === 1);
    const [entry] = await page.evaluate(kept);
    assert.deepEqual(entry.group_v, [4.152, 4.148, 4.15]);
    assert.equal(entry.state, "after_charge");
    assert.match(entry.date, /^\d{4}-\d\d-\d\d$/);
    await page.until(() => document.querySelector("#sheet-diary svg") !== null);
    assert.match(await page.text("#sheet-diary"), /Next check: \d{4}/);
    assert.match(await page.text("#diary-said"), /Written down/);
    // The next reading starts empty; undo takes the entry back.
    assert.equal(await page.evaluate(() => document.querySelector("#diary-v1").value), "");
    await page.evaluate(() => document.querySelector("#do-undo").click());
    await page.until(() => (JSON.parse(document.querySelector("#plan-text").value).diary?.entries ?? []).length === 0);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: what cannot be read is said beside it and nothing is written`, async () => {
    const page = await open(engine);
    await opened(page);
    const press = () => document.querySelector("#diary-write").click();
    await page.evaluate(press);
    assert.match(await page.text("#diary-said"), /at least one group/);
    await page.fill("#diary-v1", "four");
    assert.notEqual(await page.text("#diary-v1-wrong"), "");
    await page.evaluate(press);
    assert.notEqual(await page.text("#diary-said"), "");
    await page.fill("#diary-v1", "4,1");
    for (const typed of ["26.11.2026", "2026-02-30", "2099-01-01"]) {
      await page.fill("#diary-date", typed);
      assert.notEqual(await page.text("#diary-date-wrong"), "", typed);
      await page.evaluate(press);
      assert.notEqual(await page.text("#diary-said"), "", typed);
    }
    assert.deepEqual(await page.evaluate(kept), []);
    await page.close();
  });

  test(`${engine}: a drifting group is found, and how to take the pack apart stands beside it`, async () => {
    const page = await open(engine, SIZES[0]);
    await opened(page);
    await take(page, months(0.012, 7));
    await page.until(() => document.querySelector("#sheet-diary .finding.mend_first") !== null);
    const text = await page.text("#sheet-diary");
    assert.match(text, /group 2 lies up to 7\d\.?\d* mV/i);
    assert.match(text, /has left/);
    assert.match(text, /Bring the groups level once/);
    assert.match(await page.text("#diary-apart"), /33(\.0)? Ω/);
    assert.match(await page.text("#diary-apart"), /collection point/);
    assert.equal(await page.evaluate(() => document.querySelectorAll("#sheet-diary .wide table")[0].querySelectorAll("tbody tr").length), 7);
    // The plan says it as well.
    assert.match(await page.text("#findings"), /group 2 lies up to/i);
    await take(page, [{ ...months(0, 1)[0], group_v: [1.5, 4.1, 4.1] }]);
    await page.until(() => document.querySelector("#verdict").textContent.startsWith("Stop"));
    await page.until(settled);
    assert.match(await page.text("#diary-verdict"), /Retire now/);
    assert.match(await page.text("#diary-apart"), /do not empty it over a resistor/);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: the curves have a band, a cursor for keys, and a table`, async () => {
    const page = await open(engine, SIZES[0]);
    await page.until(answered);
    await page.until(() => document.querySelectorAll("#curve canvas").length === 3);
    const first = await page.text("#curve-read");
    assert.match(first, /Voltage at the loads [\d.]+ V \/ [\d.]+ V \/ [\d.]+ V/);
    await page.evaluate(() => {
      const place = document.querySelector("#curve");
      for (let i = 0; i < 5; i += 1) place.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true }));
    });
    await page.until((before) => document.querySelector("#curve-read").textContent !== before, first);
    assert.equal(await page.evaluate(() => document.querySelector("#curve").getAttribute("aria-valuetext") === document.querySelector("#curve-read").textContent), true);
    await page.evaluate(() => { document.querySelector("#curve-table").closest("details").open = true; });
    await page.until(() => document.querySelectorAll("#curve-table tbody tr").length > 10);
    assert.match(await page.text("#curve-said"), /It runs at least/);
    assert.equal(await page.evaluate(() => document.querySelector("#curve-tools").hidden), true, "a pump without a knob has no place to choose");
    // The blower has places of the knob: another one, another curve.
    await page.evaluate(() => {
      const demo = document.querySelector("#demo");
      demo.value = "1";
      demo.dispatchEvent(new Event("change"));
    });
    await page.until(() => document.querySelectorAll("#curve-knob option").length > 2);
    const before = await page.text("#curve-said");
    await page.evaluate(() => {
      const knob = document.querySelector("#curve-knob");
      knob.value = knob.value === "0" ? "1" : "0";
      knob.dispatchEvent(new Event("change"));
    });
    await page.until((text) => document.querySelector("#curve-said").textContent !== text, before);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  for (const scheme of /** @type {const} */ (["light", "dark"])) {
    for (const size of SIZES) {
      test(`${engine}: the diary fits ${size.width} pixels, ${scheme}, and nobody is kept out`, async () => {
        const page = await open(engine, { ...size, scheme });
        await opened(page);
        await take(page, months(0.006, 7));
        await page.until(() => document.querySelector("#sheet-diary svg") !== null);
        await page.evaluate(() => { for (const part of document.querySelectorAll("#part-diary details")) part.open = true; });
        assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false);
        assert.deepEqual(await violations(page), []);
        const small = await page.evaluate(() => [...document.querySelectorAll("#part-diary :is(input, select, button, summary)")].filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 48).map((one) => one.id || one.textContent));
        assert.deepEqual(small, []);
        await page.evaluate(() => document.querySelector("#part-diary").scrollIntoView());
        await page.screenshot(`diary-${engine}-${size.width}-${scheme}`);
        await page.close();
      });
    }
  }
}
