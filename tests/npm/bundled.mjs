// Bundled into one plain script, as a page without modules would take it.

import { init, marking } from "cellwright/inline";

globalThis.done = init().then(() => marking({ resistor_letters: "4K7" }).ohm);
