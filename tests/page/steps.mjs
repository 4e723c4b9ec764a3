// What several tests do in a page: each runs there, and knows nothing but the page.

/** Opens every part, and the parts that are made as others open, so that each entry can be reached. */
export const unfold = async () => {
  for (;;) {
    const folded = [...document.querySelectorAll("details:not([open])")];
    if (folded.length === 0) return;
    for (const part of folded) part.open = true;
    await new Promise((go) => setTimeout(go));
  }
};

/** Whether all that is shown belongs to the plan as it stands. */
export const settled = () => document.querySelector("[aria-busy=true], [data-old]") === null;
