// What several tests do. What is handed to `evaluate` and `until` runs in the page, and knows nothing but the page.

/** Opens every part, and the parts that are made as others open, so that each entry can be reached. */
export const unfold = async () => {
  for (;;) {
    const folded = [...document.querySelectorAll("details:not([open])")];
    if (folded.length === 0) return;
    for (const part of folded) part.open = true;
    await new Promise((go) => setTimeout(go));
  }
};

/** Whether all that is shown belongs to the plan as it stands, and all of it is laid out. */
export const settled = () => document.querySelector("[aria-busy=true], [data-old], [data-typing]") === null;

/** Whether the page stands that was loaded anew. */
const anew = () => globalThis.__old === undefined && (document.querySelector("#verdict")?.textContent ?? "") !== "";

/** How long a page takes to go, in milliseconds. */
const GOING_MS = 200;

/** Loads the page anew, storage and all. @param {import("./browser.mjs").Page} page */
export async function reload(page) {
  await page.evaluate(() => {
    globalThis.__old = true;
    setTimeout(() => location.reload(), 0);
  });
  // A question that is on its way while the page goes has nobody to answer to, and WebKit's driver calls that an error.
  await new Promise((go) => setTimeout(go, GOING_MS));
  for (;;) {
    try {
      await page.until(anew);
      return;
    } catch (error) {
      // A page that is just being replaced may refuse to be asked.
      if (!/context|navigat|destroy|unload/i.test(String(error))) throw error;
    }
  }
}
