// A bin of measured cells: typed by lines or by columns, put into groups step by step, taken over into the plan.

import { Stepped, ask } from "cellwright";
import { LABELS, TEXTS } from "./en.js";
import { byId, make, whenOpened } from "./dom.js";
import { errorWords, range, words } from "./language.js";
import { COLUMNS, back, fateOf, found, put, rows as readRows, write } from "./found.js";
import { interval, linesOf } from "./lines.js";
import { finding, wide } from "./report.js";
import { inSteps } from "./stepping.js";
import { copy, remember, state } from "./store.js";

/** Effort of one step, in nodes: short enough that a finger is never kept waiting. */
const NODES = 300;

/** Most cells that are added at once. */
const MOST_NEW = 200;

/** @typedef {import("./found.js").Row} Row */

const id = (/** @type {string} */ name) => `bin-${name}`;

/** @param {any} value @param {import("cellwright").Unit} unit */
const shown = (value, unit) => range(value, unit, "…");

/** @param {string} name @param {string} value */
function entry(name, value, mode = "numeric") {
  const input = /** @type {HTMLInputElement} */ (make("input", { id: id(name), type: "text", inputmode: mode, autocomplete: "off" }));
  input.value = value;
  return input;
}

/** @param {string} name @param {HTMLElement} input */
const field = (name, input) => make("div", { class: "field" }, make("label", { for: id(name), id: id(`${name}-label`) }, TEXTS[`bin_${name}`]), input);

/** @param {string} key @param {() => void} press */
const button = (key, press) => make("button", { type: "button", id: id(key), click: press }, TEXTS[`bin_${key}`]);

/** @param {HTMLInputElement} input */
const whole = (input) => ask("parse", { text: input.value, unit: "count", field: input.id }).value;

/** The cells as read, and what is wrong with them. */
function table() {
  const { rows, wrong, headed } = readRows();
  const head = [TEXTS.name, ...COLUMNS.map(([one]) => LABELS[`bin/${one}`]), TEXTS.bin_fate];
  const cells = rows.map((row) => [row.name, ...COLUMNS.map(([one, unit]) => shown(/** @type {any} */ (row)[one], unit)), LABELS[`fate_${fateOf(row.name)}`] ?? TEXTS.bin_unscreened]);
  return [...wrong.map((text) => make("p", { class: "wrong" }, text)), ...(headed ? [make("p", {}, TEXTS.bin_headed)] : []),
    ...(rows.length > 0 ? [wide(TEXTS.bin_read, head, cells)] : [])];
}

/** Types one column after the other: each value goes to the next cell that has none. */
function typing() {
  const which = /** @type {HTMLSelectElement} */ (make("select", { id: id("column") }, ...COLUMNS.map(([one]) => make("option", { value: one }, LABELS[`bin/${one}`]))));
  const value = entry("value", "", "decimal");
  value.setAttribute("enterkeyhint", "next");
  value.setAttribute("aria-describedby", id("typed"));
  const many = entry("many", "");
  const typed = make("p", { id: id("typed"), class: "read", role: "status" });
  let from = 0;
  let repeat = "";

  /** Names of the cells that have no value in the column yet, from where the typing stands. */
  const waiting = () => readRows().rows.slice(from).filter((row) => !(which.value in row)).map((row) => row.name);
  const next = (said = "") => {
    const [name] = waiting();
    typed.textContent = [said, name ? `${TEXTS.bin_next} ${name}` : TEXTS.bin_none_waiting].filter(Boolean).join(" ");
  };
  /** @param {string[]} texts */
  const take = (texts) => {
    const unit = /** @type {import("cellwright").Unit} */ (COLUMNS.find(([one]) => one === which.value)?.[1]);
    const names = waiting();
    try {
      if (texts.length > names.length) throw new Error(`${TEXTS.bin_more_values} ${names.length}.`);
      const read = texts.map((text) => interval(text, unit, which.value));
      value.removeAttribute("aria-invalid");
      put(texts.map((text, i) => ({ name: names[i], field: which.value, text })));
      repeat = texts[texts.length - 1];
      value.value = "";
      next(`${names[texts.length - 1]}: ${shown(read[read.length - 1], unit)}.`);
    } catch (error) {
      value.setAttribute("aria-invalid", "true");
      typed.textContent = errorWords(error);
    }
    value.focus();
  };
  which.addEventListener("change", () => { from = 0; next(); });
  value.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || value.value.trim() === "") return;
    event.preventDefault();
    take([value.value.trim()]);
  });
  value.addEventListener("paste", (event) => {
    const texts = linesOf(event.clipboardData?.getData("text") ?? "");
    if (texts.length < 2) return;
    event.preventDefault();
    take(texts);
  });
  const add = () => {
    try {
      const count = whole(many);
      if (!(count >= 1 && count <= MOST_NEW)) throw new Error(`${TEXTS.bin_add_between} ${MOST_NEW}.`);
      const lines = linesOf(found.text);
      const names = new Set(readRows().rows.map((row) => row.name));
      for (let number = 1, added = 0; added < count; number++) {
        if (names.has(`C${number}`)) continue;
        lines.push(`C${number}`);
        added++;
      }
      write(lines.join("\n"));
      many.value = "";
      next();
    } catch (error) {
      typed.textContent = errorWords(error);
    }
  };
  const skip = () => {
    const [name] = waiting();
    from = readRows().rows.findIndex((row) => row.name === name) + 1;
    next();
    value.focus();
  };
  return make("div", {}, make("div", { class: "fields" }, field("many", many)), make("div", { class: "tools" }, button("add", add)),
    make("div", { class: "fields" }, field("column", which), field("value", value)), typed,
    make("div", { class: "tools" }, button("enter", () => { if (value.value.trim() !== "") take([value.value.trim()]); }),
      button("same", () => { if (repeat) take([repeat]); }), button("skip", skip),
      button("undo", () => { if (back()) { from = 0; next(); } })));
}

/**
 * The button that takes groups over; what is missing where a cell has no resistance, which no other cell's can stand for.
 * @param {Row[]} rows
 * @param {import("cellwright").MatchedGroup[]} groups
 * @param {(rows: Row[], groups: import("cellwright").MatchedGroup[]) => void} take
 */
function taking(rows, groups, take) {
  const open = groups.flatMap((group) => group.cells.map((place) => rows[place])).filter((row) => !row.resistance_ohm).map((row) => row.name);
  if (open.length > 0) return [make("p", { class: "caution" }, `${TEXTS.bin_no_resistance} ${open.join(", ")}`)];
  return [make("div", { class: "tools" }, make("button", { type: "button", click: () => take(rows, groups) }, TEXTS.bin_take))];
}

/**
 * Finds the groups in steps, with progress and a stop.
 * @param {HTMLElement} result
 * @param {HTMLElement} find
 * @param {() => {rows: Row[], out: string[], search: Stepped<"match">}} begin
 * @param {(rows: Row[], groups: import("cellwright").MatchedGroup[]) => void} take
 */
function searching(result, find, begin, take) {
  /** @type {{stop: boolean} | undefined} */
  let running;
  /** @param {Row[]} rows @param {string[]} out @param {import("cellwright").Questions["match"]["answer"]} answer */
  const answered = (rows, out, { matching, findings }) => {
    const proof = matching.gap_ah > 0 ? `${TEXTS.bin_gap} ${words(matching.gap_ah, "ampere_hour")}.` : TEXTS.bin_proven;
    result.replaceChildren(make("p", { class: "big" }, `${TEXTS.bin_weakest} ${words(matching.weakest_ah, "ampere_hour")}. ${proof}`),
      wide(TEXTS.bin_groups, [TEXTS.group, TEXTS.capacity, TEXTS.cells], matching.groups.map((group, i) => [String(i + 1), shown(group.capacity_ah, "ampere_hour"), group.names.join(", ")])),
      make("p", {}, `${TEXTS.bin_left_out} ${matching.left_out.map((cell) => cell.name).join(", ") || "–"}`),
      ...(out.length > 0 ? [make("p", { class: "caution" }, `${TEXTS.bin_kept_out} ${out.join(", ")}`)] : []),
      ...(rows.some((row) => fateOf(row.name) === null) ? [make("p", { class: "caution" }, TEXTS.bin_some_unscreened)] : []),
      ...findings.map(finding),
      ...taking(rows, matching.groups, take));
  };
  return () => {
    if (running) {
      running.stop = true;
      return;
    }
    try {
      const { rows, out, search } = begin();
      running = inSteps(search, NODES, (so_far) => {
        result.textContent = `${TEXTS.bin_weakest} ${words(so_far.weakest_ah, "ampere_hour")} …`;
      }, (answer) => {
        running = undefined;
        find.textContent = TEXTS.bin_find;
        answered(rows, out, answer);
      });
      find.textContent = TEXTS.bin_stop;
    } catch (error) {
      result.replaceChildren(make("p", { class: "wrong" }, errorWords(error)));
    }
  };
}

/** The warning of the agency on loose cells, as the crate words it. */
const warning = () => finding(ask("screen_cells", { cells: [{ name: "–", family: "unidentified" }] }).warning);

/**
 * What is in the bin's part.
 * @param {(row: Row[], groups: import("cellwright").MatchedGroup[]) => void} take
 * @param {HTMLElement[]} before what is done with found cells before they are grouped
 */
function inside(take, before) {
  const lines = /** @type {HTMLTextAreaElement} */ (make("textarea", { id: id("lines"), rows: "6", spellcheck: "false", "aria-describedby": id("note") }));
  const series = entry("series", String(state.plan.pack.groups.length));
  const parallel = entry("parallel", String(state.plan.pack.groups[0]?.cells.length ?? 1));
  const result = make("div", { id: id("result"), role: "status" });
  const list = make("div", {});
  let step = true;
  lines.addEventListener("focus", () => { step = true; });
  lines.addEventListener("input", () => {
    write(lines.value, step);
    step = false;
  });
  found.tell = () => {
    if (lines.value !== found.text) lines.value = found.text;
    list.replaceChildren(...table());
  };
  const kinds = make("select", { id: id("chemistry") }, ...["nmc", "lco", "nca", "lfp"].map((kind) => make("option", { value: kind }, TEXTS[kind] ?? kind)));
  const find = make("button", { type: "button", id: id("find") }, TEXTS.bin_find);
  find.addEventListener("click", searching(result, find, () => {
    const { rows, wrong } = readRows();
    if (wrong.length > 0) throw new Error(wrong.join(" "));
    const chemistry = /** @type {any} */ (/** @type {HTMLSelectElement} */ (byId(id("chemistry"))).value);
    const fit = rows.filter((row) => fateOf(row.name) === null || fateOf(row.name) === "use");
    const out = rows.filter((row) => !fit.includes(row)).map((row) => row.name);
    const cells = fit.map(({ name, capacity_ah, resistance_ohm }) => ({ name, chemistry, model: "one", capacity_ah: capacity_ah ?? null, resistance_ohm: resistance_ohm ?? null }));
    return { rows: fit, out, search: new Stepped("match", { cells, series: whole(series), parallel: whole(parallel) }) };
  }, take));
  found.tell();
  return [make("div", {}, warning()), ...before,
    make("h3", {}, TEXTS.bin_cells), make("p", { id: id("note") }, TEXTS.bin_note),
    make("div", { class: "field" }, make("label", { for: id("lines") }, TEXTS.bin_lines), lines), typing(), list,
    make("h3", {}, TEXTS.bin_grouping), make("div", { class: "fields" }, field("series", series), field("parallel", parallel), field("chemistry", kinds)),
    make("div", { class: "tools" }, find), result];
}

/**
 * The bin, filled when it is opened.
 * @param {(row: Row[], groups: import("cellwright").MatchedGroup[]) => void} take
 * @param {() => HTMLElement[]} before what is done with found cells before they are grouped
 */
export function bin(take, before) {
  found.tell = () => {};
  const part = make("details", { class: "part", id: "part-bin" }, make("summary", {}, TEXTS.bin));
  whenOpened(part, () => inside(take, before()));
  return part;
}

/**
 * Puts groups of the bin into the plan; the test's conditions are those of the plan's first cell, its data sheet is not.
 * @param {Row[]} rows
 * @param {import("cellwright").MatchedGroup[]} groups
 */
export function takeOver(rows, groups) {
  remember();
  const like = state.plan.pack.groups[0].cells[0];
  state.plan.pack.groups = groups.map((group) => ({ cells: group.cells.map((place) => {
    const row = rows[place];
    const cell = copy(like);
    Object.assign(cell, { name: row.name, chemistry: group.chemistry, rest_v: row.rest_v?.likely ?? null, discharge_limit_a: null, charge_limit_a: null });
    cell.capacity.capacity_ah = row.capacity_ah;
    cell.resistance.resistance_ohm = row.resistance_ohm;
    return cell;
  }) }));
}
