//! Findings about groups and the pack.

use super::{Rule, Urgency};
use crate::data::{CIRCUIT_LAW, COMMON_PRACTICE, Seen, Source};
use crate::quantity::order::sort_by;
use alloc::vec::Vec;

const CPSC: Source = Source {
    title: "US Consumer Product Safety Commission, consumer warning on loose 18650 lithium-ion cells",
    edition: "January 2021",
    place: "",
    seen: Seen::Reproduced,
};

/// Cells taken out of other packs.
pub const SALVAGED_CELLS: Rule = Rule {
    code: "salvaged_cells",
    urgency: Urgency::Know,
    unit: "",
    words: "These are single cells out of other packs. A consumer safety agency warns against using them: they have no \
            protection of their own, bare ends short on keys and coins, an unsuited charger can push them past their \
            limits, and then they burn. Measure every cell, protect every group, fit the fuse first.",
    source: CPSC,
};

/// The full pack is above what a load stands.
pub const WINDOW_HIGH: Rule = Rule {
    code: "window_high",
    urgency: Urgency::Stop,
    unit: "v",
    words: "The full pack gives {measured}, but {name} stands {limit} at most. Take fewer groups in series or another load.",
    source: CIRCUIT_LAW,
};

/// The pack falls below what a load needs before it is empty.
pub const WINDOW_LOW: Rule = Rule {
    code: "window_low",
    urgency: Urgency::MendFirst,
    unit: "v",
    words: "At the end of the run {name} gets {measured}, but needs {limit} to do its work. Expect it to weaken before the \
            pack is empty, or take more groups in series.",
    source: CIRCUIT_LAW,
};

/// A cell gives more than it may.
pub const CELL_CURRENT: Rule = Rule {
    code: "cell_current",
    urgency: Urgency::Stop,
    unit: "a",
    words: "Cell {name} gives up to {measured}; its limit is {limit}. Put more cells in parallel or take less load.",
    source: COMMON_PRACTICE,
};

/// Cells of one group at unequal voltage.
pub const JOIN_CURRENT: Rule = Rule {
    code: "join_current",
    urgency: Urgency::Stop,
    unit: "a",
    words: "Tying the cells of {name} now drives up to {measured} between them; {limit} is the most any of them may be \
            charged with. Bring them to the same voltage first.",
    source: CIRCUIT_LAW,
};

/// Groups at unequal voltage before they are put in series.
pub const GROUPS_UNEQUAL: Rule = Rule {
    code: "groups_unequal",
    urgency: Urgency::MendFirst,
    unit: "v",
    words: "The rest voltages of the cells lie {measured} apart; more than {limit} between groups in series means they are not \
            equally charged. Charge every group full by itself before they are joined.",
    source: COMMON_PRACTICE,
};

/// A cell whose resistance stands out of its pack.
pub const RESISTANCE_FAR: Rule = Rule {
    code: "cell_resistance_far",
    urgency: Urgency::MendFirst,
    unit: "ohm",
    words: "Cell {name} has {measured}, more than {limit}, twice what is usual in this pack. Clean its ends and measure it \
            again; if it stays like that it is worn out or of another kind: use another one.",
    source: COMMON_PRACTICE,
};

/// More than one chemistry.
pub const MIXED_CHEMISTRY: Rule = Rule {
    code: "mixed_chemistry",
    urgency: Urgency::Stop,
    unit: "",
    words: "Cells of different chemistry are in one pack: they are full and empty at different voltages. Keep to one.",
    source: COMMON_PRACTICE,
};

/// A salvaged lithium cell found too low.
pub const FOUND_TOO_LOW: Rule = Rule {
    code: "found_too_low",
    urgency: Urgency::Stop,
    unit: "v",
    words: "Cell {name} rests at {measured}, under {limit}. Give it up: copper may have dissolved, and charging it may short it \
            inside.",
    source: COMMON_PRACTICE,
};

/// Full voltage above the chemistry's limit.
pub const FULL_TOO_HIGH: Rule = Rule {
    code: "full_too_high",
    urgency: Urgency::Stop,
    unit: "v",
    words: "{name} is charged to {measured} a group; {limit} is the limit of its chemistry.",
    source: Source {
        title: "cell specifications, see the chemistry's limits",
        edition: "",
        place: "",
        seen: Seen::Original,
    },
};

/// Floor under the chemistry's limit.
pub const FLOOR_TOO_LOW: Rule = Rule {
    code: "floor_too_low",
    urgency: Urgency::Stop,
    unit: "v",
    words: "{name} is emptied to {measured} a group; {limit} is the lowest of its chemistry.",
    source: Source {
        title: "cell specifications, see the chemistry's limits",
        edition: "",
        place: "",
        seen: Seen::Original,
    },
};

/// Cells too cold or too hot while they work.
pub const USE_TEMPERATURE: Rule = Rule {
    code: "use_temperature",
    urgency: Urgency::MendFirst,
    unit: "degc",
    words: "Cell {name} works at {measured}; its limit is {limit}.",
    source: Source {
        title: "cell specifications, see the chemistry's limits",
        edition: "",
        place: "",
        seen: Seen::Original,
    },
};

/// The numbers stop holding before the run ends.
pub const BEYOND_MODEL: Rule = Rule {
    code: "beyond_model",
    urgency: Urgency::Know,
    unit: "s",
    words: "From {measured} on the cells work harder or colder than this model was proven for: later numbers are no promise.",
    source: Source {
        title: "comparison with simulated discharges of four published cells",
        edition: "",
        place: "",
        seen: Seen::Derived,
    },
};

/// The end of a run lies on a plateau.
pub const FLAT_END: Rule = Rule {
    code: "flat_end",
    urgency: Urgency::Know,
    unit: "s",
    words: "From {measured} on the voltage falls so slowly that the cell model's own error, 10 mV to 20 mV, decides when it ends: no more than that is promised. A lower cut-off, where the cells allow it, lies where the voltage falls fast.",
    source: Source {
        title: "comparison with simulated discharges of four published cells",
        edition: "",
        place: "voltage after a tenth and after half of the charge",
        seen: Seen::Derived,
    },
};

/// It runs shorter than wanted in the worst corner.
pub const RUNTIME_SHORT: Rule = Rule {
    code: "runtime_short",
    urgency: Urgency::Know,
    unit: "s",
    words: "In the worst corner of what you measured it runs {measured}; you want {limit}.",
    source: CIRCUIT_LAW,
};

/// What the runtime of unidentified cells spans.
pub const UNIDENTIFIED_RUNTIME: Rule = Rule {
    code: "unidentified_runtime",
    urgency: Urgency::Know,
    unit: "s",
    words: "Nobody knows what {name} are: the runtime spans every kind they may be, from {measured} to {limit}, and each rule \
            was held against the kind that breaks it furthest.",
    source: CIRCUIT_LAW,
};

/// Sodium-ion cells, of which no data sheet stands behind the figures.
pub const SODIUM_KIND: Rule = Rule {
    code: "sodium_kind",
    urgency: Urgency::Stop,
    unit: "v",
    words: "The figures for {name} are those of a laboratory sodium-ion cell of the 3.7 V kind, worked up to {limit}. The kind \
            printed 3.0 or 3.1 V takes less. Read the charge voltage in the maker's data sheet and enter the cells as a \
            chemistry of your own before anything charges them.",
    source: COMMON_PRACTICE,
};

/// What a cell holds and resists was taken for a start.
pub const CELLS_UNMEASURED: Rule = Rule {
    code: "cells_unmeasured",
    urgency: Urgency::Stop,
    unit: "",
    words: "Capacity or resistance of {name} were not measured.",
    source: COMMON_PRACTICE,
};

/// The draw of a load was not measured.
pub const LABEL_ONLY: Rule = Rule {
    code: "load_label_only",
    urgency: Urgency::Know,
    unit: "",
    words: "The draw of {name} is what its label says. Labels give a maximum or a round number: measure voltage and current at \
            the load, and enter what you find.",
    source: COMMON_PRACTICE,
};

/// The timer does not run from this pack.
pub const TIMER_RANGE: Rule = Rule {
    code: "timer_range",
    urgency: Urgency::Stop,
    unit: "v",
    words: "At {measured} the timer leaves the range its part or its law holds for: see what the timer says. No duty is \
            promised there.",
    source: Source {
        title: "the timer's data sheet, see the timer's answer",
        edition: "",
        place: "",
        seen: Seen::Original,
    },
};

/// How far above the middle cell of its pack a cell's resistance may lie. Common practice, no source.
const FAR_RATIO: f64 = 2.0;

/// Which of the cells, given by resistance and capacity, have more than twice the resistance of the middle one, and not
/// because they are smaller: place and resistance of each, and the limit. Two cells have no middle.
pub(crate) fn far_resistances(cells: &[(f64, f64)]) -> (Vec<(usize, f64)>, f64) {
    if cells.len() < 3 {
        return (Vec::new(), f64::INFINITY);
    }
    let middle = |of: fn(&(f64, f64)) -> f64| {
        let mut all: Vec<f64> = cells.iter().map(of).collect();
        sort_by(&mut all, f64::total_cmp);
        all.get((all.len() - 1) / 2).copied().unwrap_or(f64::INFINITY)
    };
    let (most_ohm, most_by_size) = (FAR_RATIO * middle(|cell| cell.0), FAR_RATIO * middle(|cell| cell.0 * cell.1));
    let far = cells.iter().enumerate().filter(|(_, (ohm, ah))| *ohm > most_ohm && ohm * ah > most_by_size);
    (far.map(|(i, (ohm, _))| (i, *ohm)).collect(), most_ohm)
}

/// Every rule of this table.
pub const RULES: [Rule; 20] = [
    RESISTANCE_FAR,
    CELLS_UNMEASURED,
    UNIDENTIFIED_RUNTIME,
    SODIUM_KIND,
    TIMER_RANGE,
    SALVAGED_CELLS,
    WINDOW_HIGH,
    WINDOW_LOW,
    CELL_CURRENT,
    JOIN_CURRENT,
    GROUPS_UNEQUAL,
    MIXED_CHEMISTRY,
    FOUND_TOO_LOW,
    FULL_TOO_HIGH,
    FLOOR_TOO_LOW,
    USE_TEMPERATURE,
    BEYOND_MODEL,
    FLAT_END,
    RUNTIME_SHORT,
    LABEL_ONLY,
];
