//! The rules about found cells. Broken: a stop rule hands the cell in, a mend-first rule measures again, a know rule is
//! told.

use crate::data::COMMON_PRACTICE;
use crate::data::charger::{LEAD_ACID, LI_ION_PRE_CHARGE, LI_ION_UPPER_SOURCE};
use crate::data::chemistry::{LFP_LIMITS, LI_ION_SHEET};
use crate::data::screening::{FLAT_SOURCE, FROM_MEMORY, SORTING_STANDARD, SULPHATION};
use crate::data::transport::DISPOSAL;
use crate::finding::{Rule, Urgency, rule};

use Urgency::{Know, MendFirst, Stop};

/// Rests under the give-up voltage.
pub const GIVEN_UP: Rule = rule(
    "screen_given_up",
    Stop,
    "v",
    COMMON_PRACTICE,
    "{name} rests at {measured}, under {limit}. Copper may have dissolved and grown back as a bridge inside. Do not bring \
     it back up, at no current: hand it in.",
);

/// Nobody knows what it is, and as a lithium cell it would be given up.
pub const GIVEN_UP_UNIDENTIFIED: Rule = rule(
    "screen_given_up_unidentified",
    Stop,
    "v",
    COMMON_PRACTICE,
    "{name} rests at {measured} and nobody knows what it is. If it is a lithium cell it is spoilt under {limit}, so it \
     counts as one. Hand it in, unless its own print says nickel-metal hydride or lead.",
);

/// A lead-acid cell that rests under the give-up voltage.
pub const LEAD_GIVEN_UP: Rule = rule(
    "screen_lead_given_up",
    Stop,
    "v",
    SULPHATION,
    "{name} rests at {measured} a cell, under {limit}: a cell is shorted or was driven backwards, or it stood empty for \
     long. Charging a block with a dead cell overcharges the others, which boils off acid and hydrogen and can run away. \
     No charger and no pulses bring it back for sure: hand it in and replace it.",
);

/// Rests above what its kind may be charged to.
pub const ABOVE_FULL: Rule = rule(
    "screen_above_full",
    Stop,
    "v",
    LI_ION_UPPER_SOURCE,
    "{name} rests at {measured}, above the {limit} that its kind may ever reach: it was overcharged, or it is not of that \
     kind. Keep it away from anything that burns and hand it in.",
);

/// The same for a lithium iron phosphate cell.
pub const ABOVE_FULL_PHOSPHATE: Rule = Rule { source: LFP_LIMITS.voltage_source, ..ABOVE_FULL };

/// Dented, cut, crushed, bulging, drilled or burnt.
pub const DAMAGED: Rule = rule(
    "screen_damaged",
    Stop,
    "",
    DISPOSAL,
    "{name} is dented, cut, crushed, bulging or burnt: it may short inside at any time. Hand it in. If it is hot, hisses \
     or bulges now: onto something that does not burn, outdoors, away from everything, and call the fire service.",
);

/// Wet, crusted or leaking.
pub const LEAKED: Rule = rule(
    "screen_leaked",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name} has leaked: its seal is gone. Do not touch what came out, use gloves, and hand it in.",
);

/// Rust that has eaten into the can, the seam or the vent.
pub const RUST_PITTED: Rule = rule(
    "screen_rust_pitted",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name} is rusted into the metal or at the vent: the can may be through, the vent may not open. Hand it in.",
);

/// Smells of solvent.
pub const SMELLS: Rule = rule(
    "screen_smells",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name} smells sweet or of solvent: it has vented. Air the room, do not breathe it in, and hand the cell in.",
);

/// Got hot on charging.
pub const HOT: Rule = rule(
    "screen_hot_on_charging",
    Stop,
    "",
    LI_ION_SHEET,
    "{name} got too hot to hold, or above 45 °C, while it was charged: part of the charge burns away inside. Hand it in.",
);

/// A gentle charge did not lift it.
pub const PRE_CHARGE_FAILED: Rule = rule(
    "screen_pre_charge_failed",
    Stop,
    "",
    LI_ION_PRE_CHARGE.source,
    "{name} did not come above the voltage at which full charging may start within 30 minutes at a tenth of its \
     capacity. Hand it in.",
);

/// Too little capacity left.
pub const CAPACITY_LOW: Rule = rule(
    "screen_capacity_low",
    Stop,
    "ratio",
    COMMON_PRACTICE,
    "{name} holds {measured} of its printed capacity at most, less than {limit}: it is worn out and fails sooner than the \
     others. Hand it in.",
);

/// The resistance has risen too far.
pub const RESISTANCE_HIGH: Rule = rule(
    "screen_resistance_high",
    Stop,
    "ratio",
    COMMON_PRACTICE,
    "The resistance of {name} is at least {measured} of that of a new one, more than {limit}: it heats up under load. Hand \
     it in.",
);

/// It loses its charge by itself.
pub const SELF_DISCHARGE_HIGH: Rule = rule(
    "screen_self_discharge_high",
    Stop,
    "ratio",
    COMMON_PRACTICE,
    "{name} loses at least {measured} a month by itself, more than {limit}: something conducts inside. Hand it in.",
);

/// Past the maker's calendar date.
pub const PAST_DATE: Rule = rule(
    "screen_past_date",
    Stop,
    "s",
    SORTING_STANDARD,
    "{name} is past the calendar life its maker states. Trained sorters exclude such cells; so should you. Hand it in.",
);

/// Out of something that was crashed, drowned, burnt or recalled.
pub const HARMED: Rule = rule(
    "screen_harmed_before",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name} comes out of something that was crashed, drowned, in a fire or called back by its maker: harm inside cannot be \
     measured from outside. Hand it in.",
);

/// Nobody knows what it is.
pub const UNIDENTIFIED: Rule = rule(
    "screen_unidentified",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "Nobody knows what {name} is. It gets no charging figure, and is not charged, until it is identified by the steps \
     below; if they settle nothing, hand it in.",
);

/// Reads negative.
pub const REVERSED: Rule = rule(
    "screen_reversed",
    MendFirst,
    "v",
    COMMON_PRACTICE,
    "{name} reads {measured}: the leads of the meter are the wrong way round, or the cell was driven backwards. Read it \
     again; if it stays negative, hand it in.",
);

/// Rests higher than its kind can.
pub const NOT_SUCH_CELL: Rule = rule(
    "screen_not_such_cell",
    MendFirst,
    "v",
    FROM_MEMORY,
    "{name} rests at {measured}, but cells of the kind entered stay under {limit}: it is of another kind. Read the print \
     again and do not charge it.",
);

/// Rust on the surface.
pub const RUST_STAIN: Rule = rule(
    "screen_rust_stain",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "{name} has rust on its surface: wipe it off dry and look at metal, seam and vent again. What does not wipe off has \
     eaten in.",
);

/// The wrapper does not insulate.
pub const WRAPPER: Rule = rule(
    "screen_wrapper",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "The wrapper or the top ring of {name} is torn or gone: the whole can is its negative end and shorts on anything. Look \
     at the bare can, then give it a new ring and wrapper, then enter it as whole.",
);

/// Got warm on charging.
pub const WARM: Rule = rule(
    "screen_warm_on_charging",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "{name} got warmer than the cells beside it while it was charged: charge it again by itself, at a fifth of its capacity \
     or less, on something that does not burn, and stay with it. Warm again means hand it in.",
);

/// The capacity lies on both sides of the limit.
pub const CAPACITY_UNSURE: Rule = rule(
    "screen_capacity_unsure",
    MendFirst,
    "ratio",
    COMMON_PRACTICE,
    "{name} may hold as little as {measured} of its printed capacity; {limit} is needed. Measure it again with a closer test.",
);

/// More capacity than the print.
pub const CAPACITY_ABOVE_PRINT: Rule = rule(
    "screen_capacity_above_print",
    MendFirst,
    "ratio",
    COMMON_PRACTICE,
    "{name} was measured at {measured} of its printed capacity: no used cell holds more than {limit} of it. The test is \
     wrong, or the print is.",
);

/// More capacity than any known cell of the size.
pub const CAPACITY_ABOVE_KNOWN: Rule = rule(
    "screen_capacity_above_known",
    MendFirst,
    "ah",
    crate::data::size::SHEETS,
    "{name} was measured at {measured}, but no known cell of its size holds more than {limit}: measure it again.",
);

/// The resistance lies on both sides of the limit.
pub const RESISTANCE_UNSURE: Rule = rule(
    "screen_resistance_unsure",
    MendFirst,
    "ratio",
    COMMON_PRACTICE,
    "The resistance of {name} may be as much as {measured} of that of a new one; {limit} is the most. Measure it again with \
     four leads and the same method as the figure for the new cell.",
);

/// The self-discharge lies on both sides of the limit.
pub const SELF_DISCHARGE_UNSURE: Rule = rule(
    "screen_self_discharge_unsure",
    MendFirst,
    "ratio",
    COMMON_PRACTICE,
    "{name} may lose as much as {measured} a month by itself; {limit} is the most. Let it rest longer and measure again.",
);

/// The age lies on both sides of the maker's date.
pub const AGE_UNSURE: Rule = rule(
    "screen_age_unsure",
    MendFirst,
    "s",
    SORTING_STANDARD,
    "{name} may be past the calendar life its maker states. Find the date in its print before it is used.",
);

/// What the voltage as found is worth.
pub const REST_PROVES_NOTHING: Rule = rule(
    "screen_rest_proves_nothing",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name} rests at {measured}. Above {limit} a cell usually still holds charge, but that says nothing about how much it \
     can hold: its capacity still has to be measured.",
);

/// Found low, but not given up.
pub const FOUND_LOW: Rule = rule(
    "screen_found_low",
    Know,
    "v",
    LI_ION_PRE_CHARGE.source,
    "{name} rests at {measured}, under {limit}: charge it at a tenth of its capacity at most until it is above, and give it \
     up if that takes more than 30 minutes.",
);

/// A lead-acid cell emptied further than empty, and not yet measured after that.
pub const LEAD_TOO_EMPTY: Rule = rule(
    "screen_lead_too_empty",
    MendFirst,
    "v",
    SULPHATION,
    "{name} rests at {measured} a cell; an empty sound one rests at {limit}. It is sulphated, or a cell of its block is \
     shorted. Charge it once by the method of its kind, at a tenth of its capacity at most, outdoors, and stay with it: \
     stop where it gets warm or does not come above 2.1 V a cell. Then measure capacity and self-discharge; that it comes \
     back is doubtful.",
);

/// The same where capacity and self-discharge were measured.
pub const LEAD_WAS_TOO_EMPTY: Rule = rule(
    "screen_lead_was_too_empty",
    Know,
    "v",
    SULPHATION,
    "{name} was found at {measured} a cell; an empty sound one rests at {limit}. Sulphate that has hardened does not come \
     back: what was measured after charging is what it has left, and it will fall further. Measure it again in a month.",
);

/// A lead-acid cell that stood part empty.
pub const LEAD_STOOD_LOW: Rule = rule(
    "screen_lead_stood_low",
    Know,
    "v",
    SULPHATION,
    "{name} rests at {measured} a cell, under {limit}: it stood part empty, and its sulphate hardens there. Charge it by \
     the method of its kind now, whatever it is kept for; its capacity then tells what is left.",
);

/// A nickel cell with no voltage, and not yet measured after charging.
pub const NICKEL_DEAD: Rule = rule(
    "screen_nickel_dead",
    MendFirst,
    "v",
    COMMON_PRACTICE,
    "{name} rests at {measured}, under {limit}: it was driven backwards in its pack, or conducts inside. Charge it by \
     itself at a tenth of its capacity and stay with it: one that is not above 1.2 V after half an hour, or gets warm, is \
     handed in. Then measure capacity and self-discharge.",
);

/// The same where capacity and self-discharge were measured.
pub const NICKEL_WAS_DEAD: Rule = rule(
    "screen_nickel_was_dead",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name} was found at {measured}, under {limit}: what conducted inside may grow again. Measure its self-discharge again \
     in a month, and charge it with no others until then.",
);

/// A nickel cell found flat.
pub const FOUND_FLAT: Rule = rule(
    "screen_found_flat",
    Know,
    "v",
    FLAT_SOURCE,
    "{name} rests at {measured}, under {limit}: it is flat. Charge it once by the method of its kind, then its capacity \
     tells what is left.",
);

/// Fit for light loads only, by its capacity.
pub const CAPACITY_TIRED: Rule = rule(
    "screen_capacity_tired",
    Know,
    "ratio",
    COMMON_PRACTICE,
    "{name} may be down to {measured} of its printed capacity, under {limit}: for light loads only, in a group of its like.",
);

/// Fit for light loads only, by its resistance.
pub const RESISTANCE_RISEN: Rule = rule(
    "screen_resistance_risen",
    Know,
    "ratio",
    COMMON_PRACTICE,
    "The resistance of {name} may be {measured} of that of a new one, more than {limit}: for light loads only.",
);

/// Old.
pub const OLD: Rule = rule(
    "screen_old",
    Know,
    "s",
    COMMON_PRACTICE,
    "{name} may be more than ten years old: measure its self-discharge again every half year.",
);

/// Out of a pack that had failed.
pub const FAILED_PACK: Rule = rule(
    "screen_failed_pack",
    Know,
    "",
    COMMON_PRACTICE,
    "{name} comes out of a pack that had failed: often one group is bad and the others are fair, but they may have been \
     emptied too far. Trust the month of rest more than the day of testing.",
);

/// Nobody knows where it comes from.
pub const ORIGIN_UNKNOWN: Rule = rule(
    "screen_origin_unknown",
    Know,
    "",
    COMMON_PRACTICE,
    "Nobody knows where {name} comes from or what it went through: only its own measurements speak for it.",
);

/// The limit of self-discharge of a lead-acid cell rests on its data sheet.
pub const LEAD_SELF_DISCHARGE_HIGH: Rule = Rule { source: LEAD_ACID.source, ..SELF_DISCHARGE_HIGH };

/// The limit of self-discharge of a nickel-metal hydride cell is from memory.
pub const NICKEL_SELF_DISCHARGE_HIGH: Rule = Rule { source: FROM_MEMORY, ..SELF_DISCHARGE_HIGH };

/// Every rule of this table.
pub const RULES: &[Rule] = &[
    GIVEN_UP,
    GIVEN_UP_UNIDENTIFIED,
    LEAD_GIVEN_UP,
    ABOVE_FULL,
    DAMAGED,
    LEAKED,
    RUST_PITTED,
    SMELLS,
    HOT,
    PRE_CHARGE_FAILED,
    CAPACITY_LOW,
    RESISTANCE_HIGH,
    SELF_DISCHARGE_HIGH,
    PAST_DATE,
    HARMED,
    UNIDENTIFIED,
    REVERSED,
    NOT_SUCH_CELL,
    RUST_STAIN,
    WRAPPER,
    WARM,
    CAPACITY_UNSURE,
    CAPACITY_ABOVE_PRINT,
    CAPACITY_ABOVE_KNOWN,
    RESISTANCE_UNSURE,
    SELF_DISCHARGE_UNSURE,
    AGE_UNSURE,
    REST_PROVES_NOTHING,
    FOUND_LOW,
    LEAD_TOO_EMPTY,
    LEAD_WAS_TOO_EMPTY,
    LEAD_STOOD_LOW,
    NICKEL_DEAD,
    NICKEL_WAS_DEAD,
    FOUND_FLAT,
    CAPACITY_TIRED,
    RESISTANCE_RISEN,
    OLD,
    FAILED_PACK,
    ORIGIN_UNKNOWN,
];
