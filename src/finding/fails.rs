//! Findings about one part that fails and that nothing stops.

use super::{Rule, Urgency};
use crate::data::{COMMON_PRACTICE, DERIVED};

/// One failed part heats something beyond its limit, and neither fuse nor board opens.
pub const FAILS_HOT: Rule = Rule {
    code: "one_fails_hot",
    urgency: Urgency::Stop,
    unit: "degc",
    words: "{name}: something gets {measured} hot where {limit} is the limit, and neither fuse nor board opens in time.",
    source: DERIVED,
};

/// One failed part overheats only itself.
pub const FAILS_SELF: Rule = Rule {
    code: "one_fails_self",
    urgency: Urgency::MendFirst,
    unit: "degc",
    words: "{name}: the part itself gets {measured} hot where {limit} is its limit, and nothing opens. Keep it where its \
            heat burns nothing.",
    source: DERIVED,
};

/// A failed charger is stopped by nothing.
pub const FAILS_CHARGE: Rule = Rule {
    code: "one_fails_charge",
    urgency: Urgency::Stop,
    unit: "",
    words: "{name}: nothing ends the charge. Only a board that ends it for each group stops this.",
    source: COMMON_PRACTICE,
};

/// Cells short through one another or through a strip, where no fuse sees the current.
pub const FAILS_INSIDE: Rule = Rule {
    code: "one_fails_inside",
    urgency: Urgency::MendFirst,
    unit: "a",
    words: "{name}: {measured} flows inside the pack, where neither fuse nor board sees it. Insulating rings, a \
            fuse link for each cell and a bin that does not burn are what helps.",
    source: COMMON_PRACTICE,
};

/// A strip shorts a group, where no fuse sees the current.
pub const FAILS_STRIP: Rule = Rule {
    code: "one_fails_strip",
    urgency: Urgency::Know,
    unit: "a",
    words: "{name}: {measured} flows inside the pack, where neither fuse nor board sees it. Insulating rings and paper \
            between strip and can are what helps.",
    source: COMMON_PRACTICE,
};

/// A guard fails and nobody notices.
pub const FAILS_SILENT: Rule = Rule {
    code: "one_fails_silent",
    urgency: Urgency::Know,
    unit: "",
    words: "{name}: nobody notices until it is needed. Test it once a year: the fuse by its print, the board by emptying the \
            pack to its cut-off.",
    source: COMMON_PRACTICE,
};

/// It cannot be told without a value of the plan.
pub const FAILS_UNKNOWN: Rule = Rule {
    code: "one_fails_unknown",
    urgency: Urgency::MendFirst,
    unit: "",
    words: "{name}: it cannot be told what this does.",
    source: DERIVED,
};

/// Every rule of this topic.
pub const RULES: [Rule; 7] =
    [FAILS_HOT, FAILS_SELF, FAILS_CHARGE, FAILS_INSIDE, FAILS_STRIP, FAILS_SILENT, FAILS_UNKNOWN];
