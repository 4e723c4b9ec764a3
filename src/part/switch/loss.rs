//! Loss of a switch and its diode.
//!
//! ```text
//! conduction   duty · I² · R · hot_ratio
//! switching    ½ · supply · I · (t_rise + t_fall) · f        a coil keeps the current while the voltage moves
//! gate         Q · V_gate · f
//! diode        (1 − duty) · I · V_forward
//! edges        Q / I_gate
//! ```
//!
//! Holds for a current that hardly changes within a period; with ripple use the RMS values of
//! [`crate::part`]'s chopped motor. Source: standard formulas, from memory; edges from an engineering article,
//! "MOSFET as a switch".

use crate::error::{Error, within};

/// A chopped current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Chopped {
    /// Supply, in volts.
    pub supply_v: f64,
    /// Current while the switch is on, in amperes.
    pub on_a: f64,
    /// Share of the period with the switch on, 0 to 1.
    pub duty: f64,
    /// Frequency of chopping, in hertz.
    pub frequency_hz: f64,
}

impl Chopped {
    /// Loss in the conducting switch, in watts, with `on_ohm` at 25 °C and `hot_ratio` times that when hot.
    ///
    /// # Errors
    ///
    /// Names the first value outside its range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::switch::Chopped;
    /// let chopped = Chopped { supply_v: 12.0, on_a: 5.0, duty: 1.0, frequency_hz: 100.0 };
    /// assert!((chopped.conduction_w(17.5e-3, 1.5)? - 0.65625).abs() < 1e-12);
    /// assert!(chopped.conduction_w(17.5e-3, f64::NAN).is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn conduction_w(&self, on_ohm: f64, hot_ratio: f64) -> Result<f64, Error> {
        self.checked()?;
        let hot_ohm = within("on_ohm", on_ohm, 0.0, 1e3)? * within("hot_ratio", hot_ratio, 0.1, 10.0)?;
        Ok(self.duty * self.on_a * self.on_a * hot_ohm)
    }

    /// Loss at both edges together, in watts, when they take `edges_s`.
    ///
    /// # Errors
    ///
    /// Names the first value outside its range; the edges must fit into the period.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::switch::Chopped;
    /// let chopped = Chopped { supply_v: 12.0, on_a: 5.0, duty: 0.5, frequency_hz: 25e3 };
    /// assert!((chopped.switching_w(2e-6)? - 1.5).abs() < 1e-12);
    /// assert!(chopped.switching_w(1.0).is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn switching_w(&self, edges_s: f64) -> Result<f64, Error> {
        self.checked()?;
        let edges_s = within("edges_s", edges_s, 0.0, 1.0 / self.frequency_hz)?;
        Ok(0.5 * self.supply_v * self.on_a * edges_s * self.frequency_hz)
    }

    /// Loss of charging the gate, in watts; it arises in the driver and the gate resistor.
    ///
    /// # Errors
    ///
    /// Names the first value outside its range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::switch::Chopped;
    /// let chopped = Chopped { supply_v: 12.0, on_a: 5.0, duty: 0.5, frequency_hz: 25e3 };
    /// assert!((chopped.gate_w(63e-9, 10.0)? - 0.01575).abs() < 1e-12);
    /// assert!(chopped.gate_w(-1.0, 10.0).is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn gate_w(&self, charge_coulomb: f64, drive_v: f64) -> Result<f64, Error> {
        self.checked()?;
        Ok(within("charge_coulomb", charge_coulomb, 0.0, 1e-4)?
            * within("drive_v", drive_v, 0.0, 60.0)?
            * self.frequency_hz)
    }

    /// Loss in the flyback diode, in watts, while the current stays the same.
    ///
    /// # Errors
    ///
    /// Names the first value outside its range.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::part::switch::Chopped;
    /// let chopped = Chopped { supply_v: 12.0, on_a: 3.0, duty: 0.5, frequency_hz: 25e3 };
    /// assert!((chopped.diode_w(0.5)? - 0.75).abs() < 1e-12);
    /// assert!(chopped.diode_w(-0.5).is_err());
    /// # Ok::<(), cellwright::Error>(())
    /// ```
    pub fn diode_w(&self, forward_v: f64) -> Result<f64, Error> {
        self.checked()?;
        Ok((1.0 - self.duty) * self.on_a * within("forward_v", forward_v, 0.0, 10.0)?)
    }

    fn checked(&self) -> Result<(), Error> {
        within("supply_v", self.supply_v, 0.1, 60.0)?;
        within("on_a", self.on_a, 0.0, 1000.0)?;
        within("duty", self.duty, 0.0, 1.0)?;
        within("frequency_hz", self.frequency_hz, 0.1, 1e6)?;
        Ok(())
    }
}

/// Time in which a steady gate current moves a gate charge, in seconds.
///
/// # Errors
///
/// Names the first value outside its range.
///
/// # Examples
///
/// ```
/// # use cellwright::part::switch::edge_s;
/// assert!((edge_s(63e-9, 1e-3)? - 63e-6).abs() < 1e-12);
/// assert!(edge_s(63e-9, 0.0).is_err());
/// # Ok::<(), cellwright::Error>(())
/// ```
pub fn edge_s(charge_coulomb: f64, gate_a: f64) -> Result<f64, Error> {
    Ok(within("charge_coulomb", charge_coulomb, 0.0, 1e-4)? / within("gate_a", gate_a, 1e-6, 100.0)?)
}
