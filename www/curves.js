// Voltage, current and charge over time at one place of the knob: three pictures with one cursor, and the same as a table.

import Plot from "uplot";
import { ask } from "cellwright";
import { TEXTS } from "./en.js";
import { byId, make, onOpened } from "./dom.js";
import { errorWords, one, say, words } from "./language.js";
import { later, never } from "./pace.js";
import { put, wide } from "./report.js";
import { state } from "./store.js";

/** @typedef {import("cellwright").SettingCurves} Curves */
/** @typedef {import("cellwright").CurveBand} Band */
/** @typedef {import("cellwright").Unit} Unit */

/** @type {{name: "load_v" | "mean_a" | "soc_ratio", unit: Unit}[]} */
const PICTURES = [{ name: "load_v", unit: "volt" }, { name: "mean_a", unit: "ampere" }, { name: "soc_ratio", unit: "ratio" }];

/** Steps of the time axis, in seconds. */
const ROUND = [60, 300, 600, 1800, 3600, 7200, 14400, 21600, 43200, 86400, 172800, 432000, 864000];

/** @type {Plot[]} */
let plots = [];
/** What the pictures show. @type {Curves | null} */
let shown = null;
/** Place of the knob that was chosen; nothing for the plan's own. @type {number | null} */
let chosen = null;
/** What was drawn last, and how the pictures look: other numbers need no other pictures. */
const drawn = { curves: "", look: "" };

/** Works the curves out once nobody has typed for a moment. */
export function refreshCurves() {
  const place = byId("curve");
  if (place.getAttribute("aria-busy") !== "true") place.setAttribute("aria-busy", "true");
  later("curves", place, work);
}

/** Takes the curves away: nothing of another plan stays. */
export function clearCurves() {
  never("curves");
  if (drawn.look === "" && shown === null && byId("curve-read").textContent === "") return;
  Object.assign(drawn, { curves: "", look: "" });
  shown = null;
  for (const plot of plots) plot.destroy();
  plots = [];
  for (const id of ["curve", "curve-said", "curve-read", "curve-table"]) put(byId(id), "none", () => []);
  byId("curve").setAttribute("aria-label", TEXTS.curve_name);
  byId("curve").removeAttribute("aria-busy");
  byId("curve-tools").hidden = true;
}

function work() {
  const { control } = state.plan;
  const places = control ? [...new Set([control.wiper_ratio, ...control.positions])].sort((a, b) => a - b) : [];
  if (chosen !== null && !places.includes(chosen)) chosen = null;
  const place = byId("curve");
  try {
    const curves = ask("setting_curves", { plan: state.plan, wiper_ratio: chosen });
    pick(places, control?.wiper_ratio);
    const { dataset, lang } = document.documentElement;
    const key = { curves: JSON.stringify(curves), look: JSON.stringify([dataset.theme, lang, place.clientWidth]) };
    if (key.curves !== drawn.curves || key.look !== drawn.look) show(curves, key.look === drawn.look);
    Object.assign(drawn, key);
  } catch (error) {
    Object.assign(drawn, { curves: "", look: "" });
    byId("curve-read").textContent = errorWords(error);
  }
  place.removeAttribute("aria-busy");
}

/** The places of the knob to choose from. @param {number[]} places @param {number} own */
function pick(places, own) {
  const holder = byId("curve-tools");
  holder.hidden = places.length < 2;
  const names = places.map((ratio) => `${words(ratio, "ratio")}${ratio === own ? ` (${TEXTS.curve_own})` : ""}`);
  const key = JSON.stringify([names, chosen, TEXTS.curve_at]);
  if (holder.dataset.key === key) return;
  holder.dataset.key = key;
  const select = /** @type {HTMLSelectElement} */ (make("select", { id: "curve-knob" }, ...places.map((ratio, i) => make("option", { value: String(i) }, names[i]))));
  select.value = String(places.indexOf(chosen ?? own));
  select.addEventListener("change", () => {
    const ratio = places[Number(select.value)];
    chosen = ratio === own ? null : ratio;
    work();
  });
  const focused = document.activeElement?.id === "curve-knob";
  holder.replaceChildren(make("label", { for: "curve-knob" }, TEXTS.curve_at), select);
  if (focused) select.focus();
}

/** Least, likely and most at one point of time. @param {Band} band @param {number} i @param {Unit} unit */
const three = (band, i, unit) => `${one(band.low[i], unit)} / ${one(band.likely[i], unit)} / ${one(band.high[i], unit)}`;

/** Values of a picture, one row a line. @param {Curves} curves @param {"load_v" | "mean_a" | "soc_ratio"} name */
const rowsOf = (curves, name) => /** @type {Plot.AlignedData} */ ([curves.time_s, curves[name].low, curves[name].high, curves[name].likely, ...(name === "load_v" ? [curves.pack_v.likely] : [])]);

/** @param {Curves} curves @param {boolean} same whether the pictures stand and look as they should */
function show(curves, same) {
  const place = byId("curve");
  shown = curves;
  place.setAttribute("aria-valuemax", String(curves.time_s.length - 1));
  if (same) plots.forEach((plot, i) => plot.setData(rowsOf(curves, PICTURES[i].name)));
  else {
    for (const plot of plots) plot.destroy();
    place.setAttribute("aria-label", TEXTS.curve_name);
    place.replaceChildren();
    plots = PICTURES.map(({ name, unit }) => drawing(place, curves, name, unit));
  }
  told(0);
  put(byId("curve-said"), [curves.words, curves.said], () => [say(curves.words, curves.said)]);
  asTable();
}

/** The same as a table, where it is open. */
function asTable() {
  const place = byId("curve-table");
  if (!shown || !place.closest("details")?.open) return;
  const curves = shown;
  put(place, curves, () => {
    const every = Math.ceil(curves.time_s.length / 24);
    const rows = curves.time_s.map((time_s, i) => ({ time_s, i })).filter(({ i }) => i % every === 0 || i === curves.time_s.length - 1)
      .map(({ time_s, i }) => [words(time_s, "second"), ...PICTURES.map(({ name, unit }) => three(curves[name], i, unit))]);
    return [make("p", {}, TEXTS.curve_three), ...wide(TEXTS.table, [TEXTS.time, ...PICTURES.map(({ name }) => TEXTS[name])], rows).childNodes];
  });
}

/** What the cursor stands on, in words. @param {number} i */
function told(i) {
  const curves = shown;
  if (!curves) return;
  const text = `${words(curves.time_s[i], "second")}: ${PICTURES.map(({ name, unit }) => `${TEXTS[name]} ${three(curves[name], i, unit)}`).join("; ")}`;
  byId("curve-read").textContent = text;
  byId("curve").setAttribute("aria-valuetext", text);
  byId("curve").setAttribute("aria-valuenow", String(i));
}

/**
 * One picture: the likely values over the band from least to most.
 * @param {HTMLElement} place
 * @param {Curves} curves
 * @param {"load_v" | "mean_a" | "soc_ratio"} name
 * @param {Unit} unit
 */
function drawing(place, curves, name, unit) {
  const style = getComputedStyle(document.documentElement);
  const [ink, accent, edge] = ["--ink", "--accent", "--edge"].map((color) => style.getPropertyValue(color).trim());
  const axis = { stroke: ink, grid: { stroke: edge, width: 0.5 }, ticks: { stroke: edge } };
  const thin = { stroke: accent, width: 1, dash: [3, 3], points: { show: false } };
  place.append(make("p", { class: "curve-title" }, `${TEXTS[name]}${name === "load_v" ? ` (${TEXTS.curve_pack})` : ""}`));
  const holder = make("div");
  place.append(holder);
  /** @type {Plot.Options} */
  const options = {
    width: Math.max(260, place.clientWidth || 260), height: 170, legend: { show: false },
    cursor: { sync: { key: "cellwright" }, drag: { x: false, y: false }, y: false },
    scales: { x: { time: false } },
    axes: [{ ...axis, values: (_, ticks) => ticks.map((tick) => words(tick, "second")), space: 90, incrs: ROUND },
      { ...axis, values: (_, ticks) => ticks.map((tick) => words(tick, unit)), size: 70 }],
    series: [{}, { ...thin }, { ...thin }, { stroke: accent, width: 3, points: { show: false } },
      ...(name === "load_v" ? [{ stroke: ink, width: 1.5, dash: [8, 4], points: { show: false } }] : [])],
    bands: [{ series: [2, 1], fill: `${accent}33` }],
    hooks: { setCursor: [(plot) => { if (typeof plot.cursor.idx === "number") told(plot.cursor.idx); }] },
  };
  const plot = new Plot(options, rowsOf(curves, name), holder);
  const touch = (/** @type {TouchEvent} */ event) => {
    const box = plot.over.getBoundingClientRect();
    plot.setCursor({ left: event.touches[0].clientX - box.left, top: 0 }, true);
  };
  plot.over.addEventListener("touchstart", touch, { passive: true });
  plot.over.addEventListener("touchmove", touch, { passive: true });
  return plot;
}

/** Steps of the cursor for each key. @type {Record<string, number>} */
const STEPS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10, Home: -1e6, End: 1e6 };

/** Lets the keys move the cursor. */
export function beginCurves() {
  const place = byId("curve");
  onOpened(/** @type {HTMLElement} */ (byId("curve-table").closest("details")), asTable);
  place.addEventListener("keydown", (event) => {
    const step = STEPS[event.key];
    const [plot] = plots;
    if (step === undefined || !plot) return;
    event.preventDefault();
    const times = plot.data[0];
    const at = Math.min(times.length - 1, Math.max(0, Number(place.getAttribute("aria-valuenow")) + step));
    plot.setCursor({ left: plot.valToPos(times[at], "x"), top: 0 }, true);
  });
}
