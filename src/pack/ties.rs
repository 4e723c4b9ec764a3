//! Cells that may change places without the measurement telling the difference.

use super::contest::Contestants;
use super::group::Matching;
use super::search::Arrangement;
use crate::quantity::order::sort_by;
use crate::quantity::root::sqrt;
use alloc::string::String;
use alloc::vec::Vec;

/// Most ties that are listed.
pub const MOST: usize = 50;

/// Two cells of one kind, in different groups or one of them a spare, whose capacities differ by no more than the
/// measurement can tell: the root of the sum of squares of their half widths.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Tie {
    /// Place of the cell with more capacity in the list of cells, from 0.
    pub cell: usize,
    /// Its name.
    pub name: String,
    /// Place of the other.
    pub other: usize,
    /// Its name.
    pub other_name: String,
    /// How much their likely capacities differ, in ampere-hours.
    pub difference_ah: f64,
    /// How much the measurement can tell apart, in ampere-hours.
    pub error_ah: f64,
}

/// The closest ties of an arrangement, and how many there are.
pub(super) fn ties(matching: &Matching, contestants: &Contestants, best: &Arrangement) -> (Vec<Tie>, usize) {
    let mut seats: Vec<(usize, usize)> = Vec::new();
    for (group, cells) in best.groups.iter().enumerate() {
        seats.extend(cells.iter().map(|cell| (*cell, group)));
    }
    seats.extend(best.spares.iter().map(|cell| (*cell, usize::MAX)));
    let ah = |cell: usize| contestants.capacity_ah.get(cell).map_or(0.0, |ah| ah.likely);
    sort_by(&mut seats, |a, b| ah(b.0).total_cmp(&ah(a.0)).then(a.0.cmp(&b.0)));
    let widest = seats.iter().map(|seat| contestants.half_ah(seat.0)).fold(0.0, f64::max);
    let mut found: Vec<(f64, f64, usize, usize)> = Vec::new();
    let mut in_all = 0;
    for (place, &(cell, group)) in seats.iter().enumerate() {
        let half_ah = contestants.half_ah(cell);
        let reach_ah = sqrt(half_ah * half_ah + widest * widest);
        let near = seats.iter().skip(place + 1).take_while(|other| ah(cell) - ah(other.0) <= reach_ah);
        for &(other, other_group) in near {
            let other_half = contestants.half_ah(other);
            let error_ah = sqrt(half_ah * half_ah + other_half * other_half);
            let difference_ah = ah(cell) - ah(other);
            let same_kind = contestants.class.get(cell) == contestants.class.get(other);
            if group != other_group && same_kind && difference_ah <= error_ah {
                in_all += 1;
                found.push((difference_ah, error_ah, cell, other));
            }
        }
        if found.len() > 100 * MOST {
            keep_closest(&mut found);
        }
    }
    keep_closest(&mut found);
    let tie = |(difference_ah, error_ah, cell, other): (f64, f64, usize, usize)| {
        let place = |cell: usize| contestants.places.get(cell).copied().unwrap_or(0);
        let name = |cell: usize| matching.cells.get(place(cell)).map(|cell| cell.name.clone()).unwrap_or_default();
        let (name, other_name) = (name(cell), name(other));
        Tie { cell: place(cell), name, other: place(other), other_name, difference_ah, error_ah }
    };
    (found.into_iter().map(tie).collect(), in_all)
}

fn keep_closest(found: &mut Vec<(f64, f64, usize, usize)>) {
    sort_by(found, |a, b| a.0.total_cmp(&b.0).then((a.2, a.3).cmp(&(b.2, b.3))));
    found.truncate(MOST);
}
