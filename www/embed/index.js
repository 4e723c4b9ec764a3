// Importing this does nothing but name things: `define` makes the elements known, `table` writes an answer as HTML.

export { unpacked } from "../bytes.js";
export { Core, Refused } from "./core.js";
export { ELEMENTS, Reader, cores, define } from "./element.js";
export { QUESTIONS, attribute, fieldOf } from "./questions.js";
export { table } from "./table.js";
