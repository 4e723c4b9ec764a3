// The script of a page: makes the elements known. The Wasm lies beside it and is asked for when it is needed.

import { Core } from "./core.js";
import { cores, define } from "./element.js";

const own = /** @type {HTMLScriptElement | null} */ (document.currentScript);

/** @param {string} file @param {string} integrity */
const beside = (file, integrity) => new Core(() => fetch(new URL(file, own?.src || document.baseURI), { integrity, credentials: "omit" }));

const known = /** @type {any} */ (globalThis);
// A second copy of the script changes nothing.
if (!known.cellwrightEmbed) {
  cores.short = beside("cellwright-embed.wasm", SHORT_INTEGRITY);
  cores.whole = beside("cellwright-plan.wasm", WHOLE_INTEGRITY);
  Object.defineProperty(known, "cellwrightEmbed", { value: Object.freeze({ version: VERSION }) });
  define();
}
