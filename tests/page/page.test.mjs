// The built page from a file, in three engines: it computes, asks for nothing, and its policy holds.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { violations } from "./axe.mjs";
import { ENGINES, PAGE, SIZES, closeAll, open } from "./browser.mjs";

after(closeAll);

const answered = () => document.querySelector("#answer").textContent;

for (const engine of ENGINES) {
  test(`${engine}: computes from a file, without a request but itself`, async () => {
    const page = await open(engine);
    assert.match(await page.until(answered), /^4700 Ω/);
    await page.fill("#resistor_letters", "2R2");
    await page.until(() => document.querySelector("#answer").textContent.startsWith("2.2 Ω"));
    assert.equal((await page.requests()).length, 1);
    assert.deepEqual(await page.problems(), []);
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

test("chromium: says what it is where no script runs", async () => {
  const page = await open("chromium", { script: false });
  assert.match(await page.text("noscript"), /script/);
  await page.close();
});

test("chromium: prints", async () => {
  const page = await open("chromium");
  await page.until(answered);
  const pdf = await page.tab.page.pdf({ format: "A4" });
  assert.ok(pdf.length > 1000, `${PAGE} printed to ${pdf.length} bytes`);
  await page.close();
});
