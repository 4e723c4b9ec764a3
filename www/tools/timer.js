// Parts of the speed controller: which do what is wanted, how far they may lie, what is printed on one.

import { ask } from "cellwright";
import { LABELS, TEXTS } from "../en.js";
import { make } from "../dom.js";
import { choice, flag, grid, list, number, shape, text, words } from "../fields.js";
import { last, reported } from "../asking.js";
import { colourWords, range } from "../language.js";
import { wide } from "../report.js";
import { state } from "../store.js";
import { canBeMade, drawer } from "./drawer.js";
import { caution, english, known, line, made, main } from "./said.js";

const SERIES = ["e6", "e12", "e24", "e48", "e96"];
const DIELECTRICS = ["film", "c0g", "x7r", "x5r", "y5v", "z5u", "electrolytic"];

/** How many sets are shown, and how many are asked for where the drawer may lack the second piece of a value. */
const SHOWN = 3;
const ASKED = 20;

/** @param {import("../fields.js").Home} home @returns {Record<string, [any, (at: string) => HTMLElement[]]>} */
const stocks = (home) => ({
  preferred: [{ resistors: "e12", dielectric: "film" }, (at) => [choice(`${at}/resistors`, SERIES, undefined, undefined, home), choice(`${at}/dielectric`, DIELECTRICS, undefined, undefined, home)]],
  drawer: [{ resistors_ohm: [], pots_ohm: [], capacitors_f: [] },
    (at) => [drawer(home, `${at}/resistors_ohm`, "ohm"), drawer(home, `${at}/pots_ohm`, "ohm"), drawer(home, `${at}/capacitors_f`, "farad")]],
});

/** What a timer does from the full to the empty pack, over the temperatures of the plan, at every place of the knob. @param {any} timer */
function overBattery(timer) {
  const { pack } = reported();
  const { ambient_degc } = state.plan;
  const span = ask("timer_span", { timer, supply_v: [pack.full_v, pack.nominal_v, pack.floor_v], temperature_degc: [ambient_degc.low, ambient_degc.high], wiper_ratio: [0, 0.5, 1] });
  const outside = new Set(span.rows.flatMap(({ outcome }) => ("outside" in outcome ? outcome.outside.map((limit) => limit.words) : [])));
  return [line(`${TEXTS.over_battery} ${known(span.frequency_low_hz, "hertz")} – ${known(span.frequency_high_hz, "hertz")}, ${TEXTS.duty} ${known(span.duty_low, "ratio")} – ${known(span.duty_high, "ratio")}.`),
    ...[...outside].map((limit) => caution(`${TEXTS.not_everywhere} `, english(limit)))];
}

/**
 * One set of parts.
 * @param {import("cellwright").TimerChoice} set
 * @param {number} place
 * @param {(words: string, change: () => void) => HTMLElement} taking
 */
function shownSet(set, place, taking) {
  const knob = typeof set.pot_ohm === "number";
  const parts = [[TEXTS.set_ra, made(set.ra, "ohm")], ...(knob ? [[TEXTS.set_pot, words(set.pot_ohm ?? 0, "ohm")]] : []),
    [knob ? TEXTS.set_stop : TEXTS.set_rb, made(set.rb, "ohm")], [TEXTS.set_c, made(set.c, "farad")]];
  const ends = [set.lowest, set.highest].map((end) => `${words(end.frequency_hz, "hertz")}, ${TEXTS.duty} ${words(end.duty, "ratio")}`);
  return make("div", { class: "item" }, make("h3", { class: "big" }, `${TEXTS.set} ${place}: ${set.met ? TEXTS.set_met : TEXTS.set_not_met}`),
    make("ul", {}, ...parts.map(([name, value]) => make("li", {}, `${name}: ${value}`))),
    line(knob ? `${TEXTS.knob_down} ${ends[0]}. ${TEXTS.knob_up} ${ends[1]}.` : `${TEXTS.set_gives} ${ends[0]}.`),
    ...overBattery(set.timer),
    make("div", { class: "tools" }, state.plan.control ? taking(`${TEXTS.take_set} ${place}`, () => {
      const { control } = state.plan;
      control.timer = { ...control.timer, part: set.timer.part, circuit: set.timer.circuit };
    }) : caution(TEXTS.control_first)));
}

/** @type {import("../asking.js").Tool} */
export const timer_parts = {
  question: "timer_parts",
  first: () => ({ part: state.plan.control?.timer.part ?? "bipolar", form: { diode_steered: "small_signal" }, supply_v: last.report?.pack.nominal_v ?? null,
    frequency_low_hz: null, frequency_high_hz: null, duty_low: null, duty_high: null, stock: { preferred: { resistors: "e12", dielectric: "film" } } }),
  entries: (home, draft) => [grid(
    number("/frequency_low_hz", "hertz", { home }), number("/frequency_high_hz", "hertz", { home }), number("/duty_low", "ratio", { home }), number("/duty_high", "ratio", { home }),
    number("/supply_v", "volt", { home }), choice("/part", ["bipolar", "cmos", "low_drive_cmos"], undefined, undefined, home),
    ...shape("/form", { diode_steered: ["small_signal", () => []], two_resistor: ["two_resistor", () => []] }, null, home),
    ...(typeof draft.form === "object" ? [choice("/form/diode_steered", ["small_signal", "silicon", "schottky"], undefined, undefined, home)] : []),
    ...shape("/stock", stocks(home), null, home))],
  input(draft) {
    const { drawer: held } = draft.stock;
    if (!held) return { ...draft, most: SHOWN };
    const values = (/** @type {string} */ kind) => [...new Set(held[kind].map((/** @type {{value: number}} */ part) => part.value))];
    const pots = typeof draft.form === "object" ? { pots_ohm: values("pots_ohm") } : {};
    return { ...draft, most: ASKED, stock: { drawer: { resistors_ohm: values("resistors_ohm"), capacitors_f: values("capacitors_f"), ...pots } } };
  },
  shows(answer, draft, taking) {
    const { drawer: held } = draft.stock;
    const sets = (held ? answer.choices.filter((/** @type {any} */ set) => canBeMade(set, held)) : answer.choices).slice(0, SHOWN);
    const lacking = answer.choices.length > 0 && sets.length === 0;
    return [line(`${words(answer.searched, "count")} ${TEXTS.sets_searched}`),
      ...answer.unmet.map((/** @type {any} */ unmet) => caution(english(unmet.words))),
      ...(lacking ? [caution(TEXTS.drawer_lacks)] : []),
      ...sets.map((/** @type {any} */ set, /** @type {number} */ i) => shownSet(set, i + 1, taking)),
      line(TEXTS.sets_check)];
  },
};

/** Doubts by the part they come from. @param {any[]} shares */
const shareRows = (shares) => shares.map(({ part, at_low_ratio, at_high_ratio }) => [TEXTS[`share_${part}`] ?? LABELS[part] ?? part, words(at_low_ratio, "ratio"), words(at_high_ratio, "ratio")]);

/** @param {string} key @param {any} spread @param {import("cellwright").Unit} unit */
const spreadLine = (key, spread, unit) => (spread ? `${TEXTS[key]}: ${words(spread.tenth, unit)} – ${words(spread.ninetieth, unit)} ${TEXTS.eight_in_ten}, ${words(spread.low, unit)} – ${words(spread.high, unit)} ${TEXTS.at_all_corners}.`
  : `${TEXTS[key]}: ${TEXTS.corner_outside}`);

/** @type {import("../asking.js").Tool} */
export const timer_tolerance = {
  question: "timer_tolerance",
  first: () => ({ resistor_ratio: 0.05, dielectric: "film", capacitor_low_ratio: null, capacitor_high_ratio: null, pot_ratio: null, over_temperature: true }),
  entries: (home) => [grid(number("/resistor_ratio", "ratio", { home }), choice("/dielectric", DIELECTRICS, undefined, undefined, home),
    number("/capacitor_low_ratio", "ratio", { optional: true, home }), number("/capacitor_high_ratio", "ratio", { optional: true, home }),
    number("/pot_ratio", "ratio", { optional: true, home }), flag("/over_temperature", false, home))],
  input(draft) {
    if (!state.plan.control) throw new Error(TEXTS.control_first);
    const { pack } = reported();
    const { timer, wiper_ratio } = state.plan.control;
    const { diode_steered } = timer.circuit;
    const placed = diode_steered ? { ...timer, circuit: { diode_steered: { ...diode_steered, wiper_ratio } } } : timer;
    return { ...draft, timer: placed, seed: 1, supply_v: { low: pack.floor_v, likely: pack.nominal_v, high: pack.full_v }, temperature_degc: state.plan.ambient_degc };
  },
  shows: (answer) => [main(spreadLine("frequency_hz", answer.frequency_hz, "hertz")), line(spreadLine("duty", answer.duty, "ratio")),
    ...("outside" in answer.outcome ? answer.outcome.outside.map((/** @type {any} */ limit) => caution(english(limit.words))) : []),
    ...(answer.class_covers_temperature ? [] : [caution(TEXTS.class_not_covered)]),
    wide(TEXTS.shares, [TEXTS.what, TEXTS.share_low, TEXTS.share_high], shareRows(answer.shares))],
};

const COLOURS = ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white", "gold", "silver", "pink"];

/** One band. @param {import("../fields.js").Home} home @param {string} pointer */
function colour(home, pointer) {
  const pick = choice(pointer, COLOURS, undefined, undefined, home);
  pick.querySelectorAll("option").forEach((option, i) => { option.textContent = colourWords([COLOURS[i]]); });
  return pick;
}

/** What a ceramic class allows. @param {any} answer */
const classLines = ({ class_degc: [low, high], class_ratio: [fall, rise] }) => [
  main(`${words(low, "degree_celsius")} … ${words(high, "degree_celsius")}: ${words(fall, "ratio")} … +${words(rise, "ratio")}.`), line(TEXTS.class_note)];

/** @type {import("../asking.js").Tool} */
export const marking = {
  question: "marking",
  first: () => ({ capacitor_digits: "" }),
  entries(home) {
    const typed = (/** @type {string} */ kind) => /** @type {[any, (at: string) => HTMLElement[]]} */ (["", (at) => [text(at, home)]]);
    const kinds = ["capacitor_digits", "capacitor_letters", "ceramic_class", "resistor_letters", "resistor_digits", "resistor_short"];
    return [grid(...shape("", {
      ...Object.fromEntries(kinds.map((kind) => [kind, typed(kind)])),
      colours: [["yellow", "violet", "red", "gold"], (at) => list(at, (band) => [colour(home, band)], "brown", 3, home)],
      resistor_ohm: [null, (at) => [number(at, "ohm", { home })]],
      capacitor_f: [null, (at) => [number(at, "farad", { home })]],
    }, null, home))];
  },
  shows: (answer) => (answer.class_degc ? classLines(answer) : [
    main(typeof answer.ohm === "number" ? words(answer.ohm, "ohm") : words(answer.f, "farad")),
    ...(typeof answer.rated_v === "number" ? [line(`${TEXTS.mark_volts} ${words(answer.rated_v, "volt")}.`)] : []),
    ...(typeof answer.high_ratio === "number" ? [line(`${TEXTS.mark_tolerance} ${words(answer.low_ratio, "ratio")} … +${words(answer.high_ratio, "ratio")}.`)] : [line(TEXTS.mark_no_tolerance)]),
    line(`${TEXTS.printed} ${[answer.letters, answer.digits].filter(Boolean).join(", ") || "–"}${answer.colours ? `; ${TEXTS.bands} ${colourWords(answer.colours)}` : ""}.`),
    ...(answer.series ? [line(`${TEXTS.mark_series} ${answer.series.toUpperCase()}.`)] : [])]),
};

/** @type {import("../asking.js").Tool} */
export const one_shot = {
  question: "one_shot",
  first: () => ({ part: state.plan.control?.timer.part ?? "cmos", supply_v: last.report?.pack.nominal_v ?? null, charge_ohm: null, c_f: null, resistor_ratio: 0.05, dielectric: "electrolytic", leak_a: null }),
  entries: (home) => [grid(number("/charge_ohm", "ohm", { home }), number("/c_f", "farad", { home }), choice("/dielectric", DIELECTRICS, undefined, undefined, home),
    number("/resistor_ratio", "ratio", { home }), number("/supply_v", "volt", { home }), choice("/part", ["bipolar", "cmos", "low_drive_cmos"], undefined, undefined, home),
    number("/leak_a", "ampere", { optional: true, home }))],
  shows(answer) {
    const outside = answer.outside.map((/** @type {any} */ limit) => caution(english(limit.words)));
    if (outside.length > 0) return outside;
    const ends = typeof answer.high_s === "number";
    return [main(`${TEXTS.shot_runs} ${words(answer.likely_s, "second")}.`),
      line(`${TEXTS.shot_between} ${words(answer.low_s, "second")} – ${ends ? words(answer.high_s, "second") : TEXTS.shot_open}.`),
      ...(ends ? [] : [caution(`${TEXTS.shot_never} ${words(answer.leak_a, "ampere")}.`)]), line(english(answer.press_words))];
  },
};
