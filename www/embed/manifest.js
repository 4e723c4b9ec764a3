// The list of elements that editors read: https://github.com/webcomponents/custom-elements-manifest

import { TEXTS } from "./en.js";
import { QUESTIONS, attribute } from "./questions.js";

const PARTS = ["card", "title", "headline", "verdict", "lines", "label", "value", "findings", "finding", "source", "caution", "change", "entries", "input", "version", "unable", "stand-in"];
const PROPERTIES = ["ink", "paper", "edge", "accent", "stop", "mend", "radius", "gap", "min-height"];

export function manifest() {
  const declarations = Object.entries(QUESTIONS).map(([tag, { fields, whole }]) => ({
    kind: "class",
    name: tag,
    customElement: true,
    tagName: tag,
    description: TEXTS[tag],
    attributes: fields.map((field) => ({ name: attribute(field), fieldName: field, type: { text: "string" }, description: TEXTS[field] })),
    members: [
      ...fields.map((field) => ({ kind: "field", name: field, type: { text: "string | null" }, attribute: attribute(field), reflects: true })),
      { kind: "field", name: "answer", type: { text: "ReaderAnswer | null" }, readonly: true },
      { kind: "field", name: "errors", type: { text: "Mistake[]" }, readonly: true },
    ],
    events: whole ? [] : [{ name: "cellwright-change", type: { text: "CustomEvent" }, description: "A person changed an entry." }],
    slots: [{ name: "", description: "Shown before the answer is there, and without script." }],
    cssParts: PARTS.map((name) => ({ name })),
    cssProperties: PROPERTIES.map((name) => ({ name: `--cellwright-${name}` })),
  }));
  const exports = declarations.map(({ tagName }) => ({ kind: "custom-element-definition", name: tagName, declaration: { name: tagName, module: "embed.js" } }));
  return { schemaVersion: "2.1.0", modules: [{ kind: "javascript-module", path: "embed.js", declarations, exports }] };
}
