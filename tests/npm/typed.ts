// Compiles only where the package's types say what goes in and what comes out.

import init, { ask, marking, type MarkingAnswer } from "cellwright";
import * as inline from "cellwright/inline";

await init();
await inline.init(new Uint8Array());
const answer: MarkingAnswer = marking({ resistor_letters: "4K7" });
const ohm: number | null = ask("marking", { resistor_letters: "4K7" }).ohm;
// @ts-expect-error: a question that nobody knows
ask("nothing", {});
// @ts-expect-error: a field of another type
marking({ resistor_letters: 4.7 });
export { answer, ohm };
