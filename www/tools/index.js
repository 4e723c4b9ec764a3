// Which tool stands at which part of the road. Each is made once and moves along when a part is drawn anew.

import { asking, forget } from "../asking.js";
import { measure_capacity, measure_pulse, measure_resistance, measure_self_discharge, screen_cells, sort_bin } from "./cells.js";
import { fit_load } from "./load.js";
import { cell_sheet, cycle_fade, hour_rate, joint, layout, step_response } from "./parts.js";
import { marking, one_shot, timer_parts, timer_tolerance } from "./timer.js";
import { box_heat, calibrate, dead_cell, join, runtime_spread, use_profile, ventilation } from "./use.js";

/** @type {Record<string, Record<string, import("../asking.js").Tool>>} */
const PLACES = {
  bin: { sort_bin, measure_resistance, measure_pulse, measure_capacity, measure_self_discharge, screen_cells, cell_sheet },
  cells: { join, layout },
  loads: { fit_load },
  control: { timer_parts, timer_tolerance, one_shot, marking, step_response },
  runs: { joint },
  guard: { dead_cell },
  charging: { ventilation },
  use: { runtime_spread, use_profile, box_heat, hour_rate, cycle_fade },
  bench: { calibrate },
};

/** @type {Map<string, HTMLElement[]>} */
const made = new Map();

/** The tools of one part of the page. @param {string} place */
export function toolsOf(place) {
  const there = made.get(place) ?? Object.entries(PLACES[place] ?? {}).map(([name, tool]) => asking(name, tool));
  made.set(place, there);
  return there;
}

/** Begins all tools anew, as for another language; what was typed into them is kept. */
export function freshTools() {
  forget();
  made.clear();
}
