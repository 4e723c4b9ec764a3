// The way through the page: begin, keep, undo, see what moved, share, compare, save the page itself. In three engines.

import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { pathToFileURL } from "node:url";
import { deflateRawSync } from "node:zlib";
import { violations } from "./axe.mjs";
import { ENGINES, PAGE, SIZES, closeAll, open } from "./browser.mjs";
import { reload, settled, unfold } from "./steps.mjs";

const folder = mkdtempSync(join(tmpdir(), "cellwright-road-"));
after(async () => {
  await closeAll();
  rmSync(folder, { recursive: true, force: true });
});

const PUMP = readFileSync(new URL("../plans/watering-pump.json", import.meta.url), "utf8");
const answered = () => document.querySelector("#verdict").textContent;

/** Presses a button as soon as it is there. */
async function press(page, id) {
  await page.until((one) => document.querySelector(`#${one}`) !== null, id);
  await page.evaluate((one) => document.querySelector(`#${one}`).click(), id);
}

const plan = async (page) => JSON.parse(await page.evaluate(() => document.querySelector("#plan-text").value));
const entry = (pointer) => `[name="${pointer}"]`;

/** Sets an entry as a person does who leaves it afterwards. */
async function enter(page, pointer, text) {
  await page.fill(entry(pointer), text);
  await page.evaluate((at) => document.querySelector(at).dispatchEvent(new Event("change", { bubbles: true })), entry(pointer));
}

const paste = (page, text) => page.evaluate((value) => {
  document.querySelector("#plan-text").value = value;
  document.querySelector("#do-take").click();
  return document.querySelector("#build-note").textContent;
}, text);

/** A phone's size, where the driver types into a narrow page. */
const narrow = (engine) => (engine === "webkit" ? {} : { width: 360, height: 740 });

/** The page without the probe that watches it. */
const unwatched = (html) => html.replace(/<head>(<script>[^]*?<\/script>)*?(?=\s*<meta)/, "<head>");

/** Names on the shelf, with what is said of each. */
async function shelf(page) {
  await page.until(() => document.querySelector("#plan-list li") !== null);
  return page.evaluate(() => [...document.querySelectorAll("#plan-list li > p")].map((one) => one.textContent));
}

const linked = (text) => `#cellwright-1p.${deflateRawSync(Buffer.from(text)).toString("base64url")}`;

/** Follows a link to the page that is open. */
async function follow(page, hash) {
  await page.evaluate((to) => {
    document.querySelector("#build-note").textContent = "";
    location.hash = to;
  }, hash);
  return page.until(() => document.querySelector("#build-note").textContent);
}

for (const engine of ENGINES) {
  test(`${engine}: changes are taken back and made again, also after a reload`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(unfold);
    assert.equal(await page.evaluate(() => document.querySelector("#do-undo").disabled), true);
    await enter(page, "/loads/0/works_to_v", "13");
    await enter(page, "/loads/0/works_from_v", "9");
    const state = async () => {
      const [load] = (await plan(page)).loads;
      return [load.works_to_v, load.works_from_v];
    };
    assert.deepEqual(await state(), [13, 9]);
    await press(page, "do-undo");
    assert.deepEqual(await state(), [13, 8], "an entry is one change, however many keys it took");
    await reload(page);
    assert.deepEqual(await state(), [13, 8]);
    await press(page, "do-redo");
    assert.deepEqual(await state(), [13, 9], "what was taken back is made again after a reload");
    await press(page, "do-undo");
    await press(page, "do-undo");
    assert.deepEqual(await state(), [14, 8]);
    assert.equal(await page.evaluate(() => document.querySelector("#do-undo").disabled), true);
    await page.evaluate(unfold);
    await enter(page, "/loads/0/works_to_v", "12,9");
    assert.equal(await page.evaluate(() => document.querySelector("#do-redo").disabled), true, "another way was taken");
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: several plans are kept, copied, renamed, thrown away and brought back`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(unfold);
    await page.fill("#plan-name", "My pump");
    assert.equal((await plan(page)).name, "My pump");
    await press(page, "copy-p1");
    assert.deepEqual(await shelf(page), ["My pump", "My pump (copy) (open now)"]);
    await page.evaluate(unfold);
    await enter(page, "/loads/0/works_to_v", "12");
    await page.until(() => document.querySelector("#verdict").textContent.startsWith("Stop"));
    await press(page, "open-p1");
    assert.match(await page.text("#verdict"), /^Ready/);
    assert.equal((await plan(page)).loads[0].works_to_v, 14, "the copy is another plan");
    await press(page, "remove-p1");
    assert.deepEqual(await shelf(page), ["My pump (thrown away)", "My pump (copy) (open now)"]);
    await reload(page);
    assert.equal((await plan(page)).name, "My pump (copy)");
    await press(page, "back-p1");
    assert.deepEqual(await shelf(page), ["My pump (open now)", "My pump (copy)"]);
    await reload(page);
    assert.equal((await plan(page)).name, "My pump", "what lay open lies open again");
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: three questions make a plan that is not ready, and says what it took`, async () => {
    const page = await open(engine, narrow(engine));
    await page.until(answered);
    await page.evaluate(unfold);
    await press(page, "do-first");
    assert.match(await page.text("#first-wrong"), /cannot be used/);
    await page.fill("#first-draw", "18");
    await page.fill("#first-runtime", "1 h");
    await page.fill("#first-cells", "7");
    await page.fill("#first-capacity", "2,2");
    assert.match(await page.text("#first-capacity-read"), /read as 2\.20? Ah/);
    await page.evaluate(() => { document.querySelector("#first-chemistry").value = "nmc"; });
    await press(page, "do-first");
    assert.match(await page.text("#headline-cells"), /^3S2P/);
    assert.doesNotMatch(await page.text("#verdict"), /^Ready/);
    assert.match(await page.text("#told"), /3S2P.*left over: 1.*half to three times/);
    assert.match(await page.text("#findings"), /capacity and resistance of every cell, measured/);
    assert.deepEqual(await violations(page), []);
    // The cells are said to be measured: that finding goes, and the plan is still open elsewhere.
    await page.evaluate(() => [...document.querySelectorAll("#part-cells button")].find((one) => one.textContent === "All cells are measured as entered").click());
    assert.doesNotMatch(await page.text("#findings"), /capacity and resistance of every cell, measured/);
    assert.doesNotMatch(await page.text("#verdict"), /^Ready/);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: an empty plan says what is missing, outlives a reload, and takes its entries`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await press(page, "do-empty");
    assert.match(await page.text("#verdict"), /^Not judged/);
    assert.equal(await page.text("#runtime-words"), "–", "no number of the plan before");
    const missing = await page.text("#findings");
    for (const one of [/Group 1, A1: Capacity of a cell/, /Charged to/, /What it runs: Power/]) assert.match(missing, one);
    await page.evaluate(() => document.querySelector("#findings button").click());
    assert.notEqual(await page.evaluate(() => document.activeElement.getAttribute("name")), null, "the button leads to the entry");
    await page.evaluate(unfold);
    await enter(page, "/pack/full_v", "4,1");
    assert.equal((await plan(page)).pack.full_v, 4.1);
    assert.doesNotMatch(await page.text("#findings"), /Charged to/);
    await reload(page);
    assert.equal((await plan(page)).pack.full_v, 4.1);
    assert.match(await page.text("#verdict"), /^Not judged/);
    await page.evaluate(unfold);
    const values = { "/pack/floor_v": "3", "/pack/link_ohm": "5 m", "/loads/0/draw/power/power_w": "10", "/loads/0/duty": "1", "/ambient_degc": "10..30" };
    for (const [name, unit] of [["capacity/capacity_ah", "2"], ["capacity/start_v", "4,1"], ["capacity/end_v", "3"], ["capacity/current_a", "0,5"], ["capacity/cell_degc", "20"],
      ["resistance/resistance_ohm", "60 m"], ["resistance/method/dc/after_s", "10"], ["resistance/method/dc/current_a", "1"], ["resistance/soc_ratio", "0,5"], ["resistance/cell_degc", "20"]]) {
      values[`/pack/groups/0/cells/0/${name}`] = unit;
    }
    for (const [pointer, text] of Object.entries(values)) await enter(page, pointer, text);
    assert.match(await page.text("#verdict"), /^(Stop|Not ready)/, await page.text("#findings"));
    assert.match(await page.text("#runtime-words"), /at least/);
    assert.match(await page.text("#findings"), /Missing: the fuse\./);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: says once what a change has moved, and undo moves it back`, async () => {
    const page = await open(engine);
    await page.until(answered);
    assert.equal(await page.text("#moved"), "", "nothing has moved yet");
    assert.equal(await page.evaluate(() => document.querySelector("#do-take-back").checkVisibility()), false);
    await page.evaluate(unfold);
    await page.evaluate(() => {
      globalThis.__said = [];
      new MutationObserver(() => globalThis.__said.push(document.querySelector("#moved").textContent)).observe(document.querySelector("#moved"), { childList: true });
    });
    await page.fill(entry("/loads/0/works_to_v"), "12,0");
    await page.until(() => document.querySelector("#moved").textContent.includes("stop"));
    const line = await page.text("#moved");
    assert.match(line, /Moved: Verdict ready → stop\./);
    assert.match(line, /New: STOP: The full pack gives 12.6 V/);
    await page.fill(entry("/loads/0/works_to_v"), "14");
    await page.until(() => document.querySelector("#moved").textContent.includes("Gone"));
    await page.fill(entry("/loads/0/draw/follows_voltage/power_w"), "25");
    await page.until(() => /Runtime .* → /.test(document.querySelector("#moved").textContent));
    assert.match(await page.text("#moved-table"), /Runtime/);
    await press(page, "do-take-back");
    await page.until(() => globalThis.__said.length === 4);
    const said = await page.evaluate(() => globalThis.__said);
    const [, before, later] = said[2].match(/Runtime (.*?) → (.*?)[;.] /);
    assert.ok(said[3].includes(`Runtime ${later} → ${before}`), said[3]);
    await page.close();
  });

  test(`${engine}: a plan travels by link, is marked, and never takes the place of one's own`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(unfold);
    await enter(page, "/loads/0/works_to_v", "13");
    await press(page, "do-link");
    const link = await page.until(() => document.querySelector("#link").value);
    const note = await page.text("#link-note");
    assert.match(note, new RegExp(`characters: ${link.length}\\.`));
    assert.equal(/Messengers cut/.test(note), link.length > 2000, "told exactly where it is too long");
    await enter(page, "/loads/0/works_to_v", "12,5");
    assert.equal(await page.evaluate(() => document.querySelector("#share").hidden), true, "the link is that of another state now");
    assert.match(await follow(page, link.slice(link.indexOf("#"))), /came from outside/);
    assert.equal((await plan(page)).loads[0].works_to_v, 13);
    assert.equal(await page.evaluate(() => document.querySelector("#outside").hidden), false);
    assert.equal(await page.evaluate(() => location.hash), "", "a reload does not bring it again");
    assert.deepEqual(await shelf(page), ["Watering pump for the bean rows", "Watering pump for the bean rows (open now, from outside)"]);
    await reload(page);
    assert.equal(await page.evaluate(() => document.querySelector("#outside").hidden), false, "it stays marked");
    await press(page, "open-p1");
    assert.equal((await plan(page)).loads[0].works_to_v, 12.5, "one's own is as it was");
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: two plans stand side by side, on a phone as well`, async () => {
    const page = await open(engine, narrow(engine));
    await page.until(answered);
    await page.evaluate(unfold);
    assert.equal(await page.evaluate(() => document.querySelector("#compare-tools").hidden), true);
    await press(page, "copy-p1");
    await page.evaluate(unfold);
    await enter(page, "/loads/0/draw/follows_voltage/power_w", "25");
    await enter(page, "/fuse/fitted/rating_a", "5");
    await press(page, "do-compare");
    await page.until(settled);
    const text = await page.text("#compared");
    assert.match(text, /Runtime/);
    assert.match(text, /Parts that differ.*5/);
    assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false);
    assert.deepEqual(await violations(page), []);
    await page.close();
  });

  test(`${engine}: the page saves itself after use, and the copy works and saves the same again`, async () => {
    const saved = async (page) => {
      await page.evaluate(() => {
        globalThis.__saved = new Promise((resolve) => {
          const make = URL.createObjectURL;
          URL.createObjectURL = (blob) => {
            blob.text().then(resolve);
            return make.call(URL, blob);
          };
        });
        document.querySelector("#save-page").addEventListener("click", (event) => event.preventDefault());
        document.querySelector("#save-page").click();
      });
      return page.evaluate(() => globalThis.__saved);
    };
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(unfold);
    await page.fill(entry("/loads/0/works_to_v"), "12,0");
    await press(page, "do-theme");
    const text = unwatched(await saved(page));
    await page.close();
    const file = join(folder, `${engine}.html`);
    writeFileSync(file, text);
    const copy = await open(engine, { url: pathToFileURL(file).href });
    assert.match(await copy.until(answered), /^(Ready|Stop)/);
    assert.deepEqual(await copy.problems(), [], "its policy lets its own script run");
    assert.equal(await copy.evaluate(() => document.documentElement.dataset.theme ?? ""), "", "nothing of the use is in it");
    const again = await saved(copy);
    assert.equal(unwatched(again), text);
    await copy.close();
  });
}

for (const scheme of /** @type {const} */ (["light", "dark"])) {
  for (const size of SIZES) {
    test(`chromium: everything of the road is seen at ${size.width} pixels, ${scheme}`, async () => {
      const page = await open("chromium", { ...size, scheme });
      await page.until(answered);
      const shoot = async (name) => {
        assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, name);
        assert.deepEqual(await violations(page), [], name);
        await page.screenshot(`road-${name}-${size.width}-${scheme}`);
      };
      await page.evaluate(() => { for (const id of ["part-start", "part-plans"]) document.querySelector(`#${id}`).open = true; });
      await press(page, "copy-p1");
      await shoot("begin");
      await page.evaluate(() => { document.querySelector("#part-start").open = false; document.querySelector("#part-loads").open = true; });
      await page.fill(entry("/loads/0/draw/follows_voltage/power_w"), "45");
      await page.until(() => document.querySelector("#moved").textContent !== "");
      await page.evaluate(() => { document.querySelector("#moved-more").open = true; });
      await press(page, "do-compare");
      await page.until(settled);
      await press(page, "do-link");
      await page.until(() => document.querySelector("#link").value);
      await shoot("changed");
      await press(page, "do-empty");
      await shoot("empty");
      await page.close();
    });
  }
}

test("chromium: links and texts from strangers are refused in words, and nothing of one's own is touched", async () => {
  const page = await open("chromium");
  await page.until(answered);
  await page.evaluate(unfold);
  await enter(page, "/loads/0/works_to_v", "13");
  const own = await plan(page);
  const small = JSON.stringify(JSON.parse(PUMP));
  const packed = linked(small);
  const bomb = linked(" ".repeat(60_000_000));
  const hostile = [
    "#cellwright-1p.", "#cellwright-1p.AAAA", "#cellwright-1p.%00", "#cellwright-1t.", "#cellwright-9z.AAAA", packed.slice(0, -40), `${packed}AAAA`, bomb,
    `#cellwright-1p.${"A".repeat(500_000)}`, `#cellwright-1t.${Buffer.from([0xff, 0xfe, 0x7b]).toString("base64url")}`,
    ...["", "null", "[]", "{}", '"text"', "[".repeat(100_000), `${small}x`, small.replace("{", '{"__proto__":{"polluted":1},'), small.replace('"format":1', '"format":0'),
      small.replace('"format":1', '"format":2'), small.replace('"format":1,', ""), small.replace('"name":', '"name":"twice","name":'), small.replace('"loads":[', '"loads":null,"others":['),
      small.replace('"pack":{', '"pack":null,"packs":{'), small.replace('"origin":"salvaged"', '"origin":"<img src=x onerror=alert(1)>"'), small.replace('"chemistry":"nmc"', '"chemistry":null'),
      small.replace('"duty":1', '"duty":1e999'), small.replace('"duty":1', '"duty":"1"')].map(linked),
  ];
  assert.ok(bomb.length < 100_000, "small enough to be followed");
  for (const hash of hostile) {
    const note = await follow(page, hash);
    assert.match(note, /^Not taken; your own plan is as it was\. ./, hash.slice(0, 60));
    assert.deepEqual(await plan(page), own);
  }
  assert.deepEqual(await shelf(page), ["Watering pump for the bean rows (open now)"]);
  assert.equal(await page.evaluate(() => ({}).polluted), undefined);
  assert.equal(await page.evaluate(() => document.images.length), 0);
  assert.match(await paste(page, small.replace('"format":1', '"format":0')), /format is 0, but accepted is 1, the first there ever was/);
  assert.match(await paste(page, small.replace('"format":1,', "")), /format is missing.*no plan file/);
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

test("chromium: a plan from outside that cannot be worked out shows no number of another", async () => {
  const page = await open("chromium");
  await page.until(answered);
  const note = await paste(page, JSON.stringify(JSON.parse(PUMP)).replace('"full_v":4.2', '"full_v":15'));
  assert.match(note, /came from outside/);
  assert.match(await page.text("#verdict"), /^Not judged/);
  assert.equal(await page.text("#runtime-words"), "–");
  assert.equal(await page.evaluate(() => document.querySelector("#stale").hidden), false);
  await page.close();
});

test("chromium: a browser that keeps nothing, or has no room, is told of, and the page goes on", async () => {
  for (const [name, words] of [["QuotaExceededError", /no room left/], ["SecurityError", /keeps nothing/]]) {
    const page = await open("chromium");
    await page.until(answered);
    await page.evaluate(unfold);
    await page.evaluate((kind) => {
      Storage.prototype.setItem = () => { throw new DOMException("no", kind); };
    }, name);
    await enter(page, "/loads/0/works_to_v", "13");
    assert.match(await page.text("#kept"), words);
    await press(page, "copy-p1");
    await press(page, "open-p1");
    assert.equal((await plan(page)).loads[0].works_to_v, 13, "several plans are kept as long as the page is open");
    assert.match(await page.text("#kept"), words);
    await page.close();
  }
});

test("chromium: where room runs short the plan is kept before what it once was", async () => {
  const page = await open("chromium");
  await page.until(answered);
  await page.evaluate(unfold);
  await page.evaluate(() => {
    const put = Storage.prototype.setItem;
    Storage.prototype.setItem = function (key, text) {
      if (key.includes("step")) throw new DOMException("no", "QuotaExceededError");
      put.call(this, key, text);
    };
  });
  await enter(page, "/loads/0/works_to_v", "13");
  await enter(page, "/loads/0/works_from_v", "9");
  await reload(page);
  assert.deepEqual((({ works_to_v, works_from_v }) => [works_to_v, works_from_v])((await plan(page)).loads[0]), [13, 9]);
  await page.close();
});

test("chromium: what was kept is read as from a stranger: damage is told, its text is not lost, the rest opens", async () => {
  const page = await open("chromium");
  await page.until(answered);
  const small = JSON.stringify(JSON.parse(PUMP));
  const damage = [
    ["shelf", "nonsense"], ["shelf", '{"open":"p1","plans":[{"id":"__proto__"},{"id":"p1","outside":"yes"},null,7]}'], ["shelf", '{"open":["p1"],"plans":{"length":1e9}}'],
    ["steps-p1", '{"past":[{"at":"/loads/0/__proto__/x","before":1,"after":2}],"next":5}'], ["steps-p1", '{"past":[{"at":"/format","before":7,"after":1}]}'],
    ["steps-p1", '{"past":[{"at":"/pack","before":{"groups":[]},"after":{}}]}'], ["steps-p1", "["], ["bench-p1", '{"__proto__":"x","a":{"b":1}}'],
  ];
  for (const [name, text] of damage) {
    await page.evaluate((key, value) => {
      for (const [one, other] of Object.entries(localStorage)) if (one !== "x" && other !== "") localStorage.removeItem(one);
      localStorage.setItem("cellwright-2-plan-p1", value.plan);
      localStorage.setItem(`cellwright-2-${key}`, value.text);
    }, name, { plan: small.replace("bean rows", "kept rows"), text });
    await reload(page);
    assert.equal((await plan(page)).name, "Watering pump for the kept rows", `${name} ${text}`);
    assert.match(await page.text("#verdict"), /^Ready/);
    await press(page, "do-undo");
    assert.match(await page.text("#verdict"), /^Ready/, `${name} ${text}`);
    assert.equal(await page.evaluate(() => ({}).x), undefined);
  }
  await page.evaluate((text) => {
    localStorage.setItem("cellwright-2-plan-p2", text);
  }, small.replace('"format":1', '"format":2'));
  await reload(page);
  await page.until(() => /cannot be read.*later version/.test(document.querySelector("#build-note").textContent));
  assert.match((await shelf(page)).join(), /kept rows/);
  assert.equal(await page.evaluate(() => localStorage.getItem("cellwright-2-plan-p2").includes('"format":2')), true, "its text is not lost");
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

test("chromium: two windows do not lose each other's plans", async () => {
  const one = await open("chromium");
  await one.until(answered);
  const other = await one.tab.context.newPage();
  await other.goto(PAGE);
  await other.waitForFunction(() => document.querySelector("#verdict")?.textContent);
  await other.evaluate(unfold);
  await other.evaluate(() => {
    const name = document.querySelector("#plan-name");
    name.value = "Named elsewhere";
    name.dispatchEvent(new Event("input"));
  });
  await one.until(() => document.querySelector("#plan-text").value.includes("Named elsewhere"));
  assert.match(await one.text("#build-note"), /another window/);
  await press(one, "do-undo");
  assert.doesNotMatch(JSON.stringify(await plan(one)), /Named elsewhere/);
  await other.evaluate(() => document.querySelector("#copy-p1").click());
  await one.until(() => document.querySelectorAll("#plan-list li").length === 2);
  await one.close();
});
