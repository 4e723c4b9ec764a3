// Bytes from base64.

/** A loop: `Uint8Array.from` with a function takes ten times as long. @param {string} text */
export function bytes(text) {
  const letters = atob(text);
  const all = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i += 1) all[i] = letters.charCodeAt(i);
  return all;
}
