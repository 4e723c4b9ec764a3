//! What the model's own error does to the end of a run.
//!
//! ```text
//! flat where   runtime − time at which the nearest end is only off_v away   >   off_ratio · runtime
//! ```
//!
//! Where the voltage falls steeply, a model that is a few millivolts off moves the end by little. On a plateau the same
//! millivolts decide about much of the runtime: only the time down to `off_v` above the end is promised there.
//! Both errors are the largest that the comparison with simulated discharges of published cells leaves where the
//! result is trusted: of the time to the end, and of the voltage after a tenth and after half of the charge
//! (`tests/discharges.rs`, `tests/other_cells.rs`). Straight between 5 °C and 25 °C, level beyond.

/// Largest error of the runtime at 5 °C and at 25 °C, as a ratio.
pub const MODEL_RATIO: [(f64, f64); 2] = [(5.0, 0.04), (25.0, 0.02)];

/// Largest error of a cell's voltage under load at 5 °C and at 25 °C, in volts.
pub const MODEL_OFF_V: [(f64, f64); 2] = [(5.0, 0.020), (25.0, 0.010)];

/// Largest error of the runtime at a temperature, as a ratio.
pub(crate) fn model_ratio(cell_degc: f64) -> f64 {
    between(MODEL_RATIO, cell_degc)
}

fn between([(cold_degc, cold), (warm_degc, warm)]: [(f64, f64); 2], cell_degc: f64) -> f64 {
    let share = ((cell_degc - cold_degc) / (warm_degc - cold_degc)).clamp(0.0, 1.0);
    cold + (warm - cold) * share
}

/// How near a run has come to its end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Nearing {
    /// Lowest temperature of any cell so far, in degrees Celsius.
    coldest_degc: f64,
    /// The two moments looked at last, the later first: time in seconds, and the voltage left to the nearest end.
    last: [Option<(f64, f64)>; 2],
    /// First time at which the end was no further than the model's error, in seconds.
    near_from_s: Option<f64>,
}

impl Nearing {
    pub(super) const START: Self = Self { coldest_degc: f64::MAX, last: [None; 2], near_from_s: None };

    /// Looks at a moment at which the nearest end is `near_v` away, in volts of one group.
    pub(super) fn look(&mut self, time_s: f64, near_v: f64, coldest_degc: f64) {
        self.coldest_degc = self.coldest_degc.min(coldest_degc);
        let off_v = between(MODEL_OFF_V, self.coldest_degc);
        if self.near_from_s.is_none() && near_v <= off_v {
            self.near_from_s = Some(self.reached_s((time_s, near_v), off_v));
        }
        self.last = [Some((time_s, near_v)), self.last[0]];
    }

    /// When the voltage left came down to `off_v`, no later than it did whichever way it bends: where it falls ever more
    /// slowly, the line through the two moments before lies below it, otherwise the line to the present moment.
    fn reached_s(&self, now: (f64, f64), off_v: f64) -> f64 {
        let [Some(last), before] = self.last else { return now.0 };
        let line_s = |(from_s, from_v): (f64, f64), (to_s, to_v): (f64, f64)| {
            let at_s = last.0 + (to_s - from_s) * (last.1 - off_v) / (from_v - to_v);
            if from_v > to_v { at_s.clamp(last.0, now.0) } else { now.0 }
        };
        before.map_or(last.0, |before| line_s(before, last)).min(line_s(last, now))
    }

    /// First time at which the end was no further than the model's error, in seconds.
    pub(super) const fn near_from_s(&self) -> Option<f64> {
        self.near_from_s
    }

    /// The same where more of the runtime lies behind it than the runtime's own error.
    pub(super) fn flat_from_s(&self, runtime_s: f64) -> Option<f64> {
        self.near_from_s.filter(|from_s| is_flat(*from_s, runtime_s, self.coldest_degc))
    }
}

/// Whether the time from `from_s` to the end is more than the runtime's own error.
pub(crate) fn is_flat(from_s: f64, runtime_s: f64, coldest_degc: f64) -> bool {
    runtime_s - from_s > model_ratio(coldest_degc) * runtime_s
}
