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
    /// Stable code, the key of the three sentences in every language.
    pub code: &'static str,
    /// What it is called in a sentence; `{0}` stands for the number of the group.
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
    code: &'static str,
    words: &'static str,
    notice: &'static str,
    prevention: &'static str,
) -> FailingRow {
    FailingRow { part, way, code, words, notice, prevention }
}

/// Every part and way. Common practice, no source.
pub const FAILINGS: [FailingRow; 30] = [
    row(
        P::Cell,
        Open,
        "fails_cell_open",
        "a cell of group {0} opens",
        "Shorter runtime; without a neighbour in parallel the build is dead.",
        "One weld more on each end of the cell.",
    ),
    row(
        P::Cell,
        Shorted,
        "fails_cell_shorted",
        "a cell of group {0} shorts inside",
        "A hot spot in the pack, smell, a group that reads near 0 V.",
        "A fuse link for each cell, and cells that kept their voltage for weeks before they were built in.",
    ),
    row(
        P::Cell,
        MoreOhm,
        "fails_cell_more_ohm",
        "a cell of group {0} gains 50 mΩ",
        "Shorter runtime, one group lower than the others under load.",
        "Cells chosen by resistance; a yearly reading of each group under load.",
    ),
    row(
        P::Link,
        Open,
        "fails_link_open",
        "the joint before group {0} opens",
        "The build is dead.",
        "Two welds more on each joint.",
    ),
    row(
        P::Link,
        Shorted,
        "fails_link_shorted",
        "the joint before group {0} touches group {0}'s other end",
        "Sparks and a hot strip at once.",
        "An insulating ring under the positive end and tape over the shoulder.",
    ),
    row(
        P::Link,
        MoreOhm,
        "fails_link_more_ohm",
        "the joint before group {0} gains 50 mΩ",
        "A warm place on the pack, less voltage under load.",
        "Two welds more; a reading in mV over each joint.",
    ),
    row(
        P::Strip,
        Open,
        "fails_strip_open",
        "the strip over group {0} tears",
        "The build is dead, or it works when pressed.",
        "Strain relief: no lead pulls on a strip.",
    ),
    row(
        P::Strip,
        Shorted,
        "fails_strip_shorted",
        "the strip over group {0} shorts it",
        "Sparks, a glowing strip, smoke.",
        "Insulating rings and a layer of fish paper between strip and can.",
    ),
    row(
        P::Strip,
        MoreOhm,
        "fails_strip_more_ohm",
        "the strip over group {0} gains 50 mΩ",
        "A warm place on the pack, less voltage under load.",
        "Nickel, not plated steel; a second layer of strip.",
    ),
    row(
        P::Fuse,
        Open,
        "fails_fuse_open",
        "the fuse opens",
        "The build is dead.",
        "A spare fuse of the same rating in the box.",
    ),
    row(
        P::Fuse,
        Shorted,
        "fails_fuse_shorted",
        "the fuse is bridged",
        "Nothing, until there is a short.",
        "A spare fuse of the same rating in the box: wire is what gets put in when there is none.",
    ),
    row(
        P::Fuse,
        MoreOhm,
        "fails_fuse_more_ohm",
        "the fuse holder gains 50 mΩ",
        "A hot, browned holder.",
        "A holder with crimped, not pinched, ends; a drop of 20 mV is the time to change it.",
    ),
    row(
        P::Transistor,
        Open,
        "fails_transistor_open",
        "the transistor opens",
        "The load never runs.",
        "A gate resistor and a clamp at the gate.",
    ),
    row(
        P::Transistor,
        Shorted,
        "fails_transistor_shorted",
        "the transistor shorts",
        "Full speed, the knob does nothing.",
        "A flyback diode next to the load and a transistor with room in voltage.",
    ),
    row(
        P::Transistor,
        MoreOhm,
        "fails_transistor_more_ohm",
        "the transistor gains 50 mΩ",
        "It gets hotter; otherwise nothing.",
        "A sink or a thermal switch on its tab.",
    ),
    row(
        P::Diode,
        Open,
        "fails_diode_open",
        "the flyback diode opens",
        "Clicking in a radio, a hot transistor, later one that always conducts.",
        "A second diode in parallel, or a clamp over the transistor.",
    ),
    row(
        P::Diode,
        Shorted,
        "fails_diode_shorted",
        "the flyback diode shorts",
        "The board or the fuse opens as soon as the knob is turned up.",
        "A diode rated for the load's full current.",
    ),
    row(
        P::Diode,
        MoreOhm,
        "fails_diode_more_ohm",
        "the flyback diode gains 50 mΩ",
        "Nothing.",
        "A crimped, not pinched, end.",
    ),
    row(
        P::Knob,
        Open,
        "fails_knob_open",
        "the wiper of the knob lifts",
        "Full speed or none, whatever the knob says.",
        "A resistor from wiper to the slow end.",
    ),
    row(
        P::Knob,
        Shorted,
        "fails_knob_shorted",
        "the wiper of the knob shorts to its fast end",
        "Full speed.",
        "An end stop resistor in the charging half.",
    ),
    row(P::Knob, MoreOhm, "fails_knob_more_ohm", "the knob gains 50 mΩ", "Nothing.", "None is needed."),
    row(
        P::Board,
        Open,
        "fails_board_open",
        "the board opens",
        "The build is dead, the charger ends at once.",
        "A tap plug to read the groups without opening the pack.",
    ),
    row(
        P::Board,
        Shorted,
        "fails_board_shorted",
        "the board's transistors short: it never cuts again",
        "Nothing, until a group is overcharged or emptied to ruin.",
        "A charger that ends by itself and a load that stops at its own low voltage; a yearly test.",
    ),
    row(
        P::Board,
        MoreOhm,
        "fails_board_more_ohm",
        "the board's path gains 50 mΩ",
        "A warm board; it trips earlier.",
        "Thick solder and short leads on its pads.",
    ),
    row(P::Charger, Open, "fails_charger_open", "the charger dies", "It does not charge.", "None is needed."),
    row(
        P::Charger,
        Shorted,
        "fails_charger_shorted",
        "the charger's control fails: it gives more than it should",
        "A hot pack while charging.",
        "A board that ends charge for each group; charge where nothing burns and somebody is.",
    ),
    row(
        P::Charger,
        MoreOhm,
        "fails_charger_more_ohm",
        "the charger's plug gains 50 mΩ",
        "A warm plug; it charges a little longer.",
        "A plug rated for twice the current.",
    ),
    row(
        P::Connector,
        Open,
        "fails_connector_open",
        "the plug to the loads opens",
        "The load stops.",
        "A plug that locks.",
    ),
    row(
        P::Connector,
        Shorted,
        "fails_connector_shorted",
        "the plug to the loads shorts",
        "A spark; fuse or board opens.",
        "A fuse at the pack, and a socket, not pins, on the live side.",
    ),
    row(
        P::Connector,
        MoreOhm,
        "fails_connector_more_ohm",
        "the plug to the loads gains 50 mΩ",
        "A warm plug, less voltage under load.",
        "A plug rated for twice the current.",
    ),
];
