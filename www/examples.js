// Invented plans to begin with, from an allotment garden; their names and notes are in the language of the page.

import pump from "../tests/plans/watering-pump.json";
import pumpDiary from "../tests/plans/watering-pump-diary.json";
import blower from "../tests/plans/seed-drying-blower.json";
import lamp from "../tests/plans/market-stall-lamp.json";
import { exampleWords } from "./language.js";

/** The first has been in use for a summer. @type {any[]} */
const PLANS = [{ ...pump, diary: pumpDiary }, blower, lamp];

/** How many there are. */
export const EXAMPLES = PLANS.length;

/** One of them, to be changed by whoever takes it. @param {number} which */
export const example = (which) => JSON.parse(JSON.stringify(PLANS[which]), (_, value) => (typeof value === "string" ? exampleWords(value) : value));
