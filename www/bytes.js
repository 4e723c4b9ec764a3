// Bytes from base64.

/** A loop: `Uint8Array.from` with a function takes ten times as long. @param {string} text */
export function bytes(text) {
  const letters = atob(text);
  const all = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i += 1) all[i] = letters.charCodeAt(i);
  return all;
}

/** Wasm that was compressed and written as text, as an answer that can be compiled while it is unpacked. @param {string} text */
export function unpacked(text) {
  const stream = new Blob([bytes(text)]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream, { headers: { "content-type": "application/wasm" } });
}
