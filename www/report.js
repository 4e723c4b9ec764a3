// Shows a report: verdict and findings first, then how long it runs, then what each part rests on.

import { TEXTS } from "./en.js";
import { clearCurves } from "./curves.js";
import { byId, make, turn } from "./dom.js";
import { label } from "./fields.js";
import { HEADLINES } from "./headlines.js";
import { cited, findingWords, language, nameOf, number, one, range, say, sayCode, words } from "./language.js";
import { build } from "./road.js";
import { state } from "./store.js";

/** @typedef {import("cellwright").Report} Report */

/** What each place was made of. @type {WeakMap<Element, string>} */
const madeOf = new WeakMap();

/** In the language of the page. @param {any} of */
const keyOf = (of) => `${language.code} ${JSON.stringify(of)}`;

/**
 * Makes what stands at a place, unless it stands there already.
 * @param {Element} place
 * @param {any} of all that it is made of
 * @param {() => (Node | string)[]} making
 */
export function put(place, of, making) {
  const key = keyOf(of);
  if (madeOf.get(place) === key) return;
  madeOf.set(place, key);
  place.replaceChildren(...making());
}

/** @typedef {import("cellwright").Finding} Finding */

/** What is said of several cells or groups alike stands together. @param {Finding[]} all @returns {Finding[][]} */
function gathered(all) {
  /** @type {Map<string, Finding[]>} */
  const alike = new Map();
  for (const found of all) {
    const { code, urgency, judgement, limit, needs } = found;
    const key = JSON.stringify([code, urgency, judgement, limit, needs]);
    alike.set(key, [...(alike.get(key) ?? []), found]);
  }
  return [...alike.values()];
}

/** Puts findings into their list; those that stood there before stay as they are. @param {Element} place @param {Finding[]} findings */
function list(place, findings) {
  const all = gathered(findings);
  /** @type {Map<string | undefined, Element>} */
  const there = new Map([...place.children].map((child) => [madeOf.get(child), child]));
  all.forEach((alike, i) => {
    const key = keyOf(alike);
    const node = there.get(key) ?? alikes(alike);
    there.delete(key);
    madeOf.set(node, key);
    if (place.children[i] !== node) place.insertBefore(node, place.children[i] ?? null);
  });
  while (place.children.length > all.length) place.lastElementChild?.remove();
}

/** Findings that ask for something stand open, with what leads them; what there is to know beside them is folded. @param {Finding[]} all */
function findings(all) {
  const urgent = Math.max(1, all.map(({ urgency }) => urgency === "know").lastIndexOf(false) + 1);
  put(byId("findings"), "report", () => []);
  list(byId("findings"), all.slice(0, urgent));
  know(all.slice(urgent));
}

/** What there is to know, folded. @param {Finding[]} all */
function know(all) {
  turn(byId("know"), { hidden: all.length === 0 });
  turn(byId("know-title"), { textContent: `${TEXTS.to_know} (${gathered(all).length})` });
  list(byId("know-findings"), all);
}

// The browser keeps these lists: a search by selector goes through the whole page, twice a key.
const lines = document.getElementsByClassName("answer-line");
const heads = document.getElementsByClassName("headline");

/** Whether an answer can be seen and says something, or said that it is being worked out. @param {Element} line */
const speaks = (line) => line.hasAttribute("aria-busy") || (line.hasChildNodes() && line.parentElement?.hasAttribute("open"));

/** The parts that say what comes of the plan; those of stations only where they say something. */
const parts = () => [...["glance", "answer", "runtime"].map(byId), ...[...lines].filter(speaks), ...[...heads].filter((head) => head.hasChildNodes())];

/** How high the verdict stands. */
let height = 0;

/** Notes it, without asking for it in the middle of a key. */
export function beginReport() {
  new ResizeObserver(([{ contentRect, target }]) => {
    if (/** @type {HTMLElement} */ (target).style.minHeight === "") height = contentRect.height;
  }).observe(byId("verdict"));
}

/** The answer in one line at the head of the page, which leads to it; without a report only what stands in the way. @param {Report["verdict"] | ""} verdict @param {(Node | string)[]} said */
function glance(verdict, said) {
  put(byId("glance"), [verdict, said.map(String)], () => [make("span", {}, ...said, "\u00a0↓")]);
  byId("glance").classList.toggle("stop", verdict !== "ready");
}

/** The answer is being worked out: nothing that stands of the one before may be taken for it. */
export function waiting() {
  const verdict = byId("verdict");
  // A shorter line would move the whole page, and move it back.
  verdict.style.minHeight = `${height}px`;
  put(verdict, "waiting", () => [TEXTS.being_worked_out]);
  glance("", [TEXTS.being_worked_out]);
  for (const part of parts()) part.setAttribute("aria-busy", "true");
}

/** What stands belongs to the plan, or says that it does not. */
export function arrived() {
  if (byId("verdict").style.minHeight !== "") byId("verdict").style.minHeight = "";
  for (const part of parts()) part.removeAttribute("aria-busy");
}

/** @param {Report} report */
export function show(report) {
  put(byId("verdict"), report.verdict, () => [sayCode(report.verdict_words, `verdict_${report.verdict}`)]);
  findings(report.findings);
  const { runtime_s, likely, least } = report.runtime;
  glance(report.verdict, [`${byId("verdict").textContent} ${TEXTS.runs_at_least} ${words(runtime_s.low, "second")}.`]);
  const limit = least.trusted_until_s ?? likely.trusted_until_s;
  put(byId("runtime-words"), [runtime_s, likely.ended_by],
    () => [`${TEXTS.at_least} ${words(runtime_s.low, "second")}, ${TEXTS.likely} ${words(runtime_s.likely, "second")}, ${TEXTS.at_most} ${words(runtime_s.high, "second")}. ${TEXTS.ended} ${TEXTS[likely.ended_by]}.`]);
  put(byId("chances-words"), [report.chances], () => [chances(report)]);
  put(byId("curve-words"), [likely, limit], () => {
    const trusted = typeof limit === "number" ? ` ${TEXTS.trusted} ${words(limit, "second")}.` : "";
    return [`${TEXTS.load_v}: ${words(likely.start_load_v, "volt")}, ${words(likely.half_load_v, "volt")}, ${words(likely.end_load_v, "volt")}. ${TEXTS.mean_a}: ${words(likely.mean_a, "ampere")}.${trusted}`];
  });
  answers(report);
}

/** Shows the last good report again, where there is one of this plan. Tells whether there is. */
export function again() {
  if (current.report) show(current.report);
  return current.report !== null;
}

/** Another plan is opened: no number of the one before stays. */
export function forget() {
  current.report = null;
  clearCurves();
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
  build(pointer);
  const input = /** @type {HTMLElement | null} */ (document.querySelector(`[name="${CSS.escape(pointer)}"]`));
  for (let part = input?.parentElement; part; part = part.parentElement) if (part instanceof HTMLDetailsElement) part.open = true;
  input?.focus();
}

/** Nothing can be worked out yet: says what is missing, and shows no number of another plan. @param {string[]} missing */
export function unfinished(missing) {
  const called = missing.map((pointer) => `${whose(pointer)}${label(pointer)}`);
  put(byId("verdict"), ["unfinished", missing.length > 0], () => [missing.length > 0 ? TEXTS.unfinished : TEXTS.nothing_yet]);
  glance("", [TEXTS.nothing_yet]);
  put(byId("findings"), ["unfinished", called, missing], () => (missing.length === 0 ? [] : [make("div", { class: "finding stop" },
    make("p", {}, make("span", { class: "mark" }, `${TEXTS.stop} (${TEXTS.not_judged}): `), `${TEXTS.needs}:`),
    make("ul", { class: "open-entries" }, ...missing.map((pointer, i) => make("li", {},
      make("button", { type: "button", "aria-label": `${TEXTS.enter_it}: ${called[i]}`, click: () => goTo(pointer) }, called[i])))))]));
  know([]);
  put(byId("runtime-words"), "none", () => ["–"]);
  for (const id of ["chances-words", "curve-words"]) put(byId(id), "none", () => []);
  clearCurves();
  current.report = null;
  for (const place of document.querySelectorAll(".answer-line, .headline")) put(place, "none", () => []);
}

/** What nine builds in ten do, and what to measure. @param {Report} report */
function chances({ chances: told }) {
  if (!told) return TEXTS.no_chances;
  const first = typeof told.measure_first === "number" ? ` ${TEXTS.measure_first} ${TEXTS[`input_${told.effects[told.measure_first].input}`] ?? told.effects[told.measure_first].input}.` : "";
  return `${TEXTS.nine_in_ten} ${words(told.band.tenth_s, "second")}.${first}`;
}

/** A finding. @param {Finding} found */
export const finding = (found) => alikes([found]);

/** What is said of one thing, and of which others as well. @param {Finding[]} alike */
function alikes([found, ...others]) {
  const judged = found.judgement === "broken" ? "" : ` (${TEXTS.not_judged})`;
  const other = (/** @type {Finding} */ one) => `${nameOf(one)}${typeof one.measured === "number" && one.measured !== found.measured ? ` ${number(one.measured, one.unit)}` : ""}`;
  return make("div", { class: `finding ${found.urgency}` },
    make("p", {}, make("span", { class: "mark" }, `${TEXTS[found.urgency]}${judged}: `), findingWords(found)),
    ...(others.length > 0 ? [make("p", {}, `${TEXTS.likewise} ${others.map(other).join(", ")}`)] : []),
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

/** The report that is shown, for a station that is opened later. @type {{report: Report | null}} */
const current = { report: null };

/** The answer of each station: one line beside its title, the rest inside. @param {Report} report */
function answers(report) {
  current.report = report;
  for (const [station, [of, lines]] of Object.entries(LINES)) {
    put(byId(`headline-${station}`), of(report), () => [HEADLINES[station](report)]);
    const place = byId(`answer-${station}`);
    if (station !== "control" || place.closest("details")?.open) put(place, of(report), () => lines(report));
  }
}

/** A station was opened: what is long is made only then. */
export function opened() {
  if (current.report) answers(current.report);
}

/** What the answer of each station is made of, and what stands inside of it. @type {Record<string, [(report: Report) => any, (report: Report) => HTMLElement[]]>} */
const LINES = {
  use: [({ runtime }) => [runtime.runtime_s.low, state.plan.wanted_runtime_s], () => []],
  loads: [({ runtime }) => runtime.likely, () => []],
  cells: [({ pack, transport }) => [pack, transport], ({ transport }) => [make("p", {}, sayCode(transport.words, transport.code))]],
  guard: [({ pack, fuse, protection }) => [pack.short_circuit_a, fuse, protection], guardLines],
  charging: [({ charge }) => charge, ({ charge }) => (charge.time_s ? [make("p", {}, `${TEXTS.charge_time} ${range(charge.time_s, "second")}.`)] : [])],
  runs: [({ runs }) => runs, ({ runs }) => runs.map(wire)],
  control: [(report) => [report.settings, report.switch, report.capacitor], settings],
};

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
