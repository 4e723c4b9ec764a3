// Three ways to begin: an example, three questions, or a plan in which nothing is known yet.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "./en.js";
import { make, whenOpened } from "./dom.js";
import { mistakes } from "./reading.js";
import { EXAMPLES, example } from "./examples.js";
import { copy } from "./store.js";
import { decimal, errorWords, mistakeWords, words } from "./language.js";

const LOADS = ["pump", "blower", "motor", "lamp", "heater", "electronics"];
const KINDS = ["nmc", "lco", "nca", "lfp", "nvpf", "nimh", "lead_acid", "unidentified"];

/** A plan in which nothing is known. */
export function empty() {
  return copy({
    format: example(0).format, name: "", origin: "salvaged", own_chemistries: [],
    pack: { groups: [{ cells: [{
      name: "A1", chemistry: "unidentified",
      capacity: { capacity_ah: null, start_v: null, end_v: null, current_a: null, cell_degc: null },
      resistance: { resistance_ohm: null, method: { dc: { after_s: null, current_a: null } }, leads: "four_wire", cell_degc: null, soc_ratio: null },
      rest_v: null, discharge_limit_a: null, charge_limit_a: null, measured: null,
    }] }], link_ohm: null, full_v: null, floor_v: null },
    protection: null,
    loads: [{ name: "", draw: { power: { power_w: null } }, duty: null, chopped: false, works_from_v: null, works_to_v: null,
      drop_out_v: null, surge_a: null, surge_s: null, measured: null }],
    control: null, runs: [], fuse: null, charging: null, ambient_degc: null, wanted_runtime_s: null,
  });
}

/**
 * An entry of the questions: read as it is typed, and said back.
 * @param {string} name @param {() => import("cellwright").Unit} unit @param {{wide?: boolean, optional?: boolean, value?: string}} [kind]
 */
function entry(name, unit, { wide = false, optional = false, value = "" } = {}) {
  const id = `first-${name}`;
  const read = make("p", { class: "read", id: `${id}-read` });
  const fault = make("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const input = /** @type {HTMLInputElement} */ (make("input", { id, type: "text", inputmode: "text", autocomplete: "off", spellcheck: "false", "aria-describedby": `${id}-read ${id}-wrong` }));
  input.value = value;
  /** @param {string} message */
  const refuse = (message) => {
    fault.textContent = message;
    fault.hidden = message === "";
    if (message === "") input.removeAttribute("aria-invalid");
    else input.setAttribute("aria-invalid", "true");
  };
  /** What the entry says; undefined where it says nothing that can be used. */
  const say = () => {
    refuse("");
    read.textContent = "";
    if (input.value.trim() === "" && optional) {
      read.textContent = TEXTS.leave_out;
      return null;
    }
    try {
      const { value: number, interval, words: back } = ask("parse", { text: input.value, unit: unit(), field: id, decimal: decimal() });
      if (interval && !wide) throw new Error(TEXTS.one_number.replace("{field}", TEXTS[`first_${name}`]));
      read.textContent = `${TEXTS.read_as} ${back}`;
      return wide ? interval ?? { low: number, likely: number, high: number } : number;
    } catch (error) {
      const [first] = mistakes(error);
      refuse((first ? mistakeWords(first, TEXTS[`first_${name}`]) : errorWords(error)).replace(new RegExp(`^\\S*${id}`), TEXTS[`first_${name}`]));
      return undefined;
    }
  };
  input.addEventListener("input", say);
  return { name, say, refuse, part: make("div", { class: "field" }, make("label", { for: id }, TEXTS[`first_${name}`]), input, read, fault) };
}

/** @param {string} name @param {string[]} options */
function pick(name, options) {
  const id = `first-${name}`;
  const select = /** @type {HTMLSelectElement} */ (make("select", { id }, ...options.map((one) => make("option", { value: one }, TEXTS[`first_${one}`] ?? LABELS[one] ?? one))));
  return { select, part: make("div", { class: "field" }, make("label", { for: id }, TEXTS[`first_${name}`]), select) };
}

/** What the crate says of a first plan, and what it took. @param {import("cellwright").FirstPlan} first */
export function takenWords(first) {
  const { wanted, cells_missing, cells_left, taken } = first;
  const lines = [`${TEXTS.first_wanted} ${wanted.series}S${wanted.parallel}P, ${words(wanted.full_v, "volt")}.`];
  if (cells_missing > 0) lines.push(`${TEXTS.first_missing} ${cells_missing}.`);
  if (cells_left > 0) lines.push(`${TEXTS.first_left} ${cells_left}.`);
  return [...lines.map((text) => make("p", {}, text)), make("p", {}, TEXTS.first_taken),
    make("ul", {}, ...taken.map((one) => make("li", {}, TEXTS[one.code] ?? one.words, " ", make("span", { class: "source" }, one.source.title))))];
}

/** The three questions. @param {(first: import("cellwright").FirstPlan) => void} begin */
function questions(begin) {
  const load = pick("load", LOADS);
  const label = pick("label", ["watts", "amperes"]);
  const chemistry = pick("chemistry", KINDS);
  const printed = pick("capacity_from", ["printed", "measured"]);
  const name = /** @type {HTMLInputElement} */ (make("input", { id: "first-name", type: "text", autocomplete: "off", maxlength: "200" }));
  const draw = entry("draw", () => (label.select.value === "watts" ? "watt" : "ampere"));
  label.select.addEventListener("change", draw.say);
  const at = entry("at", () => "volt", { value: "12" });
  const runtime = entry("runtime", () => "second");
  const cells = entry("cells", () => "count");
  const capacity = entry("capacity", () => "ampere_hour", { wide: true });
  const resistance = entry("resistance", () => "ohm", { wide: true, optional: true });
  const places = { "/draw": draw, "/at_v": at, "/runtime_s": runtime, "/cells": cells, "/capacity_ah": capacity, "/resistance_ohm": resistance };
  const fault = make("p", { class: "wrong", id: "first-wrong", role: "status" });
  const press = () => {
    fault.textContent = "";
    const all = [draw, at, runtime, cells, capacity, resistance];
    const said = all.map((one) => one.say());
    if (said.includes(undefined)) {
      fault.textContent = TEXTS.first_open;
      return;
    }
    const [drawn, at_v, runtime_s, count, capacity_ah, resistance_ohm] = /** @type {any[]} */ (said);
    try {
      begin(ask("first_plan", {
        name: name.value.trim() || (TEXTS[`first_${load.select.value}`] ?? load.select.value), load: /** @type {any} */ (load.select.value),
        draw: label.select.value === "watts" ? { power: { power_w: drawn } } : { current: { current_a: drawn } },
        at_v, runtime_s, chemistry: /** @type {any} */ (chemistry.select.value), cells: count, capacity_ah,
        capacity_measured: printed.select.value === "measured", resistance_ohm,
      }));
    } catch (error) {
      const list = mistakes(error);
      for (const mistake of list) {
        const place = Object.entries(places).find(([start]) => mistake.path.startsWith(start))?.[1];
        const called = TEXTS[`first_${place?.name}`] ?? mistake.field;
        const message = mistakeWords(mistake, called).replace(/^[a-z_]+(?= is )/, called);
        if (place) place.refuse(message);
        else fault.textContent += `${message} `;
      }
      if (list.length === 0) fault.textContent = errorWords(error);
      else if (fault.textContent === "") fault.textContent = TEXTS.first_open;
    }
  };
  return [make("h3", {}, TEXTS.first_1), make("div", { class: "fields" }, load.part, make("div", { class: "field" }, make("label", { for: "first-name" }, TEXTS.first_name), name), label.part, draw.part, at.part),
    make("h3", {}, TEXTS.first_2), make("div", { class: "fields" }, runtime.part),
    make("h3", {}, TEXTS.first_3), make("div", { class: "fields" }, chemistry.part, cells.part, capacity.part, printed.part, resistance.part),
    fault, make("div", { class: "tools" }, make("button", { type: "button", id: "do-first", click: press }, TEXTS.first_go))];
}

/**
 * The ways to begin.
 * @param {(plan: any, told: (Node | string)[]) => void} begin opens a plan as a new one, with what there is to say of it
 */
export function start(begin) {
  const choice = /** @type {HTMLSelectElement} */ (make("select", { id: "demo", "aria-label": TEXTS.demo },
    make("option", { value: "" }, TEXTS.demo), ...Array.from({ length: EXAMPLES }, (_, i) => make("option", { value: String(i) }, example(i).name))));
  const part = /** @type {HTMLDetailsElement} */ (make("details", { class: "part", id: "part-start" }, make("summary", {}, TEXTS.start)));
  /** @param {any} plan @param {(Node | string)[]} told */
  const chosen = (plan, told) => {
    part.open = false;
    begin(plan, told);
  };
  choice.addEventListener("change", () => {
    if (choice.value !== "") chosen(example(Number(choice.value)), []);
  });
  part.append(make("div", { class: "tools" }, choice,
    make("button", { type: "button", id: "do-empty", click: () => chosen(empty(), [make("p", {}, TEXTS.empty_told)]) }, TEXTS.empty)));
  whenOpened(part, () => questions((first) => chosen(first.plan, takenWords(first))));
  return part;
}
