// A plan in a link: behind the hash, so that no server ever sees it. What comes back by one is not trusted.

import { bytes } from "./bytes.js";
import { TEXTS } from "./en.js";
import { byId, make, turn } from "./dom.js";
import { LONGEST } from "./reading.js";
import { state } from "./store.js";

/** How a link's plan begins: packed, or plain where the browser cannot pack. The number is that of this way of writing. */
const PACKED = "#cellwright-1p.";
const PLAIN = "#cellwright-1t.";

/** Longest link that messengers hand on whole, in characters. Common practice, no source. */
const SAFE_LENGTH = 2000;

/** Longest hash that is looked at, in characters. */
const HASH_LONGEST = 400_000;

/** @param {Uint8Array} bytes */
function letters(bytes) {
  let text = "";
  for (const byte of bytes) text += String.fromCharCode(byte);
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/** @param {string} text */
const bytesOf = (text) => bytes(text.replaceAll("-", "+").replaceAll("_", "/"));

/** All that comes out of a stream, and no more than is ever read. @param {ReadableStream} stream */
async function drained(stream) {
  const reader = stream.getReader();
  /** @type {BlobPart[]} */
  const parts = [];
  let length = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    length += value.length;
    if (length > LONGEST) {
      await reader.cancel();
      throw new Error(TEXTS.too_long);
    }
    parts.push(value);
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}

/** @param {string} text */
async function hashOf(text) {
  const plain = new TextEncoder().encode(text);
  try {
    const stream = new Blob([plain]).stream().pipeThrough(new CompressionStream("deflate-raw"));
    return PACKED + letters(await drained(stream));
  } catch {
    return PLAIN + letters(plain);
  }
}

/** Whether a hash is meant for this page. @param {string} hash */
export const isPlan = (hash) => hash.startsWith("#cellwright-");

/** The text that a hash holds. @param {string} hash */
export async function textOf(hash) {
  if (hash.length > HASH_LONGEST) throw new Error(TEXTS.too_long);
  try {
    const packed = hash.startsWith(PACKED);
    if (!packed && !hash.startsWith(PLAIN)) throw new Error(TEXTS.link_later);
    const bytes = bytesOf(hash.slice((packed ? PACKED : PLAIN).length));
    const all = packed ? await drained(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"))) : bytes;
    return new TextDecoder("utf-8", { fatal: true }).decode(all);
  } catch (error) {
    const known = error instanceof Error && [TEXTS.too_long, TEXTS.link_later].includes(error.message);
    throw known ? error : new Error(TEXTS.link_cut);
  }
}

/** Takes the plan out of the address, so that a reload does not bring it again. */
export function clearHash() {
  try {
    history.replaceState(null, "", location.href.split("#")[0]);
  } catch {
    location.hash = "";
  }
}

/** A link to the open plan, a field to copy it from, and how long it is. */
export function share() {
  const link = /** @type {HTMLTextAreaElement} */ (make("textarea", { id: "link", rows: "3", readonly: true, spellcheck: "false" }));
  const note = make("p", { id: "link-note", role: "status" });
  const place = make("div", { id: "share", hidden: true });
  const copyLink = async () => {
    link.select();
    try {
      await navigator.clipboard.writeText(link.value);
      note.textContent = TEXTS.link_copied;
    } catch {
      note.textContent = TEXTS.link_selected;
    }
  };
  const handOn = async () => {
    try {
      await navigator.share({ title: state.plan.name || TEXTS.unnamed, url: link.value });
    } catch {
      // Whoever closes the browser's own list has changed their mind.
    }
  };
  place.append(make("label", { for: "link" }, TEXTS.link), link, note, make("div", { class: "tools" },
    make("button", { type: "button", id: "do-copy-link", click: copyLink }, TEXTS.copy_link),
    ...("share" in navigator ? [make("button", { type: "button", id: "do-hand-on", click: handOn }, TEXTS.hand_on)] : [])));
  const show = async () => {
    link.value = location.href.split("#")[0] + await hashOf(JSON.stringify(state.plan));
    place.hidden = false;
    const long = link.value.length > SAFE_LENGTH ? ` ${TEXTS.link_long}` : "";
    const local = location.protocol === "file:" ? ` ${TEXTS.link_local}` : "";
    note.textContent = `${TEXTS.link_length} ${link.value.length}.${long}${local}`;
    link.select();
  };
  return { button: make("button", { type: "button", id: "do-link", click: show }, TEXTS.make_link), place };
}

/** The link belongs to the plan as it stood; after a change it is made again. */
export function stale() {
  turn(byId("share"), { hidden: true });
}
