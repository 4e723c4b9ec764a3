// The stations of the road as folded parts: what is in one is built when it is opened.

import { TEXTS } from "./en.js";
import { byId, make, onOpened } from "./dom.js";
import { wrong } from "./fields.js";
import { STATIONS } from "./stations.js";
import { toolsOf } from "./tools/index.js";

/** Stations whose entries stand as the plan is shaped. @type {Set<string>} */
const built = new Set();

/** Where the entries of a station go. @param {string} name */
const inside = (name) => byId(`inside-${name}`);

/** Builds a station, unless it stands. @param {string} name */
function fill(name) {
  if (built.has(name)) return;
  built.add(name);
  const place = inside(name);
  const open = [...place.querySelectorAll("details[open]")].map((part) => part.id).filter(Boolean);
  place.replaceChildren(make("h3", { class: "change" }, TEXTS.change), ...STATIONS[name](), ...toolsOf(name));
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
}

/** Builds what is needed to reach an entry. @param {string} pointer */
export function build(pointer) {
  const entry = `[name="${CSS.escape(pointer)}"]`;
  for (const name of Object.keys(STATIONS)) {
    if (document.querySelector(entry)) return;
    fill(name);
  }
}

/** Builds the entries anew, after the plan's shape has changed: those of open stations at once, the others when opened. */
export function rebuild() {
  const { name: focused } = /** @type {HTMLInputElement} */ (document.activeElement ?? {});
  wrong.clear();
  built.clear();
  for (const name of Object.keys(STATIONS)) {
    if (/** @type {HTMLDetailsElement} */ (byId(`part-${name}`)).open) fill(name);
    else inside(name).replaceChildren();
  }
  // Whoever has just chosen stays where the choice was.
  if (focused && document.activeElement === document.body) /** @type {HTMLElement | null} */ (document.querySelector(`#stations [name="${CSS.escape(focused)}"]`))?.focus();
}

/** A station, folded; one that lay open stays so. @param {string} name @param {() => void} opened what else is to be done when it is opened */
function folded(name, opened) {
  const part = make("details", { class: "part", id: `part-${name}`, open: document.querySelector(`#part-${name}[open]`) !== null },
    make("summary", {}, TEXTS[name], make("span", { class: "headline", id: `headline-${name}` })), make("div", { class: "answer-line", id: `answer-${name}` }), make("p", { class: "rests source", id: `rests-${name}` }, TEXTS[`rests_${name}`]),
    make("div", { id: `inside-${name}` }));
  onOpened(part, () => {
    fill(name);
    opened();
  });
  return part;
}

/** Makes the stations anew, as for another language. @param {() => void} opened what else is to be done when one is opened */
export function road(opened) {
  byId("stations").replaceChildren(...Object.keys(STATIONS).map((name) => folded(name, opened)));
}
