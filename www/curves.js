// Voltage, current and charge over time at one place of the knob: three pictures with one cursor, and the same as a table.

import Plot from "uplot";
import { ask } from "cellwright";
import { TEXTS } from "./en.js";
import { byId, make } from "./dom.js";
import { errorWords, one, say, words } from "./language.js";
import { wide } from "./report.js";
import { state } from "./store.js";

/** @typedef {import("cellwright").SettingCurves} Curves */
/** @typedef {import("cellwright").CurveBand} Band */
/** @typedef {import("cellwright").Unit} Unit */

/** @type {{name: "load_v" | "mean_a" | "soc_ratio", unit: Unit}[]} */
const PICTURES = [{ name: "load_v", unit: "volt" }, { name: "mean_a", unit: "ampere" }, { name: "soc_ratio", unit: "ratio" }];

/** Steps of the time axis, in seconds. */
const ROUND = [60, 300, 600, 1800, 3600, 7200, 14400, 21600, 43200, 86400, 172800, 432000, 864000];

/** Time without a key before the curves are worked out anew, in milliseconds. */
const WAIT = 250;

/** @type {Plot[]} */
let plots = [];
/** @type {number | undefined} */
let timer;
/** Place of the knob that was chosen; nothing for the plan's own. @type {number | null} */
let chosen = null;
/** What was drawn last: another look needs no other numbers. */
let drawn = "";

/** Works the curves out once nobody has typed for a moment. */
export function refreshCurves() {
  clearTimeout(timer);
  byId("curve").setAttribute("aria-busy", "true");
  timer = window.setTimeout(work, WAIT);
}

/** Takes the curves away: nothing of another plan stays. */
export function clearCurves() {
  clearTimeout(timer);
  drawn = "";
  for (const plot of plots) plot.destroy();
  plots = [];
  for (const id of ["curve", "curve-said", "curve-read", "curve-table"]) byId(id).replaceChildren();
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
    const key = JSON.stringify([curves, document.documentElement.dataset.theme, document.documentElement.lang, place.clientWidth]);
    if (key !== drawn) show(curves);
    drawn = key;
  } catch (error) {
    drawn = "";
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

/** @param {Curves} curves */
function show(curves) {
  const place = byId("curve");
  for (const plot of plots) plot.destroy();
  const read = (/** @type {number | null | undefined} */ i) => told(curves, i ?? 0);
  place.setAttribute("aria-label", TEXTS.curve_name);
  place.setAttribute("aria-valuemax", String(curves.time_s.length - 1));
  place.replaceChildren();
  plots = PICTURES.map(({ name, unit }) => drawing(place, curves, name, unit, read));
  read(0);
  byId("curve-said").replaceChildren(say(curves.words, curves.said));
  const every = Math.ceil(curves.time_s.length / 24);
  const rows = curves.time_s.map((time_s, i) => [words(time_s, "second"), ...PICTURES.map(({ name, unit }) => three(curves[name], i, unit))])
    .filter((_, i) => i % every === 0 || i === curves.time_s.length - 1);
  byId("curve-table").replaceChildren(make("p", {}, TEXTS.curve_three), ...wide(TEXTS.table, [TEXTS.time, ...PICTURES.map(({ name }) => TEXTS[name])], rows).childNodes);
}

/** What the cursor stands on, in words. @param {Curves} curves @param {number} i */
function told(curves, i) {
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
 * @param {(i: number | null | undefined) => void} read
 */
function drawing(place, curves, name, unit, read) {
  const style = getComputedStyle(document.documentElement);
  const [ink, accent, edge] = ["--ink", "--accent", "--edge"].map((color) => style.getPropertyValue(color).trim());
  const axis = { stroke: ink, grid: { stroke: edge, width: 0.5 }, ticks: { stroke: edge } };
  const band = curves[name];
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
    hooks: { setCursor: [(plot) => { if (typeof plot.cursor.idx === "number") read(plot.cursor.idx); }] },
  };
  const rows = [curves.time_s, band.low, band.high, band.likely, ...(name === "load_v" ? [curves.pack_v.likely] : [])];
  const plot = new Plot(options, /** @type {Plot.AlignedData} */ (rows), holder);
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
