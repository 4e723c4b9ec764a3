// Starts the Wasm that stands in the page as compressed text.

import init from "cellwright";
import { bytes } from "./bytes.js";

/** Unpacks, compiles and starts it, compiling what is unpacked already; needs no network. */
export async function load() {
  const packed = bytes(/** @type {HTMLElement} */ (document.getElementById("wasm")).textContent ?? "");
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  await init({ module_or_path: new Response(stream, { headers: { "content-type": "application/wasm" } }) });
}
