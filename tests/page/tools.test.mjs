// The tools beside the plan: each answers an invented input, tells a wrong entry at its field, and what it changes can be undone.

import assert from "node:assert/strict";
import { after, test } from "node:test";
import { violations } from "./axe.mjs";
import { ENGINES, SIZES, closeAll, open } from "./browser.mjs";
import { settled, unfold } from "./steps.mjs";

after(closeAll);

const answered = () => document.querySelector("#verdict").textContent;

/** Opens the page, and a tool with what it stands in. */
async function opened(engine, tool, options) {
  const page = await open(engine, options);
  await page.until(answered);
  await page.evaluate(async (name) => {
    const there = () => document.querySelector(`#tool-${name}`);
    for (const part of document.querySelectorAll("details.part:not([open])")) {
      if (there()) break;
      // What is in a part is made as it is opened.
      part.open = true;
      await new Promise((go) => setTimeout(go));
      part.open = there() !== null;
    }
    for (let part = there(); part; part = part.parentElement.closest("details")) part.open = true;
  }, tool);
  await page.until((name) => document.querySelector(`#tool-${name} [name]`) !== null, tool);
  return page;
}

/** Enters values by the places of the question's input, one after the other: a choice may bring further entries. */
const enter = (page, tool, values) => page.evaluate((name, all) => {
  for (const [place, value] of Object.entries(all)) {
    const entry = document.querySelector(`#tool-${name} [name="${CSS.escape(`${name}:${place}`)}"]`);
    if (!entry) throw new Error(`${name} has no entry ${place}`);
    entry.value = value;
    if (entry.value !== value) throw new Error(`${place} does not take ${value}`);
    entry.dispatchEvent(new Event(entry.tagName === "SELECT" ? "change" : "input", { bubbles: true }));
  }
}, tool, values);

/** Presses the tool's button; gives the outcome and what is marked as wrong. */
const work = (page, tool) => page.evaluate((name) => {
  const part = document.querySelector(`#tool-${name}`);
  part.querySelector("button.ask").click();
  const marked = [...part.querySelectorAll("[aria-invalid]")].map((entry) => entry.name.slice(name.length + 1));
  return { text: part.querySelector(".outcome").textContent, marked, told: [...part.querySelectorAll(".field .wrong")].filter((fault) => !fault.hidden).map((fault) => fault.textContent).join(" ") };
}, tool);

/** What the tool shows, once it shows an answer. */
async function outcome(page, tool) {
  const { text, marked, told } = await work(page, tool);
  assert.deepEqual(marked, [], `${tool}: ${told} ${text}`);
  assert.ok(await page.evaluate((name) => document.querySelector(`#tool-${name} .outcome .big`) !== null, tool), `${tool}: ${text}`);
  await page.until(settled);
  return (await page.text(`#tool-${tool} .outcome`)).replaceAll("\u00a0", " ");
}

const plan = async (page) => JSON.parse(await page.evaluate(() => document.querySelector("#plan-text").value));

/** Presses the button that takes an answer over; gives the plan before and after. */
async function taken(page, tool) {
  const before = await plan(page);
  await page.evaluate((name) => document.querySelector(`#tool-${name} .outcome button.take`).click(), tool);
  assert.match(await page.text(`#tool-${tool} .outcome`), /Taken into the plan/);
  return { before, now: await plan(page) };
}

/** Undo brings back exactly what stood before, and the old answer says that it is old. */
async function undone(page, tool, before) {
  await page.evaluate(() => document.querySelector("#do-undo").click());
  assert.deepEqual(await plan(page), before);
  assert.match(await page.text(`#tool-${tool} .outcome`), /Something has changed since/);
}

const demo = (page, index) => page.evaluate((value) => {
  const pick = document.querySelector("#demo");
  pick.value = value;
  pick.dispatchEvent(new Event("change"));
}, String(index));

const METER = { "/voltmeter/reading_ratio": "0,5 %", "/voltmeter/digits": "2", "/voltmeter/step_v": "1 mV" };
const AMMETER = { "/ammeter/reading_ratio": "1 %", "/ammeter/digits": "2", "/ammeter/step_a": "1 mA" };
const TIMER = { "/frequency_low_hz": "400", "/frequency_high_hz": "600", "/duty_low": "10 %", "/duty_high": "95 %", "/supply_v": "11,1" };

/** Invented inputs with what the answer must say. */
const QUESTIONS = {
  timer_tolerance: [{}, /in eight builds of ten/, "/resistor_ratio", "300 %"],
  one_shot: [{ "/charge_ohm": "470k", "/c_f": "100 µF", "/supply_v": "12" }, /Runs for.*never stop/s, "/charge_ohm", "-1"],
  marking: [{ "/capacitor_digits": "104K" }, /100 nF.*10\.0 %/s, "/capacitor_digits", ""],
  use_profile: [{ "/standing/switch_off_a": "50 µA", "/standing/cut_off_a": "20 µA", "/standing/self_discharge_ratio_per_month": "1 %..5 %", "/phases/0/time_s": "15 min" }, /rounds until it is empty/, "/repeats", "0"],
  box_heat: [{ "/place_degc": "-5..35", "/box_k_per_w": "2..6", "/cell_k_per_w": "5..15", "/other_w": "1 W" }, /the cells get to \d+/, "/box_k_per_w", "-1"],
  dead_cell: [{ "/fault/short/short_ohm": "10 mΩ..50 mΩ", "/rest_v": "4,2", "/strip_ohm": "1 mΩ", "/load_a": "3", "/cell_kg": "0,045" }, /Into the dead cell: \d/, "/strip_ohm", "-1"],
  join: [{ "/first/rest_v": "12,3", "/second/rest_v": "11,3", "/join_ohm": "50 mΩ" }, /Through a resistor first.*Resistor: \d/s, "/join_ohm", "-2"],
  ventilation: [{ "/capacity_ah": "100" }, /m³\/h/, "/capacity_ah", "-1"],
  joint: [{ "/resistance_ohm": "5 mΩ..10 mΩ", "/dc_rated_a": "10", "/dc_rated_v": "24" }, /Loses at most.*W\..*keeps its rating for direct current.*full pack keeps/s, "/rms_a", "-1"],
  hour_rate: [{ "/rated_ah": "7", "/current_a": "1" }, /Empty after \d.*It gives/s, "/rated_s", "0"],
  layout: [{ "/extra_kg": "0,1..0,2" }, /\d\d\.\d mm × .*kg.*Of it the cells/s, "/gap_m", "-1 mm"],
  cell_sheet: [{ "/cell": "inr18650_25r" }, /New: 2\.50 Ah.*Charge voltage.*4\.20 V/s],
  step_response: [{ "/ohm": "10k", "/c_f": "1 µF", "/after_s": "10 ms" }, /10\.0 ms.*63\.2 %.*15\.9 Hz/s, "/ohm", "-1"],
  cycle_fade: [{ "/rated_cycles": "500", "/rated_left_ratio": "60 %", "/cycles": "250" }, /77\.5 %.*no promise/s, "/cycles", "-1"],
  measure_pulse: [{ "/rest_v": "3,91", "/pulse/cell_v": "3,79", "/pulse/current/shown/current_a": "2", ...METER, ...AMMETER }, /mΩ.*10\.?0? ?s/, "/after_s", "-1"],
};

for (const engine of ENGINES) {
  test(`${engine}: parts for the speed control are found, taken and given back`, async () => {
    const page = await opened(engine, "timer_parts");
    await demo(page, 1);
    await page.until(() => document.querySelector("#part-control .answer-line").textContent !== "");
    const empty = await work(page, "timer_parts");
    assert.deepEqual(empty.marked.sort(), ["/duty_high", "/duty_low", "/frequency_high_hz", "/frequency_low_hz"]);
    await enter(page, "timer_parts", { ...TIMER, "/duty_high": "2" });
    const wrong = await work(page, "timer_parts");
    assert.deepEqual(wrong.marked, ["/duty_high"]);
    assert.match(wrong.told, /must lie between/);
    await enter(page, "timer_parts", { "/duty_high": "95 %" });
    assert.match(await outcome(page, "timer_parts"), /sets of parts.*Set 1: does what is wanted.*From full to empty pack/s);
    const { before, now } = await taken(page, "timer_parts");
    const circuit = now.control.timer.circuit.diode_steered;
    assert.notDeepEqual(circuit, before.control.timer.circuit.diode_steered);
    assert.deepEqual({ ...now, control: { ...now.control, timer: null } }, { ...before, control: { ...before.control, timer: null } }, "nothing but the timer changes");
    assert.match(await page.text("#part-control .answer-line"), /4\d\d Hz|5\d\d Hz/);
    await undone(page, "timer_parts", before);
    await page.close();
  });

  test(`${engine}: the drawer gives only what lies in it, each piece once`, async () => {
    const page = await opened(engine, "timer_parts");
    await demo(page, 1);
    await enter(page, "timer_parts", { ...TIMER, "/stock": "drawer" });
    const drawer = { "/stock/drawer/resistors_ohm": "2k7, 1,5k x1; 3k3", "/stock/drawer/pots_ohm": "22k", "/stock/drawer/capacitors_f": "100n x2, 10n" };
    await enter(page, "timer_parts", drawer);
    assert.match(await page.text("#tool-timer_parts"), /1 × 2\.70 kΩ, 1 × 1\.50 kΩ, 1 × 3\.30 kΩ.*2 × 100 nF, 1 × 10\.0 nF/);
    assert.match(await outcome(page, "timer_parts"), /Set 1/);
    const singles = await page.evaluate(() => [...document.querySelectorAll("#tool-timer_parts .outcome ul")].map((set) => set.textContent));
    for (const set of singles) for (const value of ["2.70 kΩ", "1.50 kΩ", "3.30 kΩ"]) assert.ok(set.split(value).length <= 2 || /\(/.test(set), `${value} twice in ${set}`);
    // With one resistor alone every set needs it twice.
    await enter(page, "timer_parts", { "/stock/drawer/resistors_ohm": "2k7" });
    const one = await work(page, "timer_parts");
    assert.match(one.text, /second piece/);
    assert.doesNotMatch(one.text, /Set 1/);
    await enter(page, "timer_parts", { "/stock/drawer/resistors_ohm": "zwölf" });
    assert.deepEqual((await work(page, "timer_parts")).marked, ["/stock/drawer/resistors_ohm"]);
    await page.close();
  });

  test(`${engine}: readings correct the load, with what moves, and undo returns it`, async () => {
    const page = await opened(engine, "fit_load");
    await enter(page, "fit_load", { "/label/current_a": "2 A", "/readings/0/load_v": "12,0", "/readings/0/mean_a": "1,2", "/readings/1/load_v": "9,0", "/readings/1/mean_a": "-1" });
    assert.deepEqual((await work(page, "fit_load")).marked, ["/readings/1/mean_a"]);
    await enter(page, "fit_load", { "/readings/1/mean_a": "0,8" });
    const text = await outcome(page, "fit_load");
    assert.match(text, /What moves in the plan.*Runtime/s);
    const { before, now } = await taken(page, "fit_load");
    assert.equal(now.loads[0].measured, true);
    assert.ok(Math.abs(now.loads[0].draw.follows_voltage.power_w.likely - 14.4) < 0.05, JSON.stringify(now.loads[0].draw));
    assert.notEqual(JSON.stringify(now.loads[0].draw), JSON.stringify(before.loads[0].draw));
    await undone(page, "fit_load", before);
    await page.close();
  });

  test(`${engine}: a timed run corrects the cells, and undo returns them`, async () => {
    const page = await opened(engine, "calibrate");
    assert.deepEqual((await work(page, "calibrate")).marked, ["/ended_s"]);
    await enter(page, "calibrate", { "/ended_s": "2 h 40 min", "/moments": "10 min\t11,9\n1 h; 11,2" });
    assert.match(await outcome(page, "calibrate"), /Runtime: .* becomes .*BeforeAfterwards.*A1/s);
    const { before, now } = await taken(page, "calibrate");
    assert.notDeepEqual(now.pack, before.pack);
    await undone(page, "calibrate", before);
    // A run that no correction of the cells explains is not taken over.
    await demo(page, 1);
    await enter(page, "calibrate", { "/ended_s": "1 h 40 min", "/moments": "" });
    assert.match(await outcome(page, "calibrate"), /would not end when the run did/);
    assert.equal(await page.evaluate(() => document.querySelector("#tool-calibrate .outcome button.take")), null);
    await page.close();
  });

  test(`${engine}: a cell is measured, written into the bin, screened, and kept out of the groups where it must`, async () => {
    const page = await opened(engine, "measure_resistance");
    await page.evaluate(() => { for (const part of document.querySelectorAll("#part-bin details")) part.open = true; });
    assert.match(await page.text("#part-bin"), /consumer safety agency warns/);
    const missing = await work(page, "measure_resistance");
    assert.ok(missing.marked.includes("/heavy/cell_v") && missing.marked.includes("/voltmeter/digits"), String(missing.marked));
    await enter(page, "measure_resistance", { "/name": "P1", "/light/cell_v": "3,912", "/heavy/cell_v": "3,792", "/heavy/current/shown/current_a": "2", ...METER, ...AMMETER });
    assert.match(await outcome(page, "measure_resistance"), /5\d\.\d mΩ … 6\d\.\d mΩ/);
    await page.evaluate(() => document.querySelector("#tool-measure_resistance .outcome button").click());
    // The meter's figures are there for the next tool; another cell's capacity goes into its own line.
    await enter(page, "measure_capacity", { "/name": "P1", "/discharged_by/resistor/resistor_ohm": "3,9 Ω ± 1 %", "/end_v": "2,8", "/readings": "0 s; 4,05\n30 min; 3,85\n1 h; 3,65\n1 h 30 min; 3,5\n2 h; 3,2\n2 h 7 min; 2,8", ...METER });
    assert.match(await outcome(page, "measure_capacity"), /Ah … .*Ah/);
    await page.evaluate(() => document.querySelector("#tool-measure_capacity .outcome button").click());
    await enter(page, "measure_self_discharge", { "/name": "P1", "/rested_s": "1 d", "/first_v": "4,150", "/second_v": "4,148", "/between_s": "14 d", ...METER });
    assert.match(await outcome(page, "measure_self_discharge"), /thirty days/);
    await page.evaluate(() => document.querySelector("#tool-measure_self_discharge .outcome button").click());
    const line = await page.evaluate(() => document.querySelector("#bin-lines").value);
    assert.match(line, /^P1; 1\.\d+\.\.2\.\d+; 0\.05\d+\.\.0\.06\d+; ; /);
    // What is left open keeps it out; what stands against it gives it up.
    await enter(page, "screen_cells", { "/cells/0/name": "P1", "/cells/0/found_v": "3,6", "/cells/0/damaged": "no" });
    assert.match(await outcome(page, "screen_cells"), /P1: MEASURE AGAIN.*not judged/s);
    await enter(page, "screen_cells", { "/cells/0/smells": "yes" });
    assert.match(await outcome(page, "screen_cells"), /P1: GIVE UP/);
    assert.match(await page.text("#part-bin .wide"), /P1.*GIVE UP/);
    await page.close();
  });

  for (const [tool, [values, expected, place, wrong]] of Object.entries(QUESTIONS)) {
    test(`${engine}: ${tool} answers, and tells a wrong entry`, async () => {
      const page = await opened(engine, tool);
      if (tool === "timer_tolerance") await demo(page, 1);
      await enter(page, tool, values);
      assert.match(await outcome(page, tool), expected);
      // Where there is nothing but a choice, nothing can be wrong.
      if (place !== undefined) {
        await enter(page, tool, { [place]: wrong });
        const refused = await work(page, tool);
        assert.equal(await page.evaluate((name) => document.querySelector(`#tool-${name} .outcome .big`), tool), null, "no answer stands beside a wrong entry");
        assert.notEqual(refused.text, "");
        if (tool !== "marking") assert.deepEqual(refused.marked, [place], refused.text);
      }
      assert.deepEqual(await page.problems(), []);
      await page.close();
    });
  }

  test(`${engine}: draws tell how far they have come, and stop where they are told to`, async () => {
    const page = await opened(engine, "runtime_spread");
    await enter(page, "runtime_spread", { "/draws": "99" });
    assert.deepEqual((await work(page, "runtime_spread")).marked, ["/draws"]);
    await enter(page, "runtime_spread", { "/draws": "20000" });
    await work(page, "runtime_spread");
    await page.until(() => /Drawn [1-9]\d* \/ 20000, Nine/.test(document.querySelector("#tool-runtime_spread .outcome").textContent));
    assert.equal(await page.text("#tool-runtime_spread .ask"), "Stop here");
    await page.evaluate(() => document.querySelector("#tool-runtime_spread .ask").click());
    await page.until(() => document.querySelector("#tool-runtime_spread .outcome .big") !== null);
    const drawn = Number(/\((\d+) \/ 20000\)/.exec(await page.text("#tool-runtime_spread .outcome"))[1]);
    assert.ok(drawn > 0 && drawn < 20000, String(drawn));
    assert.equal(await page.text("#tool-runtime_spread .ask"), "Work it out");
    await page.close();
  });

  test(`${engine}: tools speak German, with a decimal comma, and keep what was typed`, async () => {
    const page = await opened(engine, "timer_parts");
    await demo(page, 1);
    await enter(page, "timer_parts", TIMER);
    await page.evaluate(() => document.querySelector("#do-language").click());
    await page.evaluate(() => { for (const id of ["part-control", "tool-timer_parts"]) document.getElementById(id).open = true; });
    await page.until(() => document.querySelector("#tool-timer_parts [name]") !== null);
    assert.match(await outcome(page, "timer_parts"), /Satz 1: tut, was gewünscht ist.*\d,\d.* Hz/s);
    await enter(page, "timer_parts", { "/duty_high": "2" });
    assert.match((await work(page, "timer_parts")).told, /Größter gewünschter Tastgrad/);
    await page.close();
  });

  test(`${engine}: a bin of forty is typed by columns, pasted, repeated, and undone`, async () => {
    const page = await open(engine);
    await page.until(answered);
    await page.evaluate(() => { document.querySelector("#part-bin").open = true; });
    await page.fill("#bin-many", "40");
    await page.click("#bin-add");
    await page.until(() => document.querySelector("#bin-lines").value.split("\n").length === 40);
    await page.fill("#bin-value", "2,21 Ah ± 3 %");
    await page.click("#bin-enter");
    await page.until(() => document.querySelector("#bin-typed").textContent.includes("Next: C2"));
    await page.click("#bin-same");
    await page.click("#bin-skip");
    assert.match(await page.text("#bin-typed"), /Next: C4/);
    // A column out of a spreadsheet goes on from there.
    await page.evaluate(() => {
      const event = new Event("paste", { bubbles: true, cancelable: true });
      Object.defineProperty(event, "clipboardData", { value: { getData: () => "2,05\n1,98\r\n2,11\n" } });
      document.querySelector("#bin-value").dispatchEvent(event);
    });
    const lines = await page.evaluate(() => document.querySelector("#bin-lines").value.split("\n").slice(0, 7));
    assert.deepEqual(lines, ["C1; 2,21 Ah ± 3 %", "C2; 2,21 Ah ± 3 %", "C3", "C4; 2,05", "C5; 1,98", "C6; 2,11", "C7"]);
    await page.evaluate(() => { document.querySelector("#bin-value").value = "zwei"; document.querySelector("#bin-enter").click(); });
    assert.equal(await page.evaluate(() => document.querySelector("#bin-value").getAttribute("aria-invalid")), "true");
    assert.equal(await page.evaluate(() => document.querySelector("#bin-value").value), "zwei", "what was typed stays");
    await page.click("#bin-undo");
    assert.equal(await page.evaluate(() => document.querySelector("#bin-lines").value.split("\n")[3]), "C4");
    await page.close();
  });

  for (const size of SIZES) {
    test(`${engine}: tools with answers and mistakes fit ${size.width} pixels and keep nobody out`, async () => {
      const page = await open(engine, { ...size, scheme: size.width < 500 ? "dark" : "light" });
      await page.until(answered);
      await demo(page, 1);
      await page.evaluate(unfold);
      await page.until(() => [...document.querySelectorAll(".tool")].every((tool) => tool.querySelector("[name]")));
      await enter(page, "timer_parts", TIMER);
      for (const [tool, [values]] of Object.entries(QUESTIONS)) await enter(page, tool, values);
      await page.evaluate(() => { for (const press of document.querySelectorAll(".tool button.ask")) press.click(); });
      await page.evaluate(unfold);
      assert.equal(await page.evaluate(() => document.documentElement.scrollWidth > innerWidth), false, "sideways scrolling");
      assert.deepEqual(await violations(page), []);
      assert.deepEqual(await page.evaluate(() => [...document.querySelectorAll("button, select, input, textarea, summary")].filter((control) => control.checkVisibility() && control.getBoundingClientRect().height < 47.5).map((control) => control.outerHTML.slice(0, 80))), []);
      await page.close();
    });
  }
}

test("chromium: what was typed into a tool and into the bin outlives a reload", async () => {
  const page = await opened("chromium", "timer_parts");
  await enter(page, "timer_parts", { "/frequency_low_hz": "400" });
  await page.evaluate(() => {
    document.querySelector("#part-bin").open = true;
  });
  await page.evaluate(() => {
    const lines = document.querySelector("#bin-lines");
    lines.value = "P1; 2,2; 55 mΩ";
    lines.dispatchEvent(new Event("input"));
  });
  await page.evaluate(() => { setTimeout(() => location.reload(), 0); });
  await new Promise((resolve) => setTimeout(resolve, 500));
  await page.until(answered);
  for (const part of ["part-control", "tool-timer_parts", "part-bin"]) await page.evaluate((id) => { document.getElementById(id).open = true; }, part);
  assert.equal(await page.until(() => document.querySelector('[name="timer_parts:/frequency_low_hz"]')?.value), "400");
  assert.equal(await page.until(() => document.querySelector("#bin-lines").value), "P1; 2,2; 55 mΩ");
  await page.close();
});

test("chromium: drafts of another shape in the browser's storage break nothing", async () => {
  const page = await opened("chromium", "marking");
  await page.evaluate(() => {
    localStorage.setItem("cellwright-tools-1", JSON.stringify({ timer_parts: "odd", use_profile: { phases: 3 }, marking: [], fit_load: { load: "9", readings: null }, __proto__: null }));
    localStorage.setItem("cellwright-bin-1", JSON.stringify({ text: 5, fates: { P1: "no", P2: { fate: "constructor" } } }));
    setTimeout(() => location.reload(), 0);
  });
  await new Promise((resolve) => setTimeout(resolve, 500));
  await page.until(answered);
  await page.evaluate(unfold);
  await page.until(() => [...document.querySelectorAll(".tool")].every((tool) => tool.querySelector("[name]")));
  assert.deepEqual(await page.problems(), []);
  await page.close();
});
