// The parts of a plan in the order of a build: which entries each has.

import { LABELS, TEXTS } from "./en.js";
import { make } from "./dom.js";
import { button, choice, flag, grid, list, number, shape, text } from "./fields.js";
import { example } from "./examples.js";
import { copy, get, set, state } from "./store.js";

/** @param {number} value */
const exact = (value) => ({ low: value, likely: value, high: value });

/** @param {string} at @param {string} name */
function cell(at, name) {
  const method = get(`${at}/resistance/method`);
  const direct = typeof method === "object";
  return make("details", { class: "item", id: `cell${at.replaceAll("/", "-")}` }, make("summary", {}, name), grid(
    text(`${at}/name`),
    choice(`${at}/chemistry`, ["nmc", "lco", "nca", "lfp", "nvpf", "nimh", "lead_acid", "unidentified"]),
    number(`${at}/capacity/capacity_ah`, "ampere_hour", { wide: true }),
    number(`${at}/capacity/start_v`, "volt"),
    number(`${at}/capacity/end_v`, "volt"),
    number(`${at}/capacity/current_a`, "ampere"),
    number(`${at}/capacity/cell_degc`, "degree_celsius"),
    number(`${at}/resistance/resistance_ohm`, "ohm", { wide: true }),
    ...(direct ? [number(`${at}/resistance/method/dc/after_s`, "second"), number(`${at}/resistance/method/dc/current_a`, "ampere")] : []),
    choice(`${at}/resistance/leads`, ["four_wire", "two_wire"]),
    number(`${at}/resistance/soc_ratio`, "ratio"),
    number(`${at}/resistance/cell_degc`, "degree_celsius"),
    number(`${at}/rest_v`, "volt", { optional: true }),
    number(`${at}/discharge_limit_a`, "ampere", { optional: true }),
    number(`${at}/charge_limit_a`, "ampere", { optional: true }),
    flag(`${at}/measured`, true),
  ));
}

/** Where capacity and resistance were taken for a start: one touch says that all of them have been measured. @param {any[]} groups */
function measured(groups) {
  const open = groups.flatMap((group) => group.cells).filter((one) => one.measured === false);
  return open.length === 0 ? [] : [make("p", { class: "caution" }, TEXTS.cells_taken),
    make("div", { class: "tools" }, button("all_measured", TEXTS.cells, () => { for (const one of open) one.measured = true; }))];
}

function cells() {
  const { groups } = state.plan.pack;
  const shown = groups.map((/** @type {any} */ group, /** @type {number} */ g) => make("div", { class: "item" },
    make("h3", {}, `${TEXTS.group} ${g + 1}`),
    ...group.cells.map((/** @type {any} */ one, /** @type {number} */ c) => cell(`/pack/groups/${g}/cells/${c}`, one.name || `${TEXTS.cells} ${c + 1}`)),
    make("div", { class: "tools" },
      button("add", `${TEXTS.cell_in_group} ${g + 1}`, () => {
        const next = copy(group.cells[group.cells.length - 1]);
        next.name = `${next.name}+`;
        group.cells.push(next);
      }),
      ...(group.cells.length > 1 ? [button("remove", `${TEXTS.cell_in_group} ${g + 1}`, () => group.cells.pop())] : []))));
  return [grid(choice("/origin", ["salvaged", "new"]), number("/pack/full_v", "volt"), number("/pack/floor_v", "volt"),
    number("/pack/link_ohm", "ohm", { wide: true })), ...shown, ...measured(groups),
  make("div", { class: "tools" }, button("add", TEXTS.group, () => groups.push(copy(groups[groups.length - 1]))),
    ...(groups.length > 1 ? [button("remove", TEXTS.group, () => groups.pop())] : []))];
}

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const DRAWS = {
  current: [{ current_a: exact(1) }, (at) => [number(`${at}/current_a`, "ampere", { wide: true })]],
  power: [{ power_w: exact(10) }, (at) => [number(`${at}/power_w`, "watt", { wide: true })]],
  resistance: [{ resistance_ohm: exact(12) }, (at) => [number(`${at}/resistance_ohm`, "ohm", { wide: true })]],
  follows_voltage: [{ power_w: exact(10), at_v: 12, exponent: 2 },
    (at) => [number(`${at}/power_w`, "watt", { wide: true }), number(`${at}/at_v`, "volt"), number(`${at}/exponent`, "count")]],
};

function loads() {
  return list("/loads", (at) => [
    text(`${at}/name`),
    ...shape(`${at}/draw`, DRAWS),
    flag(`${at}/measured`, true),
    number(`${at}/duty`, "ratio"),
    flag(`${at}/chopped`),
    number(`${at}/works_from_v`, "volt", { optional: true }),
    number(`${at}/works_to_v`, "volt", { optional: true }),
    number(`${at}/drop_out_v`, "volt", { optional: true }),
    number(`${at}/surge_a`, "ampere", { optional: true }),
    number(`${at}/surge_s`, "second", { optional: true }),
  ], example(0).loads[0], 1);
}

/** A curve to be measured with the timer in place: nothing is taken for it before it is. */
const CURVE = { points: [{ duty: 0.5, speed_ratio: null, mean_a: null }, { duty: 1, speed_ratio: null, mean_a: null }] };

/** @param {string} at */
const curve = (at) => list(`${at}/points`,
  (point) => [number(`${point}/duty`, "ratio"), number(`${point}/speed_ratio`, "ratio"), number(`${point}/mean_a`, "ampere")], null, 2);

/** A brushed motor's winding. @param {string} at */
const winding = (at) => [number(`${at}/motor_ohm`, "ohm", { wide: true, optional: true }), number(`${at}/motor_h`, "henry", { optional: true })];

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const BLOWER_DRIVES = {
  brushed: [{ motor_ohm: null, motor_h: null }, winding],
  four_wire: ["four_wire", () => []],
  own_electronics: [CURVE, curve],
};

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const PUMP_KINDS = {
  positive_displacement: [{ flow_m3_per_s: 0.00005 }, (at) => [number(`${at}/flow_m3_per_s`, "cubic_metre_per_second")]],
  centrifugal: [{ closed_head_m: 4, open_flow_m3_per_s: 0.0002, closed_power_ratio: 0.5, static_head_m: 1, friction_head_m: 1 },
    (at) => [number(`${at}/closed_head_m`, "metre"), number(`${at}/open_flow_m3_per_s`, "cubic_metre_per_second"),
      number(`${at}/closed_power_ratio`, "ratio"), number(`${at}/static_head_m`, "metre"), number(`${at}/friction_head_m`, "metre")]],
};

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const LED_LIMITS = {
  resistor: [{ resistance_ohm: 33 }, (at) => [number(`${at}/resistance_ohm`, "ohm")]],
  driver: [{ current_a: exact(0.35), headroom_v: 1 }, (at) => [number(`${at}/current_a`, "ampere", { wide: true }), number(`${at}/headroom_v`, "volt")]],
};

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const MACHINES = {
  blower: [{ power_w: exact(10), at_v: 12, flow_m3_per_s: null, turns_per_minute: null, drive: { brushed: { motor_ohm: null, motor_h: null } } },
    (at) => [number(`${at}/power_w`, "watt", { wide: true }), number(`${at}/at_v`, "volt"), number(`${at}/flow_m3_per_s`, "cubic_metre_per_second", { optional: true }),
      number(`${at}/turns_per_minute`, "count", { optional: true }), ...shape(`${at}/drive`, BLOWER_DRIVES)]],
  pump: [{ power_w: exact(18), at_v: 12, kind: { positive_displacement: { flow_m3_per_s: 0.00005 } }, motor_ohm: null, motor_h: null },
    (at) => [number(`${at}/power_w`, "watt", { wide: true }), number(`${at}/at_v`, "volt"), ...shape(`${at}/kind`, PUMP_KINDS), ...winding(at)]],
  brushless_pump: [{ power_w: exact(18), at_v: 12, kind: { positive_displacement: { flow_m3_per_s: 0.00005 } }, curve: copy(CURVE) },
    (at) => [number(`${at}/power_w`, "watt", { wide: true }), number(`${at}/at_v`, "volt"), ...shape(`${at}/kind`, PUMP_KINDS), ...curve(`${at}/curve`)]],
  led: [{ series: 3, forward_v: exact(3), limit: { resistor: { resistance_ohm: 100 } }, strings: 10, led_high_a: null },
    (at) => [number(`${at}/series`, "count"), number(`${at}/strings`, "count"), number(`${at}/forward_v`, "volt", { wide: true }),
      ...shape(`${at}/limit`, LED_LIMITS), number(`${at}/led_high_a`, "ampere", { optional: true })]],
  heater: [{ resistance_ohm: exact(6) }, (at) => [number(`${at}/resistance_ohm`, "ohm", { wide: true })]],
  electronics: [{ power_w: exact(10) }, (at) => [number(`${at}/power_w`, "watt", { wide: true })]],
};

/** What the switch drives, where more is known than its draw. */
function driven() {
  const at = "/control/driven";
  const machine = get(`${at}/machine`);
  const pick = choice(at, ["draw_only", ...Object.keys(MACHINES)], (chosen) => set(at, chosen === "draw_only" ? null : {
    machine: { [chosen]: copy(MACHINES[chosen][0]) }, count: 1, joined: "parallel", start_v: null, hold_v: null, surge_a: null, drop_out_v: null,
  }), machine ? Object.keys(machine)[0] : "draw_only");
  if (!machine) return [pick];
  const kind = Object.keys(machine)[0];
  return [pick, ...(MACHINES[kind] ? MACHINES[kind][1](`${at}/machine/${kind}`) : []), number(`${at}/count`, "count"), choice(`${at}/joined`, ["parallel", "series"]),
    number(`${at}/start_v`, "volt", { wide: true, optional: true }), number(`${at}/hold_v`, "volt", { wide: true, optional: true })];
}

const TRANSISTORS = ["irfz44n", "irf510", "csd18510ktt", "csd19535ktt", "tip120", "bd139"];

/** A MOSFET by its data sheet. @param {string} at */
const mosfet = (at) => [number(`${at}/on/gate_v`, "volt"), number(`${at}/on/on_ohm`, "ohm"), number(`${at}/threshold_low_v`, "volt"),
    number(`${at}/threshold_high_v`, "volt"), number(`${at}/gate_charge_coulomb`, "coulomb"), number(`${at}/drain_v`, "volt"), number(`${at}/drain_a`, "ampere"),
    number(`${at}/gate_high_v`, "volt"), number(`${at}/case_k_per_w`, "count"), number(`${at}/ambient_k_per_w`, "count"), number(`${at}/junction_high_degc`, "degree_celsius")];

function transistor() {
  const at = "/control/switch/transistor";
  const value = get(at);
  const kind = typeof value === "string" ? value : Object.keys(value)[0];
  const own = example(1).control.switch.transistor;
  const pick = choice(at, [...TRANSISTORS, "mosfet"], (chosen) => set(at, chosen === "mosfet" ? own : chosen), kind);
  return [pick, ...(kind === "mosfet" ? mosfet(`${at}/mosfet`) : [])];
}

function control() {
  const pick = choice("/control", ["none", "fitted"], (chosen) => {
    const fresh = example(1).control;
    fresh.driven = null;
    set("/control", chosen === "none" ? null : fresh);
  }, state.plan.control ? "fitted" : "none");
  if (!state.plan.control) return [grid(pick)];
  const at = "/control/timer/circuit/diode_steered";
  const steered = get(at) ? [number(`${at}/ra_ohm`, "ohm"), number(`${at}/pot_ohm`, "ohm"), number(`${at}/charge_ohm`, "ohm", { optional: true }),
    number(`${at}/discharge_ohm`, "ohm", { optional: true }), number(`${at}/c_f`, "farad")] : [];
  const plain = "/control/timer/circuit/two_resistor";
  if (get(plain)) steered.push(number(`${plain}/ra_ohm`, "ohm"), number(`${plain}/rb_ohm`, "ohm"), number(`${plain}/c_f`, "farad"));
  const parts = get("/control/switch");
  const buffer = get("/control/capacitor");
  return [grid(pick, choice("/control/timer/part", ["bipolar", "cmos"]), ...steered, number("/control/wiper_ratio", "ratio"),
    number("/control/switch_ohm", "ohm", { wide: true })),
  make("h3", {}, TEXTS.positions), ...list("/control/positions", (position) => [number(position, "ratio")], 0.5),
  make("h3", {}, TEXTS.driven), grid(...driven()),
  make("h3", {}, TEXTS.switch), grid(
    choice("/control/switch", ["unknown", "fitted"], (chosen) => set("/control/switch", chosen === "unknown" ? null : example(1).control.switch), parts ? "fitted" : "unknown"),
    ...(parts ? [...transistor(), number("/control/switch/gate_ohm", "ohm"), number("/control/switch/pull_down_ohm", "ohm", { optional: true }),
      number("/control/switch/sink_k_per_w", "count", { optional: true }),
      choice("/control/switch/flyback", ["none", "schottky", "silicon"], (chosen) => set("/control/switch/flyback", chosen === "none" ? null : chosen), get("/control/switch/flyback") ?? "none")] : []),
    choice("/control/capacitor", ["none", "fitted"], (chosen) => set("/control/capacitor", chosen === "none" ? null : example(1).control.capacitor), buffer ? "fitted" : "none"),
    ...(buffer ? [number("/control/capacitor/c_f", "farad"), number("/control/capacitor/esr_ohm", "ohm"), number("/control/capacitor/rated_ripple_a", "ampere", { optional: true })] : []),
    flag("/control/reverse_protected", true))];
}

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const CONDUCTORS = {
  mm2: [{ area_mm2: 1.5 }, (at) => [number(`${at}/area_mm2`, "square_millimetre")]],
  awg: [{ gauge: 16 }, (at) => [number(`${at}/gauge`, "count")]],
};

/** @type {Record<string, [any, (at: string) => HTMLElement[]]>} */
const LIES = { free_air: ["free_air", () => []], surface: ["surface", () => []], box: ["box", () => []],
  bundle: [{ loaded: 4 }, (at) => [number(`${at}/loaded`, "count")]] };

/** One lead. @param {string} at */
function lead(at) {
  return [text(`${at}/name`), number(`${at}/length_m`, "metre"), ...shape(`${at}/conductor`, CONDUCTORS),
    choice(`${at}/metal`, ["copper", "tinned_copper", "copper_clad_aluminium"], (chosen) => set(`${at}/metal`, chosen), get(`${at}/metal`) ?? "copper"),
    ...shape(`${at}/lies`, LIES, "unknown"), number(`${at}/joints_ohm`, "ohm", { wide: true }), number(`${at}/insulation_degc`, "degree_celsius"),
    number(`${at}/wanted_drop_ratio`, "ratio", { optional: true })];
}

function runs() {
  return list("/runs", lead, example(0).runs[0]);
}

/** @param {any} value @param {string} word */
const known = (value, word) => (value === null || value === undefined ? "unknown" : value === "none" ? "none" : word);

function guard() {
  const { fuse, protection } = state.plan;
  const fitted = typeof fuse === "object" && fuse ? "/fuse/fitted" : "";
  const board = typeof protection === "object" && protection ? "/protection/board" : "";
  return [grid(
    choice("/fuse", ["unknown", "none", "fitted"], (chosen) => set("/fuse", chosen === "unknown" ? null : chosen === "none" ? "none" : example(0).fuse),
      known(fuse, "fitted")),
    ...(fitted ? [choice(`${fitted}/family`, ["unknown", "blade", "large_blade", "tube_ul", "tube_iec"],
      (chosen) => set(`${fitted}/family`, chosen === "unknown" ? null : chosen), get(`${fitted}/family`) ?? "unknown"),
    number(`${fitted}/rating_a`, "ampere"), number(`${fitted}/breaking_a`, "ampere", { optional: true }),
    number(`${fitted}/resistance_ohm`, "ohm", { wide: true }), flag(`${fitted}/first_at_positive`, true)] : []),
    choice("/main_switch", ["unknown", "none", "fitted"], (chosen) => set("/main_switch", chosen === "unknown" ? null : chosen === "none" ? "none" : { fitted: { direct_a: null, direct_v: null } }),
      known(state.plan.main_switch, "fitted")),
    ...(get("/main_switch/fitted") ? [number("/main_switch/fitted/direct_a", "ampere", { optional: true }), number("/main_switch/fitted/direct_v", "volt", { optional: true })] : []),
    choice("/protection", ["unknown", "none", "board"], (chosen) => set("/protection", chosen === "unknown" ? null : chosen === "none" ? "none" : example(0).protection),
      known(protection, "board")),
    ...(board ? [number(`${board}/series`, "count", { optional: true }), number(`${board}/over_voltage_v`, "volt", { optional: true }),
      number(`${board}/cut_off_v`, "volt", { optional: true }), number(`${board}/continuous_a`, "ampere", { optional: true }),
      number(`${board}/trip_a`, "ampere", { wide: true, optional: true }), number(`${board}/over_current_s`, "second", { wide: true, optional: true }),
      number(`${board}/short_circuit_a`, "ampere", { wide: true, optional: true }), flag(`${board}/balances`, true),
      number(`${board}/balance_a`, "ampere", { optional: true }), flag(`${board}/temperature_sensor`, true),
      number(`${board}/resistance_ohm`, "ohm", { wide: true })] : []),
  )];
}

function charging() {
  const pick = choice("/charging", ["unknown", "fitted"], (chosen) => set("/charging", chosen === "unknown" ? null : example(0).charging),
    state.plan.charging ? "fitted" : "unknown");
  if (!state.plan.charging) return [grid(pick)];
  const at = "/charging";
  return [grid(pick, choice(`${at}/kind`, ["cc_cv", "voltage_supply", "current_only", "drop_detecting", "unknown"]),
    number(`${at}/supply_v`, "volt"), number(`${at}/supply_a`, "ampere"), number(`${at}/end_a`, "ampere", { optional: true }),
    choice(`${at}/terminals`, ["unknown", "board", "cells", "each_group"], (chosen) => set(`${at}/terminals`, chosen === "unknown" ? null : chosen), get(`${at}/terminals`) ?? "unknown"),
    number(`${at}/cell_degc`, "degree_celsius", { wide: true, optional: true }), number(`${at}/connector_a`, "ampere", { optional: true }),
    number(`${at}/diode_v`, "volt", { wide: true, optional: true }), number(`${at}/load_a`, "ampere", { wide: true, optional: true }),
    number(`${at}/printed_limit_v`, "volt", { optional: true }), flag(`${at}/polarity_checked`, true), flag(`${at}/live_bare_pin`, true), flag(`${at}/attended`, true)),
  make("h3", {}, TEXTS.charge_leads), ...list(`${at}/runs`, lead, example(0).runs[0]),
  make("h3", {}, TEXTS.other_supplies), make("div", { class: "tools" }, ...(get(`${at}/other_supplies`) ? [] : [button("no_other", TEXTS.other_supplies, () => set(`${at}/other_supplies`, []))])),
  ...list(`${at}/other_supplies`, (other) => [text(`${other}/name`), number(`${other}/voltage_v`, "volt")], { name: "laptop supply", voltage_v: 19 })];
}

function use() {
  return [grid(text("/name"), number("/ambient_degc", "degree_celsius", { wide: true }), number("/wanted_runtime_s", "second", { optional: true }))];
}

/** @type {Record<string, () => HTMLElement[]>} */
export const STATIONS = { use, cells, loads, control, runs, guard, charging };
