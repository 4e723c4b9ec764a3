// The elements for a blog on pages of other people, served with their policies: they answer, or say why not; one Wasm
// serves them all; they ask for nothing but their own files; nothing hostile runs and nothing is lost without a word.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { violations } from "./axe.mjs";
import { ENGINES, SIZES, closeAll, open } from "./browser.mjs";
import { ENTRIES, HASHES, MESSAGES, NAMED_PLANS, REFUSED_PLANS, SCRIPTS } from "./hostile.mjs";
import { serve } from "./serve.mjs";

const WIRE = `<cellwright-wire length-m="2 m" area-mm2="0.75 mm²" current-a="1.2 A" supply-v="10.8 V" lies="surface" fuse-a="3 A" fuse-family="blade"><p class="stand-in">A table.</p></cellwright-wire>`;
const RUNTIME = `<cellwright-runtime chemistry="nmc" series="3" parallel="2" capacity-ah="2.05 Ah" resistance-ohm="71 mΩ" power-w="9 W"></cellwright-runtime>`;
const KNOB = `<cellwright-knob supply-v="11.1 V" frequency-hz="200 Hz"></cellwright-knob>`;
const CELLS = `<cellwright-cells chemistry="nmc" series="2" parallel="2" cells="A1 | 2.4 Ah; A2 | 2.3 Ah; A3 | 2.1 Ah; A4 | 1.8 Ah"></cellwright-cells>`;
const SCRIPT = `<script src="cellwright-embed.js"></script>`;
const page = (body, head = SCRIPT) => `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Host</title><link rel="icon" href="data:,">${head}</head><body><main><h1>Host</h1>${body}</main></body></html>`;

/** Counts what the Wasm costs; stands before the script. */
const COUNT = `<script>window.counted={compile:0,instantiate:0};for(const name of Object.keys(counted)){const real=WebAssembly[name];WebAssembly[name]=(...all)=>{counted[name]+=1;return real.apply(WebAssembly,all)}}</script>`;

const PAGES = {
  "/wire.html": page(WIRE),
  "/four.html": page(WIRE + RUNTIME + KNOB + CELLS + WIRE, COUNT + SCRIPT),
  "/twice.html": page(WIRE, SCRIPT + SCRIPT + `<script type="module">import { define } from "./embed.mjs"; define(); define();</script>`),
  "/far.html": page(`<div style="height:9000px"></div>${WIRE}`),
  "/plan.html": page(`<cellwright-plan></cellwright-plan>`),
  "/early.html": page(`<cellwright-wire></cellwright-wire>`, ""),
  "/frame-host.html": page(`<iframe class="cellwright-frame" sandbox="allow-scripts" title="One question" src="frame.html#cellwright-wire&length-m=2&area-mm2=0.75&current-a=1.2&supply-v=10.8"></iframe><iframe class="other" sandbox="allow-scripts" title="Another" srcdoc="<p>x"></iframe>`, `<script src="cellwright-frame.js"></script>`),
};
const POLICIES = {
  "/strict.html": "default-src 'self'",
  "/wasm.html": "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'",
  "/typed.html": "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; require-trusted-types-for 'script'; trusted-types 'none'",
};
for (const path of Object.keys(POLICIES)) PAGES[path] = page(WIRE + RUNTIME, `<script src="cellwright-embed.js"></script>`).replace(`<link rel="icon" href="data:,">`, "");
PAGES["/favicon.ico"] = "";

let host;
before(async () => {
  host = await serve(PAGES, POLICIES);
});
after(async () => {
  await closeAll();
  await host.close();
});

const at = (engine, path, options = {}) => open(engine, { url: `${host.address}${path}`, ...options });
const ALL = "cellwright-runtime, cellwright-cells, cellwright-knob, cellwright-wire, cellwright-plan";
const settled = (selector) => {
  const all = [...document.querySelectorAll(selector)];
  return all.length > 0 && all.every((element) => element.answer || element.errors?.length > 0);
};
const answered = (selector) => [...document.querySelectorAll(selector)].every((element) => element.answer);
const shown = (selector) => document.querySelector(selector).shadowRoot.textContent;

/** Brings everything near once. */
async function scrolled(one, pause_ms = 50) {
  await one.evaluate(async (pause) => {
    for (let y = 0; y < document.documentElement.scrollHeight; y += 300) {
      scrollTo(0, y);
      await new Promise((resolve) => { setTimeout(resolve, pause); });
    }
  }, pause_ms);
  // A slow machine may have passed over one of them.
  await one.until((selector) => {
    const waits = [...document.querySelectorAll(selector)].find((element) => !element.answer && !(element.errors?.length > 0));
    waits?.scrollIntoView();
    return !waits;
  }, ALL);
}

for (const engine of ENGINES) {
  test(`${engine}: the article answers every question, and asks for its own files alone`, async () => {
    host.asked.length = 0;
    const one = await at(engine, "/article.html");
    await scrolled(one);
    assert.ok(await one.evaluate(answered, ALL));
    assert.match(await one.evaluate(shown, "cellwright-runtime"), /At least \d h/);
    assert.match(await one.evaluate(shown, "cellwright-plan"), /Market-stall lamp/);
    assert.deepEqual(await one.problems(), []);
    const kept = await one.evaluate(() => [document.cookie, localStorage.length, sessionStorage.length]);
    assert.deepEqual(kept, ["", 0, 0]);
    const outside = (await one.requests()).filter((address) => !address.startsWith(host.address) && !address.startsWith("data:"));
    assert.deepEqual(outside, []);
    for (const path of host.asked) assert.match(path, /^\/(article\.(html|css)|cellwright-(embed|plan|frame)\.(js|wasm)|frame\.html|favicon\.ico)$/);
    await one.close();
  });

  test(`${engine}: five elements share one Wasm, and a second copy of the script changes nothing`, async () => {
    const one = await at(engine, "/four.html");
    await scrolled(one);
    assert.ok(await one.evaluate(answered, ALL));
    assert.deepEqual(await one.evaluate(() => window.counted), { compile: 1, instantiate: 1 });
    const known = await one.evaluate(() => Object.keys(Object.getOwnPropertyDescriptors(window)).filter((name) => /cellwright/i.test(name)));
    assert.deepEqual(known, ["cellwrightEmbed"]);
    await one.close();
    const two = await at(engine, "/twice.html");
    await two.until(settled, "cellwright-wire");
    assert.deepEqual(await two.problems(), []);
    await two.close();
  });

  test(`${engine}: nothing is compiled before an element is near`, async () => {
    host.asked.length = 0;
    const one = await at(engine, "/far.html");
    await new Promise((resolve) => { setTimeout(resolve, 500); });
    assert.ok(!host.asked.includes("/cellwright-embed.wasm"));
    assert.equal(await one.evaluate(() => document.querySelector(".stand-in").checkVisibility?.() ?? true), true);
    await scrolled(one);
    assert.ok(host.asked.includes("/cellwright-embed.wasm"));
    await one.close();
  });
}

for (const engine of ["chromium", "firefox"]) {
  test(`${engine}: under each policy of a host it answers, or shows the entries as text`, async () => {
    for (const path of Object.keys(POLICIES)) {
      const one = await at(engine, path);
      await scrolled(one);
      const problems = await one.problems();
      if (path === "/strict.html") {
        assert.equal(await one.evaluate(answered, ALL), false);
        const text = await one.evaluate(shown, "cellwright-wire");
        assert.match(text, /Not worked out here/);
        assert.match(text, /0\.75 mm²/);
        assert.match(text, /Local codes/);
        // The host's own stand-in is seen.
        assert.ok(await one.evaluate(() => document.querySelector(".stand-in").getBoundingClientRect().height > 0));
        const others = problems.filter(({ text: words }) => !/wasm/i.test(words));
        assert.deepEqual(others, [], path);
      } else {
        assert.ok(await one.evaluate(answered, ALL), path);
        assert.deepEqual(problems, [], path);
      }
      await one.close();
    }
  });

  test(`${engine}: attributes are the state, properties mirror them, and only a person's change is told`, async () => {
    const one = await at(engine, "/wire.html");
    await one.until(settled, "cellwright-wire");
    await one.evaluate(() => {
      window.told = [];
      addEventListener("cellwright-change", ({ detail, composed }) => window.told.push({ field: detail.field, value: detail.value, composed }));
      document.querySelector("cellwright-wire").current_a = "30 A";
    });
    await one.until(() => document.querySelector("cellwright-wire").answer?.verdict === "stop");
    assert.match(await one.evaluate(shown, "cellwright-wire"), /STOP: do not build/);
    assert.equal(await one.evaluate(() => document.querySelector("cellwright-wire").getAttribute("current-a")), "30 A");
    await one.evaluate(() => document.querySelector("cellwright-wire").removeAttribute("current-a"));
    await one.until(() => document.querySelector("cellwright-wire").errors.some(({ path }) => path === "/current_a"));
    assert.equal(await one.evaluate(() => document.querySelector("cellwright-wire").current_a), null);
    assert.deepEqual(await one.evaluate(() => window.told), []);
    const typed = await one.evaluate(() => {
      const element = document.querySelector("cellwright-wire");
      const input = element.shadowRoot.querySelector("input[name=current_a]");
      const changed = (value) => { input.value = value; input.dispatchEvent(new Event("input")); };
      changed("2 A");
      const good = [element.getAttribute("current-a"), element.answer?.verdict, input.getAttribute("aria-invalid")];
      changed("zwei");
      return { good, bad: [element.answer, input.value, input.getAttribute("aria-invalid"), input.nextElementSibling.textContent] };
    });
    assert.deepEqual(typed.good, ["2 A", "ready", null]);
    assert.deepEqual(typed.bad.slice(0, 3), [null, "zwei", "true"]);
    assert.match(typed.bad[3], /current_a/);
    assert.deepEqual(await one.evaluate(() => window.told), [{ field: "current_a", value: "2 A", composed: true }, { field: "current_a", value: "zwei", composed: true }]);
    await one.close();
  });

  test(`${engine}: a property that was set before the script came is kept, and a theme reaches inside`, async () => {
    const one = await at(engine, "/early.html");
    await one.evaluate(() => {
      const element = document.querySelector("cellwright-wire");
      Object.assign(element, { length_m: "2 m", area_mm2: "AWG 18", current_a: "1.2 A", supply_v: "12 V" });
      document.documentElement.style.setProperty("--cellwright-edge", "rgb(1, 2, 3)");
      const script = document.createElement("script");
      script.src = "cellwright-embed.js";
      document.head.append(script);
    });
    await one.until(settled, "cellwright-wire");
    assert.ok(await one.evaluate(answered, "cellwright-wire"));
    assert.equal(await one.evaluate(() => document.querySelector("cellwright-wire").getAttribute("area-mm2")), "AWG 18");
    assert.equal(await one.evaluate(() => getComputedStyle(document.querySelector("cellwright-wire")).borderTopColor), "rgb(1, 2, 3)");
    // A name that is no entry is refused, not passed over.
    await one.evaluate(() => document.querySelector("cellwright-wire").setAttribute("lenght-m", "3"));
    await one.evaluate(() => { document.querySelector("cellwright-wire").length_m = "3 m"; });
    await one.until(() => document.querySelector("cellwright-wire").errors.some(({ field }) => field === "lenght_m"));
    await one.close();
  });

  test(`${engine}: no hostile entry runs, and each is read back or refused`, async () => {
    const one = await at(engine, "/typed.html");
    await one.until(settled, "cellwright-wire");
    const texts = engine === "chromium" ? ENTRIES : ENTRIES.filter((text) => text.length < 1000);
    for (const [tag, fields] of [["cellwright-wire", ["length-m", "lies", "fuse-family"]], ["cellwright-runtime", ["capacity-ah", "chemistry"]]]) {
      for (const field of fields) {
        const lost = await one.evaluate(async (name, attribute, all) => {
          const element = document.querySelector(name);
          const before = element.getAttribute(attribute);
          const bad = [];
          for (const text of all) {
            element.setAttribute(attribute, text);
            await new Promise((resolve) => { setTimeout(resolve); });
            const words = element.shadowRoot.textContent;
            const note = element.shadowRoot.querySelector(`[name=${attribute.replaceAll("-", "_")}]`).nextElementSibling.textContent;
            const told = element.answer ? note !== "" : element.errors.length > 0 && note !== "";
            // What was written may be quoted; the answer itself never holds such a number.
            const values = [...element.shadowRoot.querySelectorAll("dd")].map((value) => value.textContent).join(" ");
            if (!told || /NaN|Infinity|undefined|\[object/.test(values) || words === "") bad.push(text.slice(0, 60));
          }
          if (before === null) element.removeAttribute(attribute);
          else element.setAttribute(attribute, before);
          return bad;
        }, tag, field, texts);
        assert.deepEqual(lost, [], `${tag} ${field}`);
      }
    }
    assert.deepEqual(await harm(one), { ran: false, polluted: [], foreign: 0 });
    assert.deepEqual(await one.problems(), []);
    await one.close();
  });
}

/** What a hostile text may have done. */
function harm(one) {
  return one.evaluate(() => ({
    ran: "__ran" in globalThis,
    polluted: [...Object.keys(Object.prototype), ...Object.keys(Array.prototype)].concat("polluted" in {} ? ["polluted"] : []),
    foreign: [...document.querySelectorAll("*")].flatMap((element) => [...(element.shadowRoot?.querySelectorAll("script, iframe, img, object, embed, link, base, svg") ?? [])]).length,
  }));
}

test("chromium: no hostile plan runs; each is refused with a reason, or shown as text", async () => {
  const one = await at("chromium", "/plan.html");
  await one.until(settled, "cellwright-plan");
  const outcomes = (texts, way) => one.evaluate(async (all, how) => {
    const element = document.querySelector("cellwright-plan");
    const results = [];
    for (const text of all) {
      if (how === "attribute") element.setAttribute("plan", text);
      else {
        element.removeAttribute("plan");
        const script = document.createElement("script");
        script.type = "application/json";
        script.textContent = text;
        element.replaceChildren(script);
        element.changed();
      }
      await new Promise((resolve) => { setTimeout(resolve); });
      results.push({ taken: element.answer !== null, told: element.errors.map(({ message }) => message).join("; "), words: element.shadowRoot.textContent });
    }
    return results;
  }, texts, way);
  for (const way of ["attribute", "child"]) {
    for (const [i, { taken, told, words }] of (await outcomes(REFUSED_PLANS, way)).entries()) {
      const text = REFUSED_PLANS[i].slice(0, 80);
      assert.equal(taken, false, text);
      assert.notEqual(told, "", text);
      assert.ok(!told.includes("RuntimeError") && words.includes("This cannot be worked out"), text);
    }
  }
  const named = await outcomes(NAMED_PLANS.slice(0, 12), "attribute");
  for (const [i, { taken, words }] of named.entries()) {
    assert.ok(taken && words.includes(SCRIPTS[i].slice(0, 60)), SCRIPTS[i]);
  }
  assert.deepEqual(await harm(one), { ran: false, polluted: [], foreign: 0 });
  assert.deepEqual(await one.problems(), []);
  await one.close();
});

for (const engine of ENGINES) {
  test(`${engine}: a sandboxed frame answers and tells its height; forged messages change nothing`, async () => {
    const one = await at(engine, "/frame-host.html");
    await one.until(() => document.querySelector("iframe").style.height !== "" && parseFloat(document.querySelector("iframe").style.height) > 400);
    // The frame tells its height again while it settles.
    const before = await one.evaluate(async () => {
      const height = () => document.querySelector("iframe").style.height;
      for (let last = ""; last !== height();) {
        last = height();
        await new Promise((resolve) => { setTimeout(resolve, 700); });
      }
      return height();
    });
    const after = await one.evaluate(async (text) => {
      const messages = JSON.parse(text);
      const other = document.querySelector("iframe.other");
      // From this window itself and from the other frame, which may post whatever it likes.
      for (const message of messages) postMessage(message, "*");
      const forged = JSON.stringify([...messages, { type: "cellwright-height", version: 1, height: 999 }]).replaceAll("<", "\\u003c");
      other.srcdoc = `<script>for (let i = 0; i < 20; i += 1) for (const message of ${forged}) parent.postMessage(message, "*");</script>`;
      await new Promise((resolve) => { setTimeout(resolve, 800); });
      return [document.querySelector("iframe").style.height, document.querySelector("iframe.other").style.height, "__ran" in globalThis];
    }, JSON.stringify(MESSAGES));
    assert.deepEqual(after, [before, "", false]);
    await one.close();
  });
}

test("chromium: heights from the right frame are held between their ends", async () => {
  const one = await at("chromium", "/frame-host.html");
  const heights = await one.evaluate(async () => {
    const frame = document.querySelector("iframe");
    const results = [];
    for (const height of [1, 5, 1e9, 777, "900", 1.5, null]) {
      frame.srcdoc = `<script>parent.postMessage({ type: "cellwright-height", version: 1, height: ${JSON.stringify(height)} }, "*");</script>`;
      await new Promise((resolve) => { setTimeout(resolve, 200); });
      results.push(frame.style.height);
    }
    return results;
  });
  assert.deepEqual(heights, ["120px", "120px", "4000px", "777px", "777px", "777px", "777px"]);
  await one.close();
});

test("chromium: no hostile address of a frame runs, and each shows an element or says why not", async () => {
  const one = await at("chromium", "/frame.html");
  for (const hash of HASHES) {
    const { note, element, ran } = await one.evaluate(async (text) => {
      location.hash = text;
      await new Promise((resolve) => { setTimeout(resolve, 5); });
      const place = document.querySelector("#place").firstElementChild;
      return { note: document.querySelector("#note").textContent, element: place?.localName ?? "", ran: "__ran" in globalThis };
    }, hash);
    assert.ok(!ran && (element === "cellwright-wire" || note !== ""), hash.slice(0, 80));
  }
  assert.deepEqual(await harm(one), { ran: false, polluted: [], foreign: 0 });
  assert.deepEqual(await one.problems(), []);
  await one.close();
});

test("chromium: nothing moves while the article is read", async () => {
  for (const size of SIZES) {
    const one = await at("chromium", "/article.html", size);
    await one.evaluate(() => {
      window.moved = [];
      new PerformanceObserver((list) => {
        for (const entry of list.getEntries()) window.moved.push([entry.value, entry.sources.map(({ node }) => node?.nodeName ?? "").join(" ")]);
      }).observe({ type: "layout-shift", buffered: true });
    });
    // As fast as a person skims it.
    await scrolled(one, 150);
    assert.deepEqual(await one.evaluate(() => window.moved), [], JSON.stringify(size));
    await one.close();
  }
});

test("chromium: article and frame keep nobody out, with the entries unfolded as well", async () => {
  for (const path of ["/article.html", "/frame.html#cellwright-wire&length-m=2&area-mm2=0.75&current-a=30&supply-v=12"]) {
    for (const size of SIZES) {
      for (const scheme of ["light", "dark"]) {
        const one = await at("chromium", path, { ...size, scheme });
        await scrolled(one);
        await one.evaluate((all) => {
          for (const element of document.querySelectorAll(all)) for (const part of element.shadowRoot.querySelectorAll("details")) part.open = true;
        }, ALL);
        const small = await one.evaluate((all) => [...document.querySelectorAll(all)].flatMap((element) => [...element.shadowRoot.querySelectorAll("input, select, textarea, summary")])
          .filter((control) => control.getBoundingClientRect().height < 48).map((control) => control.name || control.localName), ALL);
        assert.deepEqual(small, []);
        assert.ok(await one.evaluate(() => document.documentElement.scrollWidth <= innerWidth));
        if (path === "/article.html") await one.screenshot(`article-${size.width}-${scheme}`);
        // The frame inside the article is looked at by itself.
        await one.evaluate(() => { for (const frame of document.querySelectorAll("iframe")) frame.remove(); });
        assert.deepEqual(await violations(one), [], `${path} ${size.width} ${scheme}`);
        await one.close();
      }
    }
  }
});

test("chromium: without script the article shows every answer as a table", async () => {
  const one = await at("chromium", "/article.html", { script: false });
  const html = await (await fetch(`${host.address}/article.html`)).text();
  assert.equal(html.split("<table>").length - 1, 5);
  assert.match(html, /It loses<\/th><td>\d/);
  assert.ok(!html.includes("<!--"));
  await one.close();
});

test("importing in Node does nothing but name things, and needs no document", async () => {
  const names = Object.getOwnPropertyNames(globalThis);
  const module = await import(new URL("../../dist/embed/embed.mjs", import.meta.url));
  assert.deepEqual(Object.getOwnPropertyNames(globalThis), names);
  module.define();
  assert.deepEqual(Object.keys(module.ELEMENTS).sort(), Object.keys(module.QUESTIONS).sort());
});

test("a table holds no script, frame or style, whatever the entries and names say", async () => {
  const { Core, Refused, table } = await import(new URL("../../dist/embed/embed.mjs", import.meta.url));
  const core = await new Core(() => readFileSync(new URL("../../dist/embed/cellwright-embed.wasm", import.meta.url))).start();
  for (const script of SCRIPTS) {
    const name = script.replaceAll(/[|;\t\n]/g, " ");
    const entries = [["cells", `${name} | 2.4 Ah; A2 | 2.3 Ah; A3 | 2.1 Ah; A4 | 1.8 Ah`], ["chemistry", "nmc"], ["series", "2"], ["parallel", "2"]];
    const html = table("cellwright-cells", entries, core.ask("reader_cells", entries), script);
    const tags = [...html.matchAll(/<\/?([^\s>]+)([^>]*)>/g)];
    for (const [, tag, rest] of tags) {
      assert.ok(["table", "caption", "tbody", "tr", "th", "td", "p", "ul", "li", "strong", "a", "br"].includes(tag), tag);
      assert.match(rest, /^( scope="row"| href="https:\/\/[^"]*" rel="noopener")?$/);
    }
  }
  assert.match(table("cellwright-knob", [], core.ask("reader_knob", [["supply_v", "12 V"], ["frequency_hz", "200 Hz"]]), "https://example.invalid/a?b=\"c\""), /href="https:\/\/example\.invalid\/a\?b=%22c%22"/);
  for (const text of [...REFUSED_PLANS.filter((plan) => plan.length < 2000), ...ENTRIES]) {
    assert.throws(() => core.askText("reader_wire", text), Refused);
  }
  assert.equal({}.polluted, undefined);
});
