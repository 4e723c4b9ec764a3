// The page: reads what is typed, asks the crate, shows its answer. No formula stands here.

import { saveLink } from "./itself.js";
import { ask, version } from "cellwright";
import { TEXTS } from "./en.js";
import { last, planChanged } from "./asking.js";
import { bin, takeOver } from "./bin.js";
import { beginCurves, refreshCurves } from "./curves.js";
import { byId, make, save, turn } from "./dom.js";
import { example } from "./examples.js";
import { label, notify, refuseAt, wrong } from "./fields.js";
import { onOther, trouble } from "./kept.js";
import { beginLanguage, errorWords, mistakeWords, otherLanguage } from "./language.js";
import { load } from "./load.js";
import { anew, hush, moved, movedParts } from "./moved.js";
import { afterPaint, atOnce, dropped, isPending, later, resting, typing, whenIdle } from "./pace.js";
import { plansPart } from "./plans.js";
import { isEmpty, mistakes, readable } from "./reading.js";
import { again, arrived, beginReport, forget, opened as stationOpened, show, unfinished, waiting } from "./report.js";
import { build, rebuild, road } from "./road.js";
import { clearHash, isPlan, share, stale, textOf } from "./share.js";
import { onPaper, outdated, refresh, sheets } from "./sheets.js";
import { add, isOutside, lookThrough, refreshed, restore } from "./shelf.js";
import { start } from "./start.js";
import { inSlices } from "./stepping.js";
import { file, keep, redo, remember, settle, state, text, undo } from "./store.js";
import { freshTools, toolsOf } from "./tools/index.js";

/** Marks the entries that the crate refuses, in their own place. @param {import("cellwright").Mistake[]} errors */
function refuse(errors) {
  let placed = false;
  for (const mistake of errors) {
    const told = () => refuseAt(document, "", mistake.path, (at) => mistakeWords(mistake, label(at)));
    if (told()) placed = true;
    else {
      build(mistake.path);
      if (told()) placed = true;
    }
  }
  return placed ? TEXTS.stale : `${TEXTS.stale} ${errors.map((mistake) => mistakeWords(mistake, label(mistake.path))).join(" ")}`;
}

/** Sets a text that is read out when it changes, and only then. @param {string} id @param {string} text */
const say = (id, text) => turn(byId(id), { textContent: text });

/** @type {() => void} */
let shelfChanged = () => {};

/** Longest answer that what was typed waits for before it is painted, in milliseconds: a frame. */
const AT_ONCE_MS = 16;

/** How long the last answer took until it stood, in milliseconds. */
let took = Infinity;

/** Says that what stands is of the plan before, or takes that back; the line at the head says nothing then. @param {boolean} stands */
function tellStale(stands) {
  turn(byId("stale"), { hidden: !stands });
  turn(byId("glance"), { hidden: stands });
}

/** The plan has changed: keeps it, and what belonged to the plan before says so. Tells whether every entry can be used. */
function begin() {
  const kept = keep();
  say("kept", kept ? TEXTS.kept : TEXTS[trouble.why === "full" ? "no_room" : "not_kept"]);
  byId("kept").classList.toggle("caution", !kept);
  turn(byId("outside"), { hidden: !isOutside() });
  turn(/** @type {HTMLButtonElement} */ (byId("do-undo")), { disabled: state.past.length === 0 });
  turn(/** @type {HTMLButtonElement} */ (byId("do-redo")), { disabled: state.next.length === 0 });
  turn(/** @type {HTMLTextAreaElement} */ (byId("plan-text")), { value: text() });
  stale();
  hush();
  outdated();
  planChanged(text());
  tellStale(wrong.size > 0);
  if (wrong.size > 0) say("stale", TEXTS.stale);
  return wrong.size === 0;
}

/** Shows what comes of the plan. @param {import("cellwright").Report} report */
function came(report) {
  last.report = wrong.size === 0 ? report : null;
  show(report);
  arrived();
  refreshCurves();
  refresh();
  moved();
}

/** The plan cannot be worked out: says why, and the last good report stays. @param {unknown} error */
function failed(error) {
  const errors = mistakes(error);
  if (errors.length === 0) throw error;
  const open = errors.filter(({ path }) => isEmpty(state.plan, path));
  const others = errors.filter((one) => !open.includes(one));
  if (open.length > 0 || !again()) unfinished(open.map(({ path }) => path));
  arrived();
  // Where the diary no longer fits the pack, it says so itself and can be thrown away.
  refresh(open.length > 0 ? undefined : ["diary"]);
  tellStale(others.length > 0 || wrong.size > 0);
  if (others.length > 0) say("stale", refuse(others));
}

/** Asks what comes of the plan and shows it. Tells whether it could be worked out. */
function answer() {
  const from = performance.now();
  try {
    came(ask("plan", state.plan));
    return true;
  } catch (error) {
    failed(error);
    return false;
  } finally {
    took = performance.now() - from;
  }
}

/** The same in slices: gives what works until a moment, and tells whether it is done. */
function sliced() {
  const work = inSlices("plan", state.plan, came, failed);
  let before = 0;
  return (/** @type {number} */ until) => {
    const from = performance.now();
    const done = work(until);
    before += performance.now() - from;
    if (done) took = before;
    return done;
  };
}

/** Works the plan out again and shows what comes of it. Tells whether it could. */
function recompute() {
  const usable = begin();
  shelfChanged();
  const pending = dropped();
  const could = (usable || pending) && answer();
  resting();
  return could && usable;
}

/** The same after a key: what was typed is shown first where the answer takes longer than a frame. */
function typed() {
  typing();
  const usable = begin();
  later("shelf", byId("begin"), shelfChanged);
  if (!usable && !isPending()) return;
  if (took <= AT_ONCE_MS) {
    dropped();
    answer();
    return;
  }
  waiting();
  afterPaint(sliced());
}

function redraw() {
  rebuild();
  return recompute();
}

/** Shows the plan that now lies open. @param {string} note @param {(Node | string)[]} [told] */
function opened(note, told = []) {
  byId("told").replaceChildren(...told);
  say("build-note", state.forgot ? `${note} ${TEXTS.steps_forgotten}` : note);
  // Should the plan not work out, no number of another one stays.
  forget();
  outdated(true);
  anew(redraw());
}

/** Takes a plan from outside: as text, so that the crate sees what was written; the open plan stays on the shelf. @param {string} text */
function take(text) {
  try {
    add(readable(text), { outside: true });
    opened(TEXTS.outside);
  } catch (error) {
    say("build-note", `${TEXTS.refused} ${errorWords(error)}`);
  }
}

/** Takes the plan that stands in the address. */
async function fromAddress() {
  const { hash } = location;
  if (!isPlan(hash)) return;
  clearHash();
  try {
    take(await textOf(hash));
  } catch (error) {
    say("build-note", `${TEXTS.refused} ${errorWords(error)}`);
  }
}

/** @param {string} key @param {() => void} press */
const button = (key, press) => make("button", { type: "button", id: `do-${key}`, click: press }, TEXTS[key]);

/** @param {() => boolean} step */
function back(step) {
  const done = step();
  if (state.forgot) say("build-note", TEXTS.steps_forgotten);
  if (done || state.forgot) redraw();
  state.forgot = false;
}

function theme() {
  const { dataset } = document.documentElement;
  const dark = dataset.theme ? dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  dataset.theme = dark ? "light" : "dark";
  recompute();
}

function tools() {
  const chooser = /** @type {HTMLInputElement} */ (make("input", { type: "file", accept: ".json,application/json", id: "file", "aria-label": TEXTS.open }));
  chooser.addEventListener("change", async () => {
    const chosen = chooser.files?.[0];
    if (chosen) take(await chosen.text());
    chooser.value = "";
  });
  byId("build-tools").replaceChildren(button("undo", () => back(undo)), button("redo", () => back(redo)), button("theme", theme),
    button("language", () => { otherLanguage(); dress(); tellVersion(); opened(""); byId("do-language").focus(); }),
    make("div", { class: "field" }, make("label", { for: "file" }, TEXTS.open), chooser));
  const link = share();
  document.getElementById("share")?.remove();
  byId("sheet-tools").replaceChildren(button("save", () => save("cellwright-plan.json", file())), link.button, button("print", () => print()), saveLink(),
    button("take", () => take(/** @type {HTMLTextAreaElement} */ (byId("plan-text")).value)));
  byId("sheet-tools").after(link.place);
  for (const name of ["build", "answer", "runtime", "sheet", "table"]) byId(`${name}-title`).textContent = TEXTS[name];
  byId("plan-text-label").textContent = TEXTS.plan_text;
  byId("outside").textContent = TEXTS.outside_mark;
}

/** The ways to another plan: begin one, or open one that is kept. */
function shelfTools() {
  const kept = plansPart({
    opened: () => opened(TEXTS.now_open),
    renamed: () => {
      const name = /** @type {HTMLInputElement | null} */ (document.querySelector('[name="/name"]'));
      if (name) name.value = state.plan.name;
      typed();
    },
    fallback: () => example(0),
  });
  const begin = start((plan, told) => {
    try {
      add(plan, { fresh: true });
      opened(TEXTS.begun, told);
    } catch (error) {
      say("build-note", errorWords(error));
    }
  });
  byId("begin").replaceChildren(begin, kept.part);
  shelfChanged = kept.refresh;
}

/** What another window of this page has kept is taken in, and can be taken back. @param {string} name @param {string | null} text */
function fromOther(name, text) {
  if (name !== "shelf" && !name.startsWith("plan-")) return;
  refreshed();
  if (name === `plan-${state.id}` && text !== null && text !== JSON.stringify(state.plan)) {
    try {
      const plan = readable(text);
      remember();
      state.plan = plan;
      say("build-note", TEXTS.other_window);
      redraw();
    } catch {
      // This window's plan stays, and is kept with its next change.
    }
  } else shelfChanged();
}

/** Everything that is made once in a language; made anew when the language changes. What holds texts belongs here. */
function dress() {
  tools();
  shelfTools();
  movedParts(redraw);
  freshTools();
  byId("bin").replaceChildren(bin((rows, groups) => {
    takeOver(rows, groups);
    rebuild();
    recompute();
  }, () => toolsOf("bin")));
  road(stationOpened);
  const open = [...document.querySelectorAll("#sheets > details[open]")].map((part) => part.id);
  byId("sheets").replaceChildren(...sheets(), make("div", { class: "screen-only" }, ...toolsOf("bench")));
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
}

/** What of the kept plans cannot be read is told, once nothing else is to be done. */
function tellDamage() {
  lookThrough(whenIdle, (words) => say("build-note", [byId("build-note").textContent, TEXTS.damaged, ...words].filter(Boolean).join(" ")));
}

function tellVersion() {
  const { crate_version, data_version } = version();
  byId("version").textContent = TEXTS.versions.replace("{crate}", crate_version).replace("{data}", data_version);
}

async function main() {
  beginLanguage();
  const loading = load();
  notify.changed = recompute;
  notify.typed = typed;
  notify.rebuilt = rebuild;
  dress();
  onPaper();
  beginCurves();
  beginReport();
  await loading;
  const before = restore(example(0));
  byId("app").hidden = false;
  const list = shelfChanged;
  shelfChanged = () => {};
  opened(before ? "" : TEXTS.example_open);
  performance.mark("cellwright-report");
  shelfChanged = list;
  tellVersion();
  later("shelf", null, shelfChanged);
  tellDamage();
  onOther(fromOther);
  document.addEventListener("change", () => {
    settle();
    // Whoever leaves an entry waits for the answer.
    atOnce();
  });
  addEventListener("hashchange", fromAddress);
  await fromAddress();
}

main().catch((error) => {
  byId("version").textContent = `${TEXTS.not_started} ${error}`;
});
