// A key and what follows it: nothing of the plan before passes for the answer, what did not change is not touched, one small
// record is kept, and what is folded or printed shows the plan as it stands.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { ENGINES, closeAll, open } from "./browser.mjs";
import { reload, settled, unfold } from "./steps.mjs";

after(closeAll);

const answered = () => document.querySelector("#verdict").textContent;
const entry = (pointer) => `[name="${pointer}"]`;
const limit = entry("/loads/0/works_to_v");
const plan = async (page) => JSON.parse(await page.evaluate(() => document.querySelector("#plan-text").value));
const press = (page, id) => page.evaluate((one) => document.querySelector(`#${one}`).click(), id);

const demo = (page, index) => page.evaluate((value) => {
  const pick = document.querySelector("#demo");
  pick.value = value;
  pick.dispatchEvent(new Event("change"));
}, String(index));

const part = (page, id, open = true) => page.evaluate((one, isOpen) => { document.querySelector(`#${one}`).open = isOpen; }, id, open);

/** Sets an entry as one key does, with no change event behind it. */
const key = (page, pointer, text) => page.evaluate((at, value) => {
  const input = document.querySelector(at);
  input.value = value;
  input.dispatchEvent(new Event("input", { bubbles: true }));
}, entry(pointer), text);

/** Leaves an entry. */
const leave = (page, pointer) => page.evaluate((at) => document.querySelector(at).dispatchEvent(new Event("change", { bubbles: true })), entry(pointer));

/** Names in the browser's storage that begin so. */
const names = (page, start) => page.evaluate((begin) => Object.keys(localStorage).filter((name) => name.startsWith(`cellwright-2-${begin}`)).sort(), start);

for (const engine of ENGINES) {
  test(`${engine}: a folded station that is opened, and an open sheet, show the plan as it stands`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await demo(page, 1);
    for (const id of ["part-cells", "part-parts"]) await part(page, id);
    await page.until(settled);
    const before = await page.text("#sheet-parts");
    await key(page, "/pack/full_v", "4,15");
    assert.equal(await page.evaluate(() => document.querySelector("#part-parts > summary").hasAttribute("data-old")), true, "the sheet says at once that it is of the plan before");
    await page.until(settled);
    await part(page, "part-control");
    await page.until(() => document.querySelectorAll("#answer-control table").length === 1);
    assert.equal(await page.evaluate(() => document.querySelector('[name="/control/wiper_ratio"]') !== null), true);
    const seen = [await page.text("#answer-control"), await page.text("#headline-cells"), await page.text("#runtime-words"), await page.text("#sheet-parts")];
    await reload(page);
    for (const id of ["part-control", "part-cells", "part-parts"]) await part(page, id);
    await page.until(settled);
    assert.deepEqual(seen, [await page.text("#answer-control"), await page.text("#headline-cells"), await page.text("#runtime-words"), await page.text("#sheet-parts")]);
    assert.match(seen[1], /16\.6 V/, "the full pack as it was typed");
    assert.notEqual(before, "");
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: paper does not wait: what is printed belongs to the plan, whatever was folded`, async () => {
    const page = await open(engine);
    await page.until(answered);
    for (const id of ["part-loads", "part-bench"]) await part(page, id);
    await page.until(settled);
    const seen = await page.evaluate((at) => {
      const input = document.querySelector(at);
      input.value = "12,0";
      input.dispatchEvent(new Event("input", { bubbles: true }));
      dispatchEvent(new Event("beforeprint"));
      const result = { verdict: document.querySelector("#verdict").textContent, old: document.querySelectorAll("[data-old], [aria-busy=true]").length,
        open: ["charts", "diagram", "parts", "steps", "bench", "tags"].filter((name) => document.querySelector(`#part-${name}`).open && document.querySelector(`#sheet-${name}`).childElementCount > 0).length };
      dispatchEvent(new Event("afterprint"));
      return result;
    }, limit);
    assert.match(seen.verdict, /^Stop/);
    assert.deepEqual([seen.old, seen.open], [0, 6]);
    assert.equal(await page.evaluate(() => document.querySelector("#part-tags").open), false);
    await page.close();
  });

  test(`${engine}: undo outlives a reload, from records and from the list they go into`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await part(page, "part-loads");
    // An entry is one change, however many keys it took: one record.
    for (const text of ["1", "13", "13,", "13,5"]) await key(page, "/loads/0/works_to_v", text);
    await leave(page, "/loads/0/works_to_v");
    await key(page, "/loads/0/works_from_v", "9");
    await leave(page, "/loads/0/works_from_v");
    assert.deepEqual(await names(page, "step-p1-"), ["cellwright-2-step-p1-0", "cellwright-2-step-p1-1"]);
    const state = async () => (({ works_to_v, works_from_v }) => [works_to_v, works_from_v])((await plan(page)).loads[0]);
    await reload(page);
    assert.deepEqual(await state(), [13.5, 9]);
    await press(page, "do-undo");
    await press(page, "do-undo");
    assert.deepEqual(await state(), [14, 8]);
    assert.equal(await page.evaluate(() => document.querySelector("#do-undo").disabled), true);
    await reload(page);
    await press(page, "do-redo");
    assert.deepEqual(await state(), [13.5, 8]);
    // More changes than there are records, the last one being typed when the page goes.
    await part(page, "part-loads");
    for (let i = 0; i < 80; i += 1) {
      await key(page, "/loads/0/works_to_v", String(13 + (i % 7) / 10));
      await leave(page, "/loads/0/works_to_v");
    }
    await key(page, "/loads/0/works_from_v", "7");
    assert.ok((await names(page, "step-p1-")).length <= 65);
    await reload(page);
    assert.deepEqual(await state(), [13 + (79 % 7) / 10, 7]);
    await press(page, "do-undo");
    await press(page, "do-undo");
    assert.deepEqual(await state(), [13 + (78 % 7) / 10, 8]);
    for (let i = 0; i < 90; i += 1) await press(page, "do-undo");
    assert.deepEqual(await state(), [14, 8], "as far back as the first change");
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });
}

test("chromium: on a slow processor no verdict of the plan before stands once a key was painted", async () => {
  const page = await open("chromium", { width: 360, height: 740, slower: 6 });
  await page.until(answered);
  await part(page, "part-loads");
  await page.until(settled);
  await page.evaluate(() => {
    // What is seen at each frame: the entry, and the verdict beside it.
    globalThis.__seen = [];
    globalThis.__said = [];
    new MutationObserver(() => globalThis.__said.push(document.querySelector("#moved").textContent)).observe(document.querySelector("#moved"), { childList: true, characterData: true, subtree: true });
    const look = () => {
      const { to } = { to: JSON.parse(document.querySelector("#plan-text").value).loads[0].works_to_v };
      globalThis.__seen.push({ to, verdict: document.querySelector("#verdict").textContent });
      requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
  });
  for (const [text, stands] of [["12", /^Stop/], ["14", /^Ready/], ["12,1", /^Stop/], ["13", /^Ready/]]) {
    await key(page, "/loads/0/works_to_v", text);
    await page.until(settled);
    assert.match(await page.text("#verdict"), stands);
  }
  const seen = await page.evaluate(() => globalThis.__seen);
  for (const { to, verdict } of seen) assert.match(verdict, to < 12.6 ? /^(Stop|Being worked out)/ : /^(Ready|Being worked out)/, `${to} V: ${verdict}`);
  assert.ok(seen.some(({ verdict }) => verdict.startsWith("Being worked out")), "the processor is slow enough for the test");
  await page.until(() => document.querySelector("#moved").textContent !== "");
  assert.ok((await page.evaluate(() => globalThis.__said.length)) <= 4, "no more announcements than changes");
  await page.close();
});

test("chromium: a key writes its plan and one small record, and touches nothing that stays as it is", async () => {
  const page = await open("chromium");
  await page.until(answered);
  await page.evaluate(unfold);
  await page.until(settled);
  for (const text of ["13", "13,1"]) await key(page, "/loads/0/works_to_v", text);
  await page.until(settled);
  const { written, touched } = await page.evaluate(async (at) => {
    const all = [];
    const put = Storage.prototype.setItem;
    Storage.prototype.setItem = function (name, text) {
      all.push([name, text.length]);
      put.call(this, name, text);
    };
    const nodes = [];
    const watch = new MutationObserver((changes) => nodes.push(...changes.map(({ target }) => (target instanceof Element ? target : target.parentElement)).map((one) => one.id || one.className || one.tagName)));
    watch.observe(document.body, { subtree: true, childList: true, characterData: true, attributes: true });
    const input = document.querySelector(at);
    input.value = "13,2";
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
    await null;
    watch.disconnect();
    Storage.prototype.setItem = put;
    return { written: all, touched: nodes };
  }, limit);
  assert.deepEqual(written.map(([name]) => name), ["cellwright-2-step-p1-0", "cellwright-2-plan-p1"]);
  assert.ok(written[0][1] < 100, `a record of ${written[0][1]} characters`);
  // The limit is in no number of the answer: what is read back, and marks of what will be worked out anew, are all.
  const allowed = /read$|^part-|^verdict$|^answer$|^runtime$|^curve$|answer-line|headline|^answer-|^plan-text$|^field|^SUMMARY$/;
  assert.deepEqual(touched.filter((name) => !allowed.test(name)), []);
  await page.close();
});

test("chromium: records that do not fit the plan are left out, and none is taken twice", async () => {
  const page = await open("chromium");
  await page.until(answered);
  await part(page, "part-loads");
  for (const text of ["13", "12,9", "12,8"]) {
    await key(page, "/loads/0/works_to_v", text);
    await leave(page, "/loads/0/works_to_v");
  }
  // As if the browser had been ended between the two writes of a list: the list is new, a record of before is there still.
  await page.evaluate(() => {
    const record = localStorage.getItem("cellwright-2-step-p1-0");
    document.querySelector("#do-undo").click();
    document.querySelector("#do-redo").click();
    localStorage.setItem("cellwright-2-step-p1-0", record);
  });
  await reload(page);
  const to = async () => (await plan(page)).loads[0].works_to_v;
  const back = [];
  for (let i = 0; i < 3; i += 1) {
    await press(page, "do-undo");
    back.push(await to());
  }
  assert.deepEqual(back, [12.9, 13, 14]);
  assert.equal(await page.evaluate(() => document.querySelector("#do-undo").disabled), true);
  // A record of another plan.
  await page.evaluate(() => {
    const list = JSON.parse(localStorage.getItem("cellwright-2-steps-p1") ?? "{}");
    localStorage.setItem(`cellwright-2-step-p1-${list.from ?? 0}`, JSON.stringify({ at: "/loads/0/works_to_v", before: 3, after: 4 }));
  });
  await reload(page);
  assert.equal(await page.evaluate(() => document.querySelector("#do-undo").disabled), true);
  assert.equal(await to(), 14);
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

for (const engine of ENGINES) {
  test(`${engine}: what is said of several cells stands once, with all their names and what it lacks in plain words`, async () => {
    const page = await open(engine);
    await page.until(answered);
    const cells = JSON.parse(await page.evaluate(() => document.querySelector("#plan-text").value)).pack.groups.flatMap(({ cells: some }) => some.map(({ name }) => name));
    await page.evaluate(() => {
      const text = document.querySelector("#plan-text");
      const open = JSON.parse(text.value);
      for (const group of open.pack.groups) for (const cell of group.cells) Object.assign(cell, { discharge_limit_a: 0.1, rest_v: null });
      text.value = JSON.stringify(open);
      document.querySelector("#do-take").click();
    });
    await page.until(settled);
    const said = await page.evaluate(() => [...document.querySelectorAll("#findings .finding")].map((one) => one.textContent));
    const limited = said.filter((text) => text.includes("its limit is"));
    assert.equal(limited.length, 1, said.join("\n"));
    for (const name of cells) assert.ok(limited[0].includes(name), `${name} is missing in ${limited[0]}`);
    assert.ok(said.some((text) => text.includes("Missing: the rest voltage of every cell.")), said.join("\n"));
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });
}
