//! Whether a lead there and back carries a current: drop, temperature, published limit, and the fuse before it.
//!
//! The law and the rules are those of a plan's leads: [`crate::part::wire`] and [`crate::finding::wiring`]. The larger
//! end of current and temperature counts. Whether the fuse opens in a short depends on the pack and is not judged here.

use super::{Entries, Field, ReaderAnswer, ReaderLine, at_entries, field};
use crate::data::fuse::FuseFamily;
use crate::error::Error;
use crate::finding::{Finding, Judgement, Subject, above, wiring};
use crate::part::fuse::FuseWish;
use crate::part::wire::{Conductor, LeadAnswer, Lies, Run, RunQuestion, SizeQuestion};
use crate::plan::{fuse_carries, lead_in_use};
use crate::quantity::gauge::Gauge;
use crate::quantity::{Interval, Unit};
use alloc::string::String;
use alloc::vec::Vec;

const LENGTH: Field = field("length_m", Unit::Metre, (0.0, 1000.0));
const AREA: Field = field("area_mm2", Unit::SquareMillimetre, (0.01, 1000.0));
const CURRENT: Field = field("current_a", Unit::Ampere, (1e-3, 1000.0));
const SUPPLY: Field = field("supply_v", Unit::Volt, (0.5, 100.0));
const AMBIENT: Field = field("ambient_degc", Unit::DegreeCelsius, (-40.0, 100.0)).usual("10..30");
const INSULATION: Field = field("insulation_degc", Unit::DegreeCelsius, (40.0, 250.0)).usual("70");
const JOINTS: Field = field("joints_ohm", Unit::Ohm, (0.0, 100.0)).usual("0.01");
const WANTED: Field = field("wanted_drop_ratio", Unit::Ratio, (0.0001, 0.5)).usual("3 %");
const FUSE: Field = field("fuse_a", Unit::Ampere, (0.01, 1000.0));

/// Name of the lead in findings.
const NAME: &str = "there and back";

/// A lead and its current, each entry as it was written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ReaderWire {
    /// Length of the cable, measured once along it, such as `2 m`; the way back is added.
    pub length_m: Option<String>,
    /// Size of each conductor, such as `0.75 mm²` or `AWG 20`.
    pub area_mm2: Option<String>,
    /// Largest current for good, such as `3 A`.
    pub current_a: Option<String>,
    /// Voltage of the pack, such as `12 V`.
    pub supply_v: Option<String>,
    /// Temperature around; up to 30 °C where left out.
    pub ambient_degc: Option<String>,
    /// How it lies: `box`, `surface` or `free_air`; in a box, where it cools worst, where left out.
    pub lies: Option<String>,
    /// Highest temperature the insulation stands; 70 °C where left out.
    pub insulation_degc: Option<String>,
    /// Resistance of connectors and contacts on the whole way; 10 mΩ where left out.
    pub joints_ohm: Option<String>,
    /// Largest share of the voltage that may be lost; 3 % where left out: common practice, no source.
    pub wanted_drop_ratio: Option<String>,
    /// Rating of the fuse before it, such as `5 A`.
    pub fuse_a: Option<String>,
    /// Kind of that fuse: `blade`, `large_blade`, `tube_ul` or `tube_iec`.
    pub fuse_family: Option<String>,
}

impl ReaderWire {
    /// What the wire does, and what stands against it.
    ///
    /// # Errors
    ///
    /// Every entry that cannot be used, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::reader::wire::ReaderWire;
    /// # use cellwright::plan::report::Verdict;
    /// let text = |words: &str| Some(words.to_owned());
    /// let pump = ReaderWire {
    ///     length_m: text("2 m"), area_mm2: text("0,75 mm²"), current_a: text("1.2 A"), supply_v: text("11.1 V"),
    ///     fuse_a: text("2 A"), fuse_family: text("blade"), ..ReaderWire::default()
    /// };
    /// let answer = pump.answer()?;
    /// assert_eq!((answer.verdict, answer.lines[0].key), (Some(Verdict::Ready), "drop_v"));
    /// let blower = ReaderWire { current_a: text("30 A"), ..pump.clone() }.answer()?;
    /// assert_eq!(blower.verdict, Some(Verdict::Stop));
    /// let none = ReaderWire { current_a: text("-1 A"), ..pump }.answer().unwrap_err();
    /// assert_eq!(none[0].path(), "/current_a");
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<ReaderAnswer, Vec<Error>> {
        let mut entries = Entries::default();
        let length_m = entries.interval(LENGTH, self.length_m.as_ref()).high;
        let conductor = conductor(&mut entries, self.area_mm2.as_ref());
        let current_a = entries.interval(CURRENT, self.current_a.as_ref()).high;
        let supply = entries.interval(SUPPLY, self.supply_v.as_ref());
        let supply_v = supply.low;
        let ambient_degc = entries.interval(AMBIENT, self.ambient_degc.as_ref()).high;
        let insulation_degc = entries.interval(INSULATION, self.insulation_degc.as_ref()).low;
        let joints_ohm = entries.interval(JOINTS, self.joints_ohm.as_ref());
        let wanted_ratio = entries.interval(WANTED, self.wanted_drop_ratio.as_ref()).low;
        let lies = [("box", Lies::Box), ("surface", Lies::Surface), ("free_air", Lies::FreeAir)];
        let lies = entries.choice("lies", self.lies.as_ref(), &lies);
        let fuse_a = entries.optional(FUSE, self.fuse_a.as_deref());
        let family = self.fuse_family.as_ref().and_then(|text| entries.choice("fuse_family", Some(text), &FAMILIES));
        let read = entries.finish()?;
        let run = Run {
            lies,
            wanted_drop_ratio: Some(wanted_ratio),
            ..Run::new(NAME.into(), length_m, conductor, joints_ohm, insulation_degc)
        };
        let question =
            RunQuestion { run, rms_a: current_a, on_a: None, ambient_degc, supply_v: Some(supply_v), cooling: None };
        let lead = question.answer().map_err(at_entries)?;
        let fuse = fuse_a.map(|rating_a| FuseBefore { rating_a, family, pack_v: supply.high });
        let findings = against(&question, &lead, fuse);
        let mut lines = lines(&lead);
        if findings.iter().any(|finding| finding.judgement == Judgement::Broken) {
            lines.extend(smallest(&question, supply_v, wanted_ratio));
        }
        Ok(ReaderAnswer::new(lines, read).judged(findings))
    }
}

const FAMILIES: [(&str, FuseFamily); 4] = [
    ("blade", FuseFamily::Blade),
    ("large_blade", FuseFamily::LargeBlade),
    ("tube_ul", FuseFamily::TubeUl),
    ("tube_iec", FuseFamily::TubeIec),
];

/// A gauge where one is written, or else a cross-section.
fn conductor(entries: &mut Entries, text: Option<&String>) -> Conductor {
    let area_mm2 = entries.interval(AREA, text).low;
    let lower = text.map(|text| text.trim().to_ascii_lowercase()).unwrap_or_default();
    let number = lower.strip_prefix("awg").or_else(|| lower.strip_suffix("awg")).unwrap_or(&lower).trim();
    let named = lower.contains("awg") || lower.ends_with("/0");
    match Gauge::named(number).filter(|_| named) {
        Some(gauge) => Conductor::Awg { gauge: f64::from(gauge.number()) },
        None => Conductor::Mm2 { area_mm2 },
    }
}

fn lines(lead: &LeadAnswer) -> Vec<ReaderLine> {
    let mut lines = Vec::new();
    lines.extend(lead.drop_v.map(|drop_v| ReaderLine::number("drop_v", drop_v.high, Unit::Volt)));
    lines.extend(lead.drop_ratio.map(|ratio| ReaderLine::number("drop_ratio", ratio.high, Unit::Ratio)));
    lines.extend(lead.conductor_degc.map(|degc| ReaderLine::number("conductor_degc", degc, Unit::DegreeCelsius)));
    lines.extend(lead.loss_w.map(|loss_w| ReaderLine::number("loss_w", loss_w, Unit::Watt)));
    if let Some(limit) = &lead.limit {
        lines.push(ReaderLine::number("limit_a", limit.current_a, Unit::Ampere));
        lines.push(ReaderLine::new("limit_holds", limit.condition.into(), None));
        lines.push(ReaderLine::new("limit_source", source(&limit.source), None));
    }
    lines
}

/// A document as it is named under a number.
pub(super) fn source(source: &crate::data::Source) -> String {
    let parts = [source.title, source.edition, source.place];
    let parts: Vec<_> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    parts.join(", ")
}

/// The smallest size that keeps the wanted drop and the limit for how it lies.
fn smallest(question: &RunQuestion, supply_v: f64, drop_ratio: f64) -> Option<ReaderLine> {
    let RunQuestion { run, rms_a, ambient_degc, .. } = question.clone();
    let size = SizeQuestion { run, rms_a, on_a: None, ambient_degc, supply_v, drop_ratio };
    let lead = size.answer().ok()?.lead?;
    Some(ReaderLine::new("smallest", lead.conductor_words, Some(Interval::exact(lead.area_mm2))))
}

/// The rules about one lead, as a plan asks them.
fn against(question: &RunQuestion, lead: &LeadAnswer, fuse: Option<FuseBefore>) -> Vec<Finding> {
    let (run, subject) = (&question.run, Subject::new("", NAME));
    let mut found = Vec::new();
    lead_in_use(&mut found, &subject, run, lead, question.rms_a, lead.drop_ratio.map(|ratio| ratio.high));
    match fuse {
        None => found.push(wiring::NO_FUSE.not_judged(&Subject::new("", "the fuse"), "fuse_a")),
        Some(fuse) => before(&mut found, question, lead, fuse),
    }
    found
}

/// The fuse before the lead.
#[derive(Clone, Copy)]
struct FuseBefore {
    rating_a: Interval,
    family: Option<FuseFamily>,
    /// Highest voltage that it may have to break, in volts.
    pack_v: f64,
}

/// Whether the fuse protects the wire against overload, carries the load, and is made for the voltage.
fn before(found: &mut Vec<Finding>, question: &RunQuestion, lead: &LeadAnswer, fuse: FuseBefore) {
    let FuseBefore { rating_a, family, pack_v } = fuse;
    let subject = Subject::new("", NAME);
    let limit_a = lead.limit.as_ref().map(|limit| limit.current_a);
    let Some(family) = family else {
        match limit_a {
            Some(limit_a) if rating_a.high > limit_a => {
                found.push(wiring::FUSE_OVER_WIRE.broken(&subject, Some(rating_a.high), Some(limit_a)));
            }
            _ => found.push(wiring::FUSE_OVER_WIRE.not_judged(&subject, "fuse_family")),
        }
        return;
    };
    let wish = FuseWish {
        family,
        load_a: question.rms_a,
        surge_a: None,
        surge_s: None,
        wire_limit_a: limit_a.unwrap_or(1000.0),
        wire_withstand_a2s: lead.withstand_a2s,
        ambient_degc: question.ambient_degc,
        pack_v,
        fault_high_a: None,
        fault_low_a: None,
    };
    match limit_a {
        None => found.push(wiring::FUSE_OVER_WIRE.not_judged(&subject, wiring::PRINTED_SIZE)),
        Some(_) if wish.rated(rating_a.high).protects_wire => {}
        limit_a => found.push(wiring::FUSE_OVER_WIRE.broken(&subject, Some(rating_a.high), limit_a)),
    }
    let fuse = Subject::new("", "the fuse");
    fuse_carries(found, &fuse, &wish, &wish.rated(rating_a.low));
    match family.row().dc_v {
        Some(dc_v) => above(found, &wiring::FUSE_VOLTAGE, &fuse, pack_v, dc_v),
        None => found.push(wiring::FUSE_VOLTAGE.not_judged(&fuse, "the direct voltage printed on it")),
    }
}
