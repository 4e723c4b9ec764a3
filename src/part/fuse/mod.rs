//! Which fuse rating lies between the load and the wire, and whether it opens in every fault.
//!
//! ```text
//! carries     load_a ≤ rating · continuous share · share left at the temperature around
//! holds       surge_s ≤ shortest time of the next published point above surge_a / rating
//! protects    rating ≤ wire limit, and lowest opening multiple · rating ≤ 1.45 · wire limit
//! breaks      largest fault ≤ what the fuse breaks at direct current, pack voltage ≤ its direct voltage
//! opens       smallest fault reaches a published point with a longest time t, and I²·t stays under the wire's k²·S² for
//!             the smallest fault above 1.45 · wire limit
//! ```
//!
//! Published points are gates: between two of them the bound of the neighbour holds, nothing is interpolated, and below
//! the lowest gate with a longest time no time is promised. What is not published is not judged, and never counts as
//! kept. Sources stand in [`crate::data::fuse`].

pub(crate) mod rating;

pub use rating::{FuseRating, PulseShape, longest_s, pulse_a2s, pulse_share_ratio, shortest_s, tripped_a};
pub(crate) use rating::{carried_ratio, hottest_ratio, opens_a};

use crate::data::Source;
use crate::data::fuse::{FuseFamily, OVERLOAD_RATIO};
use crate::error::{Check, Error};
use crate::quantity::said::{Filling, Phrase, Said, wordings};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Where a fuse sits, and why. Common practice, no source.
pub const PLACE_WORDS: &str = "Within a hand's width of the pack's positive end, before switch, board and every other \
    part: what lies before the fuse is not protected by it. Where strings of cells are tied in parallel, each string has \
    its own: a shorted string is otherwise fed by the others.";

/// A fuse that is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FuseWish {
    /// Kind of fuse.
    pub family: FuseFamily,
    /// Largest RMS current of the load, in amperes.
    pub load_a: f64,
    /// Highest current at switching on, in amperes.
    pub surge_a: Option<f64>,
    /// How long that current lasts, in seconds.
    pub surge_s: Option<f64>,
    /// What the thinnest wire behind the fuse may carry for good, in amperes.
    pub wire_limit_a: f64,
    /// Current squared times time that the insulation of that wire stands, in A²·s.
    pub wire_withstand_a2s: Option<f64>,
    /// Temperature around the fuse, in degrees Celsius.
    pub ambient_degc: f64,
    /// Highest voltage of the pack, in volts.
    pub pack_v: f64,
    /// Largest fault current, in amperes: full and warm pack, lowest credible resistance, fault right behind the fuse.
    pub fault_high_a: Option<f64>,
    /// Smallest fault current, in amperes: empty and cold pack, highest resistance, fault at the far end of the leads.
    pub fault_low_a: Option<f64>,
}

/// Which ratings do it, or what must change.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FuseAnswer {
    /// The smallest rating that keeps everything that could be judged; nothing where none does.
    pub rating_a: Option<f64>,
    /// Every rating of this kind, the smallest first, with what it keeps.
    pub ratings: Vec<FuseRating>,
    /// Smallest rating that the load needs, in amperes, not rounded to one that is made.
    pub lowest_a: f64,
    /// Largest rating that the wire allows, in amperes, not rounded to one that is made.
    pub highest_a: f64,
    /// What must change where no rating fits.
    pub change: Option<FuseChange>,
    /// What must change, or what is left open, in words.
    pub change_words: String,
    /// The same by code; nothing where nothing is left open.
    pub change_said: Option<Said>,
    /// Where the fuse sits, and why.
    pub place_words: &'static str,
    /// Where the share of continuous load comes from.
    pub continuous_source: Source,
    /// Where the gates come from.
    pub source: Source,
}

/// What must change so that a fuse fits.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum FuseChange {
    /// A thicker wire, which may carry this much for good, or branches with a fuse each.
    ThickerWireOrBranches {
        /// Limit that the wire needs, in amperes.
        wire_limit_a: f64,
    },
    /// A fuse that holds the surge longer, or a softer start.
    SlowerFuseOrSoftStart,
    /// A fuse that breaks more current or voltage at direct current.
    StrongerFuse,
    /// Shorter or thicker leads or a stronger pack, so that the smallest fault opens the fuse.
    MoreFaultCurrent,
    /// A kind of fuse that is made in this size, or rated at this temperature.
    OtherFamily,
}

impl FuseWish {
    fn check(&self, check: &mut Check) {
        check.within("load_a", self.load_a, 0.001, 1000.0);
        check.within("wire_limit_a", self.wire_limit_a, 0.001, 1000.0);
        check.within("ambient_degc", self.ambient_degc, -40.0, 125.0);
        check.within("pack_v", self.pack_v, 0.5, 100.0);
        for (field, value, low, high) in [
            ("surge_a", self.surge_a, 0.0, 10000.0),
            ("surge_s", self.surge_s, 0.0, 3600.0),
            ("wire_withstand_a2s", self.wire_withstand_a2s, 0.01, 1e9),
            ("fault_high_a", self.fault_high_a, 0.0, 1e5),
            ("fault_low_a", self.fault_low_a, 0.0, 1e5),
        ] {
            if let Some(value) = value {
                check.within(field, value, low, high);
            }
        }
        if let (Some(low), Some(high)) = (self.fault_low_a, self.fault_high_a)
            && low > high
        {
            check.note(Error::other("fault_low_a", format!("{low} A"), "no more than fault_high_a"));
        }
    }

    /// Which rating fits, or what must change.
    ///
    /// # Errors
    ///
    /// Every value out of range, with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::data::fuse::FuseFamily;
    /// # use cellwright::part::fuse::{FuseChange, FuseWish};
    /// let wish = FuseWish {
    ///     family: FuseFamily::Blade, load_a: 3.0, surge_a: Some(9.0), surge_s: Some(0.1), wire_limit_a: 12.0,
    ///     wire_withstand_a2s: Some(7439.0), ambient_degc: 25.0, pack_v: 12.6, fault_high_a: Some(150.0),
    ///     fault_low_a: Some(40.0),
    /// };
    /// assert_eq!(wish.answer()?.rating_a, Some(5.0));
    /// let thin = FuseWish { wire_limit_a: 3.5, ..wish }.answer()?;
    /// assert_eq!(thin.rating_a, None);
    /// assert_eq!(thin.change, Some(FuseChange::ThickerWireOrBranches { wire_limit_a: 4.0 }));
    /// assert_eq!(FuseWish { load_a: -1.0, ..wish }.answer().unwrap_err()[0].path(), "/load_a");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<FuseAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let row = self.family.row();
        let ratings: Vec<_> = row.ratings_a.iter().map(|rating_a| self.rated(*rating_a)).collect();
        let rating_a = ratings.iter().find(|rating| rating.breaks_nothing()).map(|rating| rating.rating_a);
        let change = if rating_a.is_some() { None } else { Some(self.change(&ratings)) };
        let open = ratings.iter().find(|rating| Some(rating.rating_a) == rating_a);
        let lowest_a = match self.carried_ratio() {
            Some(ratio) => self.load_a / ratio,
            None => self.load_a / row.continuous_ratio,
        };
        let (change_words, change_said) =
            self.change_phrase(change, open).map(|phrase| (phrase.words, phrase.said)).unzip();
        Ok(FuseAnswer {
            rating_a,
            lowest_a,
            highest_a: self.highest_a(),
            change,
            change_words: change_words.unwrap_or_default(),
            change_said,
            ratings,
            place_words: PLACE_WORDS,
            continuous_source: row.continuous_source,
            source: row.source,
        })
    }

    /// Largest rating that the wire allows, in amperes.
    fn highest_a(&self) -> f64 {
        let opens = self.family.row().gates.iter().find(|gate| gate.longest_s.is_some());
        let by_opening = opens.map_or(0.0, |gate| OVERLOAD_RATIO * self.wire_limit_a / gate.multiple_ratio);
        self.wire_limit_a.min(by_opening)
    }

    /// The first thing that keeps every rating from fitting; never a pick among the ratings.
    fn change(&self, ratings: &[FuseRating]) -> FuseChange {
        let carrying = || ratings.iter().filter(|rating| rating.carries == Some(true));
        let Some(smallest) = carrying().next() else { return FuseChange::OtherFamily };
        if carrying().any(|rating| rating.breaks == Some(false)) {
            return FuseChange::StrongerFuse;
        }
        let protecting = || carrying().filter(|rating| rating.protects_wire);
        if protecting().next().is_none() {
            let wire_limit_a = smallest.rating_a * self.wire_limit_a / self.highest_a();
            return FuseChange::ThickerWireOrBranches { wire_limit_a };
        }
        if protecting().all(|rating| rating.holds_surge == Some(false)) {
            return FuseChange::SlowerFuseOrSoftStart;
        }
        FuseChange::MoreFaultCurrent
    }

    fn change_phrase(&self, change: Option<FuseChange>, fitting: Option<&FuseRating>) -> Option<Phrase> {
        let phrase = match change {
            Some(FuseChange::ThickerWireOrBranches { wire_limit_a }) => CHANGE_WIRE.with([
                Filling::up(self.load_a, "a"),
                Filling::down(self.wire_limit_a, "a"),
                Filling::up(wire_limit_a, "a"),
            ]),
            Some(FuseChange::SlowerFuseOrSoftStart) => CHANGE_SLOWER.plain(),
            Some(FuseChange::StrongerFuse) => CHANGE_STRONGER.plain(),
            Some(FuseChange::MoreFaultCurrent) => CHANGE_FAULT.plain(),
            Some(FuseChange::OtherFamily) => CHANGE_FAMILY.plain(),
            None => return fitting.and_then(FuseRating::open_phrase),
        };
        Some(phrase)
    }
}

wordings! {
    CHANGE_WIRE: "fuse_change_wire", "No rating lies between the load ({0}) and the wire ({1}). Take a wire that may carry {2} for good, or split the load into branches with a fuse each.";
    CHANGE_SLOWER: "fuse_change_slower", "Every rating that the wire allows may open at switching on. Take a fuse of a slower kind, a softer start, or a thicker wire with a larger fuse.";
    CHANGE_STRONGER: "fuse_change_stronger", "The largest fault is more than this kind of fuse is known to break at direct current. Take a fuse with a larger direct-current breaking rating.";
    CHANGE_FAULT: "fuse_change_fault", "The smallest fault would not open any fitting rating before the thinnest wire passes its limit. Take shorter or thicker leads, a stronger pack, or branches with smaller fuses.";
    CHANGE_FAMILY: "fuse_change_family", "This kind of fuse is not made in a size that carries the load at this temperature. Take another kind, or a cooler place.";
}
