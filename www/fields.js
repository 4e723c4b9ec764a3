// The entries of a plan: which there are, how one is read, and what is wrong with it.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "./en.js";
import { make } from "./dom.js";
import { DEMOS, copy, get, remember, set, state } from "./store.js";

/** Entries that cannot be used, by pointer. @type {Map<string, string>} */
export const wrong = new Map();

/** Called after every change. @type {{changed: () => void, rebuilt: () => void}} */
export const notify = { changed() {}, rebuilt() {} };

/** @param {string} pointer */
const label = (pointer) => LABELS[pointer.split("/").pop() ?? ""] ?? pointer;

/**
 * The words for a number of the crate.
 * @param {number} value
 * @param {import("cellwright").Unit} unit
 */
export function words(value, unit) {
  const clock = unit === "second" ? "down" : undefined;
  return ask("format", clock ? { value, unit, clock } : { value, unit }).words;
}

/**
 * An interval read back.
 * @param {{low: number, likely: number, high: number}} value
 * @param {import("cellwright").Unit} unit
 */
function spread({ low, likely, high }, unit) {
  const shown = low < high ? `${words(low, unit)} .. ${words(likely, unit)} .. ${words(high, unit)}` : words(likely, unit);
  return `${TEXTS.read_as} ${shown}`;
}

/**
 * The entry that stands for a value.
 * @param {any} value
 */
function entry(value) {
  if (value === null || value === undefined) return "";
  if (typeof value === "object") return value.low < value.high ? `${value.low}..${value.high}` : String(value.likely);
  return String(value);
}

/**
 * A number, with a tolerance or a range where `wide`; left out where `optional`.
 * @param {string} pointer
 * @param {import("cellwright").Unit} unit
 * @param {{wide?: boolean, optional?: boolean}} [kind]
 */
function number(pointer, unit, { wide = false, optional = false } = {}) {
  const id = `field${pointer.replaceAll("/", "-")}`;
  const read = make("p", { class: "read", id: `${id}-read` });
  const fault = make("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const input = /** @type {HTMLInputElement} */ (make("input", {
    id, name: pointer, type: "text", inputmode: unit === "degree_celsius" ? "text" : "decimal", autocomplete: "off",
    spellcheck: "false", "aria-describedby": `${id}-read ${id}-wrong`,
  }));
  input.value = entry(get(pointer));

  /** @param {string} message */
  function refuse(message) {
    wrong.set(pointer, message);
    fault.textContent = message;
    fault.hidden = false;
    input.setAttribute("aria-invalid", "true");
    read.textContent = "";
  }
  function accept() {
    wrong.delete(pointer);
    fault.hidden = true;
    input.removeAttribute("aria-invalid");
  }
  function understand() {
    if (input.value.trim() === "" && optional) {
      accept();
      read.textContent = TEXTS.leave_out;
      set(pointer, null);
      return;
    }
    try {
      const reading = ask("parse", { text: input.value, unit, field: pointer });
      if (reading.interval && !wide) throw new Error(`${label(pointer)} takes one number here.`);
      accept();
      read.textContent = `${TEXTS.read_as} ${reading.words}`;
      const { value, interval } = reading;
      set(pointer, wide ? interval ?? { low: value, likely: value, high: value } : value);
    } catch (error) {
      refuse(error instanceof Error ? error.message.replace(/^\S*\//, "").replace(/^[a-z0-9_]+ is/, `${label(pointer)} is`) : String(error));
    }
  }
  const value = get(pointer);
  if (value === null || value === undefined) read.textContent = optional ? TEXTS.leave_out : "";
  else read.textContent = typeof value === "object" ? spread(value, unit) : `${TEXTS.read_as} ${words(value, unit)}`;
  input.addEventListener("input", () => {
    understand();
    notify.changed();
  });
  input.addEventListener("cellwright-refused", (event) => {
    refuse(/** @type {CustomEvent} */ (event).detail);
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer)), input, read, fault);
}

/**
 * One of several words.
 * @param {string} pointer
 * @param {string[]} options
 * @param {(chosen: string) => void} [choose] what to do; sets the word itself where left out
 * @param {string} [chosen]
 */
function choice(pointer, options, choose, chosen = String(get(pointer))) {
  const id = `field${pointer.replaceAll("/", "-")}`;
  const select = /** @type {HTMLSelectElement} */ (make("select", { id, name: pointer },
    ...options.map((option) => make("option", { value: option }, LABELS[option] ?? TEXTS[option] ?? option))));
  select.value = chosen;
  select.addEventListener("change", () => {
    if (choose) choose(select.value);
    else set(pointer, select.value);
    if (choose) notify.rebuilt();
    notify.changed();
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer)), select);
}

/** @param {string} pointer */
function flag(pointer, optional = false) {
  const value = get(pointer);
  const now = value === null || value === undefined ? "unknown" : value ? "yes" : "no";
  const options = optional ? ["unknown", "yes", "no"] : ["yes", "no"];
  return choice(pointer, options, (chosen) => set(pointer, chosen === "unknown" ? null : chosen === "yes"), now);
}

/** @param {string} pointer */
function text(pointer) {
  const id = `field${pointer.replaceAll("/", "-")}`;
  const input = /** @type {HTMLInputElement} */ (make("input", { id, name: pointer, type: "text", autocomplete: "off" }));
  input.value = get(pointer) ?? "";
  input.addEventListener("input", () => {
    set(pointer, input.value);
    notify.changed();
  });
  return make("div", { class: "field" }, make("label", { for: id }, label(pointer)), input);
}

/** @param {...HTMLElement} children */
const grid = (...children) => make("div", { class: "fields" }, ...children);

/**
 * A button that changes the shape of the plan.
 * @param {string} key
 * @param {string} about
 * @param {() => void} change
 */
function button(key, about, change) {
  return make("button", { type: "button", "aria-label": `${TEXTS[key]}: ${about}`, click: () => {
    remember();
    change();
    notify.rebuilt();
    notify.changed();
  } }, TEXTS[key]);
}

/** @param {string} at @param {string} name */
function cell(at, name) {
  const method = get(`${at}/resistance/method`);
  const direct = typeof method === "object";
  return make("details", { class: "item" }, make("summary", {}, name), grid(
    text(`${at}/name`),
    choice(`${at}/chemistry`, ["nmc", "lco", "nca", "lfp"]),
    number(`${at}/capacity/capacity_ah`, "ampere_hour", { wide: true }),
    number(`${at}/capacity/start_v`, "volt"),
    number(`${at}/capacity/end_v`, "volt"),
    number(`${at}/capacity/current_a`, "ampere"),
    number(`${at}/capacity/cell_degc`, "degree_celsius"),
    number(`${at}/resistance/resistance_ohm`, "ohm", { wide: true }),
    ...(direct ? [number(`${at}/resistance/method/dc/after_s`, "second"), number(`${at}/resistance/method/dc/current_a`, "ampere")] : []),
    choice(`${at}/resistance/leads`, ["four_wire", "two_wire"]),
    number(`${at}/resistance/soc_ratio`, "ratio"),
    number(`${at}/rest_v`, "volt", { optional: true }),
    number(`${at}/discharge_limit_a`, "ampere", { optional: true }),
    number(`${at}/charge_limit_a`, "ampere", { optional: true }),
  ));
}

function cells() {
  const groups = state.plan.pack.groups.map((/** @type {any} */ group, /** @type {number} */ g) => make("div", { class: "item" },
    make("h3", {}, `${TEXTS.group} ${g + 1}`),
    ...group.cells.map((/** @type {any} */ one, /** @type {number} */ c) => cell(`/pack/groups/${g}/cells/${c}`, one.name)),
    make("div", { class: "tools" },
      button("add", `${TEXTS.group} ${g + 1}`, () => {
        const next = copy(group.cells[group.cells.length - 1]);
        next.name = `${next.name}+`;
        group.cells.push(next);
      }),
      ...(group.cells.length > 1 ? [button("remove", `${TEXTS.group} ${g + 1}`, () => group.cells.pop())] : []))));
  return [grid(choice("/origin", ["salvaged", "new"]), number("/pack/full_v", "volt"), number("/pack/floor_v", "volt"),
    number("/pack/link_ohm", "ohm", { wide: true })), ...groups,
  make("div", { class: "tools" }, button("add", TEXTS.group, () => state.plan.pack.groups.push(copy(state.plan.pack.groups[state.plan.pack.groups.length - 1]))),
    ...(state.plan.pack.groups.length > 1 ? [button("remove", TEXTS.group, () => state.plan.pack.groups.pop())] : []))];
}

/** Values that a newly chosen kind of load starts with. @type {Record<string, any>} */
const DRAWS = {
  current: { current_a: { low: 1, likely: 1, high: 1 } },
  power: { power_w: { low: 10, likely: 10, high: 10 } },
  resistance: { resistance_ohm: { low: 12, likely: 12, high: 12 } },
  follows_voltage: { power_w: { low: 10, likely: 10, high: 10 }, at_v: 12, exponent: 2 },
};

function loads() {
  /** @type {Record<string, (at: string) => HTMLElement[]>} */
  const shapes = {
    current: (at) => [number(`${at}/current_a`, "ampere", { wide: true })],
    power: (at) => [number(`${at}/power_w`, "watt", { wide: true })],
    resistance: (at) => [number(`${at}/resistance_ohm`, "ohm", { wide: true })],
    follows_voltage: (at) => [number(`${at}/power_w`, "watt", { wide: true }), number(`${at}/at_v`, "volt"), number(`${at}/exponent`, "count")],
  };
  return state.plan.loads.map((/** @type {any} */ load, /** @type {number} */ i) => {
    const at = `/loads/${i}`;
    const kind = Object.keys(load.draw)[0];
    return make("div", { class: "item" }, make("h3", {}, load.name), grid(
      text(`${at}/name`),
      choice(`${at}/draw`, Object.keys(DRAWS), (chosen) => set(`${at}/draw`, { [chosen]: copy(DRAWS[chosen]) }), kind),
      ...shapes[kind](`${at}/draw/${kind}`),
      number(`${at}/duty`, "ratio"),
      flag(`${at}/chopped`),
      number(`${at}/works_from_v`, "volt", { optional: true }),
      number(`${at}/works_to_v`, "volt", { optional: true }),
      number(`${at}/drop_out_v`, "volt", { optional: true }),
    ), make("div", { class: "tools" }, button("add", load.name, () => state.plan.loads.push(copy(load))),
      ...(state.plan.loads.length > 1 ? [button("remove", load.name, () => state.plan.loads.splice(i, 1))] : [])));
  });
}

function control() {
  const pick = choice("/control", ["none", "fitted"], (chosen) => set("/control", chosen === "none" ? null : copy(DEMOS[1].control)),
    state.plan.control ? "fitted" : "none");
  if (!state.plan.control) return [grid(pick)];
  const at = "/control/timer/circuit/diode_steered";
  const steered = get(at) ? [number(`${at}/ra_ohm`, "ohm"), number(`${at}/pot_ohm`, "ohm"), number(`${at}/charge_ohm`, "ohm", { optional: true }),
    number(`${at}/discharge_ohm`, "ohm", { optional: true }), number(`${at}/c_f`, "farad")] : [];
  return [grid(pick, choice("/control/timer/part", ["bipolar", "cmos"]), ...steered, number("/control/wiper_ratio", "ratio"),
    number("/control/switch_ohm", "ohm", { wide: true }))];
}

function runs() {
  return state.plan.runs.map((/** @type {any} */ run, /** @type {number} */ i) => {
    const at = `/runs/${i}`;
    const size = get(`${at}/conductor/mm2`) ? `${at}/conductor/mm2/area_mm2` : `${at}/conductor/awg/gauge`;
    return make("div", { class: "item" }, make("h3", {}, run.name), grid(text(`${at}/name`), number(`${at}/length_m`, "metre"),
      number(size, size.endsWith("mm2") ? "square_millimetre" : "count"), number(`${at}/joints_ohm`, "ohm", { wide: true }),
      number(`${at}/insulation_degc`, "degree_celsius"), number(`${at}/wanted_drop_ratio`, "ratio", { optional: true })),
    make("div", { class: "tools" }, button("add", run.name, () => state.plan.runs.push(copy(run))),
      button("remove", run.name, () => state.plan.runs.splice(i, 1))));
  });
}

/** @param {string} pointer @param {any} value @param {string} word */
const known = (pointer, value, word) => (value === null || value === undefined ? "unknown" : value === "none" ? "none" : word);

function guard() {
  const { fuse, protection } = state.plan;
  const fitted = typeof fuse === "object" && fuse ? "/fuse/fitted" : "";
  const board = typeof protection === "object" && protection ? "/protection/board" : "";
  return [grid(
    choice("/fuse", ["unknown", "none", "fitted"], (chosen) => set("/fuse", chosen === "unknown" ? null : chosen === "none" ? "none" : copy(DEMOS[0].fuse)),
      known("/fuse", fuse, "fitted")),
    ...(fitted ? [number(`${fitted}/rating_a`, "ampere"), number(`${fitted}/breaking_a`, "ampere", { optional: true }), flag(`${fitted}/first_at_positive`, true)] : []),
    choice("/protection", ["unknown", "none", "board"], (chosen) => set("/protection", chosen === "unknown" ? null : chosen === "none" ? "none" : copy(DEMOS[0].protection)),
      known("/protection", protection, "board")),
    ...(board ? [number(`${board}/over_voltage_v`, "volt", { optional: true }), number(`${board}/cut_off_v`, "volt", { optional: true }),
      number(`${board}/continuous_a`, "ampere", { optional: true }), flag(`${board}/balances`, true)] : []),
  )];
}

function charging() {
  const pick = choice("/charging", ["unknown", "fitted"], (chosen) => set("/charging", chosen === "unknown" ? null : copy(DEMOS[0].charging)),
    state.plan.charging ? "fitted" : "unknown");
  if (!state.plan.charging) return [grid(pick)];
  return [grid(pick, number("/charging/supply_v", "volt"), number("/charging/supply_a", "ampere"), flag("/charging/is_charger"),
    flag("/charging/through_board", true), number("/charging/cell_degc", "degree_celsius", { wide: true, optional: true }))];
}

function use() {
  return [grid(text("/name"), number("/ambient_degc", "degree_celsius", { wide: true }), number("/wanted_runtime_s", "second", { optional: true }))];
}

/** @type {Record<string, () => HTMLElement[]>} */
export const STATIONS = { use, cells, loads, control, runs, guard, charging };
