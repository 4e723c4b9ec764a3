//! Which cells take part in the search for groups, and what they become in the answer.

use super::group::{LeftOut, LeftOutFor, MatchedGroup, Matching, SELF_DISCHARGE_MOST_RATIO, SELF_DISCHARGE_STEP_RATIO};
use super::search::{Arrangement, Contender, Progress, STEP_AH, Search};
use super::share::{Sharer, fairest, sharing_ratio};
use crate::error::Error;
use crate::part::cell::Chemistry;
use crate::quantity::order::sort_numbers;
use crate::quantity::root::sqrt;
use crate::quantity::{End, Interval};
use alloc::format;
use alloc::string::String;
use alloc::vec::Vec;

/// Standard deviations that a normal distribution has for each median deviation.
const DEVIATIONS: f64 = 1.4826;

/// Cells that take part, and the search over them.
#[derive(Clone, Debug)]
pub(super) struct Eligible {
    /// Places in the list of cells.
    pub(super) cells: Vec<usize>,
    /// The others.
    pub(super) left_out: Vec<LeftOut>,
    pub(super) search: Search,
}

/// The cells that take part, with what the answer needs.
pub(super) struct Contestants {
    /// Places in the list of cells.
    pub(super) places: Vec<usize>,
    pub(super) capacity_ah: Vec<Interval>,
    pub(super) class: Vec<usize>,
    /// Empty where a resistance is missing.
    sharers: Vec<Sharer>,
}

impl Matching {
    /// Leaves out what must not take part and prepares the search.
    pub(super) fn eligible(&self) -> Result<Eligible, Vec<Error>> {
        let mut left_out = self.outliers();
        let sound: Vec<usize> =
            (0..self.cells.len()).filter(|place| left_out.iter().all(|cell| cell.cell != *place)).collect();
        let mut chemistries: Vec<&Chemistry> = Vec::new();
        for cell in sound.iter().filter_map(|place| self.cells.get(*place)) {
            if !chemistries.contains(&&cell.chemistry) {
                chemistries.push(&cell.chemistry);
            }
        }
        let mut best: Option<(f64, Vec<usize>, Vec<usize>, Search)> = None;
        for chemistry in chemistries {
            let is_of = |place: &usize| self.cells.get(*place).is_some_and(|cell| cell.chemistry == *chemistry);
            let (cells, others): (Vec<usize>, Vec<usize>) = sound.iter().partition(|place| is_of(place));
            if let Ok(search) = self.search(&cells) {
                let bound_ah = search.progress().bound_ah;
                if best.as_ref().is_none_or(|best| bound_ah > best.0) {
                    best = Some((bound_ah, cells, others, search));
                }
            }
        }
        if let Some((_, cells, others, search)) = best {
            left_out.extend(others.into_iter().map(|place| self.left_out(place, LeftOutFor::Chemistry)));
            return Ok(Eligible { cells, left_out, search });
        }
        let search = self.search(&sound).map_err(|error| alloc::vec![without(error, &left_out)])?;
        Ok(Eligible { cells: sound, left_out, search })
    }

    fn search(&self, places: &[usize]) -> Result<Search, Error> {
        let contestants = Contestants::of(self, places);
        let capacities = contestants.capacity_ah.iter().zip(&contestants.class);
        let cells: Vec<Contender> =
            capacities.map(|(ah, class)| Contender { capacity_ah: ah.likely, class: *class }).collect();
        Search::new(&cells, self.series as usize, self.parallel as usize)
    }

    /// Cells whose self-discharge stands out.
    fn outliers(&self) -> Vec<LeftOut> {
        let ratios: Vec<(usize, f64)> = self
            .cells
            .iter()
            .enumerate()
            .filter_map(|(place, cell)| cell.self_discharge_ratio.map(|ratio| (place, ratio.likely)))
            .collect();
        let Some(median) = median(ratios.iter().map(|ratio| ratio.1).collect()) else { return Vec::new() };
        let deviations = ratios.iter().map(|ratio| libm::fabs(ratio.1 - median)).collect();
        let robust = 3.0 * DEVIATIONS * self::median(deviations).unwrap_or(0.0);
        let step = if robust > SELF_DISCHARGE_STEP_RATIO { robust } else { SELF_DISCHARGE_STEP_RATIO };
        let limit_ratio =
            if median + step < SELF_DISCHARGE_MOST_RATIO { median + step } else { SELF_DISCHARGE_MOST_RATIO };
        let out = |&(place, self_discharge_ratio): &(usize, f64)| {
            (self_discharge_ratio > limit_ratio)
                .then(|| self.left_out(place, LeftOutFor::SelfDischarge { self_discharge_ratio, limit_ratio }))
        };
        ratios.iter().filter_map(out).collect()
    }
}

/// The error that cells are too few, with those that were left out.
fn without(error: Error, left_out: &[LeftOut]) -> Error {
    if left_out.is_empty() {
        return error;
    }
    let names: Vec<&str> = left_out.iter().map(|cell| cell.name.as_str()).collect();
    let given = format!("{} after {} stay out for their self-discharge", error.given(), names.join(", "));
    Error::other("cells", given, error.accepted())
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    sort_numbers(&mut values);
    crate::quantity::draw::percentile(&values, 0.5)
}

impl Contestants {
    pub(super) fn of(matching: &Matching, places: &[usize]) -> Self {
        let mut kinds: Vec<(&Chemistry, Option<&String>)> = Vec::new();
        let (mut capacity_ah, mut class, mut sharers) = (Vec::new(), Vec::new(), Vec::new());
        for cell in places.iter().filter_map(|place| matching.cells.get(*place)) {
            let kind = (&cell.chemistry, cell.model.as_ref());
            let place = kinds.iter().position(|known| *known == kind).unwrap_or_else(|| {
                kinds.push(kind);
                kinds.len() - 1
            });
            let ah = cell.capacity_ah.unwrap_or(Interval::exact(0.0));
            capacity_ah.push(ah);
            class.push(place);
            if let Some(ohm) = cell.resistance_ohm {
                sharers.push(Sharer { capacity_ah: ah.likely, resistance_ohm: ohm.likely, class: place });
            }
        }
        if sharers.len() < class.len() {
            sharers.clear();
        }
        Self { places: places.to_vec(), capacity_ah, class, sharers }
    }

    /// Half width of a cell's capacity, in ampere-hours.
    pub(super) fn half_ah(&self, cell: usize) -> f64 {
        self.capacity_ah.get(cell).map_or(0.0, |ah| 0.5 * (ah.high - ah.low))
    }

    /// How far the measurement can be off for a whole group, the largest of all.
    pub(super) fn error_ah(&self, best: &Arrangement) -> f64 {
        let square = |cell: &usize| self.half_ah(*cell) * self.half_ah(*cell);
        let of_group = |group: &Vec<usize>| sqrt(group.iter().map(square).sum());
        best.groups.iter().map(of_group).fold(0.0, f64::max)
    }

    /// The groups of an arrangement for the answer.
    pub(super) fn groups(&self, matching: &Matching, arrangement: &Arrangement) -> Vec<MatchedGroup> {
        arrangement.groups.iter().filter_map(|group| self.group(matching, group)).collect()
    }

    fn group(&self, matching: &Matching, group: &[usize]) -> Option<MatchedGroup> {
        let cells: Vec<usize> = group.iter().filter_map(|cell| self.places.get(*cell).copied()).collect();
        let known: Vec<_> = cells.iter().filter_map(|place| matching.cells.get(*place)).collect();
        let first = known.first()?;
        let total = |end: End| known.iter().filter_map(|cell| cell.capacity_ah).map(|ah| ah.at(end)).sum();
        let siemens: f64 = group.iter().filter_map(|cell| self.sharers.get(*cell)).map(Sharer::siemens).sum();
        Some(MatchedGroup {
            names: known.iter().map(|cell| cell.name.clone()).collect(),
            model: first.model.clone(),
            chemistry: first.chemistry.clone(),
            capacity_ah: Interval { low: total(End::Low), likely: total(End::Likely), high: total(End::High) },
            resistance_ohm: (siemens > 0.0).then(|| 1.0 / siemens),
            sharing_ratio: sharing_ratio(&self.sharers, group),
            cells,
        })
    }

    /// Groups that share more evenly than the best and that the measurement cannot tell from it.
    pub(super) fn fairest(&self, matching: &Matching, progress: &Progress, error_ah: f64) -> Option<Vec<MatchedGroup>> {
        if self.sharers.is_empty() {
            return None;
        }
        // Half a step of the search, so that sums in another order still count as equal.
        let margin_ah = error_ah + 0.5 * STEP_AH;
        let (low_ah, strongest_ah) = (progress.weakest_ah - margin_ah, progress.weakest_ah + progress.spread_ah);
        let fairer = fairest(&progress.best, &self.sharers, low_ah, strongest_ah + margin_ah);
        (fairer != progress.best).then(|| self.groups(matching, &fairer))
    }
}
