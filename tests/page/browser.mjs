// Opens a page in a real browser: the same few verbs for three engines.
//
// ```js
// const page = await open("firefox", { width: 360, height: 740, scheme: "dark" });
// await page.fill("#length_m", "1,5");
// await page.until(() => document.querySelector("output").textContent !== "");
// assert.deepEqual(await page.problems(), []);
// await page.close();
// ```
//
// Call `closeAll` after the last test. Where the browsers lie stands in the environment, set by `cargo xtask test`:
// CELLWRIGHT_CHROMIUM, CELLWRIGHT_FIREFOX, CELLWRIGHT_WEBKIT_DRIVER, CELLWRIGHT_WEBKIT; without them they are sought
// under their usual names.

import { mkdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import * as puppet from "./puppet.mjs";
import * as webkit from "./webkit.mjs";

/** @typedef {"chromium" | "firefox" | "webkit"} Engine */

/**
 * @typedef {object} Options
 * @property {string} [url] page to open; the built one where left out
 * @property {number} [width] of the viewport, in CSS pixels
 * @property {number} [height] of the viewport, in CSS pixels
 * @property {"light" | "dark"} [scheme] colours that the person prefers
 * @property {string} [language] that the person reads, such as "de-DE"; not WebKit
 * @property {boolean} [script] whether scripts run; only Chromium can switch them off
 * @property {boolean} [offline] whether the network is cut; only Chromium can cut it
 * @property {{name: string, value: string}[]} [media] other preferences, such as reduced motion; only Chromium
 * @property {number} [slower] how many times slower the processor seems; only Chromium
 */

/** @type {Engine[]} */
export const ENGINES = ["chromium", "firefox", "webkit"];

/** The two sizes at which every screen is looked at. */
export const SIZES = [{ width: 360, height: 740 }, { width: 1280, height: 800 }];

/** The built page. */
export const PAGE = pathToFileURL(fileURLToPath(new URL("../../dist/cellwright.html", import.meta.url))).href;

/**
 * Opens a page and waits until it is loaded.
 * @param {Engine} engine
 * @param {Options} [options]
 */
export async function open(engine, options = {}) {
  const usual = { url: PAGE, width: 1280, height: 800, scheme: /** @type {const} */ ("light"), language: "en-US" };
  const wanted = { ...usual, ...options };
  const tab = engine === "webkit" ? await webkit.open(wanted) : await puppet.open(engine, wanted);
  return new Page(engine, tab);
}

/** Ends every browser that was started. */
export async function closeAll() {
  await Promise.all([puppet.closeAll(), webkit.closeAll()]);
}

/** An open page. What only some engines can do stands under `tab`. */
export class Page {
  /**
   * @param {Engine} engine
   * @param {puppet.Tab | webkit.Tab} tab
   */
  constructor(engine, tab) {
    this.engine = engine;
    this.tab = tab;
  }

  /**
   * Runs a function in the page; arguments and result are plain data, a promise is waited for.
   * @template T
   * @param {(...args: any[]) => T | Promise<T>} run
   * @param {...unknown} args
   * @returns {Promise<T>}
   */
  evaluate(run, ...args) {
    return this.tab.evaluate(run, args);
  }

  /**
   * Asks again until the function's result is true in JavaScript's sense; gives that result.
   * @template T
   * @param {(...args: any[]) => T | Promise<T>} run
   * @param {...unknown} args
   * @returns {Promise<T>}
   */
  async until(run, ...args) {
    const end = Date.now() + 20_000;
    for (;;) {
      const result = await this.evaluate(run, ...args).catch((error) => {
        // A page that is just being replaced refuses to be asked.
        if (!/context|navigat|destroy/i.test(String(error))) throw error;
      });
      if (result) return result;
      if (Date.now() > end) throw new Error(`waited 20 s in ${this.engine} for ${run}, problems: ${JSON.stringify(await this.problems())}`);
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }

  /**
   * Presses keys while the element has the focus.
   * @param {string} selector
   * @param {string} text
   */
  async type(selector, text) {
    await this.tab.type(selector, text);
  }

  /**
   * Selects what the input holds and types over it.
   * @param {string} selector
   * @param {string} text
   */
  async fill(selector, text) {
    await this.evaluate((at) => document.querySelector(at).select(), selector);
    await this.tab.type(selector, text);
  }

  /** @param {string} selector */
  async click(selector) {
    await this.tab.click(selector);
  }

  /**
   * What the element says.
   * @param {string} selector
   * @returns {Promise<string>}
   */
  text(selector) {
    return this.evaluate((at) => {
      const element = document.querySelector(at);
      if (!element) throw new Error(`nothing matches ${at}`);
      return element.textContent.replace(/\s+/g, " ").trim();
    }, selector);
  }

  /** Everything that went wrong so far, as a person would find it in the browser's console. */
  problems() {
    return this.tab.problems();
  }

  /** Addresses of everything that the page asked for, itself first. */
  requests() {
    return this.tab.requests();
  }

  /**
   * Takes a picture into the folder CELLWRIGHT_SHOTS, or `dist/shots`.
   * @param {string} name of the file, without its end
   */
  async screenshot(name) {
    const folder = process.env.CELLWRIGHT_SHOTS ?? fileURLToPath(new URL("../../dist/shots", import.meta.url));
    const file = join(folder, `${name}.png`);
    mkdirSync(dirname(file), { recursive: true });
    writeFileSync(file, await this.tab.screenshot());
    return file;
  }

  async close() {
    await this.tab.close();
  }
}
