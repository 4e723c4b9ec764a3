// The page in German: chosen by the browser or by the button, numbers with a decimal comma, nothing English left but
// what is marked as English and what the maker named so.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { violations } from "./axe.mjs";
import { ENGINES, SIZES, closeAll, open } from "./browser.mjs";
import { settled, unfold } from "./steps.mjs";

after(closeAll);

const answered = () => document.querySelector("#verdict").textContent;

/** Words that English has and German has not. */
const ENGLISH = /\b(the|and|with|which|you|your|is|are|not|of|or|from|each|its|it|to|for|by|cells?|voltage|current|lead|wire|charge|charger|fuse|switch|needs?|takes?|between|under|above|least|most|likely|known|read|first)\b/i;

/** Every text that is not marked as English, without what the maker has named; and whether a number has a point. */
const german = () => {
  const names = [];
  const walk = (value) => {
    if (value === null || typeof value !== "object") return;
    for (const [key, inner] of Object.entries(value)) {
      if (key === "name" && typeof inner === "string") names.push(inner);
      else walk(inner);
    }
  };
  walk(JSON.parse(document.querySelector("#plan-text").value));
  names.sort((a, b) => b.length - a.length);
  const texts = [];
  const hidden = "[lang=en], svg, script, style, noscript, textarea, option, .u-legend";
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const node = walker.currentNode;
    if (node.parentElement.closest(hidden)) continue;
    let text = node.textContent;
    for (const name of names) text = text.replaceAll(name, "…");
    if (text.trim()) texts.push(text.trim());
  }
  for (const labelled of document.querySelectorAll("[aria-label]:not(svg)")) {
    if (!labelled.closest(hidden)) texts.push(names.reduce((text, name) => text.replaceAll(name, "…"), labelled.getAttribute("aria-label")));
  }
  return texts;
};

/** What the claimed parts say in English all the same, titles of works left out. */
const marked = () => [...document.querySelectorAll("main [lang=en]")].filter((part) => !part.closest(".source, noscript")).map((part) => part.textContent);

/** What stands in charts, diagram and tags, without what the maker has named. */
const drawings = () => {
  const names = [...document.querySelectorAll("#stations input[name$='/name']")].map((input) => input.value).concat(document.querySelector("[name='/name']").value).filter((name) => name.length > 3);
  const texts = [...document.querySelectorAll("#sheet-charts svg text, #sheet-diagram svg text, #sheet-tags svg text, #sheet-diary svg text")].map((text) => text.textContent);
  const labels = [...document.querySelectorAll("svg[role=img]")].map((svg) => svg.getAttribute("aria-label"));
  return [...texts, ...labels].map((text) => names.reduce((left, name) => left.replaceAll(name, "…"), text)).filter((text) => !names.some((name) => name.startsWith(text.replace("…", ""))));
};

/** @param {import("./browser.mjs").Engine} engine @param {import("./browser.mjs").Options} [options] */
async function inGerman(engine, options = {}) {
  const page = await open(engine, engine === "webkit" ? options : { language: "de-DE", ...options });
  await page.until(answered);
  // WebKit has no way to be told a language: there the button is pressed.
  if ((await page.evaluate(() => document.documentElement.lang)) !== "de") {
    assert.equal(engine, "webkit");
    await page.evaluate(() => document.querySelector("#do-language").click());
  }
  assert.equal(await page.evaluate(() => document.documentElement.lang), "de");
  return page;
}

for (const engine of ENGINES) {
  test(`${engine}: verdict, findings and numbers are German, and so is what a wrong entry is told`, async () => {
    const page = await inGerman(engine);
    assert.match(await page.text("#verdict"), /^Bereit/);
    assert.match(await page.text("#runtime-words"), /mindestens \d h/);
    assert.match(await page.text(".rules"), /Nie unter 0 °C laden/);
    await page.evaluate(unfold);
    const limit = '[name="/loads/0/works_to_v"]';
    await page.fill(limit, "12,0");
    await page.until(() => document.querySelector("#verdict").textContent.startsWith("Halt"));
    assert.match(await page.text("#findings"), /Der volle Pack gibt 12,6 V, doch .* verträgt höchstens 12,0 V/);
    const beside = (at) => document.querySelector(at).closest(".field").textContent;
    assert.match(await page.evaluate(beside, limit), /gelesen als 12,0 V/);
    assert.equal(await page.evaluate(() => document.querySelector('[name="/pack/full_v"]').value), "4,2");
    await page.fill(limit, "1.234,5");
    await page.until(() => !document.querySelector("#stale").hidden);
    assert.match(await page.evaluate(beside, limit), /Verträgt bis: „1\.234,5“ ist ab Zeichen \d+ nicht lesbar; möglich ist ein Komma oder Punkt/);
    await page.fill(limit, "5000");
    await page.until(() => /muss aber zwischen [\d,]+ und \d+ liegen/.test(document.querySelector('[name="/loads/0/works_to_v"]').closest(".field").textContent));
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: nothing English is left but what is marked as such, in each example`, async () => {
    const page = await inGerman(engine);
    for (const index of ["0", "1", "2"]) {
      await page.evaluate((value) => {
        const demo = document.querySelector("#demo");
        demo.value = value;
        demo.dispatchEvent(new Event("change"));
      }, index);
      await page.evaluate(unfold);
      await page.until(settled);
      assert.ok(await page.evaluate(() => document.querySelector("#sheet-bench").childElementCount > 0));
      const texts = await page.evaluate(german);
      assert.ok(texts.length > 500, `${texts.length} texts`);
      assert.deepEqual(await page.evaluate(marked), [], `example ${index}`);
      assert.deepEqual((await page.evaluate(drawings)).filter((text) => ENGLISH.test(text) || /\d\.\d/.test(text)), [], `example ${index}`);
      assert.deepEqual(texts.filter((text) => ENGLISH.test(text)), [], `example ${index}`);
      assert.deepEqual(texts.filter((text) => /\d\.\d+ ?[a-zµΩ%°]/i.test(text) && !/^\d\.\d\.\d|B[0-9]|cellwright/.test(text)), [], `example ${index}`);
    }
    // What needs entries that are not there says in German what is missing.
    await page.evaluate(() => {
      const text = document.querySelector("#plan-text");
      const plan = JSON.parse(text.value);
      for (const load of plan.loads) Object.assign(load, { works_from_v: null, works_to_v: null, surge_a: null, measured: null });
      for (const cell of plan.pack.groups.flatMap((group) => group.cells)) cell.rest_v = null;
      Object.assign(plan, { fuse: null, protection: null, charging: null, main_switch: null });
      text.value = JSON.stringify(plan);
      document.querySelector("#do-take").click();
    });
    await page.evaluate(unfold);
    await page.until(settled);
    assert.match(await page.text("#build-note"), /kam von außen/);
    assert.match(await page.text("#findings"), /\(nicht beurteilt\): .*Es fehlt: welche Spannung er verträgt/);
    assert.deepEqual((await page.evaluate(german)).filter((text) => ENGLISH.test(text)), []);
    await page.close();
  });

  test(`${engine}: the language is changed by a button, kept, and loses nothing`, async () => {
    const page = await inGerman(engine);
    await page.evaluate(unfold);
    await page.fill('[name="/loads/0/works_to_v"]', "13,5");
    await page.until(() => document.querySelector("#plan-text").value.includes('"works_to_v":13.5'));
    await page.evaluate(() => document.querySelector("#do-language").click());
    assert.equal(await page.evaluate(() => document.documentElement.lang), "en");
    assert.match(await page.text("#verdict"), /^Ready/);
    assert.match(await page.text(".rules"), /Never charge below 0 °C/);
    assert.equal(await page.evaluate(() => document.querySelector('[name="/loads/0/works_to_v"]').value), "13.5");
    assert.ok(await page.evaluate(() => document.querySelector("#part-bench").open), "what was open stays open");
    assert.equal(await page.evaluate(() => document.activeElement?.id), "do-language");
    await page.evaluate(() => document.querySelector("#do-language").click());
    assert.match(await page.text("#verdict"), /^Bereit/);
    assert.equal(await page.evaluate(() => localStorage.getItem("cellwright-language-1")), "de");
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  for (const size of SIZES) {
    test(`${engine}: German fits ${size.width} pixels and keeps nobody out`, async () => {
      const page = await inGerman(engine, size);
      const wide = () => document.documentElement.scrollWidth > innerWidth;
      assert.equal(await page.evaluate(wide), false);
      await page.screenshot(`german-${engine}-${size.width}`);
      await page.evaluate(unfold);
      await page.until(() => document.querySelector("#sheet-bench").childElementCount > 0);
      assert.equal(await page.evaluate(wide), false, "sideways scrolling with everything open");
      assert.deepEqual(await violations(page), []);
      const small = await page.evaluate(() => [...document.querySelectorAll("button, select, input, summary")]
        .filter((control) => control.getClientRects().length > 0 && !control.hidden && control.getBoundingClientRect().height < 48 && control.getBoundingClientRect().height > 0).map((control) => control.outerHTML.slice(0, 80)));
      assert.deepEqual(small, []);
      await page.close();
    });
  }
}

test("chromium: without script the rules stand in English and what matters most in German", async () => {
  const page = await open("chromium", { script: false, language: "de-DE" });
  assert.match(await page.text("noscript"), /Diese Seite rechnet mit Skript/);
  assert.match(await page.text(".rules"), /Never charge below 0 °C/);
  await page.close();
});
