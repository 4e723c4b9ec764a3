// What a finished plan gives to build and to check by: parts, diagram, steps, bench list, tags, charts. Worked out when opened.

import { ask } from "cellwright";
import { TEXTS } from "./en.js";
import { byId, make, onOpened, save } from "./dom.js";
import { diary } from "./diary.js";
import { picture } from "./drawing.js";
import { summary } from "./headlines.js";
import { UNITS, cited, colourWords, drawn, errorWords, joined, say, sayCode, words } from "./language.js";
import { atOnce, everything, later, never } from "./pace.js";
import { finding, wide } from "./report.js";
import { readings, state } from "./store.js";

/** @param {{low: number, high: number}} reading @param {string} ending */
const band = ({ low, high }, ending) => `${words(low, UNITS[ending] ?? "count")} … ${words(high, UNITS[ending] ?? "count")}`;

function parts() {
  const { parts: rows, marking_source } = ask("parts_list", state.plan);
  return [make("ul", { class: "parts" }, ...rows.map((part) => make("li", { class: part.in_plan ? "" : "missing" },
    make("p", {}, make("strong", {}, `${part.mark} · ${part.count} × `), say(part.words, part.said), ...(part.in_plan ? [] : [` (${TEXTS.not_in_plan})`])),
    ...(part.printed.length > 0 ? [make("p", {}, `${TEXTS.printed} ${part.printed.join(", ")}${part.colours.length > 0 ? `; ${TEXTS.bands} ${colourWords(part.colours)}` : ""}`)] : []),
    ...(part.needs.length > 0 ? [make("p", {}, `${TEXTS.has_to} `, ...joined(part.needs.map((need) => say(need.words, need.said)), "; "))] : []),
    make("p", { class: "source" }, say(part.why, part.why_said))))), cited(marking_source)];
}

/** Every wire with its ends: a line each on a screen, a table on paper. @param {import("cellwright").Diagram["connections"]} rows */
function connections(rows) {
  const table = wide(TEXTS.connections, [TEXTS.from, TEXTS.to, TEXTS.wire], rows.map(({ from, to, wire }) => [from, to, wire]));
  table.classList.add("paper-only");
  return [make("details", { class: "screen-only", id: "connections" }, make("summary", {}, `${TEXTS.connections} (${rows.length})`),
    make("ul", {}, ...rows.map(({ from, to, wire }) => make("li", {}, make("strong", {}, `${from} → ${to}`), `: ${wire}`)))), table];
}

function diagram() {
  const answer = /** @type {import("cellwright").Diagram} */ (drawn(state.plan, "diagram").diagram);
  return [picture(answer.drawing, "screen-only"), picture(answer.paper, "paper-only"),
    make("ul", {}, ...answer.notes.map((note, i) => make("li", {}, say(note, answer.notes_said[i])))),
    make("p", {}, ...joined(answer.points.map((point) => make("span", {}, `T${point.number} `, say(point.words, point.said))), " · ")),
    ...connections(answer.connections),
    make("div", { class: "tools" }, make("button", { type: "button", click: download }, TEXTS.save_svg)), cited(answer.symbols_source)];
}

/** Saves the drawings as files. */
function download() {
  for (const [name, text] of Object.entries(drawn(state.plan, "files").files ?? {})) {
    if (typeof text === "string") save(`${name}.svg`, new Blob([text], { type: "image/svg+xml" }));
  }
}

function steps() {
  const { steps: rows, cautions } = ask("build_steps", state.plan);
  return [make("p", { class: "caution" }, sayCode(cautions, "build_cautions")), make("ol", {}, ...rows.map((step) => make("li", {}, make("p", {}, say(step.words, step.said)),
    ...(step.hazard ? [make("p", { class: "caution" }, say(step.hazard, step.hazard_said))] : []), cited(step.source))))];
}

/** @param {import("cellwright").BenchStep} step */
function benchStep(step) {
  const id = `bench-${step.number}`;
  const { measure } = step;
  const input = measure ? [make("label", { for: id }, `${TEXTS.meter_shows} (${step.unit || "–"})`), reading(id, measure, step.unit)] : [];
  const meaning = (/** @type {string} */ key, /** @type {any[]} */ list) => (list.length > 0 ? [make("p", {}, `${TEXTS[key]} `, ...list.flatMap((one) => [one.disconnect_now ? `${TEXTS.disconnect_now} ` : "", say(one.words, one.said), " ", sayCode(one.remedy, one.remedy_code), " "]))] : []);
  return make("li", {}, make("p", {}, make("strong", {}, say(step.words, step.said)), step.wiper_ratio === null || step.wiper_ratio === undefined ? "" : ` (${TEXTS.knob} ${words(step.wiper_ratio, "ratio")})`),
    ...[say(step.probe_words, step.probe_said), sayCode(step.jack, step.jack_code), sayCode(step.shows, step.shows_code)].filter(Boolean).map((text) => make("p", {}, text)),
    ...step.expected.map((row) => make("p", { class: "expected" }, `${TEXTS[`pack_${row.state}`] ?? row.state}: ${band(row.reading, step.unit)}`)),
    ...input,
    ...(step.low_means.length + step.high_means.length > 0 ? [make("details", { class: "item" }, make("summary", {}, TEXTS.outside_means), ...meaning("lower", step.low_means), ...meaning("higher", step.high_means))] : []),
    ...(step.after ? [make("p", { class: "caution" }, sayCode(step.after, step.after_code))] : []));
}

/** @param {string} id @param {import("cellwright").Measure} measure @param {string} ending */
function reading(id, measure, ending) {
  const key = JSON.stringify(measure);
  const input = /** @type {HTMLInputElement} */ (make("input", { id, type: "text", inputmode: "decimal", autocomplete: "off" }));
  input.value = readings.text[key] ?? "";
  input.addEventListener("input", () => {
    readings.put(key, input.value);
    try {
      if (input.value.trim() !== "") ask("parse", { text: input.value, unit: UNITS[ending] ?? "count", field: "shown" });
      input.removeAttribute("aria-invalid");
    } catch {
      input.setAttribute("aria-invalid", "true");
    }
  });
  return input;
}

function bench() {
  const answer = ask("bench", { plan: state.plan });
  const result = make("div", { id: "bench-result", role: "status" });
  const units = new Map(answer.steps.filter((step) => step.measure).map((step) => [JSON.stringify(step.measure), step.unit]));
  const search = make("button", { type: "button", click: () => result.replaceChildren(...diagnosis(units)) }, TEXTS.search_fault);
  const stages = [...new Set(answer.steps.map((step) => step.stage))];
  return [make("ul", {}, ...answer.cautions.map((text, i) => make("li", {}, sayCode(text, answer.caution_codes[i] ?? "")))), make("p", {}, say(answer.limiter.words, answer.limiter.said)),
    ...stages.map((stage) => make("details", { class: "item screen-only" }, make("summary", {}, TEXTS[`stage_${stage}`] ?? stage),
      make("ol", { class: "bench", start: String(answer.steps.find((step) => step.stage === stage)?.number ?? 1) }, ...answer.steps.filter((step) => step.stage === stage).map(benchStep)))),
    onSheet(answer.steps), make("div", { class: "tools" }, search), result];
}

/** The bench list for paper: a row a measurement, with a box to write into. @param {import("cellwright").BenchStep[]} steps */
function onSheet(steps) {
  const rows = steps.map((step) => {
    const expected = Object.fromEntries(step.expected.map((row) => [row.state, band(row.reading, step.unit)]));
    const knob = typeof step.wiper_ratio === "number" ? ` (${TEXTS.knob} ${words(step.wiper_ratio, "ratio")})` : "";
    return [String(step.number), make("span", {}, say(step.words, step.said), knob, ...(step.after ? [" ", sayCode(step.after, step.after_code)] : [])), say(step.probe_words, step.probe_said), expected.full ?? expected.any ?? "", expected.empty ?? "", ""];
  });
  const table = wide(TEXTS.sheet_bench, ["", TEXTS.what, TEXTS.probes, TEXTS.pack_full, TEXTS.pack_empty, TEXTS.meter_shows], rows);
  table.classList.add("paper-only", "bench-table");
  return table;
}

/** @param {Map<string, string>} units */
function diagnosis(units) {
  /** @type {{measure: any, shown: number}[]} */
  const list = [];
  const wrong = [];
  for (const [key, text] of Object.entries(readings.text)) {
    const ending = units.get(key);
    if (text.trim() === "" || ending === undefined) continue;
    try {
      list.push({ measure: JSON.parse(key), shown: ask("parse", { text, unit: UNITS[ending] ?? "count", field: "shown" }).value });
    } catch {
      wrong.push(text);
    }
  }
  if (wrong.length > 0) return [make("p", { class: "wrong" }, `${TEXTS.cannot_read} ${wrong.join(", ")}`)];
  if (list.length === 0) return [make("p", {}, TEXTS.no_readings)];
  try {
    const answer = ask("diagnose", { plan: state.plan, readings: list });
    return [make("p", { class: answer.disconnect_now ? "caution" : "big" }, say(answer.words, answer.said)), make("ol", {}, ...answer.explanations.slice(0, 5).map((row) => make("li", {},
      make("p", {}, make("strong", {}, say(row.words, row.said)), " ", sayCode(row.remedy, row.remedy_code)))))];
  } catch (error) {
    return [make("p", { class: "wrong" }, errorWords(error))];
  }
}

/** What happens when one thing fails: a folded entry each on a screen, a table on paper. */
function fails() {
  const { failures, findings } = ask("one_fails", { plan: state.plan });
  const rows = failures.map((row) => ({ fails: say(row.words, row.said), notice: sayCode(row.notice, `${row.said.code}_notice`), stopped: row.is_stopped ? TEXTS.yes : TEXTS.no, prevention: sayCode(row.prevention, `${row.said.code}_prevention`) }));
  const copy = (/** @type {Node | string} */ said) => (typeof said === "string" ? said : said.cloneNode(true));
  const table = wide(TEXTS.fails, [TEXTS.what_fails, TEXTS.notice, TEXTS.stopped, TEXTS.prevention], rows.map((row) => [row.fails, row.notice, row.stopped, row.prevention].map(copy)));
  table.classList.add("paper-only");
  return [...findings.map(finding), ...rows.map((row) => make("details", { class: "item screen-only" },
    make("summary", {}, row.fails, ` · ${TEXTS.stopped}: ${row.stopped}`), make("p", {}, `${TEXTS.notice}: `, row.notice), make("p", {}, `${TEXTS.prevention}: `, row.prevention))), table];
}

function tags() {
  const { pack, jack, pack_words, jack_words } = /** @type {import("cellwright").Tags} */ (drawn(state.plan, "tags").tags);
  return [picture(pack, "life-size"), picture(jack, "life-size"), make("details", { class: "screen-only" }, make("summary", {}, TEXTS.in_words), ...[pack_words, jack_words].map((lines) => make("ul", {}, ...lines.map((line) => make("li", {}, line)))))];
}

/** The unit of a column by the ending of its name. @param {string} code */
const unitOf = (code) => (code.endsWith("_m3_per_s") ? "cubic_metre_per_second" : code === "group" || code === "cells" ? "count" : code === "duty" ? "ratio" : UNITS[code.split("_").pop() ?? ""] ?? "count");

function charts() {
  const answer = /** @type {import("cellwright").Charts} */ (drawn(state.plan, "charts").charts);
  return [answer.run, answer.groups, answer.settings].filter((chart) => chart !== null && chart !== undefined).map((chart) => {
    const { drawing, words: text, said, table } = /** @type {import("cellwright").Chart} */ (chart);
    const rows = Array.from({ length: table[0]?.values.length ?? 0 }, (_, i) => table.map((column) => {
      const value = column.values[i];
      return typeof value === "number" ? words(value, unitOf(column.code), 3) : "–";
    }));
    const caption = make("figcaption", {}, say(text, said));
    return make("figure", {}, picture(drawing), caption, make("details", { class: "screen-only" }, make("summary", {}, TEXTS.table), wide(`${TEXTS.table}: ${caption.textContent}`, table.map((column) => sayCode(column.words, `column_${column.code}`)), rows)));
  });
}

/** What each sheet is made of; nothing where it stands already. @type {Record<string, () => (Node | string)[] | null>} */
const SHEETS = { charts, diagram, parts, steps, bench, fails, tags, diary };

/** @param {string} name */
const partOf = (name) => /** @type {HTMLDetailsElement} */ (byId(`part-${name}`));

/** The heading of a sheet, which says when the sheet is of the plan before. @param {string} name */
const headOf = (name) => /** @type {HTMLElement} */ (partOf(name).firstElementChild);

/** @param {string} name */
function fill(name) {
  const place = byId(`sheet-${name}`);
  never(`sheet-${name}`);
  try {
    const made = SHEETS[name]();
    if (made) place.replaceChildren(...made);
  } catch (error) {
    place.replaceChildren(make("p", { class: "wrong" }, errorWords(error)));
  }
  delete headOf(name).dataset.old;
}

/** Sheets that lie open say that they belong to the plan before; the others are empty until they are opened. @param {boolean} [another] whether another plan was opened, of which nothing may stand */
export function outdated(another = false) {
  for (const name of Object.keys(SHEETS)) {
    const part = partOf(name);
    if (!part.open || another) byId(`sheet-${name}`).replaceChildren();
    const { dataset } = headOf(name);
    if (part.open && dataset.old !== TEXTS.of_before) dataset.old = TEXTS.of_before;
    never(`sheet-${name}`);
  }
}

/** Works open sheets out again once the hand rests. */
export function refresh(names = Object.keys(SHEETS)) {
  for (const name of names) {
    const part = partOf(name);
    if (part.open) later(`sheet-${name}`, part, () => { if (part.open) fill(name); });
  }
}

/** The sheets as closed parts. */
export function sheets() {
  return Object.keys(SHEETS).map((name) => {
    const part = /** @type {HTMLDetailsElement} */ (make("details", { class: "part sheet", id: `part-${name}` }, make("summary", {}, TEXTS[`sheet_${name}`]), make("div", { id: `sheet-${name}` })));
    onOpened(part, () => {
      atOnce();
      // A sheet of a plan before is empty, or says so.
      if (headOf(name).dataset.old !== undefined || byId(`sheet-${name}`).childElementCount === 0) fill(name);
    });
    return part;
  });
}

/** What the printed sheet holds beside verdict, findings and runtime. */
const PRINTED = ["charts", "diagram", "parts", "steps", "bench", "tags"];

/** Opens the sheets for paper, and closes them again behind it; what the maker has opened is printed as well. */
export function onPaper() {
  /** @type {HTMLDetailsElement[]} */
  let opened = [];
  addEventListener("beforeprint", () => {
    everything();
    byId("summary").replaceChildren(...summary());
    for (const name of PRINTED) fill(name);
    opened = ["know", ...PRINTED.map((name) => `part-${name}`)].map((id) => /** @type {HTMLDetailsElement} */ (byId(id))).filter((part) => !part.open);
    for (const part of opened) part.open = true;
  });
  addEventListener("afterprint", () => {
    for (const part of opened) part.open = false;
  });
}
