// The one line by which a part of the road answers: beside its title while it is folded, and at the head of the printed sheet.

import { byId, make } from "./dom.js";
import { TEXTS } from "./en.js";
import { one, range, words } from "./language.js";
import { state } from "./store.js";

/** @typedef {import("cellwright").Report} Report */

/** @param {Report} report */
function use({ runtime }) {
  const { wanted_runtime_s } = state.plan;
  return `${TEXTS.runs_at_least} ${words(runtime.runtime_s.low, "second")}${typeof wanted_runtime_s === "number" ? `, ${TEXTS.wanted} ${words(wanted_runtime_s, "second")}` : ""}`;
}

/** @param {Report} report */
function cells({ pack }) {
  return `${pack.series}S${pack.parallel}P: ${words(pack.floor_v, "volt")} – ${words(pack.full_v, "volt")} ${TEXTS.pack_words} ${range(pack.capacity_ah, "ampere_hour")}, ${range(pack.energy_wh, "watt_hour")}`;
}

/** @param {Report} report */
function loads({ runtime }) {
  const { mean_a, start_load_v, end_load_v } = runtime.likely;
  return `${words(mean_a, "ampere")} ${TEXTS.mean_words} ${words(start_load_v, "volt")} … ${words(end_load_v, "volt")}`;
}

/** How long it runs at each place of the knob, and where it is not sure to start. @param {Report} report */
function control({ settings }) {
  if (!settings) return TEXTS.none;
  const rows = settings.rows.map(({ wiper_ratio, setting }) => {
    if (!setting) return `${words(wiper_ratio, "ratio")}: ${TEXTS.timer_outside}`;
    const lasts = `${words(wiper_ratio, "ratio")}: ${setting.runtime_s ? words(setting.runtime_s.low, "second") : "–"}`;
    return setting.starts.empty === "yes" ? lasts : `${lasts} (${TEXTS.starts_empty}: ${TEXTS[`starts_${setting.starts.empty}`]})`;
  });
  return `${TEXTS.knob_lasts} ${rows.join(" · ")}`;
}

/** @param {Report} report */
function runs(report) {
  return report.runs.map(({ name, lead }) => `${name} ${TEXTS.wire_words} ${lead?.drop_v ? words(lead.drop_v.high, "volt") : "–"}`).join(" · ");
}

/** @param {Report} report */
function guard({ pack }) {
  return `${TEXTS.short_words} ${words(pack.short_circuit_a, "ampere")}`;
}

/** @param {Report} report */
function charging({ charge }) {
  if (typeof charge.voltage_v !== "number") return "–";
  return `${TEXTS.charge_words} ${words(charge.voltage_v, "volt")}, ${one(charge.current_a, "ampere")}`;
}

/** @type {Record<string, (report: Report) => string>} */
export const HEADLINES = { use, cells, loads, control, runs, guard, charging };

/** The head of the printed sheet: what the build is called, and each part's line as it stands on the screen. */
export const summary = () => [make("p", { class: "big" }, state.plan.name),
  make("ul", {}, ...Object.keys(HEADLINES).map((name) => make("li", {}, make("strong", {}, `${TEXTS[name]}: `), byId(`headline-${name}`).textContent || "–")))];
