// Finds what keeps people out, by axe-core and the success criteria of WCAG 2.2 A and AA.

import { createRequire } from "node:module";

const require = createRequire(new URL("../../pkg-config/npm/package.json", import.meta.url));
const { source } = require("axe-core");

/** The whole of axe-core as the body of a function: the page's policy forbids to evaluate text there. */
const install = new Function(source);

/**
 * Violations, one line each; empty where all is well.
 * @param {import("./browser.mjs").Page} page
 * @returns {Promise<string[]>}
 */
export async function violations(page) {
  await page.evaluate(install);
  return page.evaluate(async () => {
    const rules = { "target-size": { enabled: true } };
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"];
    const result = await globalThis.axe.run(document, { runOnly: { type: "tag", values: tags }, rules });
    return result.violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.target} ${node.failureSummary}`));
  });
}
