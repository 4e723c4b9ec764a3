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

/** Sets what differs and nothing else: a page that stays as it is costs nothing. @template {HTMLElement} T @param {T} element @param {Partial<T>} values */
export function turn(element, values) {
  for (const [name, value] of Object.entries(values)) {
    const place = /** @type {any} */ (element);
    if (place[name] !== value) place[name] = value;
  }
}

/** Does something whenever a folded part is opened, before anything of it is painted. @param {HTMLElement} part @param {() => void} work */
export function onOpened(part, work) {
  new MutationObserver(() => {
    if (part.hasAttribute("open")) work();
  }).observe(part, { attributeFilter: ["open"] });
}

/** Makes what is in a folded part when it is opened first. @param {HTMLElement} part @param {() => (Node | string)[]} making */
export function whenOpened(part, making) {
  let made = false;
  onOpened(part, () => {
    if (!made) part.append(...making());
    made = true;
  });
}
