//! The resistor or lamp through which a new build sees power for the first time.
//!
//! ```text
//! resistor_ohm ≥ full_v / 0.4 A      next preferred value up; it stands the whole pack's voltage for good
//! ```
//!
//! Enough for every controller, too little to burn anything if the build is shorted. Source: Ohm's law; the current is
//! common practice, no source.

use super::parts::THEN;
use crate::plan::Plan;
use crate::quantity::said::{Filling, Phrase, Said, wordings};
use alloc::string::String;

/// Largest current of a shorted build behind the resistor, in amperes.
const LIMIT_A: f64 = 0.4;

/// Preferred values of the E12 series, the first of the next decade included. Source: IEC 60063:2015, table 1.
const E12: [f64; 13] = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10.0];

/// Ratings of wire-wound resistors, in watts. Common practice, no source.
const RATINGS_W: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 17.0, 25.0, 50.0, 100.0];

/// The limiting resistor of a build.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Limiter {
    /// Its resistance, in ohms.
    pub resistor_ohm: f64,
    /// Largest current through it, in amperes.
    pub limit_a: f64,
    /// Heat in it while the build is shorted, in watts.
    pub heat_w: f64,
    /// Rating to take, in watts.
    pub rating_w: f64,
    /// The same in words, with the lamp that does it too.
    pub words: String,
    /// The same by code.
    pub said: Said,
}

/// Its resistance for a plan, in ohms.
pub(super) fn resistor_ohm(plan: &Plan) -> f64 {
    let least = plan.pack.groups.len() as f64 * plan.pack.full_v / LIMIT_A;
    let decade = libm::pow(10.0, libm::floor(libm::log10(least.max(1.0))));
    E12.into_iter().map(|value| value * decade).find(|ohm| *ohm >= least).unwrap_or(10.0 * decade)
}

/// The resistor for a plan.
pub(super) fn limiter(plan: &Plan) -> Limiter {
    let full_v = plan.pack.groups.len() as f64 * plan.pack.full_v;
    let resistor_ohm = resistor_ohm(plan);
    let heat_w = full_v * full_v / resistor_ohm;
    let rating_w = RATINGS_W.into_iter().find(|rating| *rating >= 1.5 * heat_w).unwrap_or(1.5 * heat_w);
    let limit_a = full_v / resistor_ohm;
    let numbers = [
        Filling::number(resistor_ohm, "ohm"),
        Filling::number(rating_w, "w"),
        Filling::up(limit_a, "a"),
        Filling::up(heat_w, "w"),
    ];
    let phrase = LIMITER.with(numbers);
    let lamp = (9.0..=16.0).contains(&full_v).then(|| LAMP.plain());
    let phrase = Phrase::joined([Some(phrase), lamp].into_iter().flatten(), &THEN).unwrap_or_else(|| LAMP.plain());
    Limiter { resistor_ohm, limit_a, heat_w, rating_w, words: phrase.words, said: phrase.said }
}

/// The same as a sentence.
pub(super) fn limiter_phrase(plan: &Plan) -> Phrase {
    let Limiter { words, said, .. } = limiter(plan);
    Phrase { words, said }
}

wordings! {
    LIMITER: "limiter", "{0}, {1} wire-wound: a shorted build then draws {2} and heats it with {3}. It gets too hot to touch.";
    LAMP: "limiter_lamp", "A 12 V lamp of 5 W does it too: it lights up where the build is shorted.";
}
