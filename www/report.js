// Shows a report: verdict and findings first, then how long it runs, then what each part rests on.

import Plot from "uplot";
import { TEXTS } from "./en.js";
import { byId, make } from "./dom.js";
import { words } from "./fields.js";

/** @typedef {import("cellwright").Report} Report */

/** @type {Plot | undefined} */
let plot;

/** @param {Report} report */
export function show(report) {
  byId("verdict").textContent = report.verdict_words;
  byId("findings").replaceChildren(...report.findings.map(finding));
  const { runtime_s, likely, least } = report.runtime;
  byId("runtime-words").textContent = `${TEXTS.at_least} ${words(runtime_s.low, "second")}, ${TEXTS.likely} ${words(runtime_s.likely, "second")}, ${TEXTS.at_most} ${words(runtime_s.high, "second")}. ${TEXTS.ended} ${TEXTS[likely.ended_by]}.`;
  const limit = least.trusted_until_s ?? likely.trusted_until_s;
  const trusted = typeof limit === "number" ? ` ${TEXTS.trusted} ${words(limit, "second")}.` : "";
  byId("curve-words").textContent = `${TEXTS.load_v}: ${words(likely.start_load_v, "volt")}, ${words(likely.half_load_v, "volt")}, ${words(likely.end_load_v, "volt")}. ${TEXTS.mean_a}: ${words(likely.mean_a, "ampere")}.${trusted}`;
  draw(likely.series);
  byId("curve-table").replaceChildren(table(likely.series));
  answers(report);
}

/** @param {import("cellwright").Finding} found */
function finding(found) {
  const judged = found.judgement === "broken" ? "" : ` (${TEXTS.not_judged})`;
  const { title, edition, place } = found.source;
  return make("div", { class: `finding ${found.urgency}` },
    make("p", {}, make("span", { class: "mark" }, `${TEXTS[found.urgency]}${judged}: `), found.words),
    make("p", { class: "source" }, `${TEXTS.source} ${[title, edition, place].filter(Boolean).join(", ")}`));
}

/** @param {any} series */
function draw(series) {
  const style = getComputedStyle(document.documentElement);
  const [ink, accent, edge] = ["--ink", "--accent", "--edge"].map((name) => style.getPropertyValue(name));
  const width = Math.max(260, byId("curve").clientWidth || 260);
  const axis = { stroke: ink, grid: { stroke: edge, width: 0.5 }, ticks: { stroke: edge } };
  /** @type {Plot.Options} */
  const options = {
    width, height: 240,
    scales: { x: { time: false }, a: {} },
    axes: [
      { ...axis, values: (_, ticks) => ticks.map((tick) => words(tick, "second")), space: 80 },
      { ...axis, values: (_, ticks) => ticks.map((tick) => words(tick, "volt")), size: 70 },
      { ...axis, scale: "a", side: 1, values: (_, ticks) => ticks.map((tick) => words(tick, "ampere")), size: 70, grid: { show: false } },
    ],
    series: [
      { label: TEXTS.time, value: (_, value) => (value === null ? "–" : words(value, "second")) },
      { label: TEXTS.load_v, stroke: accent, width: 3, points: { show: false }, value: (_, value) => (value === null ? "–" : words(value, "volt")) },
      { label: TEXTS.mean_a, stroke: ink, width: 2, dash: [6, 4], scale: "a", points: { show: false }, value: (_, value) => (value === null ? "–" : words(value, "ampere")) },
    ],
  };
  plot?.destroy();
  plot = new Plot(options, [series.time_s, series.load_v, series.mean_a], byId("curve"));
}

/** @param {any} series */
function table(series) {
  const every = Math.ceil(series.time_s.length / 24);
  const rows = series.time_s.map((/** @type {number} */ time_s, /** @type {number} */ i) => [
    words(time_s, "second"), words(series.load_v[i], "volt"), words(series.mean_a[i], "ampere"), words(Math.max(0, series.soc_ratio[i]), "ratio"),
  ]).filter((/** @type {string[]} */ _, /** @type {number} */ i) => i % every === 0 || i === series.time_s.length - 1);
  return rowsOf([TEXTS.time, TEXTS.load_v, TEXTS.mean_a, TEXTS.soc_ratio], rows);
}

/** @param {string[]} head @param {string[][]} rows */
function rowsOf(head, rows) {
  return make("table", {}, make("thead", {}, make("tr", {}, ...head.map((cell) => make("th", { scope: "col" }, cell)))),
    make("tbody", {}, ...rows.map((row) => make("tr", {}, ...row.map((cell) => make("td", {}, cell))))));
}

/** The answer line of each station. @param {Report} report */
function answers(report) {
  const { pack, charge, runs, positions } = report;
  const range = (/** @type {any} */ value, /** @type {import("cellwright").Unit} */ unit) => (value ? `${words(value.low, unit)} – ${words(value.high, unit)}` : "–");
  const set = (/** @type {string} */ station, /** @type {(Node | string)[]} */ ...content) => byId(`answer-${station}`)?.replaceChildren(...content);
  set("cells", `${pack.series}S${pack.parallel}P: ${words(pack.floor_v, "volt")} – ${words(pack.full_v, "volt")} ${TEXTS.pack_words} ${range(pack.capacity_ah, "ampere_hour")}, ${range(pack.energy_wh, "watt_hour")}.`);
  set("guard", `${TEXTS.short_words} ${words(pack.short_circuit_a, "ampere")}.`);
  if (charge) set("charging", `${TEXTS.charge_words} ${words(charge.voltage_v, "volt")}, ${words(charge.current_a, "ampere")}.`);
  set("runs", ...runs.map((run) => make("span", {}, run.worst && typeof run.drop_ratio === "number"
    ? `${run.name}: ${TEXTS.wire_words} ${words(run.worst.drop_v, "volt")} (${words(run.drop_ratio, "ratio")}), ${words(run.worst.conductor_degc, "degree_celsius")}. ` : `${run.name}: –. `)));
  if (positions.length > 0) {
    const rows = positions.map((row) => [words(row.wiper_ratio, "ratio"), range(row.duty, "ratio"), range(row.frequency_hz, "hertz"), range(row.runtime_s, "second")]);
    set("control", make("span", {}, TEXTS.positions), make("div", { class: "wide", tabindex: "0", role: "region", "aria-label": TEXTS.positions },
      rowsOf([TEXTS.knob, TEXTS.duty, TEXTS.frequency_hz, TEXTS.runtime_s], rows)));
  } else set("control");
}
