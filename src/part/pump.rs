//! A pump at a speed against its pipe.
//!
//! ```text
//! positive displacement   flow ∝ speed, torque as good as constant: power ∝ speed
//! centrifugal             head = r²·H₀·(1 − (q / (r·Q₀))²) meets static_head + friction·q²
//!                         q² = (r²·H₀ − H_static) / (friction + H₀/Q₀²), none where r²·H₀ ≤ H_static
//!                         power = r³·(P_closed + (P_open − P_closed)·q / (r·Q₀))
//! ```
//!
//! H₀ is the head against a closed pipe and Q₀ the flow into the open at full speed (r = 1). With static head the pump
//! does not stay at the same place of its curve, so that the cube law is refused and each speed is solved by itself.
//! The parabola and the straight power line are common practice, no source; their change with speed is the affinity
//! laws' (Hydraulic Institute). Holds for water between 0.3 and 1.2 of full speed.

use crate::error::{Check, Error, within};
use crate::quantity::Interval;
use crate::quantity::root::sqrt;

/// A pump by its kind.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "snake_case", deny_unknown_fields)
)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum PumpKind {
    /// Diaphragm, piston, gear or hose: each turn moves the same volume.
    PositiveDisplacement(Displacement),
    /// An impeller.
    Centrifugal(Centrifugal),
}

/// A pump that moves the same volume with each turn.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Displacement {
    /// Flow at full speed, in cubic metres per second.
    pub flow_m3_per_s: f64,
}

/// A pump with an impeller, and its pipe.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Centrifugal {
    /// Head against a closed pipe at full speed, in metres of water.
    pub closed_head_m: f64,
    /// Flow into the open at full speed, in cubic metres per second.
    pub open_flow_m3_per_s: f64,
    /// Power against a closed pipe as a share of the power into the open.
    pub closed_power_ratio: f64,
    /// Height the water is lifted, in metres.
    pub static_head_m: f64,
    /// Head lost in the pipe at the open flow, in metres.
    pub friction_head_m: f64,
}

/// A pump.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Pump {
    /// Power from the supply at `at_v` without chopping, in watts; for an impeller, into the open.
    pub power_w: Interval,
    /// Voltage of full speed, in volts.
    pub at_v: f64,
    /// Which kind.
    pub kind: PumpKind,
    /// Resistance of its motor with the shaft held, in ohms.
    pub motor_ohm: Option<Interval>,
    /// Inductance of its motor, in henries.
    pub motor_h: Option<f64>,
}

/// What a pump moves at a speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Flow {
    /// Cubic metres per second.
    Flows {
        /// Flow, in cubic metres per second.
        flow_m3_per_s: f64,
    },
    /// The water stands: the pump stirs and heats what is in it.
    NoFlow,
}

/// A pump at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PumpPoint {
    /// What it moves.
    pub flow: Flow,
    /// Power as a share of `power_w`.
    pub power_ratio: f64,
    /// Whether the cube law holds for power: an impeller without static head.
    pub cube_law: bool,
}

impl Pump {
    /// Flow and power at `speed_ratio` of full speed.
    ///
    /// # Errors
    ///
    /// Every value out of range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::pump::{Centrifugal, Flow, Pump, PumpKind};
    /// # use cellwright::quantity::Interval;
    /// let bed = Centrifugal {
    ///     closed_head_m: 4.0, open_flow_m3_per_s: 3e-4, closed_power_ratio: 0.5, static_head_m: 1.5,
    ///     friction_head_m: 1.0,
    /// };
    /// let kind = PumpKind::Centrifugal(bed);
    /// let pump = Pump { power_w: Interval::exact(20.0), at_v: 12.0, kind, motor_ohm: None, motor_h: None };
    /// // 0.6² · 4 m do not lift water by 1.5 m.
    /// assert_eq!(pump.point(0.6)?.flow, Flow::NoFlow);
    /// assert!(!pump.point(0.9)?.cube_law);
    /// assert!(pump.point(2.0).is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn point(&self, speed_ratio: f64) -> Result<PumpPoint, alloc::vec::Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.within("speed_ratio", speed_ratio, 0.3, 1.2);
        check.finish()?;
        Ok(self.kind.worked(speed_ratio))
    }

    pub(crate) fn check(&self, check: &mut Check) {
        self.power_w.note(check, "power_w", 1e-3, 10000.0);
        check.within("at_v", self.at_v, 0.5, 60.0);
        if let Some(motor_ohm) = self.motor_ohm {
            motor_ohm.note(check, "motor_ohm", 1e-3, 1e4);
        }
        if let Some(motor_h) = self.motor_h {
            check.within("motor_h", motor_h, 1e-8, 100.0);
        }
        check.inside("kind", |check| self.kind.check(check));
    }
}

impl PumpKind {
    pub(crate) fn check(&self, check: &mut Check) {
        match self {
            Self::PositiveDisplacement(pump) => check.inside("positive_displacement", |check| {
                check.within("flow_m3_per_s", pump.flow_m3_per_s, 1e-9, 10.0);
            }),
            Self::Centrifugal(pump) => check.inside("centrifugal", |check| pump.check(check)),
        }
    }

    /// Flow and power at `r` of full speed.
    pub(crate) fn worked(&self, r: f64) -> PumpPoint {
        match self {
            Self::PositiveDisplacement(pump) => {
                let flow = Flow::Flows { flow_m3_per_s: pump.flow_m3_per_s * r };
                PumpPoint { flow, power_ratio: r, cube_law: false }
            }
            Self::Centrifugal(pump) => pump.worked(r),
        }
    }

    /// Lowest speed at which the laws are used, against full speed.
    pub(crate) fn lowest_ratio(&self) -> f64 {
        match self {
            Self::PositiveDisplacement(_) => 0.0,
            Self::Centrifugal(_) => 0.3,
        }
    }
}

impl Centrifugal {
    fn check(&self, check: &mut Check) {
        check.within("closed_head_m", self.closed_head_m, 0.01, 1000.0);
        check.within("open_flow_m3_per_s", self.open_flow_m3_per_s, 1e-9, 10.0);
        check.within("closed_power_ratio", self.closed_power_ratio, 0.0, 1.0);
        check.within("static_head_m", self.static_head_m, 0.0, 1000.0);
        check.within("friction_head_m", self.friction_head_m, 0.0, 1000.0);
    }

    fn worked(&self, r: f64) -> PumpPoint {
        let cube_law = self.static_head_m == 0.0;
        let left_m = r * r * self.closed_head_m - self.static_head_m;
        if left_m <= 0.0 {
            return PumpPoint { flow: Flow::NoFlow, power_ratio: r * r * r * self.closed_power_ratio, cube_law };
        }
        let flow_ratio = sqrt(left_m / (self.friction_head_m + self.closed_head_m));
        let open_share = flow_ratio / r;
        let power_ratio = r * r * r * (self.closed_power_ratio + (1.0 - self.closed_power_ratio) * open_share);
        PumpPoint { flow: Flow::Flows { flow_m3_per_s: flow_ratio * self.open_flow_m3_per_s }, power_ratio, cube_law }
    }
}

/// Power at `speed_ratio` by the cube law, as a share of the power at full speed.
///
/// # Errors
///
/// Refused with static head, where the law does not hold, and outside 0.3 to 1.2.
///
/// # Examples
///
/// ```
/// # use cellwright::part::pump::cube_law;
/// assert!((cube_law(0.7, 0.0)? - 0.343).abs() < 1e-12);
/// assert_eq!(cube_law(0.7, 1.5).unwrap_err().field(), "static_head_m");
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn cube_law(speed_ratio: f64, static_head_m: f64) -> Result<f64, Error> {
    let r = within("speed_ratio", speed_ratio, 0.3, 1.2)?;
    within("static_head_m", static_head_m, 0.0, 0.0)?;
    Ok(r * r * r)
}
