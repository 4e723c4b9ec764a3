// Finding fit cells: what the meter tells of one, which may be used, and which test of the bin comes next.

import { LABELS, TEXTS } from "../en.js";
import { make } from "../dom.js";
import { choice, flag, grid, number, shape, text, words } from "../fields.js";
import { fateOf, put, rows, screened } from "../found.js";
import { lines } from "../lines.js";
import { finding, wide } from "../report.js";
import { range } from "../language.js";
import { state } from "../store.js";
import { ammeter, chemistry, discharger, loadReading, meterFirst, meterKept, shownCurrent, voltmeter } from "./meter.js";
import { caution, cited, english, line, main, ranged } from "./said.js";

/** An interval as it is typed. @param {{low: number, likely: number, high: number}} value */
const typed = ({ low, likely, high }) => (low < high ? `${low}..${high}` : String(likely));

/**
 * A button that writes a measured value into the line of a cell.
 * @param {string} name
 * @param {string} field
 * @param {any} value an interval
 */
function intoBin(name, field, value) {
  const said = make("p", { class: "read", role: "status" });
  const press = () => {
    if (!name?.trim()) {
      said.textContent = TEXTS.bin_name_first;
      return;
    }
    put([{ name: name.trim(), field, text: typed(value) }]);
    said.textContent = `${name.trim()}: ${TEXTS.bin_written}`;
  };
  return [make("div", { class: "tools" }, make("button", { type: "button", class: "take", click: press }, TEXTS.bin_put)), said];
}

/** @param {any} answer @param {any} draft */
function resistanceShown({ resistance_ohm, after_s, coarse, error_v, drop_v }, draft) {
  meterKept(draft);
  const doubt = line(`${TEXTS.drop_read} ${words(drop_v, "volt")}, ${TEXTS.drop_doubt} ${words(error_v, "volt")}.`);
  const better = coarse ? [caution(`${TEXTS.coarse} ${words(coarse.drop_v, "volt")}${typeof coarse.step_v === "number" ? `, ${TEXTS.coarse_step} ${words(coarse.step_v, "volt")}` : ""}.`)] : [];
  if (!resistance_ohm) return [main(TEXTS.resistance_not_told), doubt, ...better];
  return [main(`${range(resistance_ohm, "ohm", "…")} ${TEXTS.after} ${words(after_s, "second")}`), doubt, ...better, ...intoBin(draft.name, "resistance_ohm", resistance_ohm)];
}

/** Leaves out what is no part of the question: the name, and an ammeter that was not read. @param {any} draft */
const asked = ({ name: _, ammeter: meter, ...draft }) => ({ ...draft, ammeter: shownCurrent(draft) ? meter : null });

/** @param {import("../fields.js").Home} home @param {any} draft */
const meters = (home, draft) => [...voltmeter(home), ...(shownCurrent(draft) ? ammeter(home) : []), flag("/same_range", false, home)];

/** @type {import("../asking.js").Tool} */
export const measure_resistance = {
  question: "measure_resistance",
  first: () => ({ name: "", light: { cell_v: null, current: "open" }, heavy: { cell_v: null, current: { shown: { current_a: null } } }, after_s: 10, same_range: true, ...meterFirst() }),
  entries: (home, draft) => [grid(text("/name", home), ...loadReading(home, "/light", true), ...loadReading(home, "/heavy", false), number("/after_s", "second", { home })), grid(...meters(home, draft))],
  input: asked,
  shows: resistanceShown,
};

/** @type {import("../asking.js").Tool} */
export const measure_pulse = {
  question: "measure_pulse",
  first: () => ({ name: "", rest_v: null, pulse: { cell_v: null, current: { shown: { current_a: null } } }, after_s: 10, same_range: true, ...meterFirst() }),
  entries: (home, draft) => [grid(text("/name", home), number("/rest_v", "volt", { home }), ...loadReading(home, "/pulse", false), number("/after_s", "second", { home })), grid(...meters(home, draft))],
  input: asked,
  shows: resistanceShown,
};

/** @type {readonly import("../lines.js").Column[]} */
const LOG = [["time_s", "second"], ["cell_v", "volt"]];

/** @type {import("../asking.js").Tool} */
export const measure_capacity = {
  question: "measure_capacity",
  first: () => ({ name: "", discharged_by: { resistor: { resistor_ohm: null } }, end_v: null, readings: [], voltmeter: meterFirst().voltmeter }),
  entries: (home) => [grid(text("/name", home), ...discharger(home), number("/end_v", "volt", { optional: true, home })), lines(home, "/readings", LOG), grid(...voltmeter(home))],
  input: ({ name: _, readings_text: __, ...draft }) => draft,
  shows(answer, draft) {
    meterKept({ voltmeter: draft.voltmeter, ammeter: draft.discharged_by.shown?.ammeter });
    return [main(range(answer.capacity_ah, "ampere_hour", "…")),
      ...(answer.ended_early ? [caution(`${TEXTS.ended_early} ${words(answer.end_v, "volt")}.`)] : [line(`${TEXTS.ended_at} ${words(answer.end_v, "volt")}, ${words(answer.time_s, "second")}.`)]),
      ranged("energy", answer.energy_wh, "watt_hour"), line(`${TEXTS.mean_a}: ${words(answer.mean_a, "ampere")}. ${TEXTS.gaps} ${words(answer.gaps_ah, "ampere_hour")}.`),
      ...intoBin(draft.name, "capacity_ah", answer.capacity_ah)];
  },
};

/** @type {import("../asking.js").Tool} */
export const measure_self_discharge = {
  question: "measure_self_discharge",
  first: () => ({ name: "", chemistry: "nmc", first_v: null, second_v: null, between_s: null, rested_s: null, temperature_change_k: null, same_range: true, voltmeter: meterFirst().voltmeter }),
  entries: (home) => [grid(text("/name", home), chemistry(home), number("/rested_s", "second", { home }), number("/first_v", "volt", { home }), number("/between_s", "second", { home }), number("/second_v", "volt", { home }),
    number("/temperature_change_k", "count", { optional: true, home })), grid(...voltmeter(home), flag("/same_range", false, home))],
  input: ({ name: _, ...draft }) => ({ ...draft, own_chemistries: state.plan.own_chemistries }),
  shows(answer, draft) {
    meterKept(draft);
    const { self_discharge_ratio: lost } = answer;
    // What cannot be told from nothing is still bounded: screening wants that bound, not a nothing.
    const bound = { low: 0, likely: answer.at_most_ratio, high: answer.at_most_ratio };
    return [main(lost ? `${range(lost, "ratio", "…")} ${TEXTS.in_month}` : `${TEXTS.month_at_most} ${words(answer.at_most_ratio, "ratio")} ${TEXTS.in_month}`),
      ...(answer.rose ? [caution(TEXTS.voltage_rose)] : []),
      ...(answer.tells ? [] : [caution(`${TEXTS.not_told_yet} ${words(answer.needed_s, "second")}${typeof answer.needed_step_v === "number" ? `, ${TEXTS.coarse_step} ${words(answer.needed_step_v, "volt")}` : ""}.`)]),
      line(`${TEXTS.drop_read} ${words(answer.fall_v, "volt")}, ${TEXTS.drop_doubt} ${words(answer.error_v, "volt")}.`),
      ...(answer.rose ? [] : intoBin(draft.name, "self_discharge_ratio", lost ?? bound))];
  },
};

const FAMILIES = ["lithium_ion", "lithium_iron_phosphate", "lead_acid", "nickel_metal_hydride", "unidentified"];
const SIZES = ["14500", "18500", "18650", "21700", "26650", "32700"];

/** One of several words, or not known yet. @param {import("../fields.js").Home} home @param {string} pointer @param {string[]} options */
const perhaps = (home, pointer, options) => choice(pointer, ["unknown", ...options], (chosen) => home.set(pointer, chosen === "unknown" ? null : chosen), home.get(pointer) ?? "unknown", home);

/** A resistance with how it was taken. @param {any} value @param {string} kind */
const taken = (value, kind) => (value ? { resistance_ohm: value, kind } : null);

/** A cell of the bin with the looks that were entered; what was entered as a number counts before what the bin holds. @param {any} looks @param {any} row @param {string} kind */
const seen = (looks, row, kind) => ({ ...looks, name: row.name, capacity_ah: looks.capacity_ah ?? row.capacity_ah ?? null, found_v: looks.found_v ?? row.found_v?.likely ?? null,
  resistance: taken(looks.resistance ?? row.resistance_ohm, kind), self_discharge_ratio: looks.self_discharge_ratio ?? row.self_discharge_ratio ?? null });

/** What screening says of one cell, unfolded where it is the only one. @param {any} cell */
const fate = (cell, alone = false) => make("details", { class: `item fate ${cell.fate}`, open: alone }, make("summary", {}, `${cell.name}: ${LABELS[`fate_${cell.fate}`]}`),
  line(english(cell.fate_words)), ...cell.findings.map(finding), line(`${TEXTS.rules_kept} ${cell.kept.length}.`));

/** @type {import("../asking.js").Tool} */
export const screen_cells = {
  question: "screen_cells",
  first: () => ({ who: "one", ohm_kind: "dc", new_ohm: null, cells: [{ name: "", family: "lithium_ion", size: null, found_in: null, found_v: null, damaged: null, leaked: null, rust: null, smells: null, wrapper: null,
    charge_warmth: null, pre_charge_lifted: null, rated_ah: null, capacity_ah: null, resistance: null, self_discharge_ratio: null, age_s: null, calendar_life: null }] }),
  entries(home, draft) {
    const at = "/cells/0";
    const one = draft.who === "one";
    return [grid(choice("/who", ["one", "whole_bin"], (chosen) => home.set("/who", chosen), undefined, home), ...(one ? [text(`${at}/name`, home)] : []),
      choice(`${at}/family`, FAMILIES, undefined, undefined, home), perhaps(home, `${at}/size`, SIZES), perhaps(home, `${at}/found_in`, ["working", "failed", "harmed"]),
      flag(`${at}/damaged`, true, home), flag(`${at}/leaked`, true, home), perhaps(home, `${at}/rust`, ["none", "stain", "pitted"]), flag(`${at}/smells`, true, home),
      perhaps(home, `${at}/wrapper`, ["whole", "torn"]), perhaps(home, `${at}/charge_warmth`, ["cool", "warm", "hot"]), flag(`${at}/pre_charge_lifted`, true, home),
      number(`${at}/rated_ah`, "ampere_hour", { optional: true, home }), choice("/ohm_kind", ["dc", "ac_1khz"], undefined, undefined, home), number("/new_ohm", "ohm", { wide: true, optional: true, home }),
      number(`${at}/age_s`, "second", { wide: true, optional: true, home }), ...shape(`${at}/calendar_life`, {
        not_stated: ["not_stated", () => []], stated: [{ life_s: null }, (life) => [number(`${life}/life_s`, "second", { home })]],
      }, "unknown", home),
      ...(one ? [number(`${at}/found_v`, "volt", { optional: true, home }), number(`${at}/capacity_ah`, "ampere_hour", { wide: true, optional: true, home }),
        number(`${at}/resistance`, "ohm", { wide: true, optional: true, home }), number(`${at}/self_discharge_ratio`, "ratio", { wide: true, optional: true, home })] : []))];
  },
  input({ who, ohm_kind, new_ohm, cells }) {
    const looks = { ...cells[0], new_resistance: taken(new_ohm, ohm_kind) };
    const { rows: all, wrong } = rows();
    if (who === "one") return { cells: [seen(looks, all.find((row) => row.name === looks.name.trim()) ?? { name: looks.name.trim() }, ohm_kind)] };
    if (wrong.length > 0) throw new Error(wrong.join(" "));
    if (all.length === 0) throw new Error(TEXTS.bin_empty);
    const same = { ...looks, found_v: null, capacity_ah: null, resistance: null, self_discharge_ratio: null };
    return { cells: all.map((row) => seen(same, row, ohm_kind)) };
  },
  shows({ warning, cells, identify, hand_in }) {
    const known = new Set(rows().rows.map((row) => row.name));
    for (const cell of cells) if (known.has(cell.name)) screened(cell.name, cell.fate);
    const count = (/** @type {string} */ one) => cells.filter((/** @type {any} */ cell) => cell.fate === one).length;
    return [finding(warning), main(cells.length === 1 ? `${cells[0].name}: ${LABELS[`fate_${cells[0].fate}`]}` : ["use", "measure_again", "recycle"].map((one) => `${LABELS[`fate_${one}`]}: ${count(one)}`).join(" · ")),
      ...(hand_in && count("recycle") > 0 ? [caution(english(hand_in.words)), cited(hand_in.source)] : []), ...cells.map((/** @type {any} */ cell) => fate(cell, cells.length === 1)),
      ...(identify.length > 0 ? [make("h3", {}, TEXTS.identify), make("ol", {}, ...identify.map((/** @type {any} */ step) => make("li", {}, line(english(step.words)), cited(step.source))))] : [])];
  },
};

/** The tests that the bin's lines show as passed. @param {any} row */
const passed = (row) => [...(row.rest_v || row.found_v ? ["look", "rest_voltage"] : []), ...(row.resistance_ohm ? ["resistance"] : []), ...(row.capacity_ah ? ["charge", "capacity"] : []),
  ...(row.self_discharge_ratio ? ["month"] : [])];

/** @type {import("../asking.js").Tool} */
export const sort_bin = {
  question: "sort_bin",
  first: () => ({ series: state.plan.pack.groups.length, parallel: state.plan.pack.groups[0]?.cells.length ?? 1, chemistry: "nmc", rated_ah: null, size: "18650", wanted_ah: null, worth_ah: null,
    tester_places: 1, charger_places: 4, capacity_test_s: 18000, charge_s: 14400, evening_s: 10800, evenings: 10 }),
  entries: (home) => [grid(number("/series", "count", { home }), number("/parallel", "count", { home }), chemistry(home), perhaps(home, "/size", SIZES), number("/rated_ah", "ampere_hour", { optional: true, home }),
    number("/wanted_ah", "ampere_hour", { optional: true, home }), number("/worth_ah", "ampere_hour", { optional: true, home }), number("/tester_places", "count", { home }), number("/capacity_test_s", "second", { home }),
    number("/charger_places", "count", { home }), number("/charge_s", "second", { home }), number("/evening_s", "second", { home }), number("/evenings", "count", { home }))],
  input({ chemistry: kind, rated_ah, size, ...draft }) {
    const { rows: all, wrong } = rows();
    if (wrong.length > 0) throw new Error(wrong.join(" "));
    if (all.length === 0) throw new Error(TEXTS.bin_empty);
    return { ...draft, cells: all.map((row) => ({ name: row.name, chemistry: kind, rated_ah, size, capacity_ah: row.capacity_ah ?? null,
      passed: fateOf(row.name) === "recycle" ? [] : passed(row), sorted_out_by: fateOf(row.name) === "recycle" ? "look" : null })) };
  },
  shows({ sorting, findings }) {
    const { order, evenings, take_next, hands_s, waiting_s, grouping } = sorting;
    return [main(english(sorting.words)), ...findings.map(finding), line(`${TEXTS.take_next} ${take_next.slice(0, 12).join(", ") || "–"}`),
      wide(TEXTS.tests_order, [TEXTS.test, TEXTS.test_comes_to, TEXTS.test_sorts_out, TEXTS.test_hands, TEXTS.test_evenings],
        order.map((/** @type {any} */ step) => [LABELS[`test_${step.test}`] ?? step.test, words(step.comes_to, "count"), words(step.sorts_out, "count"), words(step.hands_s, "second"), typeof step.evenings === "number" ? words(step.evenings, "count") : TEXTS.no_machine])),
      line(`${TEXTS.sort_evenings} ${evenings ? range(evenings, "count", "…") : TEXTS.no_machine}; ${TEXTS.sort_hands} ${words(hands_s, "second")}; ${TEXTS.sort_waits} ${words(waiting_s, "second")}.`),
      ...(typeof grouping.weakest_ah === "number" ? [line(`${TEXTS.bin_weakest} ${words(grouping.weakest_ah, "ampere_hour")}${typeof grouping.gain_ah === "number" ? `; ${TEXTS.sort_gain} ${words(grouping.gain_ah, "ampere_hour")}` : ""}.`)] : []),
      cited(order[0].source)];
  },
};
