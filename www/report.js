// Shows a report: verdict and findings first, then how long it runs, then what each part rests on.

import { TEXTS } from "./en.js";
import { clearCurves, refreshCurves } from "./curves.js";
import { byId, make } from "./dom.js";
import { label } from "./fields.js";
import { HEADLINES } from "./headlines.js";
import { cited, findingWords, one, range, say, sayCode, words } from "./language.js";
import { state } from "./store.js";

/** @typedef {import("cellwright").Report} Report */

/** @param {Report} report */
export function show(report) {
  byId("verdict").replaceChildren(sayCode(report.verdict_words, `verdict_${report.verdict}`));
  byId("findings").replaceChildren(...report.findings.map(finding));
  const { runtime_s, likely, least } = report.runtime;
  byId("runtime-words").textContent = `${TEXTS.at_least} ${words(runtime_s.low, "second")}, ${TEXTS.likely} ${words(runtime_s.likely, "second")}, ${TEXTS.at_most} ${words(runtime_s.high, "second")}. ${TEXTS.ended} ${TEXTS[likely.ended_by]}.`;
  byId("chances-words").textContent = chances(report);
  const limit = least.trusted_until_s ?? likely.trusted_until_s;
  const trusted = typeof limit === "number" ? ` ${TEXTS.trusted} ${words(limit, "second")}.` : "";
  byId("curve-words").textContent = `${TEXTS.load_v}: ${words(likely.start_load_v, "volt")}, ${words(likely.half_load_v, "volt")}, ${words(likely.end_load_v, "volt")}. ${TEXTS.mean_a}: ${words(likely.mean_a, "ampere")}.${trusted}`;
  refreshCurves();
  answers(report);
}

/** Where an entry stands, in the maker's words. @param {string} pointer */
function whose(pointer) {
  const [, first, second, third, , fifth] = pointer.split("/");
  const { pack, loads } = state.plan;
  if (second === "groups") return `${TEXTS.group} ${Number(third) + 1}, ${pack.groups[third]?.cells?.[fifth]?.name ?? ""}: `;
  if (first === "loads") return `${loads[second]?.name || TEXTS.loads}: `;
  return "";
}

/** Opens the station of an entry and goes there. @param {string} pointer */
function goTo(pointer) {
  const input = /** @type {HTMLElement | null} */ (document.querySelector(`[name="${CSS.escape(pointer)}"]`));
  for (let part = input?.parentElement; part; part = part.parentElement) if (part instanceof HTMLDetailsElement) part.open = true;
  input?.focus();
}

/** Nothing can be worked out yet: says what is missing, and shows no number of another plan. @param {string[]} missing */
export function unfinished(missing) {
  byId("verdict").textContent = missing.length > 0 ? TEXTS.unfinished : TEXTS.nothing_yet;
  byId("findings").replaceChildren(...missing.map((pointer) => make("div", { class: "finding stop open-entry" },
    make("p", {}, make("span", { class: "mark" }, `${TEXTS.stop} (${TEXTS.not_judged}): `), `${TEXTS.needs} ${whose(pointer)}${label(pointer)}`),
    make("button", { type: "button", "aria-label": `${TEXTS.enter_it}: ${whose(pointer)}${label(pointer)}`, click: () => goTo(pointer) }, TEXTS.enter_it))));
  for (const id of ["runtime-words", "chances-words", "curve-words"]) byId(id).textContent = "";
  byId("runtime-words").textContent = "–";
  clearCurves();
  for (const place of document.querySelectorAll(".answer-line, .headline")) place.replaceChildren();
}

/** What nine builds in ten do, and what to measure. @param {Report} report */
function chances({ chances: told }) {
  if (!told) return TEXTS.no_chances;
  const first = typeof told.measure_first === "number" ? ` ${TEXTS.measure_first} ${TEXTS[`input_${told.effects[told.measure_first].input}`] ?? told.effects[told.measure_first].input}.` : "";
  return `${TEXTS.nine_in_ten} ${words(told.band.tenth_s, "second")}.${first}`;
}

/** @param {import("cellwright").Finding} found */
export function finding(found) {
  const judged = found.judgement === "broken" ? "" : ` (${TEXTS.not_judged})`;
  return make("div", { class: `finding ${found.urgency}` },
    make("p", {}, make("span", { class: "mark" }, `${TEXTS[found.urgency]}${judged}: `), findingWords(found)),
    cited(found.source));
}

/** @param {(Node | string)[]} head @param {(Node | string)[][]} rows */
function rowsOf(head, rows) {
  return make("table", {}, make("thead", {}, make("tr", {}, ...head.map((cell) => make("th", { scope: "col" }, cell)))),
    make("tbody", {}, ...rows.map((row) => make("tr", {}, ...row.map((cell) => make("td", {}, cell))))));
}

/** A table that scrolls by itself. @param {string} name @param {(Node | string)[]} head @param {(Node | string)[][]} rows */
export function wide(name, head, rows) {
  return make("div", { class: "wide", tabindex: "0", role: "region", "aria-label": name }, rowsOf(head, rows));
}

/** The answer of each station: one line beside its title, the rest inside. @param {Report} report */
function answers(report) {
  const { charge, transport } = report;
  for (const [station, headline] of Object.entries(HEADLINES)) byId(`headline-${station}`).textContent = headline(report);
  const set = (/** @type {string} */ station, /** @type {(Node | string)[]} */ ...content) => byId(`answer-${station}`).replaceChildren(...content);
  set("cells", make("p", {}, sayCode(transport.words, transport.code)));
  set("guard", ...guardLines(report));
  set("charging", ...(charge.time_s ? [make("p", {}, `${TEXTS.charge_time} ${range(charge.time_s, "second")}.`)] : []));
  set("runs", ...report.runs.map(wire));
  set("control", ...settings(report));
}

/** @param {Report} report */
function guardLines({ fuse, protection }) {
  const lines = [];
  if (fuse) {
    const fits = fuse.rating_a ? `${TEXTS.fuse_fits} ${words(fuse.rating_a, "ampere")} (${TEXTS.fuse_between} ${words(fuse.lowest_a, "ampere")} – ${words(fuse.highest_a, "ampere")}). ` : "";
    lines.push(make("p", {}, fits, say(fuse.change_words, fuse.change_said)));
  }
  if (protection) {
    const { need } = protection;
    lines.push(make("p", {}, `${TEXTS.board_needs} ${need.series}S, ${words(need.over_charge_from_v, "volt")} – ${words(need.over_charge_to_v, "volt")}, ${TEXTS.board_cuts} ${words(need.over_discharge_v, "volt")}, ${words(need.continuous_a, "ampere")} ${TEXTS.board_good}, ${TEXTS.board_trips} ${words(need.trip_above_a, "ampere")}.`));
  }
  return lines;
}

/** @param {import("cellwright").WireReport} run */
function wire(run) {
  const { lead } = run;
  if (!lead || !lead.drop_v) return make("p", {}, `${run.name}: –`);
  const parts = [`${run.name}: `, say(lead.conductor_words, lead.conductor_said), `. ${TEXTS.wire_words} ${words(lead.drop_v.high, "volt")} (${one(run.drop_ratio, "ratio")}), ${one(lead.conductor_degc, "degree_celsius")}.`];
  if (lead.limit) parts.push(` ${TEXTS.wire_limit} ${words(lead.limit.current_a, "ampere")}: `, sayCode(lead.limit.condition, lead.limit.code), ".");
  if (typeof run.smallest_mm2 === "number") parts.push(` ${TEXTS.wire_smallest} ${words(run.smallest_mm2, "square_millimetre")}.`);
  return make("p", {}, ...parts);
}

/** What each knob position does. @param {Report} report */
function settings({ settings: table, switch: part, capacitor }) {
  if (!table) return [];
  const starts = (/** @type {any} */ over) => [over.full, over.half, over.empty].map((state) => TEXTS[`starts_${state}`]).join(" / ");
  const flow = (/** @type {any} */ moved) => (moved === "no_flow" ? TEXTS.no_flow : moved ? words(moved.flows.flow_m3_per_s, "cubic_metre_per_second") : "–");
  const heat = (/** @type {any} */ state) => (state === null || state === undefined ? "–" : state.settles ? words(state.settles.junction_degc, "degree_celsius") : TEXTS[state]);
  const held = (/** @type {any} */ shaft) => (shaft ? `${words(shaft.mean_a.high, "ampere")}, ${words(shaft.heat_w, "watt")}, ${shaft.trips_first ? TEXTS[shaft.trips_first] ?? shaft.trips_first : TEXTS.nobody}${shaft.trips_first && !shaft.trips_surely ? ` (${TEXTS.perhaps})` : ""}` : "–");
  const columns = table.rows.map(({ wiper_ratio, setting }) => (setting ? [words(wiper_ratio, "ratio"), range(setting.duty, "ratio"), range(setting.frequency_hz, "hertz"),
    words(setting.mean_v, "volt"), one(setting.mean_a, "ampere"), one(setting.power_w, "watt"), one(setting.speed_ratio, "ratio"), flow(setting.flow),
    typeof setting.sound_db === "number" ? `${words(setting.sound_db, "count", 2)} dB` : "–", heat(setting.switch), starts(setting.starts), held(setting.held_shaft), range(setting.runtime_s, "second")]
    : [words(wiper_ratio, "ratio"), TEXTS.timer_outside, ...Array(11).fill("–")]));
  const head = [TEXTS.knob, TEXTS.duty, TEXTS.frequency_hz, TEXTS.mean_v, TEXTS.mean_a, TEXTS.power_w, TEXTS.speed, TEXTS.flow, TEXTS.sound, TEXTS.switch_heat, TEXTS.starts, TEXTS.held, TEXTS.runtime_s];
  const lowest = table.lowest.map((row) => `${words(row.supply_v, "volt")}: ${one(row.start_duty, "ratio")} / ${one(row.hold_duty, "ratio")}`).join("; ");
  const lines = [`${TEXTS.lowest} ${lowest}.`];
  if (part) lines.push(`${TEXTS.switch_gets} ${words(part.gate.gate_v, "volt")} – ${words(part.gate.gate_high_v, "volt")}.${part.flyback ? ` ${TEXTS.flyback_carries} ${words(part.flyback.average_a, "ampere")}, ${words(part.flyback.loss_w, "watt")}.` : ""}`);
  if (capacitor) lines.push(`${TEXTS.capacitor_carries} ${words(capacitor.ripple_a, "ampere")}, ${TEXTS.rush} ${words(capacitor.rush_a, "ampere")}.`);
  // A column a position: five fit a phone, and the names stay in sight while the others are pulled along.
  const rows = head.slice(1).map((name, i) => [name, ...columns.map((column) => column[i + 1])]);
  const shown = wide(TEXTS.positions, [TEXTS.knob, ...columns.map((column) => column[0])], rows);
  shown.classList.add("named");
  return [shown, ...lines.map((text) => make("p", {}, text)), make("p", { class: "source" }, sayCode(table.approximated, "approximated"))];
}
