// Makes the elements known to the document.

import { define } from "./embed.js";

define();
