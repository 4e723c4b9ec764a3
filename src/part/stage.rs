//! Current of a motor that is chopped by a switch, with its flyback diode.
//!
//! ```text
//! on    L·di/dt = supply − back_emf − (R + R_switch)·i            i by an exponential
//! off   L·di/dt = −(back_emf + R·i + v_diode(i))                  t = ∫ L·di / (back_emf + R·i + v_diode(i))
//! ```
//!
//! The periodic state, continuous or discontinuous, is found exactly; the off time is integrated over ln(1 + i/IS), in
//! which the integrand is smooth. Holds for a constant inductance and a back-EMF that does not change within a period.
//! Edges of the switch and capacitances are not counted. A resistive load is one without back-EMF and hardly any
//! inductance. Source: first principles, junction law of [`crate::quantity::junction`].

use crate::data::diode::Diode;
use crate::error::{Check, Error};
use crate::quantity::junction::Junction;
use crate::quantity::root::sqrt;
use alloc::vec::Vec;

/// A motor between supply and switch.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MotorStage {
    /// Supply, in volts.
    pub supply_v: f64,
    /// Share of the period with the switch on, 0 to 1.
    pub duty: f64,
    /// Frequency of chopping, in hertz.
    pub frequency_hz: f64,
    /// Resistance of the motor with its leads, in ohms.
    pub motor_ohm: f64,
    /// Inductance of the motor, in henries.
    pub motor_h: f64,
    /// Voltage the turning motor makes, in volts; 0 where it stands still.
    pub back_emf_v: f64,
    /// Resistance of the conducting switch, in ohms.
    pub switch_ohm: f64,
    /// The diode across the motor.
    pub flyback: Diode,
    /// Temperature of that diode, in degrees Celsius; 27 °C where left out.
    pub diode_degc: Option<f64>,
}

/// Currents and losses of one period.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct MotorStageAnswer {
    /// Whether current flows during the whole period.
    pub continuous: bool,
    /// Mean current of the motor, in amperes.
    pub motor_average_a: f64,
    /// RMS current of the motor, in amperes: what heats it.
    pub motor_rms_a: f64,
    /// Highest current, in amperes.
    pub motor_high_a: f64,
    /// Lowest current, in amperes.
    pub motor_low_a: f64,
    /// Highest less lowest current, in amperes.
    pub ripple_a: f64,
    /// Mean current from the supply, in amperes.
    pub supply_average_a: f64,
    /// RMS current of the switch, in amperes.
    pub switch_rms_a: f64,
    /// Mean current of the diode, in amperes.
    pub diode_average_a: f64,
    /// Highest current of the diode, in amperes.
    pub diode_high_a: f64,
    /// Loss in the motor's resistance, in watts.
    pub motor_w: f64,
    /// Loss in the conducting switch, in watts.
    pub switch_w: f64,
    /// Loss in the diode, in watts.
    pub diode_w: f64,
    /// Mean power against the back-EMF, in watts: what the motor turns into motion and friction.
    pub turned_w: f64,
}

/// Nodes and weights of Gauss's rule with 16 points, the positive half.
const NODES: [(f64, f64); 8] = [
    (0.98940093499164994, 0.02715245941175406),
    (0.94457502307323260, 0.06225352393864778),
    (0.86563120238783176, 0.09515851168249290),
    (0.75540440835500300, 0.12462897125553395),
    (0.61787624440264377, 0.14959598881657682),
    (0.45801677765722737, 0.16915651939500256),
    (0.28160355077925892, 0.18260341504492361),
    (0.09501250983763744, 0.18945061045506847),
];

/// ln(1 + i/IS) at which the current counts as gone.
const GONE: f64 = 1e-6;

/// Time integrals over a stretch of falling current.
#[derive(Clone, Copy, Default)]
struct Sums {
    time_s: f64,
    charge_as: f64,
    square_a2s: f64,
    diode_j: f64,
}

impl MotorStage {
    /// Currents and losses in the periodic state.
    ///
    /// # Errors
    ///
    /// Every value outside the accepted range, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::diode::Diode;
    /// # use cellwright::part::stage::MotorStage;
    /// let stage = MotorStage {
    ///     supply_v: 12.0, duty: 0.75, frequency_hz: 1000.0, motor_ohm: 0.8, motor_h: 1e-3, back_emf_v: 7.5,
    ///     switch_ohm: 0.03, flyback: Diode::Schottky, diode_degc: None,
    /// };
    /// let answer = stage.answer()?;
    /// assert!(answer.continuous && (answer.motor_average_a - 1.6956).abs() < 1e-3);
    /// assert!(MotorStage { motor_h: 0.0, ..stage }.answer().is_err());
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<MotorStageAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        Ok(self.solved())
    }

    pub(crate) fn check(&self, check: &mut Check) {
        check.within("supply_v", self.supply_v, 0.1, 60.0);
        check.within("duty", self.duty, 0.0, 1.0);
        check.within("frequency_hz", self.frequency_hz, 0.1, 1e6);
        check.within("motor_ohm", self.motor_ohm, 1e-3, 1e5);
        check.within("motor_h", self.motor_h, 1e-8, 100.0);
        check.within("back_emf_v", self.back_emf_v, 0.0, 60.0);
        check.within("switch_ohm", self.switch_ohm, 0.0, 1e3);
        check.inside("flyback", |check| self.flyback.check(check));
        check.within("diode_degc", self.diode_degc.unwrap_or(27.0), -40.0, 150.0);
    }

    /// As [`MotorStage::answer`], for inputs that are already checked.
    pub(crate) fn solved(&self) -> MotorStageAnswer {
        let final_a = (self.supply_v - self.back_emf_v) / (self.motor_ohm + self.switch_ohm);
        let on_s = self.duty / self.frequency_hz;
        let off_s = 1.0 / self.frequency_hz - on_s;
        if final_a <= 0.0 || on_s <= 0.0 {
            return self.told(0.0, 0.0, &Sums::default(), &Sums::default(), false);
        }
        if off_s <= 0.0 {
            let on =
                Sums { time_s: on_s, charge_as: final_a * on_s, square_a2s: final_a * final_a * on_s, diode_j: 0.0 };
            return self.told(final_a, final_a, &on, &Sums::default(), true);
        }
        let junction = self.flyback.junction(self.diode_degc.unwrap_or(27.0));
        let rise = Rise { final_a, tau_s: self.motor_h / (self.motor_ohm + self.switch_ohm), on_s };
        let gone_a = junction.saturation_a * libm::expm1(GONE);
        let highest_a = rise.top_a(0.0);
        let dies = highest_a <= gone_a || self.fall(&junction, highest_a, gone_a).time_s <= off_s;
        let low_a = if dies { 0.0 } else { self.meeting_a(&junction, &rise, gone_a, off_s) };
        let high_a = rise.top_a(low_a);
        let off = self.fall(&junction, high_a, if dies { gone_a } else { low_a });
        self.told(high_a, low_a, &rise.sums(low_a), &off, !dies)
    }

    /// The lowest current that the off time brings the highest one back to: the time falls as it grows.
    fn meeting_a(&self, junction: &Junction, rise: &Rise, gone_a: f64, off_s: f64) -> f64 {
        let (mut low_a, mut high_a) = (gone_a, rise.final_a);
        let mut at_a = 0.5 * rise.final_a;
        let decay = libm::exp(-rise.on_s / rise.tau_s);
        let pace = |a: f64| self.motor_h / (self.back_emf_v + self.motor_ohm * a + junction.drop_v(a));
        for _ in 0..100 {
            let top_a = rise.top_a(at_a);
            let excess_s = self.fall(junction, top_a, at_a).time_s - off_s;
            if excess_s > 0.0 {
                low_a = at_a;
            } else {
                high_a = at_a;
            }
            let slope = decay * pace(top_a) - pace(at_a);
            let next_a = at_a - excess_s / slope;
            let inside = next_a > low_a && next_a < high_a;
            let next_a = if inside { next_a } else { 0.5 * (low_a + high_a) };
            let settled = libm::fabs(next_a - at_a) <= 1e-14 * at_a;
            at_a = next_a;
            if settled {
                break;
            }
        }
        at_a
    }

    /// The current falling through the diode from one value to another.
    fn fall(&self, junction: &Junction, from_a: f64, to_a: f64) -> Sums {
        let saturation_a = junction.saturation_a;
        let (top, bottom) = (libm::log1p(from_a / saturation_a), libm::log1p(to_a / saturation_a));
        if top.is_nan() || top <= bottom {
            return Sums::default();
        }
        let panels = libm::ceil(0.5 * (top - bottom)).clamp(1.0, 100.0);
        let half = 0.5 * (top - bottom) / panels;
        let mut sums = Sums::default();
        for panel in 0..panels as u32 {
            let middle = bottom + half * (2.0 * f64::from(panel) + 1.0);
            for (node, weight) in NODES {
                for x in [middle - half * node, middle + half * node] {
                    let grown = libm::exp(x);
                    let current_a = saturation_a * (grown - 1.0);
                    let diode_v = junction.emission_v * x + junction.series_ohm * current_a;
                    let against_v = self.back_emf_v + self.motor_ohm * current_a + diode_v;
                    let time_s = half * weight * self.motor_h * saturation_a * grown / against_v;
                    sums.time_s += time_s;
                    sums.charge_as += time_s * current_a;
                    sums.square_a2s += time_s * current_a * current_a;
                    sums.diode_j += time_s * current_a * diode_v;
                }
            }
        }
        sums
    }

    fn told(&self, high_a: f64, low_a: f64, on: &Sums, off: &Sums, continuous: bool) -> MotorStageAnswer {
        let each_s = self.frequency_hz;
        let motor_average_a = (on.charge_as + off.charge_as) * each_s;
        let square_a2 = (on.square_a2s + off.square_a2s) * each_s;
        let switch_a2 = on.square_a2s * each_s;
        MotorStageAnswer {
            continuous,
            motor_average_a,
            motor_rms_a: sqrt(square_a2),
            motor_high_a: high_a,
            motor_low_a: low_a,
            ripple_a: high_a - low_a,
            supply_average_a: on.charge_as * each_s,
            switch_rms_a: sqrt(switch_a2),
            diode_average_a: off.charge_as * each_s,
            diode_high_a: if off.charge_as > 0.0 { high_a } else { 0.0 },
            motor_w: square_a2 * self.motor_ohm,
            switch_w: switch_a2 * self.switch_ohm,
            diode_w: off.diode_j * each_s,
            turned_w: self.back_emf_v * motor_average_a,
        }
    }
}

/// The current rising toward its final value.
struct Rise {
    final_a: f64,
    tau_s: f64,
    on_s: f64,
}

impl Rise {
    fn top_a(&self, from_a: f64) -> f64 {
        from_a + (self.final_a - from_a) * -libm::expm1(-self.on_s / self.tau_s)
    }

    /// With d = from − final: i = final + d·e^(−t/τ).
    fn sums(&self, from_a: f64) -> Sums {
        let apart_a = from_a - self.final_a;
        let once = -self.tau_s * libm::expm1(-self.on_s / self.tau_s);
        let twice = -0.5 * self.tau_s * libm::expm1(-2.0 * self.on_s / self.tau_s);
        Sums {
            time_s: self.on_s,
            charge_as: self.final_a * self.on_s + apart_a * once,
            square_a2s: self.final_a * self.final_a * self.on_s
                + 2.0 * self.final_a * apart_a * once
                + apart_a * apart_a * twice,
            diode_j: 0.0,
        }
    }
}
