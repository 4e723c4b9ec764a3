// Hostile texts, for whatever takes text from outside: attributes, the paste box, files, storage, addresses, messages.
//
// `PLANS` are texts that stand where a plan is expected, `ENTRIES` stand where one value is expected, `MESSAGES` come
// from another window. None may run, none may be lost without a word. A text that runs sets `globalThis.__ran`.

import { readFileSync } from "node:fs";

const GOOD = readFileSync(new URL("../plans/market-stall-lamp.json", import.meta.url), "utf8");

/** What runs where markup or an address is made from text. */
export const SCRIPTS = [
  "<script>globalThis.__ran=1</script>",
  "</script><script>globalThis.__ran=1</script>",
  "<img src=x onerror=globalThis.__ran=1>",
  "\"><img src=x onerror=globalThis.__ran=1>",
  "'><img src=x onerror='globalThis.__ran=1'>",
  "<svg onload=globalThis.__ran=1>",
  "<svg><script>globalThis.__ran=1</script></svg>",
  "<svg><animate onbegin=globalThis.__ran=1 attributeName=x dur=1s>",
  "<math><mtext></table><mglyph><style><img src=x onerror=globalThis.__ran=1>",
  "<iframe srcdoc=\"<script>parent.__ran=1</script>\"></iframe>",
  "<iframe src=\"javascript:parent.__ran=1\"></iframe>",
  "<object data=\"javascript:globalThis.__ran=1\"></object>",
  "<embed src=\"javascript:globalThis.__ran=1\">",
  "<a href=\"javascript:globalThis.__ran=1\">x</a>",
  "<form action=\"javascript:globalThis.__ran=1\"><button>x</button></form>",
  "<details open ontoggle=globalThis.__ran=1>",
  "<video><source onerror=globalThis.__ran=1></video>",
  "<input autofocus onfocus=globalThis.__ran=1>",
  "<body onload=globalThis.__ran=1>",
  "<marquee onstart=globalThis.__ran=1>",
  "<style>@import 'https://example.invalid/a.css'</style>",
  "<link rel=stylesheet href=https://example.invalid/a.css>",
  "<meta http-equiv=refresh content=\"0;url=javascript:globalThis.__ran=1\">",
  "<base href=https://example.invalid/>",
  "<template><script>globalThis.__ran=1</script></template>",
  "<!--><script>globalThis.__ran=1</script>-->",
  "<![CDATA[<script>globalThis.__ran=1</script>]]>",
  "javascript:globalThis.__ran=1",
  "JaVaScRiPt:globalThis.__ran=1",
  "java\tscript:globalThis.__ran=1",
  "data:text/html,<script>globalThis.__ran=1</script>",
  "vbscript:globalThis.__ran=1",
  "expression(globalThis.__ran=1)",
  "url(javascript:globalThis.__ran=1)",
  "{{globalThis.__ran=1}}",
  "${globalThis.__ran=1}",
  "#{globalThis.__ran=1}",
  "<%= globalThis.__ran=1 %>",
  "';globalThis.__ran=1;//",
  "\";globalThis.__ran=1;//",
  "`;globalThis.__ran=1;//",
  "\\\";globalThis.__ran=1;//",
  "\u2028globalThis.__ran=1//",
  "&lt;img src=x onerror=globalThis.__ran=1&gt;",
  "&#60;script&#62;globalThis.__ran=1&#60;/script&#62;",
  "%3Cscript%3EglobalThis.__ran=1%3C/script%3E",
  "=cmd|' /C calc'!A0",
  "+1+1",
  "@SUM(1)",
];

/** What stands where a number with its unit is expected, and is none. */
const NUMBERS = [
  "NaN", "nan", "Infinity", "-Infinity", "inf", "1e999", "-1e999", "1e308", "-1", "-0", "0x10", "0b1", "0o7", "1_000",
  "1.234,5", "1 234", "1'234", "1,2,3", "1..2..3..4", "2 ± 200 %", "± 5 %", "5 ±", "..", "2..1", "٢", "２", "Ⅻ", "½", "²",
  "1e", "e5", "1e5e5", "--1", "1-", "+", "-", ".", ",", "1 kkV", "1 V V", "1 m\u0000", "\u0000", "\u202e5 V", "5\u200bV",
  "5\u0301 V", "\ufeff5 V", "\ufffd", "\ud800", "\udfff 5", "💥", "null", "true", "undefined", "[object Object]", "{}",
  "[]", "__proto__", "constructor", "prototype", "toString", "hasOwnProperty", "valueOf", "4k7k", "AWG 99", "AWG -5",
  "99999999999999999999999999999999", "0.00000000000000000000000000001",
  "9".repeat(65), "9".repeat(10_000), " ".repeat(100), "\n\n\n", "a".repeat(100_000), "±".repeat(64), ".".repeat(64),
  "(".repeat(10_000), "𝟝 V",
];

/** Texts for one entry. */
export const ENTRIES = [...SCRIPTS, ...NUMBERS];

const replaced = (from, to) => {
  const text = GOOD.replace(from, () => to);
  if (text === GOOD) throw new Error(`nothing to replace: ${from}`);
  return text;
};
const own = (entries) => replaced(/^\{/, `{${entries},`);

/** Plans that are none, by a fault of their text. */
const BROKEN = [
  "", " ", "{", "}", "[", "]", "{}", "[]", "null", "true", "0", "\"plan\"", "undefined", "NaN", "{}{}", "{},", "[{}]",
  "\ufeff{}", "\u0000", "{\"format\":1", `${GOOD}x`, `${GOOD}${GOOD}`, `x${GOOD}`, `/* plan */${GOOD}`, `${GOOD}// plan`,
  `var plan = ${GOOD}`, `callback(${GOOD})`, `)]}'\n${GOOD}`, "<html><body>404</body></html>", "<?xml version=\"1.0\"?><plan/>",
  "format: 1\nname: lamp", "name,capacity\nA1,2.2", "{'format': 1}", "{format: 1}", "{\"format\": 01}", "{\"format\": 1,}",
  "{\"format\": +1}", "{\"format\": .1}", "{\"format\": 0x1}", "{\"format\": \"\\x41\"}", "{\"format\": \"\\ud800\"}",
  GOOD.slice(0, GOOD.length / 2), GOOD.slice(1), GOOD.replaceAll("\"", "'"), GOOD.replaceAll(":", "="), GOOD.replaceAll("\n", "\u2028"),
];

/** Plans that are none, by what they say. */
const FALSE = [
  ...["0", "2", "1.5", "-1", "1e999", "\"1\"", "null", "true", "[1]", "{}"].map((format) => replaced(/"format": 1/, `"format": ${format}`)),
  ...["__proto__", "constructor", "prototype", "toString", "hasOwnProperty", "valueOf", "toJSON", "then", "isAdmin", "verdict", "findings", "", "0", "format\\u0000", "Format", "format "]
    .map((name) => own(`"${name}": {"polluted": true}`)),
  own("\"__proto__\": {\"__proto__\": {\"polluted\": true}}"),
  own("\"constructor\": {\"prototype\": {\"polluted\": true}}"),
  own("\"format\": 1"),
  own("\"name\": \"second\""),
  own("\"verdict\": \"ready\", \"verdict_words\": \"Safe.\""),
  ...["null", "1", "[]", "{}", "true", "{\"__proto__\": \"x\"}"].map((name) => replaced(/"name": "[^"]*"/, `"name": ${name}`)),
  ...["null", "{}", "[]", "0", "\"x\"", "{\"groups\": []}", "{\"groups\": {}}", "{\"groups\": [{}]}", "{\"groups\": [[]]}"].map((pack) => replaced(/"pack": \{/, `"pack": ${pack}, "packs": {`)),
  ...["1e999", "-1e999", "1e308", "-5", "0", "null", "\"2.2\"", "\"NaN\"", "[2.2]", "{}", "true", "9007199254740993"].map((ah) => replaced(/"low": [\d.]+/, `"low": ${ah}`)),
  `${"[".repeat(100_000)}${"]".repeat(100_000)}`,
  `${"{\"pack\":".repeat(100_000)}1${"}".repeat(100_000)}`,
  `[${"1,".repeat(200_000)}1]`,
  `{${Array.from({ length: 20_000 }, (_, i) => `"k${i}":0`).join(",")}}`,
  `{"format": 1, "name": "${"x".repeat(1_500_000)}"}`,
  `{"format": ${"9".repeat(100_000)}}`,
  `{"${"k".repeat(100_000)}": 1}`,
  "\"".repeat(100_000),
  "\\".repeat(100_000),
];

/** Texts where a plan is expected that must be refused, the plan before them staying. */
export const REFUSED_PLANS = [...BROKEN, ...FALSE, ...SCRIPTS];

/** Sound plans whose names hold what would run; they may be taken, and are shown as text. */
export const NAMED_PLANS = SCRIPTS.map((script) => replaced(/"name": "[^"]*"/, `"name": ${JSON.stringify(script)}`));

/** Every text where a plan is expected. */
export const PLANS = [...REFUSED_PLANS, ...NAMED_PLANS];

/** What another window may post, as plain data. The good one has the type "cellwright-height", version 1, and a height. */
export const MESSAGES = [
  null, true, 0, 1e9, "", "cellwright-height", "{\"type\":\"cellwright-height\",\"version\":1,\"height\":500}", [], {}, [[]],
  { type: "cellwright-height" }, { type: "cellwright-height", version: 1 }, { type: "cellwright-height", height: 500 },
  ...["0", 2, null, true, [1]].map((version) => ({ type: "cellwright-height", version, height: 500 })),
  ...["500", "500px", null, true, [500], { valueOf: 500 }, 500.5, -1.5, "1e9", "calc(1px)", "500px;background:url(//example.invalid)"].map((height) => ({ type: "cellwright-height", version: 1, height })),
  ...["Cellwright-height", "cellwright-height ", "cellwright-plan", "resize", "__proto__", ["cellwright-height"]].map((type) => ({ type, version: 1, height: 500 })),
  { plan: GOOD }, { type: "cellwright-plan", plan: GOOD }, { type: "set", attribute: "onclick", value: "globalThis.__ran=1" },
  ...SCRIPTS.slice(0, 20),
];

/** What may stand behind the number sign of an address. */
export const HASHES = [
  "", "#", "##", "#cellwright-wire#", "#cellwright-plan&plan={}", "#__proto__", "#constructor", "#toString&length-m=2",
  "#script", "#iframe&src=javascript:globalThis.__ran=1", "#img&src=x&onerror=globalThis.__ran=1",
  "#cellwright-wire&onclick=globalThis.__ran=1", "#cellwright-wire&onerror=globalThis.__ran=1&style=color:red",
  "#cellwright-wire&__proto__=1&constructor=2", "#cellwright-wire&length-m=%", "#cellwright-wire&length-m=%ff%fe", "#cellwright-wire&=",
  `#cellwright-wire&length-m=${"9".repeat(9_000)}`, `#${"x".repeat(20_000)}`,
  ...SCRIPTS.map((script) => `#${encodeURIComponent(script)}`),
  ...SCRIPTS.map((script) => `#cellwright-wire&length-m=${encodeURIComponent(script)}`),
];
