// An answer as plain HTML without script, style or frame, for a page that allows none of them. Works in Node.

import { text } from "./en.js";
import { QUESTIONS } from "./questions.js";

/** @typedef {import("cellwright").ReaderAnswer} ReaderAnswer */

const SIGNS = /** @type {Record<string, string>} */ ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" });

/** Text that stands for nothing but itself in HTML. @param {string} words */
export const plain = (words) => words.replace(/[&<>"']/g, (sign) => SIGNS[sign]);

/** What a line says. @param {ReaderAnswer["lines"][number]} line */
export const lineWords = (line) => (line.coded ? text(line.words) : line.words);

/** What a line is called. @param {ReaderAnswer["lines"][number]} line */
export function lineLabel({ key, of }) {
  if (of === "") return text(key);
  return `${text(key)} ${key === "unmet" ? text(of) : of}`;
}

/** How a finding is marked. @param {ReaderAnswer["findings"][number]} finding */
export const mark = ({ urgency, judgement }) => (judgement === "broken" ? text(urgency) : `${text(urgency)} (${text("not_judged")})`);

/** The document a limit comes from. @param {ReaderAnswer["findings"][number]["source"]} source */
export const sourceWords = ({ title, edition, place }) => [title, edition, place].filter(Boolean).join(", ");

/**
 * A table of the entries and the answer, with findings, caution and a link; nothing in it needs a script.
 * @param {string} tag name of the element, such as `cellwright-wire`
 * @param {Iterable<[string, string]>} entries as they were written
 * @param {ReaderAnswer} answer
 * @param {string} [address] of the page that the link leads to; `https:` alone is taken
 */
export function table(tag, entries, answer, address) {
  const row = (/** @type {string} */ label, /** @type {string} */ words) => `<tr><th scope="row">${plain(label)}</th><td>${plain(words)}</td></tr>`;
  /** A list of cells has a line for each. */
  const entry = (/** @type {string} */ field, /** @type {string} */ words) => {
    if (field !== "cells") return row(text(field), text(words));
    return `<tr><th scope="row">${plain(text(field))}</th><td>${words.split(/[;\n]/).map((line) => plain(line.trim())).join("<br>")}</td></tr>`;
  };
  const given = QUESTIONS[tag].whole ? [] : [...entries].map(([field, words]) => entry(field, words));
  const lines = answer.lines.map((line) => row(lineLabel(line), lineWords(line)));
  const findings = answer.findings.map((finding) => `<li><strong>${plain(mark(finding))}:</strong> ${plain(finding.words)} ${plain(`${text("source")} ${sourceWords(finding.source)}`)}</li>`);
  const parts = [
    answer.verdict === "stop" ? `<p><strong>${plain(text("verdict_stop"))}</strong></p>` : "",
    `<table><caption>${plain(text(tag))}</caption><tbody>${given.join("")}${lines.join("")}</tbody></table>`,
    answer.verdict && answer.verdict !== "stop" ? `<p><strong>${plain(text(`verdict_${answer.verdict}`))}</strong></p>` : "",
    findings.length > 0 ? `<ul>${findings.join("")}</ul>` : "",
    `<p>${plain(text(`caution-${tag}`))}</p>`,
    `<p>${link(address)} ${plain(`${answer.crate_version}, ${text("data")} ${answer.data_version}`)}</p>`,
  ];
  return parts.filter(Boolean).join("\n");
}

/** @param {string | undefined} address */
function link(address) {
  let safe;
  try {
    safe = address === undefined ? undefined : new URL(address);
  } catch {
    safe = undefined;
  }
  return safe?.protocol === "https:" ? `<a href="${plain(safe.href)}" rel="noopener">${text("made_by")}</a>` : text("made_by");
}
