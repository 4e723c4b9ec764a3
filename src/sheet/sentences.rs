//! Every sentence that has a code, for whoever words them in another language.

use super::{
    basis, bench, build_steps, charts, diagnose, diagram, diary, fails::FAILINGS, fault::FAULTS, limit, measure, parts,
    points, steps, tag, take_apart,
};
use crate::data::ampacity::TABLES;
use crate::data::diary::RETIRE;
use crate::finding::{names, rules};
use crate::part::{fuse, transport, wire};
use crate::plan::report;
use crate::quantity::order::sort_by_key;
use crate::quantity::said::Wording;
use crate::run::knob;
use alloc::vec::Vec;

/// Every sentence of the crate: rules, rows of tables, answers. A sentence of [`FAILINGS`] stands three times: the code
/// alone, with `_notice` and with `_prevention` behind it, the last two as rows of [`FAILINGS`] alone.
#[must_use]
pub fn sentences() -> Vec<Wording> {
    let mut all: Vec<Wording> = rules().map(|rule| Wording::new(rule.code, rule.words)).collect();
    let tables: [&[Wording]; 18] = [
        names::WORDINGS,
        basis::WORDINGS,
        bench::WORDINGS,
        build_steps::WORDINGS,
        diary::WORDINGS,
        tag::WORDINGS,
        take_apart::WORDINGS,
        limit::WORDINGS,
        measure::WORDINGS,
        points::WORDINGS,
        steps::WORDINGS,
        report::WORDINGS,
        fuse::WORDINGS,
        fuse::rating::WORDINGS,
        transport::WORDINGS,
        wire::conductor::WORDINGS,
        wire::limit::WORDINGS,
        &[Wording::new("approximated", knob::APPROXIMATED)],
    ];
    all.extend(
        tables
            .into_iter()
            .chain(parts::sentences())
            .chain(diagnose::sentences())
            .chain(charts::sentences())
            .chain(diagram::sentences())
            .flatten(),
    );
    all.extend(TABLES.iter().map(|table| Wording::new(table.code, table.condition)));
    all.extend(RETIRE.iter().map(|row| Wording::new(row.code, row.words)));
    all.extend(FAULTS.iter().flat_map(|row| [row.words, row.remedy]));
    all.extend(FAILINGS.iter().map(|row| Wording::new(row.code, row.words)));
    sort_by_key(&mut all, |wording| wording.code);
    all.dedup();
    all
}
