// The plans that are kept: opened, named, copied, thrown away and brought back, and two of them side by side.

import { TEXTS } from "./en.js";
import { byId, make, onOpened, save, turn } from "./dom.js";
import { rows, table } from "./moved.js";
import { later, never, resting } from "./pace.js";
import { inSlices } from "./stepping.js";
import { copy, get, set, state, text } from "./store.js";
import { bringBack, duplicate, open, planOf, plans, remove, textOf } from "./shelf.js";
import { errorWords, findingWords, range, say } from "./language.js";
import { put } from "./report.js";

/** @typedef {import("cellwright").PartsList["parts"]} Parts */

/** Rows of the parts that are not the same in both. @param {Parts[]} both */
function partsApart(both) {
  const [here, there] = both.map((parts) => new Map(parts.map((part) => [part.mark, part])));
  const same = (/** @type {string} */ mark) => JSON.stringify(here.get(mark)) === JSON.stringify(there.get(mark));
  const shown = (/** @type {Parts[0] | undefined} */ part) => (part ? make("span", {}, `${part.count} × `, say(part.words, part.said), part.in_plan ? "" : ` (${TEXTS.not_in_plan})`) : "–");
  const rows = [...new Set([...here.keys(), ...there.keys()])].filter((mark) => !same(mark)).map((mark) => [mark, shown(here.get(mark)), shown(there.get(mark))]);
  // What stands behind a part may have moved where its words have not.
  return rows.filter(([, one, other]) => /** @type {Node} */ (one).textContent !== /** @type {Node} */ (other).textContent);
}

/** What differs between two plans, as tables. @param {any[]} plans @param {import("cellwright").PlanChanges} changes @param {Parts[]} both */
function sideBySide([one, other], changes, both) {
  const head = [TEXTS.what, one.name || TEXTS.unnamed, other.name || TEXTS.unnamed];
  const first = [[TEXTS.verdict, TEXTS[`verdict_${changes.verdict_before}`], TEXTS[`verdict_${changes.verdict_after}`]],
    [TEXTS.moved_runtime_s, range(changes.runtime_before_s, "second", "…"), range(changes.runtime_after_s, "second", "…")]];
  const numbers = rows(changes, other).filter(([name]) => first.every(([known]) => known !== name));
  const parts = partsApart(both);
  const list = (/** @type {import("cellwright").Finding[]} */ findings) => (findings.length === 0 ? [make("p", {}, TEXTS.none)]
    : [make("ul", {}, ...findings.map((found) => make("li", {}, make("strong", {}, `${TEXTS[found.urgency]}: `), findingWords(found))))]);
  return [table(head, [...first, ...numbers], TEXTS.side_by_side),
    make("h3", {}, `${TEXTS.findings_of} ${head[1]}`), ...list(changes.vanished),
    make("h3", {}, `${TEXTS.findings_of} ${head[2]}`), ...list(changes.appeared),
    make("h3", {}, TEXTS.parts_differ), ...(parts.length === 0 ? [make("p", {}, TEXTS.none)] : [table(head, parts, TEXTS.parts_differ)])];
}

/** The same as work in slices, one after the other. @param {any[]} plans @param {(made: (Node | string)[]) => void} end @param {(error: unknown) => void} failed */
function comparison(plans, end, failed) {
  /** @type {Parts[]} */
  const both = [];
  /** @type {import("cellwright").PlanChanges | undefined} */
  let changes;
  const giveUp = (/** @type {unknown} */ error) => {
    left.length = 0;
    failed(error);
  };
  const left = [inSlices("compare_plans", { before: plans[0], after: plans[1] }, (answer) => { changes = answer; }, giveUp),
    ...plans.map((plan) => inSlices("parts_list", plan, ({ parts }) => {
      both.push(parts);
      if (changes && both.length === 2) end(sideBySide(plans, changes, both));
    }, giveUp))];
  return (/** @type {number} */ until) => {
    while (left.length > 0) {
      if (!left[0](until)) return false;
      left.shift();
    }
    return true;
  };
}

/** @param {string} id */
const saveText = (id) => save("cellwright-unreadable.txt", new Blob([textOf(id)], { type: "text/plain" }));

/**
 * @param {{opened: () => void, renamed: () => void, fallback: () => any}} page what the page does when another plan lies
 *   open, when the open one has another name, and which plan stands in where none is left
 */
export function plansPart(page) {
  const name = /** @type {HTMLInputElement} */ (make("input", { id: "plan-name", type: "text", autocomplete: "off", maxlength: "200" }));
  name.addEventListener("input", () => {
    set("/name", name.value);
    page.renamed();
  });
  const list = make("ul", { class: "parts", id: "plan-list" });
  const other = /** @type {HTMLSelectElement} */ (make("select", { id: "compare-with" }));
  const result = make("div", { id: "compared", role: "status" });
  const fault = make("p", { class: "wrong", id: "plans-wrong", role: "status" });
  /** @param {() => void} work */
  const attempt = (work) => {
    fault.textContent = "";
    try {
      work();
      page.opened();
      byId("plans-title").focus();
    } catch (error) {
      fault.textContent = errorWords(error);
    }
  };
  /** @param {string} key @param {string} id @param {string} of @param {() => void} press */
  const button = (key, id, of, press) => make("button", { type: "button", id: `${key}-${id}`, "aria-label": `${TEXTS[`plan_${key}`]}: ${of}`, click: press }, TEXTS[`plan_${key}`]);
  /** @param {ReturnType<typeof plans>[0]} one */
  const row = ({ id, name: called, outside, gone, open: lies }) => {
    const marks = [lies ? TEXTS.lies_open : "", outside ? TEXTS.from_outside : "", gone ? TEXTS.thrown_away : ""].filter(Boolean).join(", ");
    const tools = gone ? [button("back", id, called, () => attempt(() => bringBack(id)))]
      : [...(lies ? [] : [button("open", id, called, () => attempt(() => open(id)))]), button("copy", id, called, () => attempt(() => duplicate(id))),
        ...(called === TEXTS.unreadable ? [button("unread", id, called, () => saveText(id))] : []),
        button("remove", id, called, () => attempt(() => remove(id, page.fallback())))];
    return make("li", {}, make("p", {}, make("strong", {}, called), marks ? ` (${marks})` : ""), make("div", { class: "tools" }, ...tools));
  };
  let compared = "";
  /** @param {(Node | string)[]} made */
  const tell = (made) => {
    result.removeAttribute("aria-busy");
    result.replaceChildren(...made);
  };
  const compare = () => {
    compared = text();
    result.setAttribute("aria-busy", "true");
    result.replaceChildren(make("p", {}, TEXTS.being_compared));
    later("compare", result, comparison([copy(state.plan), planOf(other.value)], tell, (error) => tell([make("p", { class: "wrong" }, `${TEXTS.not_compared} ${errorWords(error)}`)])));
    resting();
  };
  const part = make("details", { class: "part", id: "part-plans" }, make("summary", { id: "plans-title" }, TEXTS.plans),
    make("div", { class: "field" }, make("label", { for: "plan-name" }, TEXTS.plan_name), name), list, fault,
    make("div", { id: "compare-tools", hidden: true }, make("div", { class: "field" }, make("label", { for: "compare-with" }, TEXTS.compare_with), other),
      make("div", { class: "tools" }, make("button", { type: "button", id: "do-compare", click: compare }, TEXTS.compare))), result);
  const refresh = () => {
    // What was compared is another plan by now.
    if (compared !== "" && compared !== text()) {
      compared = "";
      never("compare");
      tell([]);
    }
    const all = plans();
    const others = all.filter(({ open: lies, gone }) => !lies && !gone);
    const count = all.filter(({ gone }) => !gone).length;
    put(byId("plans-title"), count, () => [`${TEXTS.plans} (${count})`]);
    if (document.activeElement !== name) name.value = get("/name") ?? "";
    put(list, all, () => all.map(row));
    const chosen = other.value;
    put(other, others, () => others.map(({ id, name: called }) => make("option", { value: id }, called)));
    if (others.some(({ id }) => id === chosen)) other.value = chosen;
    turn(byId("compare-tools"), { hidden: others.length === 0 });
  };
  // The list is what it should be as soon as it is looked at.
  onOpened(part, refresh);
  return { part, refresh };
}
