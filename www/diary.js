// The diary of the finished pack: today's readings, what the entries tell, when to look next, how to take it apart.

import { ask } from "cellwright";
import { TEXTS } from "./en.js";
import { make } from "./dom.js";
import { picture } from "./drawing.js";
import { notify } from "./fields.js";
import { cited, decimal, drawn, errorWords, plain, range, say, sayCode, words } from "./language.js";
import { finding, wide } from "./report.js";
import { copy, remember, state } from "./store.js";

/** @typedef {import("cellwright").DiaryAnswer} Answer */
/** @typedef {import("cellwright").Unit} Unit */

/** What is typed and not yet written down, by the entry's name. @type {Record<string, string>} */
const draft = {};

/** What was done last, for the form that is made next. */
let written = "";

/** The meter where no entry names one: what pocket meters commonly state. */
const METER = { reading_ratio: 0.005, digits: 2, step_v: 0.001 };

/** The day it is here, as year-month-day. */
function today() {
  const now = new Date();
  const two = (/** @type {number} */ number) => String(number).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** @returns {any[]} */
const entries = () => state.plan.diary?.entries ?? [];

/** The meter of the latest entry that was written. */
const lastMeter = () => entries().at(-1)?.voltmeter ?? METER;

/**
 * One entry of the form: a text with what was read shown back.
 * @param {string} name
 * @param {string} label
 * @param {string} first what stands there before anybody typed
 * @param {(text: string) => string} read says what was read, or throws
 */
function field(name, label, first, read) {
  const id = `diary-${name}`;
  const shown = make("p", { class: "read", id: `${id}-read` });
  const wrong = make("p", { class: "wrong", id: `${id}-wrong`, hidden: true });
  const input = /** @type {HTMLInputElement} */ (make("input", { id, type: "text", autocomplete: "off", spellcheck: "false", class: "diary-entry",
    inputmode: name === "note" || name === "date" ? "text" : "decimal", enterkeyhint: "next", "aria-describedby": `${id}-read ${id}-wrong` }));
  input.value = draft[name] ?? first;
  const understand = () => {
    wrong.hidden = true;
    input.removeAttribute("aria-invalid");
    try {
      shown.textContent = input.value.trim() === "" ? TEXTS.leave_out : read(input.value.trim());
    } catch (error) {
      shown.textContent = "";
      wrong.textContent = errorWords(error);
      wrong.hidden = false;
      input.setAttribute("aria-invalid", "true");
    }
  };
  input.addEventListener("input", () => {
    draft[name] = input.value;
    understand();
  });
  input.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    const all = [...document.querySelectorAll(".diary-entry")].filter((one) => one.checkVisibility?.() ?? true);
    const next = /** @type {HTMLElement | undefined} */ (all[all.indexOf(input) + 1]) ?? document.getElementById("diary-write");
    next?.focus();
  });
  understand();
  return make("div", { class: "field" }, make("label", { for: id }, label), input, shown, wrong);
}

/** @param {string} name @param {string} label @param {string[]} options */
function choice(name, label, options) {
  const id = `diary-${name}`;
  const select = /** @type {HTMLSelectElement} */ (make("select", { id }, ...options.map((option) => make("option", { value: option }, TEXTS[option] ?? option))));
  select.value = draft[name] ?? options[0];
  select.addEventListener("change", () => { draft[name] = select.value; });
  return make("div", { class: "field" }, make("label", { for: id }, label), select);
}

/** What a text says of one unit. @param {string} text @param {Unit} unit @param {string} name */
const parsed = (text, unit, name) => ask("parse", { text, unit, field: name });

/** @param {Unit} unit @param {string} name */
const reader = (unit, name) => (/** @type {string} */ text) => `${TEXTS.read_as} ${ask("parse", { text, unit, field: name, decimal: decimal() }).words}`;

/** A date read back with its day of the week. @param {string} text */
function readDate(text) {
  const { date, weekday, days_ago } = ask("read_date", { date: text, today: today() });
  if (days_ago < 0) throw new Error(TEXTS.diary_to_come);
  return `${TEXTS.read_as} ${TEXTS[weekday]} ${date}, ${days_ago === 0 ? TEXTS.diary_today : `${days_ago} ${TEXTS.diary_days_ago}`}`;
}

function form() {
  const groups = state.plan.pack.groups.length;
  const numbers = Array.from({ length: groups }, (_, i) => i + 1);
  const meter = lastMeter();
  const note = make("p", { id: "diary-said", role: "status" }, written);
  written = "";
  const volts = numbers.map((i) => field(`v${i}`, `${TEXTS.group} ${i}, V`, "", reader("volt", "group_v")));
  const more = [...numbers.map((i) => field(`ohm${i}`, `${TEXTS.group} ${i}, Ω`, "", reader("ohm", "group_ohm"))),
    field("reading_ratio", TEXTS.diary_meter_ratio, words(meter.reading_ratio, "ratio"), reader("ratio", "reading_ratio")),
    field("digits", TEXTS.diary_meter_digits, plain(meter.digits), reader("count", "digits")),
    field("step_v", TEXTS.diary_meter_step, words(meter.step_v, "volt"), reader("volt", "step_v")),
    choice("levelled", TEXTS.diary_levelled, ["no", "yes"]),
    field("note", TEXTS.diary_note, "", (text) => text)];
  return make("div", { class: "item" }, make("h3", {}, TEXTS.diary_new), make("p", {}, TEXTS.diary_how),
    make("div", { class: "fields" }, field("date", TEXTS.diary_date, today(), readDate), choice("state", TEXTS.diary_state, ["after_charge", "after_rest", "after_use"])),
    make("div", { class: "fields diary-volts" }, ...volts),
    make("details", { class: "item", id: "diary-more", open: draft.more === "open", toggle: (event) => { draft.more = /** @type {HTMLDetailsElement} */ (event.currentTarget).open ? "open" : ""; } },
      make("summary", {}, TEXTS.diary_more), make("div", { class: "fields" }, ...more)),
    make("div", { class: "tools" }, make("button", { type: "button", id: "diary-write", click: () => write(groups, note) }, TEXTS.diary_write)), note);
}

/** The entry that the form holds; throws what cannot be read. @param {number} groups */
function typed(groups) {
  const meter = lastMeter();
  const text = (/** @type {string} */ name) => (draft[name] ?? "").trim();
  const list = (/** @type {string} */ start, /** @type {Unit} */ unit, /** @type {string} */ name) => Array.from({ length: groups }, (_, i) => {
    const typedText = text(`${start}${i + 1}`);
    return typedText === "" ? null : parsed(typedText, unit, name);
  });
  const number = (/** @type {string} */ name, /** @type {Unit} */ unit, /** @type {number} */ before) => (text(name) === "" ? before : parsed(text(name), unit, name).value);
  const group_v = list("v", "volt", "group_v").map((reading) => reading?.value ?? null);
  if (group_v.every((value) => value === null)) throw new Error(TEXTS.diary_nothing);
  const ohms = list("ohm", "ohm", "group_ohm").map((reading) => (reading === null ? null : reading.interval ?? { low: reading.value, likely: reading.value, high: reading.value }));
  return {
    date: text("date") || today(), state: draft.state ?? "after_charge",
    voltmeter: { reading_ratio: number("reading_ratio", "ratio", meter.reading_ratio), digits: number("digits", "count", meter.digits), step_v: number("step_v", "volt", meter.step_v) },
    group_v, group_ohm: ohms.some((ohm) => ohm !== null) ? ohms : null, levelled: draft.levelled === "yes", note: text("note") || null,
  };
}

/** Writes the form into the plan, once the crate has accepted it. @param {number} groups @param {HTMLElement} note */
function write(groups, note) {
  try {
    const plan = copy(state.plan);
    plan.diary = { entries: [], ...plan.diary };
    plan.diary.entries.push(typed(groups));
    ask("diary", { plan, today: today() });
    remember();
    state.plan = plan;
    for (const name of Object.keys(draft)) if (!["state", "more"].includes(name)) delete draft[name];
    written = TEXTS.diary_written;
    notify.changed();
  } catch (error) {
    note.textContent = errorWords(error);
  }
}

/** @param {string} key @param {string} about @param {() => void} change */
const button = (key, about, change) => make("button", { type: "button", "aria-label": `${TEXTS[key]}: ${about}`, click: () => {
  remember();
  change();
  notify.changed();
} }, TEXTS[key]);

/** The entries, the latest first. @param {Answer} answer */
function list(answer) {
  const groups = state.plan.pack.groups.length;
  const head = [TEXTS.diary_date, ...Array.from({ length: groups }, (_, i) => `${TEXTS.group} ${i + 1}`), TEXTS.diary_spread, TEXTS.diary_note, TEXTS.remove];
  const rows = [...answer.entries].reverse().map((entry) => [`${entry.date}, ${TEXTS[entry.state]}`, ...entry.group_v.map((v) => (v ? words(v.likely, "volt", 4) : "–")),
    typeof entry.spread_v === "number" ? words(entry.spread_v, "volt") : "–", entries()[entry.place]?.note ?? "", button("remove", entry.date, () => entries().splice(entry.place, 1))]);
  if (rows.length === 0) return [];
  const table = wide(TEXTS.diary_entries, head, rows);
  table.classList.add("named");
  return [make("h3", {}, TEXTS.diary_entries), table];
}

/** When a group leaves its band, in words. @param {import("cellwright").LeavesBand} leaves */
function leaving({ answer, earliest_date, latest_date }) {
  const from = earliest_date ? ` ${TEXTS.diary_not_before} ${earliest_date}` : "";
  const to = latest_date ? `, ${TEXTS.diary_not_after} ${latest_date}` : "";
  return `${TEXTS[`band_${answer}`]}${from}${to}`;
}

/** Each group in a column. @param {Answer} answer */
function groups(answer) {
  const told = answer.groups.map((group) => {
    const { imbalance } = group;
    return [range(group.difference_v, "volt", "…"), `${range(group.drift_v_per_month, "volt", "…")} (${group.compared})`, leaving(group.leaves_band),
      imbalance.charge_ah ? `${range(imbalance.charge_ratio, "ratio", "…")}, ${range(imbalance.charge_ah, "ampere_hour", "…")}` : TEXTS[`imbalance_${imbalance.seen}`],
      range(group.loss_ratio_per_month, "ratio", "…"), range(group.resistance_ratio, "ratio", "…")];
  });
  const names = [TEXTS.diary_difference, TEXTS.diary_drift, TEXTS.diary_leaves, TEXTS.diary_imbalance, TEXTS.diary_loss, TEXTS.diary_resistance];
  const table = wide(TEXTS.diary_groups, [TEXTS.what, ...answer.groups.map((group) => `${TEXTS.group} ${group.number}`)], names.map((name, i) => [name, ...told.map((column) => column[i])]));
  table.classList.add("named");
  return [make("h3", {}, TEXTS.diary_groups), make("p", {}, `${TEXTS.diary_band} ± ${words(answer.band_v, "volt")}.${answer.drift_state ? ` ${TEXTS.diary_rests_on} ${TEXTS[answer.drift_state]}.` : ""}`), table];
}

/** @param {Answer} answer */
function ending(answer) {
  const steps = make("ol", {}, ...answer.take_apart.map((step) => make("li", {}, make("p", {}, say(step.words, step.said)),
    ...(step.hazard ? [make("p", { class: "caution" }, say(step.hazard, step.hazard_said))] : []), cited(step.source))));
  const rules = make("ul", {}, ...answer.retire_rules.map((rule) => make("li", {}, make("p", {}, sayCode(rule.words, rule.code)), cited(rule.source))));
  return [make("details", { class: "item", id: "diary-retire" }, make("summary", {}, TEXTS.diary_when_retire), make("p", {}, sayCode(answer.retire_words, answer.retire_said.code)), rules),
    make("details", { class: "item", id: "diary-apart" }, make("summary", {}, TEXTS.diary_apart), make("p", { class: "caution" }, sayCode(answer.cautions, "build_cautions")), steps)];
}

/** What the sheet was last made from. */
let madeFrom = "";

/** The whole sheet; nothing where it stands already as it should: what is being typed stays under the fingers. */
export function diary() {
  const key = JSON.stringify([state.plan, today(), document.documentElement.lang]);
  if (key === madeFrom && document.getElementById("diary-write")) return null;
  madeFrom = key;
  /** @type {Answer} */
  let answer;
  try {
    answer = ask("diary", { plan: state.plan, today: today() });
  } catch (error) {
    return [make("p", { class: "wrong" }, errorWords(error)), make("div", { class: "tools" }, button("diary_forget", TEXTS.sheet_diary, () => { state.plan.diary = null; }))];
  }
  const drawing = drawn(state.plan, "diary").diary;
  const check = answer.next_check;
  const next = check.date ? `${TEXTS.diary_next} ${check.date}${check.is_due ? ` – ${TEXTS.diary_due}` : ""}. ` : "";
  const told = answer.findings.filter((one) => one.judgement === "broken");
  const untold = answer.findings.filter((one) => one.judgement !== "broken");
  return [make("p", { class: "big" }, next), make("p", {}, say(check.words, check.said)), make("p", { id: "diary-verdict" }, sayCode(answer.retire_words, answer.retire_said.code)),
    ...told.filter((one) => one.urgency === "stop").map(finding), form(), ...told.filter((one) => one.urgency !== "stop").map(finding),
    ...(drawing ? [make("figure", {}, picture(drawing), make("figcaption", {}, TEXTS.diary_picture))] : []),
    ...list(answer), ...groups(answer),
    ...(untold.length > 0 ? [make("details", { class: "item" }, make("summary", {}, `${TEXTS.diary_not_judged} (${untold.length})`), ...untold.map(finding))] : []),
    ...ending(answer)];
}
