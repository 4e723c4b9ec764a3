// How good the maker's meter is, and what drew the current: entries that several tools share.

import { choice, number, shape } from "../fields.js";
import { aside, copy } from "../store.js";

/** The meter's figures, entered once for all tools. */
const meters = aside("meter");

/** @returns {any} */
export function meterFirst() {
  const before = meters.read();
  const voltmeter = { reading_ratio: null, digits: null, step_v: null };
  const ammeter = { reading_ratio: null, digits: null, step_a: null };
  return { voltmeter: { ...voltmeter, ...before?.voltmeter }, ammeter: { ...ammeter, ...before?.ammeter } };
}

/** Keeps the figures of the meter for the next tool. @param {any} draft */
export function meterKept(draft) {
  const { voltmeter, ammeter } = draft;
  meters.write({ ...meters.read(), ...(voltmeter ? { voltmeter } : {}), ...(ammeter ? { ammeter } : {}) });
}

/** @param {import("../fields.js").Home} home @param {string} [at] */
export const voltmeter = (home, at = "/voltmeter") => [number(`${at}/reading_ratio`, "ratio", { home }), number(`${at}/digits`, "count", { home }), number(`${at}/step_v`, "volt", { home })];

/** @param {import("../fields.js").Home} home @param {string} [at] */
export const ammeter = (home, at = "/ammeter") => [number(`${at}/reading_ratio`, "ratio", { home }), number(`${at}/digits`, "count", { home }), number(`${at}/step_a`, "ampere", { home })];

/** A voltage with the current that flowed. @param {import("../fields.js").Home} home @param {string} at @param {boolean} mayRest */
export const loadReading = (home, at, mayRest) => [number(`${at}/cell_v`, "volt", { home }), ...shape(`${at}/current`, {
  ...(mayRest ? { open: /** @type {[any, (at: string) => HTMLElement[]]} */ (["open", () => []]) } : {}),
  shown: [{ current_a: null }, (shown) => [number(`${shown}/current_a`, "ampere", { home })]],
  resistor: [{ resistor_ohm: null }, (resistor) => [number(`${resistor}/resistor_ohm`, "ohm", { wide: true, home })]],
}, null, home)];

/** Whether an ammeter was read. @param {any} draft */
export const shownCurrent = (draft) => [draft.light, draft.heavy, draft.pulse].some((reading) => reading?.current?.shown);

/** What drew the current of a discharge. @param {import("../fields.js").Home} home */
export const discharger = (home) => shape("/discharged_by", {
  resistor: [{ resistor_ohm: null }, (at) => [number(`${at}/resistor_ohm`, "ohm", { wide: true, home })]],
  steady: [{ current_a: null }, (at) => [number(`${at}/current_a`, "ampere", { wide: true, home })]],
  shown: [{ current_a: null, ammeter: copy(meterFirst().ammeter) }, (at) => [number(`${at}/current_a`, "ampere", { home }), ...ammeter(home, `${at}/ammeter`)]],
}, null, home);

/** @param {import("../fields.js").Home} home */
export const chemistry = (home, pointer = "/chemistry") => choice(pointer, ["nmc", "lco", "nca", "lfp", "nvpf", "nimh", "lead_acid"], undefined, undefined, home);
