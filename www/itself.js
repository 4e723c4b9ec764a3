// The page as a file: put together from its parts as they stood before script changed any of them.

import { make } from "./dom.js";
import { TEXTS } from "./en.js";

const { documentElement: root, head, body } = document;

/** Copies of everything but the long texts, which script never changes; this runs before anything else does. */
const parts = {
  root: /** @type {HTMLElement} */ (root.cloneNode(false)),
  head: head.cloneNode(true),
  body: /** @type {HTMLElement} */ (body.cloneNode(false)),
  inBody: [...body.childNodes].map((node) => (node instanceof HTMLScriptElement ? node : node.cloneNode(true))),
};

/** The whole page as text, the same as it was opened. */
function source() {
  const page = /** @type {HTMLElement} */ (parts.root.cloneNode(false));
  const inside = /** @type {HTMLElement} */ (parts.body.cloneNode(false));
  inside.append(...parts.inBody.map((node) => node.cloneNode(true)));
  page.append(parts.head.cloneNode(true), "\n", inside);
  return `<!doctype html>\n${page.outerHTML}\n`;
}

/** A plain link that saves the page. */
export function saveLink() {
  const link = /** @type {HTMLAnchorElement} */ (make("a", { id: "save-page", class: "button", download: "cellwright.html", href: "#save-page" }, TEXTS.save_page));
  const fill = () => {
    if (link.href.startsWith("blob:")) return;
    link.href = URL.createObjectURL(new Blob([source()], { type: "text/html" }));
  };
  // Made when a hand reaches for it: opening the page waits for nothing.
  for (const moment of ["pointerdown", "focus", "click"]) link.addEventListener(moment, fill);
  return link;
}
