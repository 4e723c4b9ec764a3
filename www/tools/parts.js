// Single parts beside the plan: a joint, a known cell, a resistor with a capacitor, a lead-acid battery, and what a pack weighs.

import { LABELS, TEXTS } from "../en.js";
import { last } from "../asking.js";
import { choice, flag, grid, number, shape, words } from "../fields.js";
import { range } from "../language.js";
import { wide } from "../report.js";
import { state } from "../store.js";
import { caution, cited, english, known, line, main, ranged, seconds } from "./said.js";

/** Kilograms, which the crate has no unit for. @param {any} value an interval */
const kilograms = (value) => `${range(value, "count", "…")} kg`;

/** A number of the report to begin with, in as many digits as anybody types. @param {number | undefined} value */
const rough = (value) => (typeof value === "number" ? Number(value.toPrecision(4)) : null);

/** Whether a rating is kept; one that nobody knows proves nothing. @param {boolean | null | undefined} kept @param {string} key */
const rating = (kept, key) => (kept === true ? line(TEXTS[`joint_${key}_kept`]) : caution(TEXTS[kept === false ? `joint_${key}_broken` : `joint_${key}_unknown`]));

/** @type {import("../asking.js").Tool} */
export const joint = {
  question: "joint",
  first: () => ({ name: "", kind: "other", resistance_ohm: null, dc_rated_a: null, dc_rated_v: null, rms_a: rough(last.report?.largest.peak_rms_a), on_a: rough(last.report?.largest.peak_a), pack_v: rough(last.report?.pack.full_v) }),
  entries: (home) => [grid(choice("/kind", ["other", "switch", "blade_holder", "barrel3", "xt60"], undefined, undefined, home), number("/resistance_ohm", "ohm", { wide: true, optional: true, home }),
    number("/rms_a", "ampere", { home }), number("/on_a", "ampere", { optional: true, home }), number("/pack_v", "volt", { home }),
    number("/dc_rated_a", "ampere", { optional: true, home }), number("/dc_rated_v", "volt", { optional: true, home }))],
  input: (draft) => ({ ...draft, name: LABELS[`joint:${draft.kind}`] ?? draft.kind }),
  shows: ({ drop_v, heat_w, keeps_current, keeps_voltage, rated_a, resistance_ohm }) => [
    main(typeof heat_w === "number" ? `${TEXTS.joint_loses} ${known(drop_v, "volt")}, ${words(heat_w, "watt")}.` : TEXTS.joint_open),
    rating(keeps_current, "current"), rating(keeps_voltage, "voltage"),
    ...(typeof rated_a === "number" ? [line(`${TEXTS.joint_rated} ${words(rated_a, "ampere")}.`)] : []),
    ...(resistance_ohm ? [ranged("joint_resistance", resistance_ohm, "ohm")] : [])],
};

/** @type {import("../asking.js").Tool} */
export const hour_rate = {
  question: "hour_rate",
  first: () => ({ rated_ah: null, rated_s: 72000, current_a: null, kind: "unknown" }),
  entries: (home) => [grid(number("/rated_ah", "ampere_hour", { wide: true, home }), number("/rated_s", "second", { home }), number("/current_a", "ampere", { wide: true, home }),
    choice("/kind", ["unknown", "glass_mat", "gel", "flooded"], undefined, undefined, home))],
  input: ({ kind, ...draft }) => ({ ...draft, kind: kind === "unknown" ? null : kind, exponent: null }),
  shows: ({ runtime_s, delivered_ah, trusted, convention }) => [main(`${TEXTS.hour_lasts} ${range(runtime_s, "second", "…")}.`), ...(trusted ? [] : [caution(TEXTS.hour_outside)]),
    ranged("hour_gives", delivered_ah, "ampere_hour"), caution(TEXTS.hour_fresh), line(english(convention))],
};

const FORMATS = ["r18650", "r21700", "r26650"];

/** @type {import("../asking.js").Tool} */
export const layout = {
  question: "layout",
  first: () => ({ cells: state.plan.pack.groups.flatMap((/** @type {any} */ group) => group.cells).length, columns: state.plan.pack.groups.length, rows: state.plan.pack.groups[0]?.cells.length ?? 1, layers: 1,
    shape: { format: "r18650" }, staggered: false, gap_m: 0.001, wall_m: 0.003, end_m: 0.003, extra_kg: null }),
  entries: (home) => [grid(number("/cells", "count", { home }), number("/columns", "count", { home }), number("/rows", "count", { home }), number("/layers", "count", { home }),
    ...shape("/shape", {
      format: ["r18650", (at) => [choice(at, FORMATS, undefined, undefined, home)]],
      round: [{ diameter_m: null, length_m: null, cell_kg: null }, (at) => [number(`${at}/diameter_m`, "metre", { home }), number(`${at}/length_m`, "metre", { home }), number(`${at}/cell_kg`, "count", { wide: true, home })]],
      pouch: [{ thickness_m: null, width_m: null, length_m: null, cell_kg: null }, (at) => [number(`${at}/thickness_m`, "metre", { home }), number(`${at}/width_m`, "metre", { home }), number(`${at}/length_m`, "metre", { home }), number(`${at}/cell_kg`, "count", { wide: true, home })]],
    }, null, home), flag("/staggered", false, home), number("/gap_m", "metre", { home }), number("/wall_m", "metre", { home }), number("/end_m", "metre", { home }), number("/extra_kg", "count", { wide: true, home }))],
  shows: ({ length_m, width_m, height_m, pack_kg, cells_kg, free_places, source }) => [main(`${words(length_m, "metre")} × ${words(width_m, "metre")} × ${words(height_m, "metre")}, ${kilograms(pack_kg)}`),
    line(`${TEXTS.layout_cells} ${kilograms(cells_kg)}. ${TEXTS.layout_free} ${free_places}.`), line(TEXTS.layout_sides), ...(source ? [cited(source)] : [])],
};

/** The cells whose sheets are known: their type, as it is printed on them. */
const SHEETS = ["icr18650_26f", "icr18650_20", "inr18650_25r", "inr18650_15l", "inr18650_20r", "inr18650_35e", "inr18650_hg2", "anr26650_m1", "ifr26650", "hhr70aaaj", "hhr120aa"];

/** @param {[number, number] | null | undefined} ends */
const temperatures = (ends) => (ends ? `${words(ends[0], "degree_celsius")} … ${words(ends[1], "degree_celsius")}` : TEXTS.not_known);

/** @type {import("../asking.js").Tool} */
export const cell_sheet = {
  question: "cell_sheet",
  first: () => ({ cell: "inr18650_25r" }),
  entries(home) {
    const pick = choice("/cell", SHEETS, undefined, undefined, home);
    pick.querySelectorAll("option").forEach((option, i) => { option.textContent = SHEETS[i].toUpperCase().replace("_", "-"); });
    return [grid(pick)];
  },
  shows(row) {
    const size = typeof row.diameter_m === "number" ? `${words(row.diameter_m, "metre")} × ${known(row.length_m, "metre")}` : TEXTS.not_known;
    const rows = [["sheet_minimum", known(row.minimum_ah, "ampere_hour")], ["sheet_voltage", known(row.nominal_v, "volt")], ["sheet_charge_v", known(row.charge_v, "volt")],
      ["sheet_charge_a", `${known(row.standard_charge_a, "ampere")}, ${TEXTS.at_most} ${known(row.charge_limit_a, "ampere")}`], ["sheet_end", known(row.end_a, "ampere")], ["sheet_charge_degc", temperatures(row.charge_degc)],
      ["sheet_cut_off", known(row.cut_off_v, "volt")], ["sheet_discharge_a", known(row.discharge_limit_a, "ampere")], ["sheet_discharge_degc", temperatures(row.discharge_degc)],
      ["sheet_ac", known(row.ac_ohm, "ohm")], ["sheet_mass", typeof row.cell_kg === "number" ? `${words(row.cell_kg, "count")} kg` : TEXTS.not_known], ["sheet_size", size],
      ...row.endurance.map((/** @type {any} */ one) => ["sheet_cycles", `${words(one.cycles, "count")}, ${words(one.current_a, "ampere")}: ${known(one.left_ratio, "ratio")}`])];
    return [main(`${TEXTS.sheet_nominal} ${known(row.nominal_ah, "ampere_hour")}, ${TEXTS.at_most} ${known(row.discharge_limit_a, "ampere")}.`),
      wide(TEXTS.tool_cell_sheet, [TEXTS.what, TEXTS.sheet_says], rows.map(([key, said]) => [TEXTS[key], said])), caution(TEXTS.sheet_fresh), cited(row.source)];
  },
};

/** @type {import("../asking.js").Tool} */
export const step_response = {
  question: "step_response",
  first: () => ({ ohm: null, c_f: null, after_s: null, wanted_ratio: null }),
  entries: (home) => [grid(number("/ohm", "ohm", { home }), number("/c_f", "farad", { home }), number("/after_s", "second", { optional: true, home }), number("/wanted_ratio", "ratio", { optional: true, home }))],
  shows: ({ time_constant_s, rise_s, corner_hz, reached_ratio, until_s }) => [main(`${TEXTS.step_constant} ${seconds(time_constant_s)}.`),
    ...(typeof reached_ratio === "number" ? [line(`${TEXTS.step_reached} ${words(reached_ratio, "ratio")}.`)] : []), ...(typeof until_s === "number" ? [line(`${TEXTS.step_until} ${seconds(until_s)}.`)] : []),
    line(`${TEXTS.step_rise} ${seconds(rise_s)}. ${TEXTS.step_corner} ${words(corner_hz, "hertz")}.`), line(TEXTS.step_note)],
};

/** @type {import("../asking.js").Tool} */
export const cycle_fade = {
  question: "cycle_fade",
  first: () => ({ rated_cycles: null, rated_left_ratio: null, cycles: null }),
  entries: (home) => [grid(number("/rated_cycles", "count", { home }), number("/rated_left_ratio", "ratio", { home }), number("/cycles", "count", { home }))],
  shows: ({ left_ratio, lost_per_cycle_ratio }) => [main(typeof left_ratio === "number" ? `${TEXTS.fade_left} ${words(left_ratio, "ratio")}.` : TEXTS.fade_beyond),
    line(`${TEXTS.fade_lost} ${words(lost_per_cycle_ratio, "ratio")}.`), caution(TEXTS.sheet_fresh)],
};
