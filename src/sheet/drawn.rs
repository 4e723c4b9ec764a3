//! Drawings of a plan in the words of whoever asks: what [`Diagram`], [`Tags`], [`Charts`] and [`SvgFiles`] give in English.

use super::basis::Basis;
use super::charts::{Charts, diary_drawing};
use super::diagram::Diagram;
use super::drawing::Drawing;
use super::files::SvgFiles;
use super::tag::Tags;
use crate::error::Error;
use crate::part::cell::{Chemistries, Chemistry};
use crate::plan::Plan;
use crate::quantity::tongue::Tongue;
use crate::run::diary::DiaryFacts;
use alloc::boxed::Box;
use alloc::vec::Vec;

/// What is to be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum DrawnSheet {
    /// The wiring diagram with its list of connections.
    Diagram,
    /// Tags for pack and jack.
    Tags,
    /// Charts of run, groups and settings.
    Charts,
    /// Voltages of the diary.
    Diary,
    /// All but the diary as complete SVG files.
    Files,
}

/// Asks for drawings in the words of a language.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DrawnQuestion {
    /// The plan.
    pub plan: Plan,
    /// What of it.
    pub sheet: DrawnSheet,
    /// Words by the codes of the crate's sentences.
    pub tongue: Tongue,
}

/// What was asked for; everything else is left out.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct DrawnSheets {
    /// The wiring diagram.
    pub diagram: Option<Box<Diagram>>,
    /// The tags.
    pub tags: Option<Box<Tags>>,
    /// The charts.
    pub charts: Option<Box<Charts>>,
    /// The diary; none without an entry.
    pub diary: Option<Box<Drawing>>,
    /// The files.
    pub files: Option<Box<SvgFiles>>,
}

impl DrawnQuestion {
    /// The drawings.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the plan, each with its place.
    ///
    /// # Examples
    ///
    /// ```
    /// # use cellwright::ask::{decode, read};
    /// # use cellwright::quantity::{text::Decimal, tongue::Tongue};
    /// # use cellwright::{plan::Plan, sheet::drawn::{DrawnQuestion, DrawnSheet}};
    /// let plan: Plan = decode(&read(include_str!("../../tests/plans/watering-pump.json"))?)?;
    /// let words = vec![["tag_harmed".into(), "Heiß oder verbeult: ins Freie.".into()]];
    /// let tongue = Tongue { words, decimal: Decimal::Comma };
    /// let tags = DrawnQuestion { plan, sheet: DrawnSheet::Tags, tongue }.answer()?.tags.unwrap();
    /// assert!(tags.pack_words.contains(&"Heiß oder verbeult: ins Freie.".into()));
    /// # Ok::<(), Vec<cellwright::Error>>(())
    /// ```
    pub fn answer(&self) -> Result<DrawnSheets, Vec<Error>> {
        let Self { plan, sheet, tongue } = self;
        let in_plan = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("plan")).collect::<Vec<Error>>();
        let mut drawn = DrawnSheets::default();
        if *sheet == DrawnSheet::Diary {
            drawn.diary = diary(plan, tongue).map_err(in_plan)?.map(Box::new);
            return Ok(drawn);
        }
        let basis = &Basis::new(plan).map_err(in_plan)?;
        match sheet {
            DrawnSheet::Diagram => drawn.diagram = Some(Box::new(Diagram::on(basis, tongue))),
            DrawnSheet::Tags => drawn.tags = Some(Box::new(Tags::on(basis, tongue))),
            DrawnSheet::Charts => drawn.charts = Some(Box::new(Charts::on(basis, tongue))),
            DrawnSheet::Files => drawn.files = Some(Box::new(SvgFiles::on(basis, tongue))),
            DrawnSheet::Diary => {}
        }
        Ok(drawn)
    }
}

/// Only days between entries are drawn: today does not matter.
fn diary(plan: &Plan, tongue: &Tongue) -> Result<Option<Drawing>, Vec<Error>> {
    plan.checked()?;
    let Some(diary) = &plan.diary else { return Ok(None) };
    let cells = plan.pack.groups.iter().flat_map(|group| &group.cells);
    let known = cells.map(|cell| &cell.chemistry).filter(|kind| **kind != Chemistry::Unidentified);
    let chemistries = Chemistries::new(&plan.own_chemistries, known)?;
    Ok(diary_drawing(&plan.name, &DiaryFacts::of(&plan.pack, &chemistries, diary, None), tongue))
}
