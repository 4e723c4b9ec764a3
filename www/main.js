// The page: reads what is typed, asks the crate, shows its answer. No formula stands here.

import Plot from "uplot";
import { ask, version } from "cellwright";
import { load } from "./load.js";

/** @param {string} id */
const element = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @param {string} letters */
function show(letters) {
  const answer = element("answer");
  try {
    const { ohm, digits } = ask("marking", { resistor_letters: letters });
    answer.textContent = `${ohm} Ω, in digits ${digits}`;
  } catch (error) {
    answer.textContent = String(error);
  }
}

async function main() {
  await load();
  const input = /** @type {HTMLInputElement} */ (element("resistor_letters"));
  input.addEventListener("input", () => show(input.value));
  show(input.value);
  performance.mark("cellwright-report");
  element("version").textContent = `Version ${version().crate_version}`;
  const options = { width: 320, height: 160, series: [{}, { label: "Ω", stroke: "currentColor" }], scales: { x: { time: false } } };
  new Plot(options, [[0, 1, 2], [1, 2.2, 4.7]], element("curve"));
}

main().catch((error) => {
  element("answer").textContent = `This browser cannot run the page: ${error}`;
});
