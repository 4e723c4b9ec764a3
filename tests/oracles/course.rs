//! A pack stepped much more finely than a run steps it.

use cellwright::run::stepper::{PackCircuit, Stepper};

/// Times and lowest group voltages in steps of `dt_s`, until nothing is found any more or the voltage is under `until_v`.
pub(crate) fn fine(circuit: &PackCircuit, dt_s: f64, until_v: f64) -> Vec<(f64, f64)> {
    let mut stepper = Stepper::new(circuit, |_| 1.0);
    let mut course = vec![(0.0, stepper.now().unwrap().lowest_group_v)];
    while let (Ok(_), Ok(now)) = (stepper.step(dt_s), stepper.now()) {
        course.push((dt_s * course.len() as f64, now.lowest_group_v));
        if now.lowest_group_v < until_v {
            break;
        }
    }
    course
}

/// When the course first comes down to a voltage, after its first moment.
pub(crate) fn reaches_s(course: &[(f64, f64)], v: f64) -> f64 {
    let at = course.windows(2).find(|pair| pair[1].1 <= v);
    at.map_or(course[course.len() - 1].0, |pair| {
        let ((from_s, from_v), (to_s, to_v)) = (pair[0], pair[1]);
        from_s + (to_s - from_s) * ((from_v - v) / (from_v - to_v)).clamp(0.0, 1.0)
    })
}
