// The page of a frame: one element, made from the address behind the number sign; tells its height to the page around.

import { QUESTIONS, attribute } from "./questions.js";
import { unpacked } from "../bytes.js";
import { Core } from "./core.js";
import { text } from "./en.js";
import { cores, define } from "./element.js";

/** Longest address part that is read, in characters. */
const LONGEST = 8_000;

/** The element that the hash asks for, such as `#cellwright-wire&length-m=2&area-mm2=0.75`; null where it asks for none. */
function element() {
  const hash = location.hash.slice(1);
  const [tag, ...rest] = hash.split("&");
  if (hash.length > LONGEST || !Object.hasOwn(QUESTIONS, tag) || QUESTIONS[tag].whole) return null;
  const made = document.createElement(tag);
  const fields = QUESTIONS[tag].fields.map(attribute);
  for (const [name, value] of new URLSearchParams(rest.join("&"))) {
    // A name that is no entry is kept out of the markup, and told.
    if (fields.includes(name)) made.setAttribute(name, value);
    else unknown.push(name.slice(0, 40));
  }
  return made;
}

/** @type {string[]} */
let unknown = [];

/** The height that was told last. */
let told = 0;

/** Whether the element has its answer, or has said why not. */
function isSettled() {
  const made = /** @type {any} */ (document.getElementById("place")?.firstElementChild);
  return !made || made.answer !== null || made.errors.length > 0;
}

/** Height of what is shown, for the page around; it checks the message itself. Nothing is told of what is half there. */
function tell() {
  if (!isSettled()) {
    requestAnimationFrame(tell);
    return;
  }
  const height = Math.ceil(document.body.getBoundingClientRect().height);
  if (parent !== window && height !== told) parent.postMessage({ type: "cellwright-height", version: 1, height }, "*");
  told = height;
}

function show() {
  unknown = [];
  const made = element();
  const place = /** @type {HTMLElement} */ (document.getElementById("place"));
  const note = /** @type {HTMLElement} */ (document.getElementById("note"));
  place.replaceChildren(...(made ? [made] : []));
  const refused = made ? (unknown.length > 0 ? `${text("frame_unknown")} ${unknown.join(", ")}` : "") : text("frame_address");
  note.textContent = refused;
  note.hidden = refused === "";
}

cores.short = new Core(() => unpacked(document.getElementById("wasm")?.textContent ?? ""));
define();
addEventListener("hashchange", show);
show();
new ResizeObserver(tell).observe(document.body);
