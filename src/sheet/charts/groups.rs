//! The groups as stacked cells on one axis of charge; what the weakest group leaves unused in the others is hatched.

use super::axes::{Axis, LEFT, Plot, RIGHT};
use super::{Chart, ChartColumn};
use crate::plan::{Plan, Report};
use crate::sheet::basis::shown;
use crate::sheet::drawing::{Anchor, Ink, fitted, text_width};
use alloc::format;
use alloc::vec::Vec;

/// From one group's bar to the next.
const PITCH: f64 = 34.0;
/// Height of a bar.
const BAR: f64 = 20.0;

pub(super) fn chart(plan: &Plan, report: &Report) -> Chart {
    let groups = &report.pack.groups;
    let sum = |cells: &[f64]| cells.iter().sum::<f64>();
    let most = groups.iter().map(|group| sum(&group.cell_capacity_ah)).fold(0.0, f64::max);
    let weakest = groups.iter().map(|group| sum(&group.cell_capacity_ah)).fold(f64::MAX, f64::min).min(most);
    let x = Axis::new(0.0, most.max(1e-3), 5.0, LEFT, RIGHT);
    let mut plot = Plot::default();
    plot.text(10.0, 16.0, Anchor::Left, Ink::Solid, &fitted(&report.name, 11.0, 340.0));
    plot.text(10.0, 30.0, Anchor::Left, Ink::Text, "Charge of the groups, Ah; hatched: never used");
    let top = 40.0;
    let bottom = top + PITCH * groups.len() as f64;
    plot.down(&x, top, bottom, true);
    for (row, (group, cells)) in groups.iter().zip(&plan.pack.groups).rev().enumerate() {
        let y = top + PITCH * row as f64 + 7.0;
        plot.text(LEFT - 6.0, y + 14.0, Anchor::Right, Ink::Solid, &format!("G{}", groups.len() - row));
        let mut from = 0.0;
        for (capacity_ah, cell) in group.cell_capacity_ah.iter().zip(&cells.cells) {
            let (left, right) = (x.at(from), x.at(from + capacity_ah));
            plot.boxed(Ink::Pale, [left, y], right - left, BAR);
            let name = fitted(&cell.name, 10.0, right - left - 6.0);
            if right - left > 18.0 && text_width(&name, 10.0) <= right - left - 4.0 {
                plot.text(
                    0.5 * (left + x.at((from + capacity_ah).min(weakest).max(from))),
                    y + 14.0,
                    Anchor::Middle,
                    Ink::Text,
                    &name,
                );
            }
            from += capacity_ah;
        }
        plot.hatch([x.at(weakest), y], x.at(from) - x.at(weakest), BAR);
    }
    plot.line(Ink::Third, alloc::vec![[x.at(weakest), top], [x.at(weakest), bottom]]);
    plot.text(RIGHT, bottom + 27.0, Anchor::Right, Ink::Text, "charge, Ah; dots: the weakest group");
    let unused = groups.iter().map(|group| sum(&group.cell_capacity_ah) - weakest).sum::<f64>();
    let words = format!(
        "The weakest group holds {} between full and floor; the others leave {} unused together.",
        shown(weakest, "ah"),
        shown(unused, "ah")
    );
    let numbers = |of: &dyn Fn(&crate::plan::report::GroupReport, usize) -> f64| -> Vec<Option<f64>> {
        groups.iter().enumerate().map(|(g, group)| Some(of(group, g))).collect()
    };
    let table = alloc::vec![
        ChartColumn { code: "group", words: "group from the negative end", values: numbers(&|_, g| (g + 1) as f64) },
        ChartColumn { code: "cells", words: "cells", values: numbers(&|group, _| group.cell_capacity_ah.len() as f64) },
        ChartColumn {
            code: "capacity_ah",
            words: "likely charge, Ah",
            values: numbers(&|group, _| sum(&group.cell_capacity_ah))
        },
        ChartColumn {
            code: "unused_ah",
            words: "never used, Ah",
            values: numbers(&|group, _| sum(&group.cell_capacity_ah) - weakest),
        },
    ];
    Chart { drawing: plot.drawing(&format!("Groups of {}", report.name), bottom + 36.0), words, table }
}
