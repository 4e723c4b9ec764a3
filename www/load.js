// Starts the Wasm that stands in the page as compressed text.

import init from "cellwright";
import { unpacked } from "./bytes.js";

/** Unpacks, compiles and starts it, compiling what is unpacked already; needs no network. */
export async function load() {
  await init({ module_or_path: unpacked(/** @type {HTMLElement} */ (document.getElementById("wasm")).textContent ?? "") });
}
