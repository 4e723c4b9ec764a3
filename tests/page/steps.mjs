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

/** How long a page takes to go, in milliseconds, and how often it is looked whether another one has come. */
const GOING_MS = 200;
const LOOKS = 20;

/** Loads the page anew, storage and all. @param {import("./browser.mjs").Page} page */
export async function reload(page) {
  for (let asked = 0; asked < 3; asked += 1) {
    await page.evaluate(() => {
      globalThis.__old = true;
      setTimeout(() => location.reload(), 0);
    });
    // A question that is on its way while the page goes has nobody to answer to, and WebKit's driver calls that an error;
    // now and then WebKit leaves such a page where it is.
    for (let look = 0; look < LOOKS; look += 1) {
      await new Promise((go) => setTimeout(go, GOING_MS));
      if (await page.evaluate(() => globalThis.__old === undefined).catch(() => false)) return page.until(anew);
    }
  }
  throw new Error(`the page was not loaded anew in ${page.engine}`);
}
