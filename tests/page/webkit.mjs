// WebKit, driven over HTTP by its own driver (W3C WebDriver). It needs a screen: run under `xvfb-run`.
//
// The driver tells nothing of the console, so a copy of the page is opened that holds the probe as its first script,
// before the page's policy. Its windows are never as narrow as a phone, so that narrow pages stand in a frame.

import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { probe } from "./probe.mjs";

/** Width of the narrowest window, and height of the bar above the page. */
const NARROWEST = 500;
const BAR = 38;
/** Name that WebDriver gives to elements. */
const ELEMENT = "element-6066-11e4-a52e-4f735466cecf";

/** Drivers that run. */
const running = new Set();

function place() {
  if (process.env.CELLWRIGHT_WEBKIT) return process.env.CELLWRIGHT_WEBKIT;
  const files = execFileSync("dpkg", ["-L", "libwebkit2gtk-4.1-0"], { encoding: "utf8" }).split("\n");
  const found = files.find((file) => file.endsWith("/MiniBrowser"));
  if (!found) throw new Error("WebKit is not installed");
  return found;
}

/** A port that nobody listens on. */
function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer();
    server.on("error", reject);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}

/** Opens `url` in a browser of its own. */
export async function open({ url, width, height, scheme, language, ...rest }) {
  if (language !== "en-US") throw new Error(`WebKit speaks en-US here, not ${language}`);
  if (Object.keys(rest).length > 0) throw new Error(`WebKit has no ${Object.keys(rest).join(", ")}`);
  const folder = mkdtempSync(join(tmpdir(), "cellwright-page-"));
  const port = await freePort();
  // It takes its language from the locale: "C" is en-US, others would have to be installed.
  const env = { ...process.env, LC_ALL: "C" };
  const driver = spawn(process.env.CELLWRIGHT_WEBKIT_DRIVER ?? "WebKitWebDriver", [`--port=${port}`], { env, stdio: "ignore" });
  const tab = new Tab(`http://127.0.0.1:${port}`, driver, folder);
  running.add(tab);
  try {
    const args = ["--automation", ...(scheme === "dark" ? ["--dark-mode"] : [])];
    await tab.begin({ "webkitgtk:browserOptions": { binary: place(), args } });
    await tab.show(watched(url, folder), width, height);
    return tab;
  } catch (error) {
    await tab.close();
    throw error;
  }
}

export async function closeAll() {
  await Promise.all([...running].map((tab) => tab.close()));
}

/** Address of a copy with the probe as its first script; what a server hands out is shown as it is. */
function watched(url, folder) {
  if (!url.startsWith("file:")) return url;
  const html = readFileSync(fileURLToPath(url), "utf8");
  const copy = join(folder, "page.html");
  const at = html.indexOf("<head>") + "<head>".length;
  writeFileSync(copy, `${html.slice(0, at)}<script>(${probe})()</script>${html.slice(at)}`);
  return pathToFileURL(copy).href;
}

/** A session that answers only after some time is asked again. */
async function patiently(call) {
  for (let tries = 0; ; tries += 1) {
    try {
      return await call();
    } catch (error) {
      if (tries === 100) throw error;
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }
}

export class Tab {
  constructor(server, driver, folder) {
    this.server = server;
    this.driver = driver;
    this.folder = folder;
    this.session = "";
    this.frame = null;
  }

  async call(method, path, body) {
    const answer = await fetch(this.server + this.session + path, { method, body: body && JSON.stringify(body) });
    const { value } = await answer.json();
    if (!answer.ok) throw new Error(`${value.error}: ${value.message}`);
    return value;
  }

  async begin(capabilities) {
    await patiently(() => fetch(`${this.server}/status`));
    const { sessionId } = await this.call("POST", "/session", { capabilities: { alwaysMatch: capabilities } });
    this.session = `/session/${sessionId}`;
  }

  async show(url, width, height) {
    await this.call("POST", "/window/rect", { width: Math.max(width, NARROWEST), height: height + BAR });
    if (width >= NARROWEST) {
      await this.call("POST", "/url", { url });
      return;
    }
    const outside = join(this.folder, "frame.html");
    const style = `display:block;border:0;width:${width}px;height:${height}px`;
    writeFileSync(outside, `<!doctype html><body style="margin:0"><iframe style="${style}" src="${url}"></iframe>`);
    await this.call("POST", "/url", { url: pathToFileURL(outside).href });
    this.frame = await this.call("POST", "/element", { using: "css selector", value: "iframe" });
    await this.call("POST", "/frame", { id: this.frame });
  }

  /** What comes of it goes over as JSON text: the driver cannot read every value. */
  async evaluate(run, args) {
    const script = `const done = arguments[arguments.length - 1];
      Promise.resolve().then(() => (${run})(...arguments[0]))
        .then((value) => done(JSON.stringify({ value: value ?? null })), (error) => done(JSON.stringify({ error: String(error) })));`;
    const { value, error } = JSON.parse(await this.call("POST", "/execute/async", { script, args: [args] }));
    if (error !== undefined) throw new Error(error);
    return value;
  }

  async element(selector) {
    return (await this.call("POST", "/element", { using: "css selector", value: selector }))[ELEMENT];
  }

  async type(selector, text) {
    await this.call("POST", `/element/${await this.element(selector)}/value`, { text });
  }

  async click(selector) {
    await this.call("POST", `/element/${await this.element(selector)}/click`, {});
  }

  problems() {
    return this.evaluate(() => globalThis.__problems ?? [], []);
  }

  requests() {
    return this.evaluate(() => {
      const loaded = performance.getEntriesByType("resource").map((entry) => entry.name);
      return [location.href, ...loaded];
    }, []);
  }

  async screenshot() {
    if (!this.frame) return Buffer.from(await this.call("GET", "/screenshot"), "base64");
    await this.call("POST", "/frame", { id: null });
    const picture = await this.call("GET", `/element/${this.frame[ELEMENT]}/screenshot`);
    await this.call("POST", "/frame", { id: this.frame });
    return Buffer.from(picture, "base64");
  }

  async close() {
    if (!running.delete(this)) return;
    // Without a session there is no browser to close.
    if (this.session) await this.call("DELETE", "").catch(() => {});
    this.driver.kill();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
