// For a single file: the Wasm is in the script, compressed.

import { begin } from "./begin.js";
import { text } from "./text.js";

export * from "./core.js";

export function init(source) {
  return begin(() => source ?? unpack());
}

export default init;

function unpack() {
  const packed = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}
