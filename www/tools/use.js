// The pack in use: days of use, heat in the box, a dead cell, another pack, a timed run, fresh air.

import { LABELS, TEXTS } from "../en.js";
import { last, reported } from "../asking.js";
import { choice, flag, grid, list, number, shape, text, words } from "../fields.js";
import { lines } from "../lines.js";
import { finding, range, wide } from "../report.js";
import { copy, state } from "../store.js";
import { UNITS } from "../language.js";
import { caution, cited, english, known, line, main, moved, ranged, seconds } from "./said.js";

/** The pack with its loads, as the plan has them. @param {number | null} [duty] of the chopped ones */
function packRun(duty = null) {
  const { pack, loads, own_chemistries, ambient_degc, protection } = state.plan;
  const board = protection?.board;
  return { pack, own_chemistries, ambient_degc, lead_ohm: reported().lead_ohm, cut_off_v: board?.cut_off_v ?? null, trip_a: board?.trip_a ?? null,
    loads: loads.map((/** @type {any} */ load) => (load.chopped && duty !== null ? { ...load, duty } : load)) };
}

const chopped = () => state.plan.loads.some((/** @type {any} */ load) => load.chopped);

/** The largest share of the time that the plan's timer switches on at its knob position, over the battery; none where it is not known. */
function knobDuty() {
  const duties = Object.values(last.report?.timer ?? {}).flatMap((/** @type {any} */ outcome) => (outcome?.runs ? [outcome.runs.duty] : []));
  return duties.length > 0 ? Math.max(...duties) : null;
}

/** Refuses to go on without the share of a chopped load. @param {number | null} duty */
function dutyKnown(duty) {
  if (chopped() && duty === null) throw Object.assign(new Error(TEXTS.enter_first), { errors: [{ path: "/duty", code: "missing", given: "", message: TEXTS.enter_first }] });
}

/** @param {any} run */
const profileRow = (run) => [words(run.rounds, "count"), words(run.used_s, "second"), words(run.time_s, "second"), TEXTS[run.ended_by] ?? run.ended_by, words(run.left_ratio, "ratio")];

/** @type {import("../asking.js").Tool} */
export const use_profile = {
  question: "use_profile",
  first: () => ({ phases: [{ name: TEXTS.phase_on, state: { running: { loads: [] } }, time_s: 900 }, { name: TEXTS.phase_off, state: "off", time_s: 85500 }], repeats: 30, duty: knobDuty(),
    standing: { switch_off_a: null, knob_minimum_a: null, cut_off_a: null, self_discharge_ratio_per_month: null }, after_cut_off: { stays_off: null, release_v: null, load_restart_v: null } }),
  entries(home) {
    const states = { running: [{ loads: [] }, () => []], off: ["off", () => []], knob_minimum: ["knob_minimum", () => []] };
    return [...list("/phases", (at) => [text(`${at}/name`, home), ...shape(`${at}/state`, /** @type {any} */ (states), null, home), number(`${at}/time_s`, "second", { home })], null, 1, home),
      grid(number("/repeats", "count", { home }), ...(chopped() ? [number("/duty", "ratio", { home })] : []),
        number("/standing/switch_off_a", "ampere", { wide: true, home }), number("/standing/knob_minimum_a", "ampere", { wide: true, optional: true, home }),
        number("/standing/cut_off_a", "ampere", { wide: true, home }), number("/standing/self_discharge_ratio_per_month", "ratio", { wide: true, home }),
        flag("/after_cut_off/stays_off", true, home), number("/after_cut_off/release_v", "volt", { wide: true, optional: true, home }),
        number("/after_cut_off/load_restart_v", "volt", { wide: true, optional: true, home }))];
  },
  input({ duty, phases, ...draft }) {
    dutyKnown(duty);
    const run = packRun(duty);
    // What the knob turns draws while it runs, not with the knob at its minimum; everything else whenever the switch is on.
    const [loads, turned] = [false, true].map((turns) => run.loads.filter((/** @type {any} */ load) => Boolean(load.chopped) === turns));
    return { ...draft, run: { ...run, loads }, phases: phases.map((/** @type {any} */ phase) => (phase.state?.running ? { ...phase, state: { running: { loads: turned } } } : phase)) };
  },
  follows: true,
  shows({ rounds, used_s, least, likely, most, standing, restart, damage_v }) {
    const { switch_off_to_floor_s, knob_minimum_to_floor_s, floor_to_damage_s, cut_off_to_damage_s } = standing;
    const stands = Object.entries({ switch_off_to_floor_s, knob_minimum_to_floor_s, floor_to_damage_s, cut_off_to_damage_s });
    return [main(`${TEXTS.at_least} ${words(rounds.low, "count")}, ${TEXTS.likely} ${words(rounds.likely, "count")} ${TEXTS.profile_rounds} ${range(used_s, "second", "…")}.`),
      wide(TEXTS.tool_use_profile, [TEXTS.case, TEXTS.profile_times, TEXTS.profile_used, TEXTS.profile_until, TEXTS.ended, TEXTS.soc_ratio],
        [["at_least", least], ["likely", likely], ["at_most", most]].map(([key, run]) => [TEXTS[key], ...profileRow(run)])),
      ...(least.drained_at_rest ? [caution(TEXTS.drained_at_rest)] : []),
      ...(typeof likely.trusted_until_s === "number" ? [line(`${TEXTS.trusted} ${words(likely.trusted_until_s, "second")}.`)] : []),
      ...stands.map(([key, time]) => line(`${TEXTS[`stands_${key}`]} ${time ? range(time, "second", "…") : TEXTS.not_known}.`)),
      ...(typeof damage_v === "number" ? [caution(`${TEXTS.damage_under} ${words(damage_v, "volt")}.`)] : []),
      restart.restarts === "no" || restart.restarts === "nothing_cuts_off" ? line(TEXTS[`restarts_${restart.restarts}`]) : caution(TEXTS[`restarts_${restart.restarts}`])];
  },
};

/** Sets of draws: the same seed gives the same percentiles. */
const SEED = 1;

/** @type {import("../asking.js").Tool} */
export const runtime_spread = {
  question: "runtime_spread",
  follows: true,
  // One draw runs a whole discharge.
  steps: { count: 1, so_far: (progress) => `${TEXTS.drawn} ${progress.drawn} / ${progress.draws}${typeof progress.tenth_s === "number" ? `, ${TEXTS.nine_in_ten} ${words(progress.tenth_s, "second")}` : ""} …` },
  first: () => ({ draws: 500, lost_ratio: null, duty: knobDuty() }),
  entries: (home) => [grid(number("/draws", "count", { home }), number("/lost_ratio", "ratio", { optional: true, home }), ...(chopped() ? [number("/duty", "ratio", { home })] : []))],
  input({ duty, draws, lost_ratio }) {
    dutyKnown(duty);
    return { run: packRun(duty), draws, lost_ratio, seed: SEED };
  },
  shows({ drawn, outline }) {
    const { effects, measure_first } = outline;
    const named = (/** @type {any} */ effect) => `${TEXTS[`input_${effect.input}`] ?? effect.input}${typeof effect.load === "number" ? ` (${state.plan.loads[effect.load]?.name})` : ""}`;
    return [main(`${TEXTS.nine_in_ten} ${known(drawn.tenth_s, "second")}.`),
      line(`${TEXTS.half_longer} ${known(drawn.median_s, "second")}; ${TEXTS.one_in_ten} ${known(drawn.ninetieth_s, "second")}; ${TEXTS.shortest} ${known(drawn.shortest_s, "second")} (${drawn.drawn} / ${drawn.draws}).`),
      ...(drawn.beyond_trust > 0 ? [caution(`${TEXTS.beyond_trust} ${drawn.beyond_trust}.`)] : []),
      ...(typeof measure_first === "number" ? [line(`${TEXTS.measure_first} ${named(effects[measure_first])}.`)] : []),
      wide(TEXTS.spread_effects, [TEXTS.what, TEXTS.shortest, TEXTS.longest], effects.map((/** @type {any} */ effect) => [named(effect), words(effect.shortest_s, "second"), words(effect.longest_s, "second")]))];
  },
};

/** @param {string} key @param {any} place of a box */
const boxRow = (key, { place_degc, air_degc, cell_degc, pack_w, switch_w, leads_w, leads, fuse_a }) => [TEXTS[key], words(place_degc, "degree_celsius"), known(air_degc, "degree_celsius"), known(cell_degc, "degree_celsius"),
  words(pack_w, "watt"), known(switch_w, "watt"), words(leads_w, "watt"), leads.map((/** @type {any} */ lead) => `${lead.name} ${known(lead.conductor_degc, "degree_celsius")}`).join(", ") || "–", typeof fuse_a === "number" ? words(fuse_a, "ampere") : "–"];

/** @type {import("../asking.js").Tool} */
export const box_heat = {
  question: "box_heat",
  follows: true,
  first: () => ({ box_k_per_w: null, cell_k_per_w: null, other_w: null, charging_w: null, place_degc: null, fuse_inside: true, leads_inside: true, switch_inside: true, duty: knobDuty() }),
  entries: (home) => [grid(number("/place_degc", "degree_celsius", { wide: true, home }), number("/box_k_per_w", "count", { wide: true, home }), number("/cell_k_per_w", "count", { wide: true, home }),
    number("/other_w", "watt", { wide: true, home }), number("/charging_w", "watt", { wide: true, optional: true, home }),
    flag("/fuse_inside", false, home), flag("/leads_inside", false, home), ...(last.report?.switch_case ? [flag("/switch_inside", false, home)] : []), ...(chopped() ? [number("/duty", "ratio", { home })] : []))],
  input({ fuse_inside, leads_inside, switch_inside, duty, ...draft }) {
    dutyKnown(duty);
    const fitted = state.plan.fuse?.fitted;
    return { ...draft, run: packRun(duty), leads: leads_inside ? state.plan.runs.map((/** @type {any} */ run) => ({ run })) : [],
      switch: (switch_inside && reported().switch_case) || null,
      fuse: fuse_inside && fitted?.family ? { family: fitted.family, rating_a: fitted.rating_a } : null };
  },
  shows: ({ heat, findings }) => [main(`${TEXTS.box_hottest} ${known(heat.hottest.cell_degc, "degree_celsius")}.`), ...findings.map(finding),
    wide(TEXTS.tool_box_heat, [TEXTS.case, TEXTS.box_place, TEXTS.box_air, TEXTS.box_cells, TEXTS.box_pack_w, TEXTS.box_switch_w, TEXTS.box_leads_w, TEXTS.runs, TEXTS.box_fuse],
      [boxRow("box_at_hottest", heat.hottest), boxRow("likely", heat.likely), boxRow("box_at_coldest", heat.coldest)]),
    ...(heat.charging_degc ? [ranged("box_charging", heat.charging_degc, "degree_celsius")] : [])],
};

/** A choice of one of the plan's groups. @param {import("../fields.js").Home} home */
function groupChoice(home) {
  const { groups } = state.plan.pack;
  if (!groups[Number(home.get("/group"))]) home.set("/group", "0");
  const pick = choice("/group", groups.map((/** @type {any} */ _, /** @type {number} */ i) => String(i)), undefined, undefined, home);
  pick.querySelectorAll("option").forEach((option, i) => { option.textContent = `${TEXTS.group} ${i + 1}`; });
  return pick;
}

/** @type {import("../asking.js").Tool} */
export const dead_cell = {
  question: "dead_cell",
  follows: true,
  first: () => ({ group: "0", fault: { short: { short_ohm: null } }, link: null, rest_v: null, strip_ohm: null, load_a: null, cell_kg: null }),
  entries: (home) => [grid(groupChoice(home), ...shape("/fault", {
    short: [{ short_ohm: null }, (at) => [number(`${at}/short_ohm`, "ohm", { wide: true, home })]],
    low: [{ dead_v: null }, (at) => [number(`${at}/dead_v`, "volt", { wide: true, home })]],
  }, null, home), number("/rest_v", "volt", { wide: true, home }), number("/strip_ohm", "ohm", { wide: true, home }), number("/load_a", "ampere", { optional: true, home }),
  number("/cell_kg", "count", { optional: true, home }), ...shape("/link", {
    copper_wire: [{ diameter_m: null, length_m: null }, (at) => [number(`${at}/diameter_m`, "metre", { home }), number(`${at}/length_m`, "metre", { home })]],
    rated: [{ holds_a: null, opens_a: null, resistance_ohm: null }, (at) => [number(`${at}/holds_a`, "ampere", { home }), number(`${at}/opens_a`, "ampere", { home }), number(`${at}/resistance_ohm`, "ohm", { wide: true, home })]],
  }, "none", home))],
  input({ group, ...draft }) {
    const { cells } = state.plan.pack.groups[Number(group)];
    return { ...draft, name: `${TEXTS.group} ${Number(group) + 1}`, cell: cells[0], parallel: cells.length, cell_degc: state.plan.ambient_degc, own_chemistries: state.plan.own_chemistries };
  },
  shows({ answer, findings }) {
    const { link, window } = answer;
    return [main(`${TEXTS.dead_flows} ${range(answer.dead_a, "ampere", "…")}, ${range(answer.dead_heat_w, "watt", "…")}.`), ...findings.map(finding),
      line(`${TEXTS.dead_neighbours} ${range(answer.neighbour_a, "ampere", "…")} (${TEXTS.dead_limit} ${words(answer.neighbour_limit_a, "ampere")}).`),
      ...(typeof answer.hot_after_s === "number" ? [caution(`${TEXTS.dead_hot} ${words(answer.limit_degc, "degree_celsius")} ${TEXTS.dead_hot_after} ${seconds(answer.hot_after_s)}.`)] : [line(TEXTS.dead_no_mass)]),
      ...(answer.lasts_s ? [ranged("dead_lasts", answer.lasts_s, "second")] : []),
      ...(link ? [line(`${TEXTS.link_holds} ${words(link.holds_a, "ampere")}, ${TEXTS.link_opens} ${words(link.opens_a, "ampere")}.`)] : []),
      ...(window ? [line(`${TEXTS.link_window} ${words(window.melts_least_a, "ampere")} – ${words(window.melts_most_a, "ampere")}${typeof window.thinnest_m === "number" && typeof window.thickest_m === "number" ? ` (${TEXTS.link_wire} ${words(window.thinnest_m, "metre")} – ${words(window.thickest_m, "metre")})` : ""}.`)] : [line(TEXTS.link_no_window)])];
  },
};

/** A pack that is to be tied to another. @param {import("../fields.js").Home} home @param {string} at */
const side = (home, at) => [number(`${at}/series`, "count", { home }), number(`${at}/parallel`, "count", { home }), number(`${at}/rest_v`, "volt", { wide: true, home })];

/** @type {import("../asking.js").Tool} */
export const join = {
  question: "join",
  first() {
    const { groups } = state.plan.pack;
    const cell = copy(groups[0].cells[0]);
    const one = { series: groups.length, parallel: groups[0].cells.length, rest_v: null };
    return { first: { ...one, name: TEXTS.join_this }, second: { ...one, name: TEXTS.join_other, cell: { capacity: { capacity_ah: cell.capacity.capacity_ah }, resistance: { resistance_ohm: cell.resistance.resistance_ohm } } },
      join_ohm: null, path_limit_a: null };
  },
  entries: (home) => [grid(...side(home, "/first")), grid(...side(home, "/second"), number("/second/cell/capacity/capacity_ah", "ampere_hour", { wide: true, home }),
    number("/second/cell/resistance/resistance_ohm", "ohm", { wide: true, home })), grid(number("/join_ohm", "ohm", { wide: true, home }), number("/path_limit_a", "ampere", { optional: true, home }))],
  input(draft) {
    const cell = state.plan.pack.groups[0].cells[0];
    const other = copy(cell);
    other.capacity.capacity_ah = draft.second.cell.capacity.capacity_ah;
    other.resistance.resistance_ohm = draft.second.cell.resistance.resistance_ohm;
    return { ...draft, first: { ...draft.first, cell }, second: { ...draft.second, cell: other }, cell_degc: state.plan.ambient_degc, own_chemistries: state.plan.own_chemistries };
  },
  shows({ verdict, reasons, limit, likely, worst, resistor }) {
    return [main(TEXTS[`join_${verdict}`]), ...reasons.flatMap((/** @type {any} */ reason) => [caution(english(reason.words)), cited(reason.source)]),
      ...(worst ? [line(`${TEXTS.join_worst} ${words(worst.peak_a, "ampere")}, ${TEXTS.join_allowed} ${words(limit.limit_a, "ampere")}.`)] : []), cited(limit.source),
      ...(resistor ? [line(`${TEXTS.join_resistor} ${words(resistor.resistor_ohm, "ohm")}, ${words(resistor.rating_w, "watt")}. ${typeof resistor.wait_s === "number" ? `${TEXTS.join_wait} ${words(resistor.wait_s, "second")}.` : TEXTS.join_no_wait}`)] : []),
      ...(likely ? [line(`${TEXTS.join_end} ${words(likely.final_v, "volt")}.`)] : []), caution(TEXTS.join_meter)];
  },
};

/** @type {readonly import("../lines.js").Column[]} */
const MOMENTS = [["time_s", "second"], ["pack_v", "volt"]];

/** @type {import("../asking.js").Tool} */
export const calibrate = {
  question: "calibrate",
  follows: true,
  first: () => ({ ended_s: null, ended_by_group: null, mean_a: null, moments: [] }),
  entries: (home) => [grid(number("/ended_s", "second", { optional: true, home }), number("/ended_by_group", "count", { optional: true, home }), number("/mean_a", "ampere", { wide: true, optional: true, home })),
    lines(home, "/moments", MOMENTS)],
  input: ({ moments_text: _, ...draft }) => ({ ...draft, plan: state.plan }),
  shows({ changes, before_s, after_s, left_v, not_judged, plan, explained }, _draft, taking) {
    const explains = explained !== false;
    const rows = changes.map((/** @type {any} */ one) => [one.name, LABELS[one.path.split("/").pop()] ?? one.path, range(one.old, UNITS[one.unit] ?? "count", "…"), range(one.new, UNITS[one.unit] ?? "count", "…"), one.contradicts ? TEXTS.contradicts : ""]);
    const take = (/** @type {any} */ target) => { Object.assign(target, copy(plan)); };
    return [main(`${TEXTS.runtime_s}: ${range(before_s, "second", "…")} ${TEXTS.becomes} ${range(after_s, "second", "…")}.`),
      ...(changes.some((/** @type {any} */ one) => one.contradicts) ? [caution(TEXTS.calibrate_contradicts)] : []),
      ...(rows.length > 0 ? [wide(TEXTS.calibrate_changes, [TEXTS.name, TEXTS.what, TEXTS.before, TEXTS.afterwards, TEXTS.remark], rows)] : [line(TEXTS.moves_nothing)]),
      line(`${TEXTS.calibrate_left} ${words(left_v, "volt")}.`), ...not_judged.map((/** @type {string} */ open) => line(english(open))),
      ...(explains ? [] : [caution(TEXTS.calibrate_explains_not)]),
      ...(rows.length > 0 && explains ? [...moved(take), taking(TEXTS.take_run, () => take(state.plan))] : [])];
  },
};

/** @type {import("../asking.js").Tool} */
export const ventilation = {
  question: "ventilation",
  first: () => ({ capacity_ah: null, cells: 6, gassing: "sealed_boost" }),
  entries: (home) => [grid(number("/capacity_ah", "ampere_hour", { home }), number("/cells", "count", { home }), choice("/gassing", ["sealed_float", "sealed_boost", "vented_float"], undefined, undefined, home))],
  shows: (answer) => [main(`${TEXTS.air} ${words(answer.air_m3_per_h, "count")} m³/h.`), line(`${TEXTS.opening} ${words(answer.opening_m2 * 1e6, "square_millimetre")}.`), cited(answer.source)],
};
