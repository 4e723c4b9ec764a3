// Prints what is made from the elements' own list: `manifest`, the list for editors; `article WASM`, the article with
// every answer worked out as a table between the tags, so that it reads without script.

import { readFileSync } from "node:fs";
import { Core } from "../../www/embed/core.js";
import { manifest } from "../../www/embed/manifest.js";
import { QUESTIONS, fieldOf } from "../../www/embed/questions.js";
import { table } from "../../www/embed/table.js";

const [what, wasm] = process.argv.slice(2);
const read = (path) => readFileSync(new URL(`../../${path}`, import.meta.url), "utf8");

async function article() {
  const core = await new Core(() => readFileSync(wasm)).start();
  const plans = (html) => html.replace(/<!-- plan ([a-z-]+) -->/g, (_, name) => read(`tests/plans/${name}.json`).trim());
  const answered = (html) => html.replace(/<(cellwright-\w+)([^>]*)>([^]*?)<!-- table -->/g, (all, tag, attributes, inside) => {
    const entries = [...attributes.matchAll(/([\w-]+)="([^"]*)"/g)].map(([, name, value]) => [fieldOf(name), value]);
    const own = entries.filter(([field]) => QUESTIONS[tag].fields.includes(field));
    const json = /<script type="application\/json">([^]*?)<\/script>/.exec(inside)?.[1];
    const answer = json ? core.askText(QUESTIONS[tag].question, json) : core.ask(QUESTIONS[tag].question, own);
    return all.replace("<!-- table -->", () => table(tag, own, answer));
  });
  return answered(plans(read("www/embed/article.html")));
}

process.stdout.write(what === "manifest" ? `${JSON.stringify(manifest(), null, 1)}\n` : await article());
