// A bin of measured cells: read from pasted lines, put into groups step by step, taken over into the plan.

import { Stepped, ask } from "cellwright";
import { TEXTS } from "./en.js";
import { byId, make } from "./dom.js";
import { errorWords, words } from "./language.js";
import { finding, range, wide } from "./report.js";
import { copy, remember, state } from "./store.js";

/** Effort of one step, in nodes: short enough that a finger is never kept waiting. */
const NODES = 300;

/** Most lines that are read. */
const MOST = 1000;

const COLUMNS = /** @type {const} */ ([["capacity_ah", "ampere_hour"], ["resistance_ohm", "ohm"], ["rest_v", "volt"]]);

/** @typedef {{name: string, capacity_ah?: any, resistance_ohm?: any, rest_v?: any}} Row */

/**
 * The lines as cells: name, capacity, resistance, rest voltage, apart by tabs, semicolons or wide gaps.
 * @param {string} text
 */
function read(text) {
  /** @type {Row[]} */
  const rows = [];
  /** @type {string[]} */
  const wrong = [];
  for (const line of text.split("\n").map((one) => one.trim()).filter(Boolean).slice(0, MOST)) {
    const [name, ...values] = line.split(/\t|;|\s{2,}/).map((part) => part.trim());
    /** @type {Row} */
    const row = { name };
    try {
      COLUMNS.forEach(([field, unit], i) => {
        if (!values[i]) return;
        const { value, interval } = ask("parse", { text: values[i], unit, field });
        row[field] = interval ?? { low: value, likely: value, high: value };
      });
      rows.push(row);
    } catch (error) {
      wrong.push(`${name}: ${errorWords(error)}`);
    }
  }
  return { rows, wrong };
}

/** @param {any} value @param {import("cellwright").Unit} unit */
const shown = (value, unit) => range(value, unit, "…");

/** @param {(row: Row[], groups: import("cellwright").MatchedGroup[]) => void} take */
export function bin(take) {
  const id = (/** @type {string} */ name) => `bin-${name}`;
  const lines = /** @type {HTMLTextAreaElement} */ (make("textarea", { id: id("lines"), rows: "6", spellcheck: "false", "aria-describedby": id("note") }));
  const count = (/** @type {string} */ name, /** @type {string} */ value) => {
    const input = /** @type {HTMLInputElement} */ (make("input", { id: id(name), type: "text", inputmode: "numeric", autocomplete: "off" }));
    input.value = value;
    return input;
  };
  const series = count("series", String(state.plan.pack.groups.length));
  const parallel = count("parallel", String(state.plan.pack.groups[0]?.cells.length ?? 1));
  const result = make("div", { id: id("result"), role: "status" });
  const list = make("div", {});
  /** @type {{stop: boolean} | undefined} */
  let running;

  lines.addEventListener("input", () => {
    const { rows, wrong } = read(lines.value);
    list.replaceChildren(...wrong.map((text) => make("p", { class: "wrong" }, text)), ...(rows.length > 0 ? [wide(TEXTS.bin_read, [TEXTS.name, TEXTS.capacity, TEXTS.resistance, TEXTS.rest],
      rows.map((row) => [row.name, shown(row.capacity_ah, "ampere_hour"), shown(row.resistance_ohm, "ohm"), shown(row.rest_v, "volt")]))] : []));
  });

  /** @param {Row[]} rows @param {Stepped<"match">} search */
  const answered = (rows, search) => {
    const { matching, findings } = search.answer();
    const proof = matching.gap_ah > 0 ? `${TEXTS.bin_gap} ${words(matching.gap_ah, "ampere_hour")}.` : TEXTS.bin_proven;
    result.replaceChildren(make("p", { class: "big" }, `${TEXTS.bin_weakest} ${words(matching.weakest_ah, "ampere_hour")}. ${proof}`),
      wide(TEXTS.bin_groups, [TEXTS.group, TEXTS.capacity, TEXTS.cells], matching.groups.map((group, i) => [String(i + 1), shown(group.capacity_ah, "ampere_hour"), group.names.join(", ")])),
      make("p", {}, `${TEXTS.bin_left_out} ${matching.left_out.map((cell) => cell.name).join(", ") || "–"}`),
      ...findings.map(finding),
      make("div", { class: "tools" }, make("button", { type: "button", click: () => take(rows, matching.groups) }, TEXTS.bin_take)));
  };

  const start = () => {
    if (running) {
      running.stop = true;
      return;
    }
    const { rows, wrong } = read(lines.value);
    const chemistry = /** @type {HTMLSelectElement} */ (byId(id("chemistry"))).value;
    try {
      if (wrong.length > 0) throw new Error(wrong.join(" "));
      const whole = (/** @type {HTMLInputElement} */ input) => ask("parse", { text: input.value, unit: "count", field: input.id }).value;
      const cells = rows.map(({ name, capacity_ah, resistance_ohm }) => ({ name, chemistry: /** @type {any} */ (chemistry), model: "one", capacity_ah: capacity_ah ?? null, resistance_ohm: resistance_ohm ?? null }));
      const search = new Stepped("match", { cells, series: whole(series), parallel: whole(parallel) });
      const job = { stop: false };
      running = job;
      find.textContent = TEXTS.bin_stop;
      const turn = () => {
        const so_far = search.step(NODES);
        result.textContent = `${TEXTS.bin_weakest} ${words(so_far.weakest_ah, "ampere_hour")} …`;
        if (so_far.done || job.stop) {
          running = undefined;
          find.textContent = TEXTS.bin_find;
          answered(rows, search);
          search.free();
        } else setTimeout(turn, 0);
      };
      setTimeout(turn, 0);
    } catch (error) {
      result.replaceChildren(make("p", { class: "wrong" }, errorWords(error)));
    }
  };
  const find = make("button", { type: "button", id: id("find"), click: start }, TEXTS.bin_find);
  const kinds = make("select", { id: id("chemistry") }, ...["nmc", "lco", "nca", "lfp"].map((kind) => make("option", { value: kind }, TEXTS[kind] ?? kind)));
  const field = (/** @type {string} */ name, /** @type {HTMLElement} */ input) => make("div", { class: "field" }, make("label", { for: id(name) }, TEXTS[`bin_${name}`]), input);
  return make("details", { class: "part", id: "part-bin" }, make("summary", {}, TEXTS.bin), make("p", { id: id("note") }, TEXTS.bin_note),
    make("label", { for: id("lines") }, TEXTS.bin_lines), lines, list,
    make("div", { class: "fields" }, field("series", series), field("parallel", parallel), field("chemistry", kinds)),
    make("div", { class: "tools" }, find), result);
}

/**
 * Puts groups of the bin into the plan; the test's conditions are those of the plan's first cell.
 * @param {Row[]} rows
 * @param {import("cellwright").MatchedGroup[]} groups
 */
export function takeOver(rows, groups) {
  remember();
  const like = state.plan.pack.groups[0].cells[0];
  state.plan.pack.groups = groups.map((group) => ({ cells: group.cells.map((place) => {
    const row = rows[place];
    const cell = copy(like);
    Object.assign(cell, { name: row.name, chemistry: group.chemistry, rest_v: row.rest_v?.likely ?? null });
    cell.capacity.capacity_ah = row.capacity_ah;
    if (row.resistance_ohm) cell.resistance.resistance_ohm = row.resistance_ohm;
    return cell;
  }) }));
}
