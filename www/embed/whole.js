// The same in one file, for a frame or for a page that is opened from a disk: the Wasm stands in the script.

import { unpacked } from "../bytes.js";
import { Core } from "./core.js";
import { cores, define } from "./element.js";
import short from "cellwright-embed-text";

const known = /** @type {any} */ (globalThis);
if (!known.cellwrightEmbed) {
  cores.short = new Core(() => unpacked(short));
  Object.defineProperty(known, "cellwrightEmbed", { value: Object.freeze({ version: VERSION }) });
  define();
}
