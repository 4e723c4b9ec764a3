// The built page from a file, in three engines: it computes, asks for nothing, and its policy holds.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { violations } from "./axe.mjs";
import { ENGINES, PAGE, SIZES, closeAll, open } from "./browser.mjs";
import { unfold } from "./steps.mjs";

after(closeAll);

const answered = () => document.querySelector("#verdict").textContent;


/** @param {string} pointer */
const entry = (pointer) => `[name="${pointer}"]`;

/** What stands beside an entry: the reading back, and what is wrong with it. */
const beside = (at) => {
  const field = document.querySelector(at).closest(".field");
  const shown = (name) => [...field.querySelectorAll(name)].filter((part) => !part.hidden).map((part) => part.textContent).join("");
  return { read: shown(".read"), wrong: shown(".wrong"), value: field.querySelector("input").value,
    invalid: field.querySelector("input").getAttribute("aria-invalid") };
};

for (const engine of ENGINES) {
  test(`${engine}: a plan changes as it is typed, from a file, without a request but itself`, async () => {
    const page = await open(engine);
    assert.match(await page.until(answered), /^Ready/);
    assert.match(await page.text("#runtime-words"), /at least \d h/);
    await page.evaluate(unfold);
    const limit = entry("/loads/0/works_to_v");
    await page.fill(limit, "12,0");
    await page.until(() => document.querySelector("#verdict").textContent.startsWith("Stop"));
    assert.match((await page.evaluate(beside, limit)).read, /^read as 12.0 V/);
    assert.match(await page.text("#findings"), /12.6 V/);
    // Firefox counts data addresses of its own drawing, and WebKit is shown a copy of the page.
    const asked = (await page.requests()).filter((address) => !address.startsWith("data:"));
    assert.ok(asked.length <= 1 && asked.every((address) => /^file:.*\.html$/.test(address)), `asked for ${asked}`);
    if (engine === "chromium") assert.deepEqual(asked, [PAGE]);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: an entry that cannot be used stays as typed, and the last good report stays`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(unfold);
    const limit = entry("/loads/0/works_to_v");
    const before = await page.text("#runtime-words");
    for (const typed of ["1.234,5", "zwölf", "1e999"]) {
      await page.fill(limit, typed);
      await page.until(() => !document.querySelector("#stale").hidden);
      const { wrong, value, invalid } = await page.evaluate(beside, limit);
      assert.equal(value, typed);
      assert.equal(invalid, "true");
      assert.notEqual(wrong, "");
      assert.equal(await page.text("#runtime-words"), before);
    }
    await page.fill(limit, "14");
    await page.until(() => document.querySelector("#stale").hidden);
    await page.close();
  });

  test(`${engine}: the policy refuses network, evaluated text and markup made from text`, async () => {
    const page = await open(engine);
    await page.until(answered);
    const refused = await page.evaluate(async () => {
      const attempts = {
        network: () => fetch("https://example.invalid/"),
        image: () => new Promise((resolve, reject) => {
          const image = new Image();
          image.onload = resolve;
          image.onerror = () => reject(new Error("not loaded"));
          image.src = "https://example.invalid/a.png";
        }),
        markup: () => { document.body.innerHTML = "<b>x</b>"; },
      };
      const results = {};
      for (const [name, attempt] of Object.entries(attempts)) {
        try {
          await attempt();
          results[name] = "worked";
        } catch {
          results[name] = "refused";
        }
      }
      return results;
    });
    assert.deepEqual(refused, { network: "refused", image: "refused", markup: "refused" });
    const directives = (await page.problems()).filter(({ kind }) => kind === "policy").map(({ text }) => text.split(" ")[0]);
    for (const directive of ["connect-src", "img-src", "require-trusted-types-for"]) {
      assert.ok(directives.includes(directive), `${directive} is not among ${directives}`);
    }
    await page.close();
  });

  test(`${engine}: every sheet of a plan opens, and the diagram is drawn of shapes`, async () => {
    const page = await open(engine);
    await page.until(answered);
    const names = ["charts", "diagram", "parts", "steps", "bench", "fails", "tags"];
    for (const name of names) {
      await page.evaluate((one) => { document.querySelector(`#part-${one}`).open = true; }, name);
      await page.until((one) => document.querySelector(`#sheet-${one}`).childElementCount > 0, name);
      const { wrong, length } = await page.evaluate((one) => {
        const place = document.querySelector(`#sheet-${one}`);
        return { wrong: place.querySelectorAll(":scope > .wrong").length, length: place.textContent.length };
      }, name);
      assert.equal(wrong, 0, name);
      assert.ok(length > 100, name);
    }
    const shapes = await page.evaluate(() => document.querySelectorAll("#sheet-diagram svg.screen-only > *").length);
    assert.ok(shapes > 100, `${shapes} shapes`);
    // A change moves what is open.
    const before = await page.text("#sheet-parts");
    await page.evaluate(unfold);
    await page.fill(entry("/fuse/fitted/rating_a"), "5");
    await page.until((text) => document.querySelector("#sheet-parts").textContent !== text, before);
    assert.deepEqual(await page.problems(), []);
    await page.close();
  });

  test(`${engine}: pasted cells are read with decimal commas, grouped and taken over`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(() => { for (const id of ["part-bin", "part-cells"]) document.querySelector(`#${id}`).open = true; });
    const cells = ["P1\t2,20 Ah ± 2 %\t55 mΩ\t3,71", "P2\t2,10 Ah ± 2 %\t58 mΩ\t3,72", "P3; 2,31; 0,049; 3,70", "P4; 2,00; 0,061; 3,71", "P5; 2,18; 0,055; 3,71", "P6; 2,25; 0,052; 3,71", "P7; 1,20; 0,150; 3,60"];
    await page.evaluate((text) => {
      const lines = document.querySelector("#bin-lines");
      lines.value = text;
      lines.dispatchEvent(new Event("input"));
    }, cells.join("\n"));
    assert.match(await page.text("#part-bin"), /2\.20 Ah|2\.16 Ah/);
    await page.fill("#bin-series", "3");
    await page.fill("#bin-parallel", "2");
    await page.evaluate(() => document.querySelector("#bin-find").click());
    await page.until(() => document.querySelector("#bin-result button") !== null);
    const result = await page.text("#bin-result");
    assert.match(result, /P7/);
    assert.match(result, /No arrangement is better/);
    await page.evaluate(() => document.querySelector("#bin-result button").click());
    await page.until(() => document.querySelector("#stations").textContent.includes("P3"));
    assert.match(await page.text("#headline-cells"), /3S2P/);
    await page.close();
  });

  test(`${engine}: readings of the bench are kept, and a wrong one is explained`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(() => { document.querySelector("#part-bench").open = true; });
    await page.until(() => document.querySelector("#sheet-bench input") !== null);
    await page.evaluate(() => { for (const part of document.querySelectorAll("#sheet-bench details")) part.open = true; });
    const search = () => [...document.querySelectorAll("#sheet-bench > .tools button")].pop().click();
    await page.evaluate(search);
    assert.match(await page.text("#bench-result"), /Enter what the meter shows/);
    // Tap 1 shows nothing like a group: one whole volt.
    const id = await page.evaluate(() => [...document.querySelectorAll("#sheet-bench li")].find((step) => step.querySelector("strong")?.textContent === "tap 1 against pack minus")?.querySelector("input")?.id ?? "");
    assert.notEqual(id, "");
    await page.fill(`#${id}`, "1,0");
    await page.evaluate(search);
    await page.until(() => document.querySelectorAll("#bench-result li").length > 0);
    assert.match(await page.text("#bench-result"), /Group 1.*do not charge/is);
    await page.close();
  });

  for (const scheme of /** @type {const} */ (["light", "dark"])) {
    for (const size of SIZES) {
      test(`${engine}: fits ${size.width} pixels, ${scheme}, and nobody is kept out`, async () => {
        const page = await open(engine, { ...size, scheme });
        await page.until(answered);
        const seen = await page.evaluate(() => ({
          width: innerWidth,
          height: innerHeight,
          wide: document.documentElement.scrollWidth > innerWidth,
          dark: matchMedia("(prefers-color-scheme: dark)").matches,
        }));
        assert.deepEqual(seen, { ...size, wide: false, dark: scheme === "dark" });
        assert.deepEqual(await violations(page), []);
        await page.screenshot(`${engine}-${size.width}-${scheme}`);
        await page.evaluate(unfold);
        const wide = () => document.documentElement.scrollWidth > innerWidth;
        assert.equal(await page.evaluate(wide), false, "sideways scrolling with everything open");
        assert.deepEqual(await violations(page), []);
        await page.close();
      });
    }
  }
}

for (const engine of /** @type {const} */ (["chromium", "firefox"])) {
  test(`${engine}: speaks the language asked for`, async () => {
    const page = await open(engine, { language: "de-DE" });
    assert.equal(await page.evaluate(() => navigator.language), "de-DE");
    await page.close();
  });
}

test("chromium: entries are text, large enough, and none is of the kind that drops a comma", async () => {
  const page = await open("chromium", { width: 360, height: 740 });
  await page.until(answered);
  await page.evaluate(unfold);
  assert.equal(await page.evaluate(() => document.querySelectorAll("input[type=number]").length), 0);
  const small = await page.evaluate(() => [...document.querySelectorAll("button, select, input, textarea, summary")]
    .filter((control) => control.checkVisibility() && control.getBoundingClientRect().height < 48).map((control) => control.outerHTML.slice(0, 80)));
  assert.deepEqual(small, []);
  await page.close();
});

test("chromium: each example has its verdict", async () => {
  const page = await open("chromium");
  await page.until(answered);
  const verdicts = [];
  for (const index of [0, 1, 2]) {
    await page.evaluate((value) => {
      const demo = document.querySelector("#demo");
      demo.value = value;
      demo.dispatchEvent(new Event("change"));
    }, String(index));
    verdicts.push((await page.text("#verdict")).split(":")[0]);
    assert.deepEqual(await violations(page), []);
  }
  assert.deepEqual(verdicts, ["Ready", "Ready", "Not ready"]);
  await page.close();
});

test("chromium: text from outside is worked out anew or refused, and changes nothing else", async () => {
  const page = await open("chromium");
  await page.until(answered);
  const plan = await page.evaluate(() => document.querySelector("#plan-text").value);
  const take = (text) => page.evaluate((value) => {
    document.querySelector("#plan-text").value = value;
    document.querySelector("#do-take").click();
    return document.querySelector("#build-note").textContent;
  }, text);
  const hostile = [
    "", "nonsense", "[]", "{}", plan.replace('"format":1', '"format":2'), plan.replace("{", '{"__proto__":{"polluted":1},'),
    plan.replace('"name":', '"name":"twice","name":'), plan.replace('"duty":1', '"duty":1e999'), plan + "x", "[".repeat(5000),
    plan.replace('"origin":"salvaged"', '"origin":"<img src=x onerror=alert(1)>"'),
  ];
  for (const text of hostile) {
    const note = await take(text);
    assert.doesNotMatch(note, /came from outside/, text.slice(0, 60));
    assert.notEqual(note, "");
  }
  assert.match(await take(plan.replace('"format":1', '"format":2')), /later version/);
  assert.equal(await page.evaluate(() => ({}).polluted), undefined);
  assert.match(await take(plan.replace('"works_to_v":14', '"works_to_v":11')), /came from outside/);
  assert.match(await page.text("#verdict"), /^Stop/);
  const named = plan.replace('"name":"diaphragm pump"', '"name":"<img src=x onerror=document.title=1>"');
  assert.match(await take(named), /came from outside/);
  assert.equal(await page.evaluate(() => document.images.length), 0);
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

test("chromium: says what it is where no script runs", async () => {
  const page = await open("chromium", { script: false });
  assert.match(await page.text("noscript"), /script/);
  assert.match(await page.text(".rules"), /Never charge below 0 °C/);
  await page.close();
});

test("chromium: a plan can be saved, and typing outlives a reload, under the page's own policy", async () => {
  const page = await open("chromium");
  await page.until(answered);
  await page.evaluate(unfold);
  await page.fill(entry("/loads/0/works_to_v"), "13");
  await page.until(() => document.querySelector("#plan-text").value.includes('"works_to_v":13'));
  const saved = await page.evaluate(() => new Promise((resolve) => {
    const make = URL.createObjectURL;
    URL.createObjectURL = (blob) => {
      blob.text().then(resolve);
      return make.call(URL, blob);
    };
    document.querySelector("#do-save").click();
  }));
  assert.equal(JSON.parse(saved).loads[0].works_to_v, 13);
  await page.evaluate(() => { setTimeout(() => location.reload(), 0); });
  await new Promise((resolve) => setTimeout(resolve, 500));
  await page.until(() => document.querySelector("#plan-text")?.value.includes('"works_to_v":13'));
  assert.deepEqual(await page.problems(), []);
  await page.close();
});

test("chromium: prints", async () => {
  const page = await open("chromium");
  await page.until(answered);
  const pdf = await page.tab.page.pdf({ format: "A4" });
  assert.ok(pdf.length > 1000, `${PAGE} printed to ${pdf.length} bytes`);
  await page.close();
});

test("chromium: what is printed is black on white, whichever colours the screen has", async () => {
  const page = await open("chromium", { scheme: "dark" });
  await page.until(answered);
  await page.tab.page.emulateMediaType("print");
  const printed = () => page.evaluate(() => [getComputedStyle(document.documentElement).color, getComputedStyle(document.querySelector("#verdict")).color]);
  assert.deepEqual(await printed(), ["rgb(0, 0, 0)", "rgb(0, 0, 0)"]);
  await page.evaluate(() => document.querySelector("#do-theme").click());
  await page.evaluate(() => document.querySelector("#do-theme").click());
  assert.deepEqual(await printed(), ["rgb(0, 0, 0)", "rgb(0, 0, 0)"], "chosen by hand");
  await page.close();
});
