//! Where the meter's probes go: the numbered test points of a build.
//!
//! ```text
//! pack plus ─ fuse ─ main switch ─┬─ load plus ─ loads ─ load minus ─ transistor ─┐
//! groups, tap 1 … tap S           ├─ controller plus ─ timer ─ gate ──────────────┤ controller minus
//! pack minus ─ board ─ shunt ─────┴───────────────────────────────────────────────┘
//! ```
//!
//! A number never changes its meaning: the bench list, the wiring diagram and the search for a fault all use it. The
//! board sits in the negative lead between pack minus and board minus (P−); its plus (B+ and P+) lies behind the fuse.
//! Taps count from 21 on, tap n being the positive end of group n; negative ends of groups from 121 on. Numbers are our
//! own; no standard fixes them.

use crate::part::timing::Circuit;
use crate::plan::Plan;
use crate::quantity::said::{Filling, Phrase, wordings};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Number of tap 1 less 1.
const TAPS_AFTER: usize = 20;

/// Number of the negative end of group 1 less 1.
const CELLS_AFTER: usize = 120;

/// One place of the build where a probe goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum TestPoint {
    /// Negative end of the first group: the pack's minus, the board's B−.
    PackMinus,
    /// Positive end of the last group: the pack's plus, before the fuse.
    PackPlus,
    /// Far end of the fuse.
    AfterFuse,
    /// Far end of the main switch.
    AfterSwitch,
    /// The board's plus for charger and load, P+: behind the fuse.
    BoardPlus,
    /// The board's minus for charger and load, P−; pack minus where there is no board.
    BoardMinus,
    /// Supply of the controller, plus.
    ControllerPlus,
    /// Supply of the controller, minus: the transistor's source.
    ControllerMinus,
    /// The timing capacitor's pin.
    TimerCapacitor,
    /// Output of the timer.
    TimerOutput,
    /// Gate of the transistor.
    Gate,
    /// Drain of the transistor: the loads' minus.
    LoadMinus,
    /// Plus of the loads.
    LoadPlus,
    /// Plus of the charge jack.
    JackPlus,
    /// Minus of the charge jack.
    JackMinus,
    /// Shunt in the negative lead, the end toward the pack.
    ShuntPackSide,
    /// Shunt in the negative lead, the end toward the loads.
    ShuntLoadSide,
    /// End of the knob's track on the charging side.
    KnobCharge,
    /// End of the knob's track on the discharging side.
    KnobDischarge,
    /// Discharge pin of the timer.
    TimerDischarge,
    /// Negative end of the cells of a group, on the cell itself.
    CellMinus {
        /// Which group, from 1.
        group: usize,
    },
    /// Balance tap: the positive end of a group, counted from 1 at pack minus.
    Tap {
        /// Which group, from 1.
        group: usize,
    },
}

impl TestPoint {
    /// Every point that is not a tap, in the order of their numbers from 1 on.
    pub const FIXED: [Self; 20] = [
        Self::PackMinus,
        Self::PackPlus,
        Self::AfterFuse,
        Self::AfterSwitch,
        Self::BoardPlus,
        Self::BoardMinus,
        Self::ControllerPlus,
        Self::ControllerMinus,
        Self::TimerCapacitor,
        Self::TimerOutput,
        Self::Gate,
        Self::LoadMinus,
        Self::LoadPlus,
        Self::JackPlus,
        Self::JackMinus,
        Self::ShuntPackSide,
        Self::ShuntLoadSide,
        Self::KnobCharge,
        Self::KnobDischarge,
        Self::TimerDischarge,
    ];

    /// Number as printed on bench list and diagram.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::sheet::points::TestPoint;
    /// assert_eq!(TestPoint::AfterFuse.number(), 3);
    /// assert_eq!(TestPoint::Tap { group: 2 }.label(), "T22");
    /// ```
    #[must_use]
    pub fn number(self) -> usize {
        match self {
            Self::Tap { group } => group.saturating_add(TAPS_AFTER),
            Self::CellMinus { group } => group.saturating_add(CELLS_AFTER),
            fixed => Self::FIXED.iter().position(|point| *point == fixed).map_or(0, |place| place + 1),
        }
    }

    /// Label as printed: "T3".
    #[must_use]
    pub fn label(self) -> String {
        format!("T{}", self.number())
    }

    /// Where it is, in plain words.
    #[must_use]
    pub fn words(self) -> String {
        self.phrase().words
    }

    /// Where it is.
    pub(super) fn phrase(self) -> Phrase {
        let words = match self {
            Self::PackMinus => PACK_MINUS,
            Self::PackPlus => PACK_PLUS,
            Self::AfterFuse => AFTER_FUSE,
            Self::AfterSwitch => AFTER_SWITCH,
            Self::BoardPlus => BOARD_PLUS,
            Self::BoardMinus => BOARD_MINUS,
            Self::ControllerPlus => CONTROLLER_PLUS,
            Self::ControllerMinus => CONTROLLER_MINUS,
            Self::TimerCapacitor => TIMER_CAPACITOR,
            Self::TimerOutput => TIMER_OUTPUT,
            Self::Gate => GATE,
            Self::LoadMinus => LOAD_MINUS,
            Self::LoadPlus => LOAD_PLUS,
            Self::JackPlus => JACK_PLUS,
            Self::JackMinus => JACK_MINUS,
            Self::ShuntPackSide => SHUNT_PACK_SIDE,
            Self::ShuntLoadSide => SHUNT_LOAD_SIDE,
            Self::KnobCharge => KNOB_CHARGE,
            Self::KnobDischarge => KNOB_DISCHARGE,
            Self::TimerDischarge => TIMER_DISCHARGE,
            Self::CellMinus { group } => return CELL_MINUS.with([Filling::count(group)]),
            Self::Tap { group } => return TAP.with([Filling::count(group)]),
        };
        words.plain()
    }

    /// The points that a plan has, by number.
    #[must_use]
    pub fn of(plan: &Plan) -> Vec<Self> {
        let has_board = plan.protection.as_ref().is_some_and(|protection| protection.board().is_some());
        let has_knob =
            plan.control.as_ref().is_some_and(|control| matches!(control.timer.circuit, Circuit::DiodeSteered(_)));
        let has_pin =
            plan.control.as_ref().is_some_and(|control| matches!(control.timer.circuit, Circuit::TwoResistor(_)));
        let has_fuse = plan.fuse.as_ref().is_some_and(|fuse| fuse.fitted().is_some());
        let has = |point: &Self| match point {
            Self::AfterFuse => has_fuse,
            Self::BoardPlus | Self::BoardMinus => has_board,
            Self::ControllerPlus | Self::ControllerMinus | Self::TimerCapacitor | Self::TimerOutput | Self::Gate => {
                plan.control.is_some()
            }
            Self::KnobCharge | Self::KnobDischarge => has_knob,
            Self::TimerDischarge => has_knob || has_pin,
            Self::JackPlus | Self::JackMinus => plan.charging.is_some(),
            _ => true,
        };
        let taps = (1..=plan.pack.groups.len()).map(|group| Self::Tap { group });
        let cells = (1..=plan.pack.groups.len()).map(|group| Self::CellMinus { group });
        Self::FIXED.into_iter().filter(has).chain(taps).chain(cells).collect()
    }
}

wordings! {
    PACK_MINUS: "point_pack_minus", "pack minus";
    PACK_PLUS: "point_pack_plus", "pack plus";
    AFTER_FUSE: "point_after_fuse", "after the fuse";
    AFTER_SWITCH: "point_after_switch", "after the main switch";
    BOARD_PLUS: "point_board_plus", "board plus, P+";
    BOARD_MINUS: "point_board_minus", "board minus, P−";
    CONTROLLER_PLUS: "point_controller_plus", "controller supply plus";
    CONTROLLER_MINUS: "point_controller_minus", "controller supply minus, source of the transistor";
    TIMER_CAPACITOR: "point_timer_capacitor", "timing capacitor";
    TIMER_OUTPUT: "point_timer_output", "timer output";
    GATE: "point_gate", "gate of the transistor";
    LOAD_MINUS: "point_load_minus", "load minus, drain of the transistor";
    LOAD_PLUS: "point_load_plus", "load plus";
    JACK_PLUS: "point_jack_plus", "charge jack plus";
    JACK_MINUS: "point_jack_minus", "charge jack minus";
    SHUNT_PACK_SIDE: "point_shunt_pack_side", "shunt, pack side";
    SHUNT_LOAD_SIDE: "point_shunt_load_side", "shunt, load side";
    KNOB_CHARGE: "point_knob_charge", "end of the knob, charging side";
    KNOB_DISCHARGE: "point_knob_discharge", "end of the knob, discharging side";
    TIMER_DISCHARGE: "point_timer_discharge", "discharge pin of the timer";
    CELL_MINUS: "point_cell_minus", "minus of the cells of group {0}";
    TAP: "point_tap", "tap {0}, plus of group {0}";
}
