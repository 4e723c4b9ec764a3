// Small helpers to make elements; text is only ever set as text.

/**
 * @param {string} tag
 * @param {Record<string, string | boolean | ((event: Event) => void)>} [attributes]
 * @param {...(Node | string)} children
 * @returns {HTMLElement}
 */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false) element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

/** Hands a file to whoever uses the page. @param {string} name @param {Blob} blob */
export function save(name, blob) {
  const link = /** @type {HTMLAnchorElement} */ (make("a", { download: name }));
  link.href = URL.createObjectURL(blob);
  link.click();
  // Some browsers read it only after a while.
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

/** @param {string} id */
export function byId(id) {
  return /** @type {HTMLElement} */ (document.getElementById(id));
}
