//! What one would notice, and which cheap part would have prevented it: a row for each part and way of failing.

/// A kind of part that can fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FailingPart {
    /// One cell.
    Cell,
    /// The joint before a group.
    Link,
    /// The strip over a group.
    Strip,
    /// The fuse with its holder.
    Fuse,
    /// The transistor.
    Transistor,
    /// The flyback diode.
    Diode,
    /// The knob.
    Knob,
    /// The protection board.
    Board,
    /// The charger.
    Charger,
    /// The plug to the loads.
    Connector,
}

/// How it fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FailingWay {
    /// It carries nothing.
    Open,
    /// It is a short circuit.
    Shorted,
    /// It has 50 mΩ more than before.
    MoreOhm,
}

/// One row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FailingRow {
    /// The part.
    pub part: FailingPart,
    /// How it fails.
    pub way: FailingWay,
    /// What it is called in a sentence.
    pub words: &'static str,
    /// What one would notice.
    pub notice: &'static str,
    /// Which cheap part or habit would have prevented it.
    pub prevention: &'static str,
}

use FailingPart as P;
use FailingWay::{MoreOhm, Open, Shorted};

const fn row(
    part: FailingPart,
    way: FailingWay,
    words: &'static str,
    notice: &'static str,
    prevention: &'static str,
) -> FailingRow {
    FailingRow { part, way, words, notice, prevention }
}

/// Every part and way. Common practice, no source.
pub const FAILINGS: [FailingRow; 30] = [
    row(
        P::Cell,
        Open,
        "a cell of the group opens",
        "Shorter runtime; without a neighbour in parallel the build is dead.",
        "One weld more on each end of the cell.",
    ),
    row(
        P::Cell,
        Shorted,
        "a cell of the group shorts inside",
        "A hot spot in the pack, smell, a group that reads near 0 V.",
        "A fuse link for each cell, and cells that kept their voltage for weeks before they were built in.",
    ),
    row(
        P::Cell,
        MoreOhm,
        "a cell of the group gains 50 mΩ",
        "Shorter runtime, one group lower than the others under load.",
        "Cells chosen by resistance; a yearly reading of each group under load.",
    ),
    row(P::Link, Open, "the joint before the group opens", "The build is dead.", "Two welds more on each joint."),
    row(
        P::Link,
        Shorted,
        "the joint before the group touches the group's other end",
        "Sparks and a hot strip at once.",
        "An insulating ring under the positive end and tape over the shoulder.",
    ),
    row(
        P::Link,
        MoreOhm,
        "the joint before the group gains 50 mΩ",
        "A warm place on the pack, less voltage under load.",
        "Two welds more; a reading in mV over each joint.",
    ),
    row(
        P::Strip,
        Open,
        "the strip over the group tears",
        "The build is dead, or it works when pressed.",
        "Strain relief: no lead pulls on a strip.",
    ),
    row(
        P::Strip,
        Shorted,
        "the strip over the group shorts it",
        "Sparks, a glowing strip, smoke.",
        "Insulating rings and a layer of fish paper between strip and can.",
    ),
    row(
        P::Strip,
        MoreOhm,
        "the strip over the group gains 50 mΩ",
        "A warm place on the pack, less voltage under load.",
        "Nickel, not plated steel; a second layer of strip.",
    ),
    row(P::Fuse, Open, "the fuse opens", "The build is dead.", "A spare fuse of the same rating in the box."),
    row(
        P::Fuse,
        Shorted,
        "the fuse is bridged",
        "Nothing, until there is a short.",
        "A spare fuse of the same rating in the box: wire is what gets put in when there is none.",
    ),
    row(
        P::Fuse,
        MoreOhm,
        "the fuse holder gains 50 mΩ",
        "A hot, browned holder.",
        "A holder with crimped, not pinched, ends; a drop of 20 mV is the time to change it.",
    ),
    row(
        P::Transistor,
        Open,
        "the transistor opens",
        "The load never runs.",
        "A gate resistor and a clamp at the gate.",
    ),
    row(
        P::Transistor,
        Shorted,
        "the transistor shorts",
        "Full speed, the knob does nothing.",
        "A flyback diode next to the load and a transistor with room in voltage.",
    ),
    row(
        P::Transistor,
        MoreOhm,
        "the transistor gains 50 mΩ",
        "It gets hotter; otherwise nothing.",
        "A sink or a thermal switch on its tab.",
    ),
    row(
        P::Diode,
        Open,
        "the flyback diode opens",
        "Clicking in a radio, a hot transistor, later one that always conducts.",
        "A second diode in parallel, or a clamp over the transistor.",
    ),
    row(
        P::Diode,
        Shorted,
        "the flyback diode shorts",
        "The board or the fuse opens as soon as the knob is turned up.",
        "A diode rated for the load's full current.",
    ),
    row(P::Diode, MoreOhm, "the flyback diode gains 50 mΩ", "Nothing.", "A crimped, not pinched, end."),
    row(
        P::Knob,
        Open,
        "the wiper of the knob lifts",
        "Full speed or none, whatever the knob says.",
        "A resistor from wiper to the slow end.",
    ),
    row(
        P::Knob,
        Shorted,
        "the wiper of the knob shorts to its fast end",
        "Full speed.",
        "An end stop resistor in the charging half.",
    ),
    row(P::Knob, MoreOhm, "the knob gains 50 mΩ", "Nothing.", "None is needed."),
    row(
        P::Board,
        Open,
        "the board opens",
        "The build is dead, the charger ends at once.",
        "A tap plug to read the groups without opening the pack.",
    ),
    row(
        P::Board,
        Shorted,
        "the board's transistors short: it never cuts again",
        "Nothing, until a group is overcharged or emptied to ruin.",
        "A charger that ends by itself and a load that stops at its own low voltage; a yearly test.",
    ),
    row(
        P::Board,
        MoreOhm,
        "the board's path gains 50 mΩ",
        "A warm board; it trips earlier.",
        "Thick solder and short leads on its pads.",
    ),
    row(P::Charger, Open, "the charger dies", "It does not charge.", "None is needed."),
    row(
        P::Charger,
        Shorted,
        "the charger's control fails: it gives more than it should",
        "A hot pack while charging.",
        "A board that ends charge for each group; charge where nothing burns and somebody is.",
    ),
    row(
        P::Charger,
        MoreOhm,
        "the charger's plug gains 50 mΩ",
        "A warm plug; it charges a little longer.",
        "A plug rated for twice the current.",
    ),
    row(P::Connector, Open, "the plug to the loads opens", "The load stops.", "A plug that locks."),
    row(
        P::Connector,
        Shorted,
        "the plug to the loads shorts",
        "A spark; fuse or board opens.",
        "A fuse at the pack, and a socket, not pins, on the live side.",
    ),
    row(
        P::Connector,
        MoreOhm,
        "the plug to the loads gains 50 mΩ",
        "A warm plug, less voltage under load.",
        "A plug rated for twice the current.",
    ),
];
