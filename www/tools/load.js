// What a few readings at different settings tell of a load, and what that changes in the plan.

import { TEXTS } from "../en.js";
import { choice, grid, list, number, words } from "../fields.js";
import { range } from "../language.js";
import { state } from "../store.js";
import { caution, line, main, moved, ranged } from "./said.js";

const READING = { duty: 1, load_v: null, mean_a: null, pack_v: null, wiper_ratio: null, frequency_hz: null };

/** The machine behind the switch whose power the readings tell, or nothing. @param {any} plan @param {any} load */
function machine(plan, load) {
  const driven = load.chopped ? plan.control?.driven?.machine : null;
  return driven?.blower ?? driven?.pump ?? null;
}

/**
 * What the fitted law changes in a plan; nothing where the plan has no place in which it means the same. The law goes
 * by the mean voltage; the draw of a chopped load is that of the on-time, so it holds there only without chopping.
 * @param {any} answer @param {any} draft
 * @returns {((plan: any) => void) | null}
 */
function change(answer, draft) {
  const load = state.plan.loads[Number(draft.load)];
  const law = answer.draw.follows_voltage;
  if (answer.basis !== "measured" || !load) return null;
  if (machine(state.plan, load)) {
    if (!law) return null;
    return (plan) => {
      Object.assign(machine(plan, plan.loads[Number(draft.load)]), { power_w: law.power_w, at_v: law.at_v });
      plan.loads[Number(draft.load)].measured = true;
    };
  }
  if (load.chopped && draft.readings.some((/** @type {any} */ reading) => reading.duty !== 1)) return null;
  return (plan) => { Object.assign(plan.loads[Number(draft.load)], { draw: answer.draw, measured: true }); };
}

/** @param {any} draw */
function law(draw) {
  const { at_v, power_w, exponent } = draw.follows_voltage ?? {};
  return power_w ? `${TEXTS.fit_power} ${range(power_w, "watt", "…")} ${TEXTS.fit_at} ${words(at_v, "volt")}; ${TEXTS.fit_exponent} ${words(exponent, "count")}.` : TEXTS.fit_other;
}

/** @type {import("../asking.js").Tool} */
export const fit_load = {
  question: "fit_load",
  follows: true,
  first: () => ({ load: "0", error_ratio: 0.02, label: { current_a: null, at_v: 12, exponent: 2 }, readings: [{ ...READING }, { ...READING }] }),
  entries(home, draft) {
    const { loads, control } = state.plan;
    if (!loads[Number(draft.load)]) home.set("/load", "0");
    const reading = (/** @type {string} */ at) => [number(`${at}/duty`, "ratio", { home }), number(`${at}/load_v`, "volt", { home }), number(`${at}/mean_a`, "ampere", { home }),
      number(`${at}/pack_v`, "volt", { optional: true, home }),
      ...(control ? [number(`${at}/wiper_ratio`, "ratio", { optional: true, home }), number(`${at}/frequency_hz`, "hertz", { optional: true, home })] : [])];
    const pick = choice("/load", loads.map((/** @type {any} */ _, /** @type {number} */ i) => String(i)), undefined, undefined, home);
    pick.querySelectorAll("option").forEach((option, i) => { option.textContent = loads[i].name; });
    return [grid(pick, number("/label/current_a", "ampere", { home }), number("/label/at_v", "volt", { home }), number("/label/exponent", "count", { home }), number("/error_ratio", "ratio", { home })),
      ...list("/readings", reading, READING, 0, home)];
  },
  input({ load: _, ...draft }) {
    const timed = draft.readings.some((/** @type {any} */ reading) => reading.frequency_hz !== null || reading.wiper_ratio !== null);
    return { ...draft, timer: timed ? state.plan.control?.timer ?? null : null };
  },
  shows(answer, draft, taking) {
    const taken = change(answer, draft);
    return [main(law(answer.draw)),
      ...(answer.basis === "label" ? [caution(TEXTS.fit_label_only)] : []),
      ...(typeof answer.holds_from_v === "number" ? [line(`${TEXTS.fit_holds} ${words(answer.holds_from_v, "volt")} – ${words(answer.holds_to_v, "volt")}.`), ranged("fit_exponent_range", answer.exponent, "count")] : []),
      ...(answer.label_is_refuted ? [caution(TEXTS.fit_refuted)] : []),
      // A line through two readings always leaves nothing over.
      ...(draft.readings.length > 2 ? [line(`${TEXTS.fit_left_over} ${words(answer.left_over_ratio, "ratio")}.`)] : []),
      ...(answer.lead_ohm ? [ranged("fit_lead", answer.lead_ohm, "ohm")] : []),
      ...(answer.duty_shift ? [ranged("fit_duty", answer.duty_shift, "ratio")] : []),
      ...(answer.capacitor_ratio ? [ranged("fit_capacitor", answer.capacitor_ratio, "ratio")] : []),
      ...(taken ? [...moved(taken), taking(TEXTS.take_load, () => taken(state.plan))] : answer.basis === "measured" ? [caution(TEXTS.fit_no_place)] : [])];
  },
};
