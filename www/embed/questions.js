// What each element asks, and the entries it takes: one list, from which attributes, inputs and tables are made.

/**
 * @typedef {object} Question
 * @property {string} question name at the crate's door
 * @property {string[]} fields entries in the order they are shown; attributes have dashes in place of underscores
 * @property {Record<string, string[]>} choices words that a field may take
 * @property {string[]} lead lines that are shown large
 * @property {boolean} [whole] whether it is a whole plan, whose entries are not changed here
 */

const CHEMISTRY = ["nmc", "nca", "lco", "lfp", "nvpf", "nimh", "lead_acid"];

/** @type {Record<string, Question>} */
export const QUESTIONS = {
  "cellwright-runtime": {
    question: "reader_runtime",
    fields: ["chemistry", "series", "parallel", "capacity_ah", "resistance_ohm", "power_w", "current_a", "lead_ohm", "ambient_degc", "discharge_limit_a"],
    choices: { chemistry: CHEMISTRY },
    lead: ["at_least"],
  },
  "cellwright-cells": {
    question: "reader_cells",
    fields: ["cells", "chemistry", "series", "parallel"],
    choices: { chemistry: CHEMISTRY },
    lead: ["weakest_ah"],
  },
  "cellwright-knob": {
    question: "reader_knob",
    fields: ["supply_v", "frequency_hz", "duty", "part", "resistors", "dielectric"],
    choices: { part: ["bipolar", "cmos", "low_drive_cmos"], resistors: ["e24", "e12", "e6", "e96"], dielectric: ["film", "c0g", "x7r"] },
    lead: [],
  },
  "cellwright-wire": {
    question: "reader_wire",
    fields: ["length_m", "area_mm2", "current_a", "supply_v", "ambient_degc", "lies", "insulation_degc", "joints_ohm", "wanted_drop_ratio", "fuse_a", "fuse_family"],
    choices: { lies: ["box", "surface", "free_air"], fuse_family: ["blade", "large_blade", "tube_ul", "tube_iec"] },
    lead: ["drop_v"],
  },
  "cellwright-plan": { question: "reader_plan", fields: ["plan"], choices: {}, lead: ["at_least"], whole: true },
};

/** @param {string} field */
export const attribute = (field) => field.replaceAll("_", "-");

/** @param {string} name */
export const fieldOf = (name) => name.replaceAll("-", "_");
