// Runs in the page before anything else and notes what a person would find in the browser's console.

/** Keeps notes in `globalThis.__problems`: refused by the policy, thrown, or written to the console as trouble. */
export function probe() {
  /** @type {{kind: string, text: string}[]} */
  const problems = [];
  Object.defineProperty(globalThis, "__problems", { value: problems });
  const note = (/** @type {string} */ kind, /** @type {unknown} */ text) => problems.push({ kind, text: String(text) });
  document.addEventListener("securitypolicyviolation", (event) => {
    note("policy", `${event.effectiveDirective} refused ${event.blockedURI} ${event.sample}`.trim());
  });
  addEventListener("error", (event) => note("error", event.message));
  addEventListener("unhandledrejection", (event) => note("rejection", event.reason));
  for (const level of /** @type {const} */ (["error", "warn"])) {
    const write = console[level].bind(console);
    console[level] = (...words) => {
      note(level, words.join(" "));
      write(...words);
    };
  }
}
