//! Hostile and broken inputs as JSON text, for every door alike.

/// One good input of the question `timer`, of which others are made by changing a part.
pub(crate) const GOOD: &str = r#"{"timer": {"part": "bipolar", "circuit": {"two_resistor": {"ra_ohm": 1e4, "rb_ohm": 4.7e4, "c_f": 1e-8}}}, "supply_v": 9}"#;

/// What replaces a number, a choice and an object.
const VALUES: [&str; 36] = [
    "null",
    "true",
    "false",
    "0",
    "-0.0",
    "-1",
    "1e308",
    "-1e308",
    "5e-324",
    "1e999",
    "-1e999",
    "9007199254740993",
    "123456789012345678901234567890",
    "\"\"",
    "\"9\"",
    "\"3,7\"",
    "\"4k7\"",
    "\"NaN\"",
    "\"Infinity\"",
    "\"=1+1\"",
    "\"<img src=x onerror=alert(1)>\"",
    "\"javascript:alert(1)\"",
    "\"\\u0000\"",
    "\"\\ud83d\\ude00\"",
    "\"\\u202e\"",
    "\"__proto__\"",
    "[]",
    "[[]]",
    "[null]",
    "[9]",
    "{}",
    "{\"\": 1}",
    "{\"__proto__\": 1}",
    "{\"__proto__\": {\"supply_v\": 9}}",
    "{\"constructor\": {\"prototype\": {}}}",
    "{\"low\": 1, \"likely\": 2, \"high\": 3}",
];

/// Names that are not fields, or are given once more.
const NAMES: [&str; 16] = [
    "supply",
    "Supply_v",
    "supply_v ",
    "supplyV",
    "__proto__",
    "constructor",
    "prototype",
    "toString",
    "hasOwnProperty",
    "valueOf",
    "toJSON",
    "then",
    "",
    "a/b~c",
    "supply_v\\u0000",
    "0",
];

/// Texts that are not JSON, or go beyond a limit.
const BROKEN: [&str; 24] = [
    "",
    " ",
    "{",
    "}",
    "[",
    "{]",
    "nul",
    "NaN",
    "Infinity",
    "undefined",
    "{}{}",
    "{},",
    "{\"supply_v\": 09}",
    "{\"supply_v\": 9,}",
    "{\"supply_v\": .9}",
    "{\"supply_v\": 9.}",
    "{\"supply_v\": 0x9}",
    "{\"supply_v\": 9 // volts\n}",
    "{'supply_v': 9}",
    "{supply_v: 9}",
    "{\"supply_v\" 9}",
    "\"\\ud800\"",
    "\"\\x\"",
    "\u{feff}{}",
];

/// Every broken input, all for the question `timer`.
pub(crate) fn corpus() -> Vec<String> {
    let mut all: Vec<String> = BROKEN.map(String::from).into();
    for value in VALUES {
        all.push(value.into());
        for part in ["9}", "\"bipolar\"", "1e-8", "{\"ra_ohm\": 1e4, \"rb_ohm\": 4.7e4, \"c_f\": 1e-8}"] {
            let end = if part.ends_with("9}") { "}" } else { "" };
            all.push(GOOD.replacen(part, &format!("{value}{end}"), 1));
        }
    }
    for name in NAMES {
        all.push(format!("{}, \"{name}\": 1}}", &GOOD[..GOOD.len() - 1]));
        all.push(GOOD.replacen("\"supply_v\"", &format!("\"{name}\""), 1));
        all.push(GOOD.replacen("\"ra_ohm\"", &format!("\"{name}\""), 1));
        all.push(GOOD.replacen("\"two_resistor\"", &format!("\"{name}\""), 1));
    }
    for name in ["supply_v", "timer", "ra_ohm", "part"] {
        all.push(GOOD.replacen(&format!("\"{name}\""), &format!("\"{name}\": 1, \"{name}\""), 1));
    }
    all.push(format!("{}1{}", "[".repeat(40), "]".repeat(40)));
    all.push(format!("{}1{}", "{\"timer\":".repeat(40), "}".repeat(40)));
    all.push("[".repeat(100_000));
    all.push(format!("[{}1]", "1,".repeat(100_000)));
    all.push(GOOD.replacen("bipolar", &"é".repeat(300_000), 1));
    all.push(GOOD.replacen("bipolar", &"x".repeat(1 << 20), 1));
    all.push(GOOD.replacen("supply_v", &"k".repeat(100_000), 1));
    all
}
