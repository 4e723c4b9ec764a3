// The page: reads what is typed, asks the crate, shows its answer. No formula stands here.

import { ask, ask_text, version } from "cellwright";
import { TEXTS } from "./en.js";
import { bin, takeOver } from "./bin.js";
import { byId, make } from "./dom.js";
import { label, notify, wrong } from "./fields.js";
import { beginLanguage, errorWords, mistakeWords, otherLanguage } from "./language.js";
import { load } from "./load.js";
import { STATIONS } from "./stations.js";
import { show } from "./report.js";
import { onPaper, refresh, sheets } from "./sheets.js";
import { DEMOS, copy, file, keep, kept, remember, state, undo } from "./store.js";

/** Longest plan file that is read, in characters. */
const LONGEST = 2_000_000;

/** Marks the entries that the crate refuses, in their own place. @param {import("cellwright").Mistake[]} errors */
function refuse(errors) {
  let placed = false;
  for (const mistake of errors) {
    let at = mistake.path;
    while (at) {
      const input = document.querySelector(`[name="${CSS.escape(at)}"]`);
      if (input) {
        input.dispatchEvent(new CustomEvent("cellwright-refused", { detail: mistakeWords(mistake, label(at)) }));
        placed = true;
        break;
      }
      at = at.slice(0, at.lastIndexOf("/"));
    }
  }
  return placed ? TEXTS.stale : `${TEXTS.stale} ${errors.map((mistake) => mistakeWords(mistake, label(mistake.path))).join(" ")}`;
}

/** Works the plan out again and shows it; the last good report stays where that cannot be done. */
function recompute() {
  const stale = byId("stale");
  const tell = keep() ? TEXTS.kept : TEXTS.not_kept;
  if (byId("build-note").textContent === "") byId("build-note").textContent = tell;
  /** @type {HTMLTextAreaElement} */ (byId("plan-text")).value = JSON.stringify(state.plan);
  if (wrong.size > 0) {
    stale.textContent = TEXTS.stale;
    stale.hidden = false;
    return;
  }
  try {
    show(ask("whole_plan", state.plan));
    stale.hidden = true;
    refresh();
  } catch (error) {
    const errors = /** @type {any} */ (error).errors;
    if (!Array.isArray(errors)) throw error;
    stale.textContent = refuse(errors);
    stale.hidden = false;
  }
}

/** Draws the entries anew, after the plan's shape has changed. */
function rebuild() {
  const open = new Set([...document.querySelectorAll("#stations details[open]")].map((part) => part.id));
  wrong.clear();
  byId("stations").replaceChildren(...Object.entries(STATIONS).map(([name, fields]) => make("details", { class: "part", id: `part-${name}`, open: open.has(`part-${name}`) },
    make("summary", {}, TEXTS[name]), make("div", { class: "answer-line", id: `answer-${name}` }), ...fields())));
}

/** Takes a plan from outside: as text, so that the crate sees what was written. @param {string} text */
function take(text) {
  const note = byId("build-note");
  try {
    if (text.length > LONGEST) throw new Error(TEXTS.too_long);
    ask_text("plan", text);
    remember();
    state.plan = JSON.parse(text);
    note.textContent = TEXTS.outside;
    rebuild();
    recompute();
  } catch (error) {
    note.textContent = errorWords(error);
  }
}

/** @param {string} key @param {() => void} press */
const button = (key, press) => make("button", { type: "button", id: `do-${key}`, click: press }, TEXTS[key]);

function download() {
  const link = /** @type {HTMLAnchorElement} */ (make("a", { download: "cellwright-plan.json" }));
  link.href = URL.createObjectURL(file());
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

function tools() {
  const pick = /** @type {HTMLSelectElement} */ (make("select", { id: "demo", "aria-label": TEXTS.demo },
    make("option", { value: "" }, TEXTS.demo), ...DEMOS.map((demo, i) => make("option", { value: String(i) }, demo.name))));
  pick.addEventListener("change", () => {
    if (pick.value === "") return;
    remember();
    state.plan = copy(DEMOS[Number(pick.value)]);
    byId("build-note").textContent = "";
    rebuild();
    recompute();
  });
  const chooser = /** @type {HTMLInputElement} */ (make("input", { type: "file", accept: ".json,application/json", id: "file", "aria-label": TEXTS.open }));
  chooser.addEventListener("change", async () => {
    const chosen = chooser.files?.[0];
    if (chosen) take(await chosen.text());
  });
  byId("build-tools").replaceChildren(pick, make("label", { for: "file" }, TEXTS.open), chooser,
    button("language", () => { otherLanguage(); byId("build-note").textContent = ""; dress(); }),
    button("undo", () => { if (undo()) { rebuild(); recompute(); } }),
    button("theme", () => {
      const dark = document.documentElement.dataset.theme ? document.documentElement.dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
      document.documentElement.dataset.theme = dark ? "light" : "dark";
      recompute();
    }));
  byId("sheet-tools").replaceChildren(button("save", download), button("print", () => print()),
    button("take", () => take(/** @type {HTMLTextAreaElement} */ (byId("plan-text")).value)));
  for (const name of ["build", "answer", "runtime", "sheet", "table"]) byId(`${name}-title`).textContent = TEXTS[name];
  byId("plan-text-label").textContent = TEXTS.plan_text;
}

/** Everything that is made once in a language; made anew when the language changes. What holds texts belongs here. */
function dress() {
  tools();
  byId("bin").replaceChildren(bin((rows, groups) => {
    takeOver(rows, groups);
    rebuild();
    recompute();
  }));
  const open = [...document.querySelectorAll("#sheets > details[open]")].map((part) => part.id);
  byId("sheets").replaceChildren(...sheets());
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  rebuild();
  recompute();
  const { crate_version, data_version } = version();
  byId("version").textContent = TEXTS.versions.replace("{crate}", crate_version).replace("{data}", data_version);
}

async function main() {
  beginLanguage();
  await load();
  const before = kept();
  if (before && before.length < LONGEST) {
    try {
      ask_text("plan", before);
      state.plan = JSON.parse(before);
    } catch {
      // What was kept is damaged or of a later version: the first example stands instead.
    }
  }
  notify.changed = recompute;
  notify.rebuilt = rebuild;
  onPaper();
  byId("app").hidden = false;
  dress();
  performance.mark("cellwright-report");
}

main().catch((error) => {
  byId("version").textContent = `${TEXTS.not_started} ${error}`;
});
