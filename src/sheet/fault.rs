//! Kinds of fault that a home-built pack with its load can have: a list with stable codes.
//!
//! Each row says what it is, where one looks and what it asks for at once. A size lies between the two ends given,
//! evenly over its logarithm: what one finds in practice; common practice, no source. Smaller ones drown in the spread
//! of healthy builds, larger ones look the same as the upper end.

use crate::finding::Urgency;
use crate::part::load::Draw;
use crate::part::timing::Circuit;
use crate::plan::Plan;
use crate::quantity::said::{Phrase, Wording};
use alloc::string::{String, ToString};
use alloc::vec::Vec;

/// A kind of fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum FaultKind {
    /// A strip or weld before a group has too much resistance.
    LinkJoint,
    /// A strip before a group is broken.
    LinkBroken,
    /// Fuse holder or its crimp has too much resistance.
    FuseJoint,
    /// The fuse is open.
    FuseOpen,
    /// The main switch has burnt contacts.
    SwitchContact,
    /// The main switch does not close.
    SwitchOpen,
    /// A joint of the lead to the load has too much resistance.
    PlusJoint,
    /// The lead to the load is broken.
    PlusBroken,
    /// A joint of the lead back has too much resistance.
    MinusJoint,
    /// The lead back is broken.
    MinusBroken,
    /// Both leads are too thin, or of another metal than thought.
    ThinLeads,
    /// The protection board's path has too much resistance.
    BoardPath,
    /// The protection board has cut off.
    BoardOff,
    /// A group rests lower than its neighbours.
    GroupLow,
    /// A group is charged beyond its limit.
    GroupHigh,
    /// The cells of a group have too much resistance.
    GroupTired,
    /// A group sits the wrong way round.
    GroupReversed,
    /// A group is shorted inside.
    GroupShorted,
    /// Two neighbouring balance taps are swapped.
    TapsSwapped,
    /// A balance tap has no contact.
    TapOpen,
    /// The transistor does not conduct fully.
    TransistorWeak,
    /// The transistor never conducts.
    TransistorOpen,
    /// The transistor always conducts.
    TransistorShorted,
    /// The flyback diode sits the wrong way round.
    FlybackReversed,
    /// The timer stands still with its output low.
    TimerLow,
    /// The timer stands still with its output high.
    TimerHigh,
    /// The timing capacitor is too large.
    CapacitorLarge,
    /// The timing capacitor is too small.
    CapacitorSmall,
    /// The knob, or the resistor that sets the pace, is too large.
    KnobLarge,
    /// The knob, or the resistor that sets the pace, is too small.
    KnobSmall,
    /// The end stop of the charging half is too large.
    ChargeStopLarge,
    /// The end stop of the discharging half is too large.
    DischargeStopLarge,
    /// The wiper of the knob is worn.
    WiperWorn,
    /// The diode of the charging half sits the wrong way round.
    ChargeDiodeReversed,
    /// The diode of the discharging half sits the wrong way round.
    DischargeDiodeReversed,
    /// A motor, blower or pump is held.
    LoadStalled,
    /// A motor, blower or pump has nothing to work against: dry, or the way shut.
    LoadLight,
    /// A motor, blower or pump is connected the wrong way round.
    LoadReversed,
    /// Another load than planned draws more.
    LoadLarger,
    /// Another load than planned draws less.
    LoadSmaller,
    /// A load is broken or not connected.
    LoadOpen,
    /// A load is shorted.
    LoadShorted,
    /// Something draws current although the main switch is off.
    StandingDrain,
    /// The charger gives too much voltage.
    ChargerHigh,
    /// The charger's plug has the wrong polarity.
    ChargerReversed,
}

/// How far a size reaches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeRange {
    /// Smallest.
    pub low: f64,
    /// Largest.
    pub high: f64,
    /// Unit as a field-name ending; empty for a factor.
    pub unit: &'static str,
}

/// What belongs to one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultRow {
    /// The kind.
    pub kind: FaultKind,
    /// Stop: disconnect now.
    pub urgency: Urgency,
    /// How large it may be; none where it is there or not.
    pub size: Option<SizeRange>,
    /// What it is; `{0}` stands for the number of the group or the name of the load.
    pub words: Wording,
    /// What to do.
    pub remedy: Wording,
}

/// A fault at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Fault {
    /// Its kind.
    pub kind: FaultKind,
    /// Number of the group or load from 1; 0 where there is only one such place.
    pub place: usize,
}

#[allow(clippy::unnecessary_wraps)] // the table reads better
const fn sized(low: f64, high: f64, unit: &'static str) -> Option<SizeRange> {
    Some(SizeRange { low, high, unit })
}

const fn row(kind: FaultKind, urgency: Urgency, size: Option<SizeRange>, words: Wording, remedy: Wording) -> FaultRow {
    FaultRow { kind, urgency, size, words, remedy }
}

const JOINT: Option<SizeRange> = sized(0.05, 5.0, "ohm");
const REMAKE: Wording =
    Wording::new("remedy_remake", "Switch off, open the fuse, remake the joint; it gets hot where it is.");
const STOP_CELLS: Wording = Wording::new(
    "remedy_stop_cells",
    "Disconnect now: fuse out, charger off. Keep away from things that burn; do not charge.",
);

const REPLACE_LEAD: Wording = Wording::new("remedy_replace_lead", "Replace the lead.");
const READ_CODE: Wording = Wording::new("remedy_read_code", "Read its code again and change it.");
const READ_BANDS: Wording = Wording::new("remedy_read_bands", "Read its colour bands again and change it.");
const TURN: Wording = Wording::new("remedy_turn", "Turn it.");

const fn said(code: &'static str, words: &'static str) -> Wording {
    Wording::new(code, words)
}

use FaultKind as K;
use Urgency::{MendFirst, Stop};

/// Every kind with what belongs to it.
pub const FAULTS: [FaultRow; 45] = [
    row(
        K::LinkJoint,
        MendFirst,
        JOINT,
        said("fault_link_joint", "The joint before group {0} has too much resistance."),
        REMAKE,
    ),
    row(K::LinkBroken, MendFirst, None, said("fault_link_broken", "The strip before group {0} is broken."), REMAKE),
    row(
        K::FuseJoint,
        MendFirst,
        JOINT,
        said("fault_fuse_joint", "The fuse holder or its crimp has too much resistance."),
        REMAKE,
    ),
    row(
        K::FuseOpen,
        MendFirst,
        None,
        said("fault_fuse_open", "The fuse is open."),
        said("remedy_fuse_open", "Find what opened it before a new one goes in."),
    ),
    row(
        K::SwitchContact,
        MendFirst,
        JOINT,
        said("fault_switch_contact", "The main switch has too much resistance."),
        said("remedy_switch_contact", "Change the switch: burnt contacts do not heal."),
    ),
    row(
        K::SwitchOpen,
        MendFirst,
        None,
        said("fault_switch_open", "The main switch does not close."),
        said("remedy_switch_open", "Change the switch."),
    ),
    row(
        K::PlusJoint,
        MendFirst,
        JOINT,
        said("fault_plus_joint", "A joint of the lead to the load has too much resistance."),
        REMAKE,
    ),
    row(K::PlusBroken, MendFirst, None, said("fault_plus_broken", "The lead to the load is broken."), REPLACE_LEAD),
    row(
        K::MinusJoint,
        MendFirst,
        JOINT,
        said("fault_minus_joint", "A joint of the lead back has too much resistance."),
        REMAKE,
    ),
    row(K::MinusBroken, MendFirst, None, said("fault_minus_broken", "The lead back is broken."), REPLACE_LEAD),
    row(
        K::ThinLeads,
        MendFirst,
        sized(2.5, 30.0, ""),
        said("fault_thin_leads", "Both leads are too thin or not of copper."),
        said("remedy_thin_leads", "Replace the leads by the planned size in copper."),
    ),
    row(
        K::BoardPath,
        MendFirst,
        JOINT,
        said("fault_board_path", "The protection board's path has too much resistance."),
        said("remedy_board_path", "Remake its solder joints; if that does not help, change the board."),
    ),
    row(
        K::BoardOff,
        MendFirst,
        None,
        said("fault_board_off", "The protection board has cut off."),
        said("remedy_board_off", "Find why: a group too low, or a short. Connecting the charger wakes most boards."),
    ),
    row(
        K::GroupLow,
        MendFirst,
        sized(0.12, 1.5, "v"),
        said("fault_group_low", "Group {0} rests lower than the others."),
        said(
            "remedy_group_low",
            "Charge it alone to the others' voltage; if it sinks again within days, take its cells out.",
        ),
    ),
    row(
        K::GroupHigh,
        Stop,
        sized(0.05, 0.5, "v"),
        said("fault_group_high", "Group {0} is charged beyond its limit."),
        STOP_CELLS,
    ),
    row(
        K::GroupTired,
        MendFirst,
        sized(8.0, 40.0, ""),
        said("fault_group_tired", "The cells of group {0} have too much resistance."),
        said("remedy_group_tired", "Replace the group's cells."),
    ),
    row(K::GroupReversed, Stop, None, said("fault_group_reversed", "Group {0} sits the wrong way round."), STOP_CELLS),
    row(
        K::GroupShorted,
        Stop,
        sized(0.005, 0.3, "v"),
        said("fault_group_shorted", "Group {0} is shorted or flat inside."),
        STOP_CELLS,
    ),
    row(
        K::TapsSwapped,
        Stop,
        None,
        said("fault_taps_swapped", "Balance taps {0} and the next are swapped."),
        said(
            "remedy_taps_swapped",
            "Disconnect now: do not plug the board in. It would put two groups backwards on its inputs.",
        ),
    ),
    row(
        K::TapOpen,
        MendFirst,
        None,
        said("fault_tap_open", "Balance tap {0} has no contact."),
        said("remedy_tap_open", "Remake the tap before the board is plugged in: it would not see the group."),
    ),
    row(
        K::TransistorWeak,
        MendFirst,
        sized(0.3, 5.0, "ohm"),
        said("fault_transistor_weak", "The transistor does not conduct fully."),
        said(
            "remedy_transistor_weak",
            "Check gate voltage and type: it needs a logic-level part or more gate voltage. It gets hot.",
        ),
    ),
    row(
        K::TransistorOpen,
        MendFirst,
        None,
        said("fault_transistor_open", "The transistor never conducts."),
        said("remedy_transistor_open", "Check gate resistor and solder joints, then change it."),
    ),
    row(
        K::TransistorShorted,
        MendFirst,
        None,
        said("fault_transistor_shorted", "The transistor always conducts: the knob does nothing."),
        said("remedy_transistor_shorted", "Change it, with flyback diode and gate resistor checked first."),
    ),
    row(
        K::FlybackReversed,
        Stop,
        None,
        said(
            "fault_flyback_reversed",
            "The flyback diode sits the wrong way round: the transistor shorts the pack through it.",
        ),
        said(
            "remedy_flyback_reversed",
            "Disconnect now and turn the diode: its ring goes to plus. Change the transistor too if it got hot.",
        ),
    ),
    row(
        K::TimerLow,
        MendFirst,
        None,
        said("fault_timer_low", "The timer stands still with its output low."),
        said("remedy_timer_low", "Check its supply, reset pin and timing parts, then change it."),
    ),
    row(
        K::TimerHigh,
        MendFirst,
        None,
        said("fault_timer_high", "The timer stands still with its output high."),
        said("remedy_timer_high", "Check the timing parts, then change it."),
    ),
    row(
        K::CapacitorLarge,
        MendFirst,
        sized(2.2, 100.0, ""),
        said("fault_capacitor_large", "The timing capacitor is too large."),
        READ_CODE,
    ),
    row(
        K::CapacitorSmall,
        MendFirst,
        sized(2.2, 100.0, ""),
        said("fault_capacitor_small", "The timing capacitor is too small."),
        READ_CODE,
    ),
    row(
        K::KnobLarge,
        MendFirst,
        sized(2.2, 20.0, ""),
        said("fault_knob_large", "The knob or timing resistor is too large."),
        READ_CODE,
    ),
    row(
        K::KnobSmall,
        MendFirst,
        sized(2.2, 20.0, ""),
        said("fault_knob_small", "The knob or timing resistor is too small."),
        READ_CODE,
    ),
    row(
        K::ChargeStopLarge,
        MendFirst,
        sized(0.3, 3.0, ""),
        said("fault_charge_stop_large", "The end stop of the charging half is too large."),
        READ_BANDS,
    ),
    row(
        K::DischargeStopLarge,
        MendFirst,
        sized(0.3, 3.0, ""),
        said("fault_discharge_stop_large", "The end stop of the discharging half is too large."),
        READ_BANDS,
    ),
    row(
        K::WiperWorn,
        MendFirst,
        sized(0.3, 3.0, ""),
        said("fault_wiper_worn", "The wiper of the knob is worn or its joint bad."),
        said("remedy_wiper_worn", "Change the knob."),
    ),
    row(
        K::ChargeDiodeReversed,
        MendFirst,
        None,
        said("fault_charge_diode_reversed", "The diode of the charging half sits the wrong way round."),
        TURN,
    ),
    row(
        K::DischargeDiodeReversed,
        MendFirst,
        None,
        said("fault_discharge_diode_reversed", "The diode of the discharging half sits the wrong way round."),
        TURN,
    ),
    row(
        K::LoadStalled,
        Stop,
        sized(2.0, 8.0, ""),
        said("fault_load_stalled", "{0} is held: it draws much and does not turn."),
        said("remedy_load_stalled", "Disconnect now: the winding burns within a minute. Free the shaft."),
    ),
    row(
        K::LoadLight,
        MendFirst,
        sized(1.6, 5.0, ""),
        said("fault_load_light", "{0} has nothing to work against: dry, or its way is shut."),
        said("remedy_load_light", "Let water or air through. A pump that runs dry loses its seal."),
    ),
    row(
        K::LoadReversed,
        MendFirst,
        None,
        said("fault_load_reversed", "{0} turns the wrong way round."),
        said("remedy_load_reversed", "Change its two leads over."),
    ),
    row(
        K::LoadLarger,
        MendFirst,
        sized(1.6, 5.0, ""),
        said("fault_load_larger", "{0} draws more than planned."),
        said("remedy_load_larger", "Compare its plate with the plan; wire and fuse were chosen for less."),
    ),
    row(
        K::LoadSmaller,
        MendFirst,
        sized(1.6, 5.0, ""),
        said("fault_load_smaller", "{0} draws less than planned."),
        said("remedy_load_smaller", "Compare its plate with the plan; part of it may be dead."),
    ),
    row(
        K::LoadOpen,
        MendFirst,
        None,
        said("fault_load_open", "{0} is broken or not connected."),
        said("remedy_load_open", "Check its plug and leads, then change it."),
    ),
    row(
        K::LoadShorted,
        Stop,
        sized(0.005, 0.1, "ohm"),
        said("fault_load_shorted", "{0} is shorted."),
        said("remedy_load_shorted", "Disconnect now and take it off."),
    ),
    row(
        K::StandingDrain,
        MendFirst,
        sized(0.002, 0.5, "a"),
        said("fault_standing_drain", "Something draws current although the main switch is off."),
        said(
            "remedy_standing_drain",
            "Take off what hangs before the switch, one by one. It empties the pack below its limit in days or weeks.",
        ),
    ),
    row(
        K::ChargerHigh,
        Stop,
        sized(0.4, 8.0, "v"),
        said("fault_charger_high", "The charger gives too much voltage."),
        said("remedy_charger_high", "Disconnect now: it is the wrong one for this pack."),
    ),
    row(
        K::ChargerReversed,
        Stop,
        None,
        said("fault_charger_reversed", "The charger's plug has the wrong polarity."),
        said("remedy_charger_reversed", "Disconnect now: it is the wrong one for this jack."),
    ),
];

impl FaultKind {
    /// What belongs to it.
    #[must_use]
    pub fn row(self) -> &'static FaultRow {
        const FIRST: FaultRow = row(K::LinkJoint, MendFirst, JOINT, said("", ""), REMAKE);
        FAULTS.iter().find(|row| row.kind == self).unwrap_or(&FIRST)
    }

    /// Whether it changes the timing parts.
    pub(super) fn spoils_timing(self) -> bool {
        matches!(
            self,
            K::CapacitorLarge
                | K::CapacitorSmall
                | K::KnobLarge
                | K::KnobSmall
                | K::ChargeStopLarge
                | K::DischargeStopLarge
                | K::WiperWorn
        )
    }

    /// Places of a plan where it can sit.
    fn places(self, plan: &Plan) -> Vec<usize> {
        let groups = plan.pack.groups.len();
        let once = |there: bool| if there { Vec::from([0]) } else { Vec::new() };
        let loads = |fits: &dyn Fn(bool) -> bool| {
            let turns = |draw: &Draw| matches!(draw, Draw::FollowsVoltage { .. });
            (1..).zip(&plan.loads).filter(|(_, load)| fits(turns(&load.draw))).map(|(place, _)| place).collect()
        };
        let circuit = plan.control.as_ref().map(|control| &control.timer.circuit);
        let knob = if let Some(Circuit::DiodeSteered(steered)) = circuit { Some(steered) } else { None };
        let chopped = plan.control.is_some() && plan.loads.iter().any(|load| load.chopped);
        match self {
            K::LinkJoint
            | K::LinkBroken
            | K::GroupLow
            | K::GroupHigh
            | K::GroupTired
            | K::GroupReversed
            | K::GroupShorted
            | K::TapOpen => (1..=groups).collect(),
            K::TapsSwapped => (1..groups).collect(),
            K::FuseJoint | K::FuseOpen => once(plan.fuse.as_ref().is_some_and(|fuse| fuse.fitted().is_some())),
            K::BoardPath | K::BoardOff => once(plan.protection.as_ref().is_some_and(|held| held.board().is_some())),
            K::TransistorWeak | K::TransistorOpen | K::TransistorShorted | K::FlybackReversed => once(chopped),
            K::TimerLow | K::TimerHigh | K::CapacitorLarge | K::CapacitorSmall => once(circuit.is_some()),
            K::KnobLarge | K::KnobSmall => {
                once(matches!(circuit, Some(Circuit::DiodeSteered(_) | Circuit::TwoResistor(_))))
            }
            K::ChargeStopLarge => once(knob.is_some_and(|knob| knob.charge_ohm.is_some())),
            K::DischargeStopLarge => once(knob.is_some_and(|knob| knob.discharge_ohm.is_some())),
            K::WiperWorn | K::ChargeDiodeReversed | K::DischargeDiodeReversed => once(knob.is_some()),
            K::LoadStalled | K::LoadLight | K::LoadReversed => loads(&|turns| turns),
            K::LoadLarger | K::LoadSmaller => loads(&|turns| !turns),
            K::LoadOpen | K::LoadShorted => loads(&|_| true),
            K::ChargerHigh | K::ChargerReversed => once(plan.charging.is_some()),
            K::ThinLeads => once(!plan.runs.is_empty()),
            K::SwitchContact | K::SwitchOpen | K::PlusJoint | K::PlusBroken | K::MinusJoint | K::MinusBroken => {
                once(!plan.loads.is_empty())
            }
            K::StandingDrain => once(true),
        }
    }
}

impl Fault {
    /// Every fault that a plan can have.
    #[must_use]
    pub fn all(plan: &Plan) -> Vec<Self> {
        let each = |row: &FaultRow| {
            let kind = row.kind;
            kind.places(plan).into_iter().map(move |place| Self { kind, place })
        };
        FAULTS.iter().flat_map(each).collect()
    }

    /// Size at a place between the ends of its range, 0 to 1; 0 for a fault without size.
    #[must_use]
    pub fn size(&self, unit: f64) -> f64 {
        self.kind.row().size.map_or(0.0, |range| range.low * libm::pow(range.high / range.low, unit))
    }

    /// What it is, in plain words.
    #[must_use]
    pub fn words(&self, plan: &Plan) -> String {
        self.phrase(plan).words
    }

    /// What it is.
    pub(super) fn phrase(&self, plan: &Plan) -> Phrase {
        let named = self.place.checked_sub(1).and_then(|at| plan.loads.get(at)).map(|load| load.name.clone());
        let is_load = matches!(
            self.kind,
            K::LoadStalled
                | K::LoadLight
                | K::LoadReversed
                | K::LoadLarger
                | K::LoadSmaller
                | K::LoadOpen
                | K::LoadShorted
        );
        let place = named.filter(|_| is_load).unwrap_or_else(|| self.place.to_string());
        self.kind.row().words.with([place.into()])
    }
}
