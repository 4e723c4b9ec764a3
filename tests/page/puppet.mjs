// Chromium and Firefox, driven by puppeteer-core.

import { execFileSync } from "node:child_process";
import { createRequire } from "node:module";
import { probe } from "./probe.mjs";

const require = createRequire(new URL("../../pkg-config/npm/package.json", import.meta.url));
const puppeteer = require("puppeteer-core");

/** Browsers that run, by engine and what cannot be changed while they run. */
const running = new Map();

const usual = { chromium: ["chromium"], firefox: ["firefox-esr", "firefox"] };

function place(engine) {
  const told = process.env[`CELLWRIGHT_${engine.toUpperCase()}`];
  if (told) return told;
  for (const name of usual[engine]) {
    try {
      return execFileSync("which", [name], { encoding: "utf8" }).trim();
    } catch {
      // The next name may be there.
    }
  }
  throw new Error(`${engine} is not installed`);
}

function start(engine, scheme, language) {
  const common = { executablePath: place(engine), headless: true, protocolTimeout: 120_000 };
  if (engine === "chromium") {
    return puppeteer.launch({ ...common, args: ["--no-sandbox", "--hide-scrollbars", "--force-color-profile=srgb"] });
  }
  const preferences = {
    "layout.css.prefers-color-scheme.content-override": scheme === "dark" ? 0 : 1,
    "intl.accept_languages": language,
  };
  return puppeteer.launch({ ...common, browser: "firefox", extraPrefsFirefox: preferences });
}

/** Opens `url` in a tab of its own that shares nothing with the others. */
export async function open(engine, options) {
  const { url, width, height, scheme, language, script = true, offline = false, media = [], slower = 1 } = options;
  const key = engine === "chromium" ? engine : `${engine} ${scheme} ${language}`;
  if (!running.has(key)) running.set(key, start(engine, scheme, language));
  const browser = await running.get(key);
  const context = await browser.createBrowserContext();
  const page = await context.newPage();
  await page.setViewport({ width, height });
  if (engine === "chromium") {
    const userAgent = await browser.userAgent();
    await (await page.createCDPSession()).send("Emulation.setUserAgentOverride", { userAgent, acceptLanguage: language });
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }, ...media]);
    if (!script) await page.setJavaScriptEnabled(false);
    if (offline) await page.setOfflineMode(true);
    if (slower !== 1) await page.emulateCPUThrottling(slower);
  } else if (!script || offline || media.length > 0 || slower !== 1) {
    throw new Error("only Chromium can do that");
  }
  const tab = new Tab(context, page);
  if (script) await page.evaluateOnNewDocument(probe);
  await page.goto(url, { waitUntil: "load" });
  return tab;
}

export async function closeAll() {
  const browsers = await Promise.all(running.values());
  running.clear();
  await Promise.all(browsers.map((browser) => browser.close()));
}

export class Tab {
  constructor(context, page) {
    this.context = context;
    /** The page as puppeteer-core knows it, for what only Chromium can do: printing, tracing, emulation. */
    this.page = page;
    this.asked = [];
    this.crashes = [];
    page.on("request", (request) => this.asked.push(request.url()));
    page.on("pageerror", (error) => this.crashes.push({ kind: "error", text: String(error?.message ?? error) }));
    page.on("console", (message) => {
      // What the browser itself writes, such as a refused file; what the page writes is noted by the probe.
      if (message.type() === "error" && message.stackTrace().length === 0) {
        this.crashes.push({ kind: "console", text: message.text() });
      }
    });
  }

  evaluate(run, args) {
    return this.page.evaluate(run, ...args);
  }

  async type(selector, text) {
    await this.page.focus(selector);
    await this.page.keyboard.type(text);
  }

  click(selector) {
    return this.page.click(selector);
  }

  async problems() {
    const seen = await this.page.evaluate(() => globalThis.__problems ?? []);
    return [...seen, ...this.crashes.filter((crash) => !seen.some((other) => other.text.includes(crash.text)))];
  }

  async requests() {
    return [...this.asked];
  }

  screenshot() {
    return this.page.screenshot({ fullPage: true });
  }

  async close() {
    await this.context.close();
  }
}
