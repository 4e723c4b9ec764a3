//! The rules about charging.

use crate::data::COMMON_PRACTICE;
use crate::data::charger::{BAND_MAKER, LEAD_ACID, LI_ION_PRE_CHARGE, LI_ION_UPPER_SOURCE, NICKEL};
use crate::data::chemistry::LI_ION_SHEET;
use crate::data::protection::DW01A;
use crate::data::transport::{CHARGING_PLACE, HYDROGEN};
use crate::finding::{Rule, Urgency, rule};

use Urgency::{Know, MendFirst, Stop};

/// Nobody knows what the cells are.
pub const UNIDENTIFIED: Rule = rule(
    "charge_unidentified",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: nobody knows what these cells are, so there is no charging figure. Too high a voltage sets lithium cells on \
     fire. Find the print on the cell, or hand it in for recycling.",
);

/// A lithium cell found too low.
pub const GIVEN_UP: Rule = rule(
    "charge_given_up",
    Stop,
    "v",
    COMMON_PRACTICE,
    "{name}: a cell was found at {measured}, under {limit}. Its copper may have dissolved and grown back as a bridge; \
     charging can short it inside, at once or weeks later. Do not charge it back up: tape its ends and recycle it.",
);

/// A lithium cell found low, but not given up.
pub const FOUND_LOW: Rule = rule(
    "charge_found_low",
    Know,
    "v",
    LI_ION_PRE_CHARGE.source,
    "{name}: a cell was found at {measured}, under {limit}. The charger must hold back to a tenth of its current until \
     the cell is above that; a cell not above it within 30 minutes is rejected.",
);

/// Charging below freezing.
pub const COLD: Rule = rule(
    "charge_cold",
    Stop,
    "degc",
    LI_ION_SHEET,
    "{name} may be charged at {measured}, below {limit}. Metallic lithium grows in cells that are charged in the cold, \
     for good and unseen. Bring it indoors and wait until it is warm right through.",
);

/// Charging cells of other families in the cold.
pub const COLD_OTHER: Rule = rule(
    "charge_cold_other",
    Stop,
    "degc",
    NICKEL.source,
    "{name} may be charged at {measured}, below {limit}. In the cold the cells do not take back the gas they make, and \
     vent it. Bring them indoors first.",
);

/// Charging hot.
pub const HOT: Rule = rule(
    "charge_hot",
    Stop,
    "degc",
    LI_ION_SHEET,
    "{name} may be charged at {measured}, above {limit}. Let it cool first; keep it out of the sun and the closed car.",
);

/// The print asks for more than 4.20 V.
pub const PRINT_ASKS_MORE: Rule = rule(
    "charge_print_asks_more",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name}: the cells are printed {measured}, but are charged to {limit} here. Only a charger made for the higher \
     voltage may go there, and a used cell lasts longer below it.",
);

/// More current than the weakest group stands.
pub const CURRENT_HIGH: Rule = rule(
    "charge_current_high",
    MendFirst,
    "a",
    BAND_MAKER,
    "{name} is charged with {measured}, more than the {limit} its weakest group stands at the coldest it may be. Use a \
     charger with less current.",
);

/// Much more current than the weakest group stands.
pub const CURRENT_FAR: Rule = rule(
    "charge_current_far",
    Stop,
    "a",
    COMMON_PRACTICE,
    "{name} is charged with {measured}, more than twice the {limit} its weakest group stands at the coldest it may be. \
     Do not connect this charger.",
);

/// More current than the jack is rated for.
pub const JACK: Rule = rule(
    "charge_jack",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: the charger gives {measured}, the jack is rated {limit}. It gets hot and loose. Use a jack with a higher \
     rating.",
);

/// More current than the wire stands.
pub const WIRE: Rule = rule(
    "charge_wire",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: the charger gives {measured}, the thinnest charge wire stands {limit}. Use thicker wire.",
);

/// Several groups in series and nothing cuts off a high one.
pub const NO_GROUP_CUT_OFF: Rule = rule(
    "charge_no_group_cut_off",
    Stop,
    "v",
    LI_ION_UPPER_SOURCE,
    "{name} has groups in series, two charge wires and nothing that looks at each group. The charger sees only the sum: \
     with the others at their nominal voltage one group can be driven to {measured}, and {limit} is the most it stands. \
     Build in a board that cuts charging at each group, and wire the jack to it.",
);

/// One group, and only the charger ends the charge.
pub const ONLY_CHARGER_ENDS: Rule = rule(
    "charge_only_charger_ends",
    MendFirst,
    "",
    COMMON_PRACTICE,
    "{name}: only the charger ends the charge. A protection board for one group adds the second thing that must fail \
     before the cells are overcharged.",
);

/// Cut-off at each group, but nothing evens them out.
pub const NO_BALANCING: Rule = rule(
    "charge_no_balancing",
    MendFirst,
    "ratio",
    COMMON_PRACTICE,
    "{name}: each group is cut off, but nothing evens the groups out. By the time you look again one may be {measured} \
     of the capacity away from the others, and the pack loses as much: the high group ends every charge, the low one \
     every discharge. Measure every group then, and even them out, or use a board that balances.",
);

/// Cut-off and balancing over two wires.
pub const TWO_WIRES_WATCHED: Rule = rule(
    "charge_two_wires_watched",
    Know,
    "",
    COMMON_PRACTICE,
    "{name} is charged over two wires and its board cuts off and evens out each group. The board is the only thing that \
     sees a high group: measure all groups now and then.",
);

/// The cut-off lies too high for these cells.
pub const CUT_OFF_HIGH: Rule = rule(
    "charge_cut_off_high",
    Stop,
    "v",
    DW01A.source,
    "{name}: the board may let a group rise to {measured} before it cuts, these cells stand {limit} at the very most. It \
     is a board for another kind of cell.",
);

/// The cut-off lies below the charge voltage.
pub const CUT_OFF_LOW: Rule = rule(
    "charge_cut_off_low",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name}: the board may cut a group at {measured}, before it is full at {limit}. Charging stops early and the charger \
     never shows the end.",
);

/// The jack goes straight to the cells.
pub const STRAIGHT_TO_CELLS: Rule = rule(
    "charge_straight_to_cells",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: the charge jack is wired straight to the cells, so the board cannot cut the charge. Wire it to the board's \
     charge terminals (often marked C- and P+), never to the cells.",
);

/// A supply that is no charger.
pub const NO_CHARGER: Rule = rule(
    "charge_supply_is_no_charger",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: this supply only holds a voltage. It does not limit the current to what the cells stand, and it never ends. \
     A supply is not a charger, even at the right voltage: put a charging circuit behind it, or use a charger.",
);

/// A charger without a voltage limit on cells that need one.
pub const NO_VOLTAGE_LIMIT: Rule = rule(
    "charge_no_voltage_limit",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: this charger holds a current and knows no voltage at which to stop. It drives these cells past their limit. \
     Use one made for them.",
);

/// Nobody knows what the charger does.
pub const CHARGER_UNKNOWN: Rule = rule(
    "charge_charger_unknown",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: nobody knows whether this charger limits its current and ends by itself. Its label must say charger, the \
     voltage and the kind of cell; otherwise do not connect it.",
);

/// The charger's voltage is too high.
pub const VOLTAGE_HIGH: Rule = rule(
    "charge_voltage_high",
    Stop,
    "v",
    LI_ION_UPPER_SOURCE,
    "{name}: the charger may reach {measured}, the pack stands {limit}. Do not connect it, and do not count on the board: \
     it is there for the day the charger fails.",
);

/// The charger's voltage is too low to fill the pack.
pub const VOLTAGE_LOW: Rule = rule(
    "charge_voltage_low",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name}: the charger reaches {measured} only, {limit} would fill the pack. It does no harm, but part of the capacity \
     stays empty.",
);

/// Another supply fits the jack.
pub const OTHER_SUPPLY: Rule = rule(
    "charge_other_supply_fits",
    Stop,
    "v",
    COMMON_PRACTICE,
    "{name} gives {measured} and its plug fits the charge jack; the pack stands {limit}. One day somebody takes the wrong \
     one. Use a jack that no other supply in the house fits, and tag it.",
);

/// Polarity not checked.
pub const POLARITY: Rule = rule(
    "charge_polarity_unchecked",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: plug and jack are not checked for polarity. The same plug exists both ways round. Measure both with a meter \
     before they meet for the first time.",
);

/// A bare live pin.
pub const LIVE_PIN: Rule = rule(
    "charge_live_bare_pin",
    Stop,
    "",
    COMMON_PRACTICE,
    "{name}: a bare pin is live while nothing is plugged in; a key or a coin shorts the pack. The live side is always the \
     one with the covered contacts, or the board must block it.",
);

/// A diode in the charge path.
pub const DIODE: Rule = rule(
    "charge_diode",
    Know,
    "v",
    COMMON_PRACTICE,
    "{name}: the diode in the charge path takes up to {measured}, so the pack ends that much below {limit} and stays \
     short of full. Never raise the charger to make up for it: at the end no current flows and the diode takes nothing.",
);

/// A load runs while charging.
pub const LOAD_RUNNING: Rule = rule(
    "charge_load_running",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: loads draw up to {measured} while charging, and the charger ends at {limit}. It never sees the end and holds \
     the cells at full voltage for as long as it is plugged in. Let the switch cut the loads while charging.",
);

/// A charger that ends at so little that worn cells may never get there.
pub const END_LOW: Rule = rule(
    "charge_end_low",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: the charger ends at {measured}, less than {limit}, a hundredth of the capacity. What worn cells and a board take \
     by themselves may keep it from ever ending, and the cells stay at full voltage. End it by a clock, or take a charger \
     that ends at about a twentieth of the capacity.",
);

/// A charger that waits for a drop too small to see.
pub const NICKEL_DROP_UNSEEN: Rule = rule(
    "charge_nickel_drop_unseen",
    MendFirst,
    "a",
    COMMON_PRACTICE,
    "{name}: at {measured} the voltage of these cells may not drop at the end of the charge; that takes {limit} or more. The \
     charger then goes on into full cells, which heat and vent. Charge faster within what they stand, or at a tenth of \
     the capacity and end it by the clock.",
);

/// A lithium or plain charger on nickel-metal hydride.
pub const NICKEL_VOLTAGE: Rule = rule(
    "charge_nickel_by_voltage",
    Stop,
    "",
    NICKEL.source,
    "{name}: nickel-metal hydride cells have no end voltage. A charger that waits for one goes on until they are hot and \
     vent. Use one for NiMH: a tenth of the capacity by the clock, or one that sees the voltage drop and the warmth.",
);

/// Lead-acid in a closed box.
pub const CLOSED_BOX: Rule = rule(
    "charge_closed_box",
    Stop,
    "ratio",
    HYDROGEN.source,
    "{name} is charged in a closed box. Lead-acid cells give off hydrogen, explosive from {limit} in air on. Open the box \
     while charging, with an opening low and one high.",
);

/// Lead-acid at one voltage for all temperatures.
pub const NOT_COMPENSATED: Rule = rule(
    "charge_not_compensated",
    Know,
    "v",
    LEAD_ACID.source,
    "{name}: over the temperatures you gave the right voltage moves by {measured}. A charger that follows the temperature \
     neither gasses in summer nor leaves it half full in winter.",
);

/// Nobody near.
pub const UNATTENDED: Rule = rule(
    "charge_unattended",
    MendFirst,
    "",
    CHARGING_PLACE,
    "{name} is charged with nobody awake near it. A fire of cells grows within minutes: charge it on a hard surface that \
     does not burn, not beside the way out, and pull the plug when it is full. Local rules and licensed people come first.",
);

/// Every rule about charging.
pub const ALL: [&Rule; 34] = [
    &UNIDENTIFIED,
    &GIVEN_UP,
    &FOUND_LOW,
    &COLD,
    &COLD_OTHER,
    &HOT,
    &PRINT_ASKS_MORE,
    &CURRENT_HIGH,
    &CURRENT_FAR,
    &JACK,
    &WIRE,
    &NO_GROUP_CUT_OFF,
    &ONLY_CHARGER_ENDS,
    &NO_BALANCING,
    &TWO_WIRES_WATCHED,
    &CUT_OFF_HIGH,
    &CUT_OFF_LOW,
    &STRAIGHT_TO_CELLS,
    &NO_CHARGER,
    &NO_VOLTAGE_LIMIT,
    &CHARGER_UNKNOWN,
    &VOLTAGE_HIGH,
    &VOLTAGE_LOW,
    &OTHER_SUPPLY,
    &POLARITY,
    &LIVE_PIN,
    &DIODE,
    &LOAD_RUNNING,
    &END_LOW,
    &NICKEL_VOLTAGE,
    &NICKEL_DROP_UNSEEN,
    &CLOSED_BOX,
    &NOT_COMPENSATED,
    &UNATTENDED,
];

/// Every rule of this table.
pub const RULES: &[Rule] = &[
    UNIDENTIFIED,
    GIVEN_UP,
    FOUND_LOW,
    COLD,
    COLD_OTHER,
    HOT,
    PRINT_ASKS_MORE,
    CURRENT_HIGH,
    CURRENT_FAR,
    JACK,
    WIRE,
    NO_GROUP_CUT_OFF,
    ONLY_CHARGER_ENDS,
    NO_BALANCING,
    TWO_WIRES_WATCHED,
    CUT_OFF_HIGH,
    CUT_OFF_LOW,
    STRAIGHT_TO_CELLS,
    NO_CHARGER,
    NO_VOLTAGE_LIMIT,
    CHARGER_UNKNOWN,
    VOLTAGE_HIGH,
    VOLTAGE_LOW,
    OTHER_SUPPLY,
    POLARITY,
    LIVE_PIN,
    DIODE,
    LOAD_RUNNING,
    END_LOW,
    NICKEL_VOLTAGE,
    NICKEL_DROP_UNSEEN,
    CLOSED_BOX,
    NOT_COMPENSATED,
    UNATTENDED,
];
