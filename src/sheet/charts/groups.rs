//! The groups as stacked cells on one axis of charge; what the weakest group leaves unused in the others is hatched.

use super::axes::{Axis, LEFT, Plot, RIGHT};
use super::{Chart, ChartColumn};
use crate::pack::Group;
use crate::plan::report::GroupReport;
use crate::plan::{Plan, Report};
use crate::quantity::said::{Filling, Wording, wordings};
use crate::quantity::tongue::Tongue;
use crate::sheet::drawing::{Anchor, Ink, fitted, text_width};
use alloc::format;
use alloc::vec::Vec;

/// From one group's bar to the next.
const PITCH: f64 = 34.0;
/// Height of a bar.
const BAR: f64 = 20.0;

pub(super) fn chart(plan: &Plan, report: &Report, tongue: &Tongue) -> Chart {
    let groups = &report.pack.groups;
    let most = groups.iter().map(total_ah).fold(0.0, f64::max);
    let weakest = groups.iter().map(total_ah).fold(f64::MAX, f64::min).min(most);
    let x = Axis::new(0.0, most.max(1e-3), 5.0, LEFT, RIGHT);
    let mut plot = Plot::new(tongue);
    plot.text(10.0, 16.0, Anchor::Left, Ink::Solid, &fitted(&report.name, 11.0, 340.0));
    plot.said(10.0, 30.0, Anchor::Left, CHARGES);
    let top = 40.0;
    let bottom = top + PITCH * groups.len() as f64;
    plot.down(&x, top, bottom, true);
    for (row, (group, cells)) in groups.iter().zip(&plan.pack.groups).rev().enumerate() {
        let y = top + PITCH * row as f64 + 7.0;
        plot.text(LEFT - 6.0, y + 14.0, Anchor::Right, Ink::Solid, &format!("G{}", groups.len() - row));
        bar(&mut plot, &x, y, group, cells, weakest);
    }
    plot.line(Ink::Third, alloc::vec![[x.at(weakest), top], [x.at(weakest), bottom]]);
    plot.said(RIGHT, bottom + 27.0, Anchor::Right, WEAKEST);
    let unused = groups.iter().map(|group| total_ah(group) - weakest).sum::<f64>();
    let phrase = GROUPS.with([Filling::number(weakest, "ah"), Filling::number(unused, "ah")]);
    let title = TITLE.with([report.name.as_str().into()]);
    let (words, said) = (phrase.words, Some(phrase.said));
    Chart { drawing: plot.drawing(&title, bottom + 36.0), words, said, table: table(groups, weakest) }
}

fn total_ah(group: &GroupReport) -> f64 {
    group.cell_capacity_ah.iter().sum()
}

/// One group: its cells side by side, what lies above the weakest group hatched.
fn bar(plot: &mut Plot<'_>, x: &Axis, y: f64, group: &GroupReport, cells: &Group, weakest: f64) {
    let mut from = 0.0;
    for (capacity_ah, cell) in group.cell_capacity_ah.iter().zip(&cells.cells) {
        let (left, right) = (x.at(from), x.at(from + capacity_ah));
        plot.boxed(Ink::Pale, [left, y], right - left, BAR);
        let name = fitted(&cell.name, 10.0, right - left - 6.0);
        if right - left > 18.0 && text_width(&name, 10.0) <= right - left - 4.0 {
            let middle = 0.5 * (left + x.at((from + capacity_ah).min(weakest).max(from)));
            plot.text(middle, y + 14.0, Anchor::Middle, Ink::Text, &name);
        }
        from += capacity_ah;
    }
    plot.hatch([x.at(weakest), y], x.at(from) - x.at(weakest), BAR);
}

fn table(groups: &[GroupReport], weakest: f64) -> Vec<ChartColumn> {
    let column = |code, wording: Wording, of: &dyn Fn(&GroupReport, usize) -> f64| ChartColumn {
        code,
        words: wording.words,
        values: groups.iter().enumerate().map(|(g, group)| Some(of(group, g))).collect(),
    };
    alloc::vec![
        column("group", GROUP, &|_, g| (g + 1) as f64),
        column("cells", CELLS, &|group, _| group.cell_capacity_ah.len() as f64),
        column("capacity_ah", CAPACITY_AH, &|group, _| total_ah(group)),
        column("unused_ah", UNUSED_AH, &|group, _| total_ah(group) - weakest),
    ]
}

wordings! {
    TITLE: "drawn_groups_title", "Groups of {0}";
    CHARGES: "drawn_groups", "Charge of the groups, Ah; hatched: never used";
    WEAKEST: "drawn_weakest", "charge, Ah; dots: the weakest group";
    GROUPS: "chart_groups", "The weakest group holds {0} between full and floor; the others leave {1} unused together.";
    GROUP: "column_group", "group from the negative end";
    CELLS: "column_cells", "cells";
    CAPACITY_AH: "column_capacity_ah", "likely charge, Ah";
    UNUSED_AH: "column_unused_ah", "never used, Ah";
}
