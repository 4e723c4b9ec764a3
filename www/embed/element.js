// The elements. Attributes are the state; text is only ever set as text; nothing is worked out before it is near the
// part that is seen.

import { Refused } from "./core.js";
import { text } from "./en.js";
import { QUESTIONS, attribute, fieldOf } from "./questions.js";
import { lineLabel, lineWords, mark, sourceWords } from "./table.js";
import css from "cellwright-embed-style";

/** @typedef {import("./core.js").Core} Core */
/** @typedef {import("cellwright").ReaderAnswer} ReaderAnswer */

/** Attributes of every element, and those that belong to the host page: no entries. */
const HOSTS = new Set(["id", "class", "style", "slot", "part", "exportparts", "hidden", "lang", "dir", "title", "role", "tabindex", "translate", "is", "inert", "nonce", "itemprop"]);

/** Lines that say what a number rests on. */
const ASIDE = new Set(["limit_holds", "limit_source", "ended_by"]);

/** Longest entry that is handed to the crate, in characters. */
const LONGEST = 1_000_000;

/** How far below the seen part an element starts to work. */
const NEAR = "400px 0px";

/** Where the Wasm comes from; set before the first element is near. */
export const cores = { /** @type {Core | undefined} */ short: undefined, /** @type {Core | undefined} */ whole: undefined };

/** Node has no elements: there a class of this kind can be named, but not used. */
const Base = /** @type {typeof HTMLElement} */ (globalThis.HTMLElement ?? class {});

/** @type {CSSStyleSheet | undefined} */
let sheet;

/** One sheet for all elements of a document. */
function styles() {
  if (!sheet) {
    sheet = new CSSStyleSheet();
    sheet.replaceSync(css);
  }
  return sheet;
}

/** @type {IntersectionObserver | undefined} */
let observer;

/** Calls `near` once, when the element is about to be seen. @param {Reader} element */
function whenNear(element) {
  if (typeof IntersectionObserver !== "function") {
    element.near();
    return;
  }
  observer ??= new IntersectionObserver((entries) => {
    for (const { isIntersecting, target } of entries) {
      if (!isIntersecting) continue;
      observer?.unobserve(target);
      /** @type {Reader} */ (target).near();
    }
  }, { rootMargin: NEAR });
  observer.observe(element);
}

/**
 * @param {string} tag
 * @param {Record<string, string>} [attributes]
 * @param {...(Node | string)} children
 */
function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

let count = 0;

/** What all elements have in common. */
export class Reader extends Base {
  /** @type {string} */
  static tag = "";

  static get observedAttributes() {
    const { fields } = QUESTIONS[this.tag];
    return fields.map(attribute);
  }

  constructor() {
    super();
    /** The last answer; null before there is one, or where the entries cannot be used. @type {ReaderAnswer | null} */
    this.answer = null;
    /** What is wrong with the entries; empty where all is well. @type {import("./core.js").Mistake[]} */
    this.errors = [];
    this.number = count += 1;
    this.isNear = false;
    this.isWaiting = false;
    /** @type {Core | undefined} */
    this.core = undefined;
    /** @type {Map<string, HTMLInputElement>} */
    this.inputs = new Map();
  }

  /** What belongs to this kind of element. */
  get kind() {
    return QUESTIONS[/** @type {typeof Reader} */ (this.constructor).tag];
  }

  get tag() {
    return /** @type {typeof Reader} */ (this.constructor).tag;
  }

  connectedCallback() {
    for (const field of this.kind.fields) this.upgrade(field);
    if (!this.shadowRoot) {
      const root = this.attachShadow({ mode: "open" });
      root.adoptedStyleSheets = [styles()];
      // The stand-in takes no more room than is kept for the answer, so that nothing moves when that comes.
      root.append(make("div", { class: "stand-in", part: "stand-in" }, make("slot")));
    }
    if (this.isNear) this.changed();
    else whenNear(this);
  }

  disconnectedCallback() {
    observer?.unobserve(this);
  }

  attributeChangedCallback() {
    if (this.isNear && this.isConnected) this.changed();
  }

  /** A property that was set before the element was known becomes an attribute. @param {string} field */
  upgrade(field) {
    if (!Object.hasOwn(this, field)) return;
    const value = /** @type {any} */ (this)[field];
    delete (/** @type {any} */ (this)[field]);
    /** @type {any} */ (this)[field] = value;
  }

  /** Starts the Wasm; where that is forbidden, the entries stay as text. */
  async near() {
    if (this.isNear) return;
    this.isNear = true;
    try {
      const core = this.kind.whole ? cores.whole : cores.short;
      if (!core) throw new Error("no Wasm is named");
      this.core = await core.start();
      this.changed();
    } catch (error) {
      this.isNear = false;
      this.unable(error);
    }
  }

  /** Works it out once, however many attributes change together. */
  changed() {
    if (this.isWaiting || !this.core) return;
    this.isWaiting = true;
    queueMicrotask(() => {
      this.isWaiting = false;
      if (this.isConnected) this.work();
    });
  }

  /** The entries as they are written; a name that is no entry is refused by the crate. @returns {[string, string][]} */
  entries() {
    const all = /** @type {[string, string][]} */ ([]);
    for (const { name, value } of this.attributes) {
      if (!HOSTS.has(name) && !/^(data|aria|on)/.test(name)) all.push([fieldOf(name), value]);
    }
    return all;
  }

  work() {
    const core = /** @type {Core} */ (this.core);
    try {
      this.answer = this.ask(core);
      this.errors = [];
    } catch (error) {
      this.answer = null;
      this.errors = error instanceof Refused ? error.errors : [{ code: "defect", path: "", field: "input", message: String(error) }];
    }
    this.show();
  }

  /** @param {Core} core @returns {ReaderAnswer} */
  ask(core) {
    const entries = this.entries();
    for (const [field, value] of entries) tooLong(field, value);
    return core.ask(this.kind.question, entries);
  }

  /** Shows what was worked out, or why not. */
  show() {
    const root = /** @type {ShadowRoot} */ (this.shadowRoot);
    let body = root.querySelector("[part=card]");
    if (!body) {
      body = this.card();
      root.replaceChildren(body);
    }
    const put = (/** @type {string} */ part, /** @type {(Node | string)[]} */ ...content) => /** @type {Element} */ (body.querySelector(`[part=${part}]`)).replaceChildren(...content);
    put("lines", ...(this.answer ? this.lines(this.answer.lines) : []));
    put("findings", ...(this.answer?.findings ?? []).map(finding));
    // What must not be built is said first, before any number.
    const verdict = this.answer?.verdict ? text(`verdict_${this.answer.verdict}`) : "";
    const stops = this.answer?.verdict === "stop";
    put("headline", stops ? verdict : this.headline());
    put("verdict", stops ? this.headline() : verdict);
    put("version", this.answer ? `${text("made_by")} ${this.answer.crate_version}, ${text("data")} ${this.answer.data_version}` : "");
    this.beside();
  }

  headline() {
    if (!this.answer) return `${text("refused")} ${this.errors.map(({ message }) => message).join("; ")}`;
    const lead = this.answer.lines.find(({ key }) => this.kind.lead.includes(key));
    return lead ? `${lineLabel(lead)} ${lineWords(lead)}` : "";
  }

  /** The frame of the answer, made once. */
  card() {
    const head = `head-${this.number}`;
    const body = make("section", { part: "card", "aria-labelledby": head },
      make("h2", { id: head, part: "title" }, text(this.tag)),
      make("div", { role: "status", "aria-atomic": "true" },
        make("p", { class: "headline", part: "headline" }), make("p", { class: "verdict", part: "verdict" })),
      make("ul", { part: "findings" }),
      make("dl", { part: "lines" }),
      make("p", { class: "caution", part: "caution" }, text(`caution-${this.tag}`)));
    if (!this.kind.whole) body.append(make("details", { part: "change" }, make("summary", {}, text("change")), make("div", { class: "entries", part: "entries" }, ...this.kind.fields.map((field) => this.entry(field)))));
    body.append(make("p", { class: "version", part: "version" }));
    return body;
  }

  /** The lines in their order; what belongs to one set stands under its number. @param {ReaderAnswer["lines"]} lines */
  lines(lines) {
    const sets = this.tag === "cellwright-knob";
    let before = "";
    return lines.flatMap((line) => {
      const own = sets && line.key !== "unmet";
      const head = own && line.of !== before ? [make("dt", { class: "of" }, `${line.of}.`)] : [];
      before = line.of;
      const label = own ? lineLabel({ ...line, of: "" }) : lineLabel(line);
      return [...head, make("dt", { part: "label" }, label), make("dd", { part: "value", class: ASIDE.has(line.key) ? "aside" : "" }, lineWords(line))];
    });
  }

  /** One entry with what it was read as, and what is wrong with it. @param {string} field */
  entry(field) {
    const [id, note] = [`${field}-${this.number}`, `${field}-note-${this.number}`];
    const choices = this.kind.choices[field];
    const options = () => [make("option", { value: "" }, text("choose")), ...choices.map((word) => make("option", { value: word }, text(word)))];
    const shared = { id, "aria-describedby": note, part: "input", name: field };
    const input = choices ? make("select", shared, ...options())
      : field === "cells" ? make("textarea", { ...shared, rows: "6", spellcheck: "false" })
        : make("input", { ...shared, type: "text", autocomplete: "off", inputmode: field === "series" || field === "parallel" ? "numeric" : "text" });
    input.addEventListener(choices ? "change" : "input", () => this.typed(field, /** @type {HTMLInputElement} */ (input).value));
    this.inputs.set(field, /** @type {HTMLInputElement} */ (input));
    return make("div", { class: "entry" }, make("label", { for: id }, text(field)), input, make("p", { id: note, class: "read" }));
  }

  /** A person changed an entry. @param {string} field @param {string} value */
  typed(field, value) {
    if (value.trim() === "") this.removeAttribute(attribute(field));
    else this.setAttribute(attribute(field), value);
    this.isWaiting = false;
    this.work();
    const detail = { field, value, answer: this.answer, errors: this.errors };
    this.dispatchEvent(new CustomEvent("cellwright-change", { bubbles: true, composed: true, detail }));
  }

  /** What stands beside the entries: how they were read, or what is wrong. */
  beside() {
    for (const [field, input] of this.inputs) {
      const stated = this.getAttribute(attribute(field));
      // What a person is typing stays as typed.
      if (/** @type {ShadowRoot} */ (this.shadowRoot).activeElement !== input && input.value !== (stated ?? "")) input.value = stated ?? "";
      const wrong = this.errors.filter(({ path }) => path === `/${field}` || path.startsWith(`/${field}/`));
      const read = this.answer?.entries.find((entry) => entry.field === field);
      const note = /** @type {Element} */ (input.nextElementSibling);
      note.textContent = wrong.length > 0 ? wrong.map(({ message }) => message).join("; ") : read ? readWords(read, stated === null) : "";
      note.className = wrong.length > 0 ? "wrong" : "read";
      if (wrong.length > 0) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  }

  /** What the page wrote between the tags stays, with the entries as text. @param {unknown} error */
  unable(error) {
    const root = /** @type {ShadowRoot} */ (this.shadowRoot);
    const lines = this.kind.whole ? [] : this.entries().flatMap(([field, value]) => [make("dt", {}, text(field)), make("dd", {}, value.slice(0, 2000))]);
    this.errors = [{ code: "unable", path: "", field: "input", message: String(error) }];
    root.replaceChildren(make("slot"), make("p", { part: "unable" }, text("unable")), make("dl", { part: "lines" }, ...lines), make("p", { class: "caution", part: "caution" }, text(`caution-${this.tag}`)));
  }
}

/** @param {string} field @param {string} value */
function tooLong(field, value) {
  if (value.length <= LONGEST) return;
  const message = `${field} is a text of ${value.length} characters, but at most ${LONGEST} are read`;
  throw new Refused([{ code: "not_accepted", path: `/${field}`, field, message }]);
}

/** @param {ReaderAnswer["entries"][number]} read @param {boolean} leftOut */
function readWords({ field, words, taken }, leftOut) {
  const shown = ["chemistry", "part", "resistors", "dielectric", "lies", "fuse_family"].includes(field) ? text : (/** @type {string} */ same) => same;
  if (leftOut) return `${text("left_out_taken")} ${shown(taken || words)}`;
  return `${text("read_as")} ${shown(words)}${taken ? `, ${text("taken")} ${taken}` : ""}`;
}

/** @param {ReaderAnswer["findings"][number]} found */
function finding(found) {
  return make("li", { class: found.urgency, part: "finding" },
    make("p", {}, make("strong", {}, `${mark(found)}: `), found.words),
    make("p", { class: "source", part: "source" }, `${text("source")} ${sourceWords(found.source)}`));
}

/** The whole plan, from the attribute `plan` or from a script element of type application/json between the tags. */
class PlanReader extends Reader {
  static tag = "cellwright-plan";

  /** @param {Core} core */
  ask(core) {
    const foreign = this.entries().find(([field]) => field !== "plan");
    if (foreign) {
      const [field] = foreign;
      throw new Refused([{ code: "unknown_field", path: `/${field}`, field, message: `${field} is not a known field: accepted is plan` }]);
    }
    const stated = this.getAttribute("plan") ?? this.querySelector('script[type="application/json"]')?.textContent ?? "";
    tooLong("plan", stated);
    return core.askText(this.kind.question, stated);
  }
}

/** A class for each element that is no whole plan. @param {string} tag */
function reader(tag) {
  return class extends Reader {
    static tag = tag;
  };
}

/** The elements by name. @type {Record<string, typeof Reader>} */
export const ELEMENTS = {
  "cellwright-runtime": reader("cellwright-runtime"),
  "cellwright-cells": reader("cellwright-cells"),
  "cellwright-knob": reader("cellwright-knob"),
  "cellwright-wire": reader("cellwright-wire"),
  "cellwright-plan": PlanReader,
};

for (const [tag, element] of Object.entries(ELEMENTS)) {
  for (const field of QUESTIONS[tag].fields) {
    Object.defineProperty(element.prototype, field, {
      configurable: true,
      enumerable: true,
      get() {
        return this.getAttribute(attribute(field));
      },
      set(value) {
        if (value === null || value === undefined) this.removeAttribute(attribute(field));
        else this.setAttribute(attribute(field), String(value));
      },
    });
  }
}

/** Makes the elements known to the document; harmless where there is none, or where they are known already. */
export function define() {
  if (!globalThis.customElements) return;
  for (const [tag, element] of Object.entries(ELEMENTS)) {
    if (!customElements.get(tag)) customElements.define(tag, element);
  }
}
