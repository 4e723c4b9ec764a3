// Starts the Wasm that stands in the page as compressed text.

import init from "cellwright";

/** Unpacks, compiles and starts it; needs no network. */
export async function load() {
  const text = /** @type {HTMLElement} */ (document.getElementById("wasm")).textContent ?? "";
  const packed = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  await init({ module_or_path: await new Response(stream).arrayBuffer() });
}
