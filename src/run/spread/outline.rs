//! Corners of a runtime, and what each input does alone: one run for each end.

use super::RuntimeSpread;
use crate::error::{Check, Error};
use crate::part::cell::{CellCircuit, CellEnds, Chemistries};
use crate::quantity::End;
use crate::quantity::root::sqrt;
use crate::quantity::turns::{at_once, turn};
use crate::run::discharge::doubt::model_ratio;
use crate::run::discharge::{BRIEF_RATIO, Brief, Discharge, TrustLimit, beside_s, brief};
use crate::run::pack_run::RunEnds;
use crate::run::stepper::PackCircuit;
use alloc::vec::Vec;

/// Place of the 10th percentile of an even input between its likely value and its worse end.
const TENTH_PLACE: f64 = 0.8;

/// An input that moves the runtime.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(rename_all = "snake_case"))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub enum SpreadInput {
    /// The cells' capacity.
    Capacity,
    /// The cells' resistance.
    Resistance,
    /// How the rest curve has aged; measured by a slow discharge entered as a table of one's own.
    RestCurve,
    /// One load's draw.
    Load,
    /// Duty of the chopped loads.
    Duty,
    /// Leads and links.
    Leads,
    /// The temperature, which no measurement beforehand narrows.
    Ambient,
    /// The error of the model itself, which only a run with the finished pack narrows.
    Model,
}

/// What one input does alone.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SpreadEffect {
    /// Which one.
    pub input: SpreadInput,
    /// Which load, counted from 0, where it is one.
    pub load: Option<usize>,
    /// Runtime with this input alone at its worse end, in seconds.
    pub shortest_s: f64,
    /// Runtime with this input alone at its better end, in seconds.
    pub longest_s: f64,
    /// Lower end of the band if this input were known exactly, in seconds.
    pub tenth_without_s: f64,
}

/// Where eight builds in ten lie, from the effects alone.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RuntimeBand {
    /// Nine builds in ten run longer than this, in seconds.
    pub tenth_s: f64,
    /// Nine builds in ten run shorter than this, in seconds.
    pub ninetieth_s: f64,
}

/// Corners of the runtime and what each input does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SpreadOutline {
    /// Every input at its worse end at once, in seconds, or until the model is no longer trusted there.
    pub at_least_s: f64,
    /// Every input at its likely value, in seconds.
    pub likely_s: f64,
    /// Every input at its better end at once, in seconds.
    pub at_most_s: f64,
    /// Where eight builds in ten lie, by the effects.
    pub band: RuntimeBand,
    /// What each input does, in the order of the inputs.
    pub effects: Vec<SpreadEffect>,
    /// Place in `effects` of the one measurement that would raise the lower end of the band most; none where nothing
    /// that can be measured is in doubt.
    pub measure_first: Option<usize>,
    /// The group that ends the likely run, counted from 0 at the negative end: its cells first.
    pub weakest_group: usize,
    /// Time from which on the likely run is not to be relied on, in seconds, where there is one.
    pub trusted_until_s: Option<f64>,
    /// Why.
    pub trust_limit: Option<TrustLimit>,
}

/// One input with the runs at its ends.
struct Case {
    input: SpreadInput,
    load: Option<usize>,
    /// Ends of the worse and of the better run.
    ends: [RunEnds; 2],
    duty: [End; 2],
    wear: bool,
}

impl Case {
    fn of(input: SpreadInput, ends: [RunEnds; 2]) -> Self {
        Self { input, load: None, ends, duty: [End::Likely; 2], wear: false }
    }
}

/// The time that counts for "at least".
fn surely_s(runtime_s: f64, trusted_until_s: Option<f64>) -> f64 {
    trusted_until_s.unwrap_or(runtime_s).min(runtime_s)
}

/// How the rest curve of the cells has aged.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wear {
    New,
    /// The full end cut away.
    FullEnd,
    /// The empty end cut away.
    EmptyEnd,
}

/// The cells of the pack at one end of their measurements.
struct Made {
    wear: Wear,
    ends: CellEnds,
    cells: Vec<Vec<CellCircuit>>,
}

/// Makes the circuits of an outline; cells that differ in their temperature alone are worked out once.
struct Maker<'a> {
    spread: &'a RuntimeSpread,
    /// New, and worn at either end.
    chemistries: [&'a Chemistries; 3],
    known: Vec<Made>,
}

impl Maker<'_> {
    /// The circuit with every input at one end, the loads each at its own.
    fn circuit(
        &mut self,
        wear: Wear,
        ends: RunEnds,
        load_end: impl Fn(usize) -> End,
        duty: End,
    ) -> Result<PackCircuit, Vec<Error>> {
        let run = &self.spread.run;
        let degc = run.ambient_degc.at(ends.ambient);
        let mut cells = self.cells(wear, ends.cells, degc)?;
        for cell in cells.iter_mut().flatten().filter(|cell| cell.cell_degc != degc) {
            *cell = cell.at_degc(degc);
        }
        let circuit = run.tied(cells, ends);
        let place = match duty {
            End::Low => -1.0,
            End::Likely => 0.0,
            End::High => 1.0,
        };
        let loads = run.loads.iter().enumerate();
        let loads = loads.map(|(i, load)| self.spread.chopped(i, load.circuit(load_end(i)), place)).collect();
        let lead_ohm = circuit.lead_ohm;
        Ok(circuit.with_loads(loads, lead_ohm))
    }

    fn cells(&mut self, wear: Wear, ends: CellEnds, degc: f64) -> Result<Vec<Vec<CellCircuit>>, Vec<Error>> {
        if let Some(made) = self.known.iter().find(|made| made.wear == wear && made.ends == ends) {
            return Ok(made.cells.clone());
        }
        let [new, full_end, empty_end] = self.chemistries;
        let chemistries = match wear {
            Wear::New => new,
            Wear::FullEnd => full_end,
            Wear::EmptyEnd => empty_end,
        };
        let in_pack = |errors: Vec<Error>| errors.into_iter().map(|error| error.at("pack")).collect::<Vec<Error>>();
        let likely = self.known.iter().find(|made| made.wear == Wear::New && made.ends == RunEnds::LIKELY.cells);
        let likely = likely.map_or(&[][..], |made| &made.cells);
        let pack = &self.spread.run.pack;
        let cells = pack.circuits_near(chemistries, ends, degc, likely).map_err(in_pack).map_err(in_run)?;
        self.known.push(Made { wear, ends, cells: cells.clone() });
        Ok(cells)
    }
}

fn in_run(errors: Vec<Error>) -> Vec<Error> {
    errors.into_iter().map(|error| error.at("run")).collect()
}

impl RuntimeSpread {
    /// Corners and effects, without draws.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn outline(&self) -> Result<SpreadOutline, Vec<Error>> {
        at_once(self.outline_on(&self.chemistries()?, Vec::new(), None))
    }

    /// As [`RuntimeSpread::outline`], where chemistries, some of the cells and the runs at the corners (least, likely,
    /// most) are known before.
    pub(crate) async fn outline_on(
        &self,
        chemistries: &Chemistries,
        known: Vec<(CellEnds, Vec<Vec<CellCircuit>>)>,
        runs: Option<&[Discharge; 3]>,
    ) -> Result<SpreadOutline, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let worn = [-1.0, 1.0].map(|toward| chemistries.worn(self.lost(), toward));
        let known = known.into_iter().map(|(ends, cells)| Made { wear: Wear::New, ends, cells }).collect();
        let mut maker = Maker { spread: self, chemistries: [chemistries, &worn[0], &worn[1]], known };
        let of_likely = maker.circuit(Wear::New, RunEnds::LIKELY, |_| End::Likely, End::Likely)?;
        let run = match runs {
            Some(_) => None,
            None => Some(self.run.discharged(&of_likely).map_err(in_run)?),
        };
        let Some(likely) = runs.map(|[_, likely, _]| likely).or(run.as_ref()) else { return Err(Vec::new()) };
        let (mut at_least_s, mut at_most_s) = (surely_s(likely.runtime_s, likely.trusted_until_s), likely.runtime_s);
        for wear in [Wear::New, Wear::FullEnd, Wear::EmptyEnd] {
            let (least_s, most_s) = match runs.filter(|_| wear == Wear::New) {
                Some([least, _, most]) => (surely_s(least.runtime_s, least.trusted_until_s), most.runtime_s),
                None => self.corners_s(&mut maker, wear).await?,
            };
            (at_least_s, at_most_s) = (at_least_s.min(least_s), at_most_s.max(most_s));
        }
        let off = model_ratio(self.run.ambient_degc.low);
        (at_least_s, at_most_s) = (at_least_s * (1.0 - off), at_most_s * (1.0 + off));
        let mut effects = Vec::new();
        let beside_s = self.beside_s(&of_likely);
        turn().await;
        for case in self.cases() {
            let effect = self.effect(&case, &mut maker, [likely.runtime_s, beside_s]).await?;
            if effect.longest_s > effect.shortest_s {
                (at_least_s, at_most_s) = (at_least_s.min(effect.shortest_s), at_most_s.max(effect.longest_s));
                effects.push(effect);
            }
        }
        let off = model_ratio(self.run.ambient_degc.likely);
        let (shortest_s, longest_s) = (likely.promised_s() * (1.0 - off), likely.runtime_s * (1.0 + off));
        let input = SpreadInput::Model;
        effects.push(SpreadEffect { input, load: None, shortest_s, longest_s, tenth_without_s: shortest_s });
        let tenth_s = self.tenth_s(likely.runtime_s, &effects, None);
        let narrowed: Vec<f64> =
            (0..effects.len()).map(|i| self.tenth_s(likely.runtime_s, &effects, Some(i))).collect();
        for (effect, tenth_without_s) in effects.iter_mut().zip(narrowed) {
            effect.tenth_without_s = tenth_without_s;
        }
        Ok(SpreadOutline {
            at_least_s,
            likely_s: likely.runtime_s,
            at_most_s,
            band: RuntimeBand { tenth_s, ninetieth_s: ninetieth_s(likely.runtime_s, &effects) },
            measure_first: first(&effects, tenth_s),
            effects,
            weakest_group: likely.weakest_group,
            trusted_until_s: likely.trusted_until_s,
            trust_limit: likely.trust_limit,
        })
    }

    /// Time that is surely reached and time that is reached at the most with every input at its ends, in coarse steps.
    async fn corners_s(&self, maker: &mut Maker<'_>, wear: Wear) -> Result<(f64, f64), Vec<Error>> {
        let mut run = |ends, loads, duty| -> Result<Brief, Vec<Error>> {
            let circuit = maker.circuit(wear, ends, |_| loads, duty)?;
            Ok(brief(&circuit, &self.run.stops(), |cell| cell.soc_at_rest(self.run.pack.full_v)))
        };
        let least = run(RunEnds::LEAST, End::High, End::High)?;
        turn().await;
        let most = run(RunEnds::MOST, End::Low, End::Low)?;
        turn().await;
        let least_s = surely_s(least.runtime_s, least.trusted_until_s);
        Ok((least_s * (1.0 - BRIEF_RATIO), most.runtime_s * (1.0 + BRIEF_RATIO)))
    }

    /// A circuit of this pack from full, to be held against others of its kind.
    fn beside_s(&self, circuit: &PackCircuit) -> f64 {
        beside_s(circuit, &self.run.stops(), |cell| cell.soc_at_rest(self.run.pack.full_v))
    }

    fn cases(&self) -> Vec<Case> {
        let likely = RunEnds::LIKELY;
        let mut cases = Vec::from([
            Case::of(SpreadInput::Capacity, [End::Low, End::High].map(RunEnds::capacity)),
            Case::of(SpreadInput::Resistance, [End::High, End::Low].map(RunEnds::resistance)),
            Case { wear: true, ..Case::of(SpreadInput::RestCurve, [likely; 2]) },
        ]);
        for load in 0..self.run.loads.len() {
            cases.push(Case { load: Some(load), ..Case::of(SpreadInput::Load, [likely; 2]) });
        }
        if self.duty.is_some() {
            cases.push(Case { duty: [End::High, End::Low], ..Case::of(SpreadInput::Duty, [likely; 2]) });
        }
        cases.push(Case::of(SpreadInput::Leads, [End::High, End::Low].map(RunEnds::leads)));
        cases.push(Case::of(SpreadInput::Ambient, [End::Low, End::High].map(RunEnds::ambient)));
        cases
    }

    async fn effect(
        &self,
        case: &Case,
        maker: &mut Maker<'_>,
        [likely_s, likely_beside_s]: [f64; 2],
    ) -> Result<SpreadEffect, Vec<Error>> {
        let (mut shortest_s, mut longest_s) = (likely_s, likely_s);
        let wear = if case.wear { [Wear::FullEnd, Wear::EmptyEnd] } else { [Wear::New; 2] };
        let sides = wear.into_iter().zip(case.ends).zip(case.duty).zip([End::High, End::Low]);
        for (((wear, ends), duty), side) in sides {
            let load_end = |i: usize| if case.load == Some(i) { side } else { End::Likely };
            // Coarse steps against coarse steps: what they miss falls out of the ratio.
            let beside_s = self.beside_s(&maker.circuit(wear, ends, load_end, duty)?);
            let runtime_s = if likely_beside_s > 0.0 { likely_s * beside_s / likely_beside_s } else { beside_s };
            (shortest_s, longest_s) = (shortest_s.min(runtime_s), longest_s.max(runtime_s));
            turn().await;
        }
        Ok(SpreadEffect { input: case.input, load: case.load, shortest_s, longest_s, tenth_without_s: shortest_s })
    }

    /// Lower end of the band, in seconds; without one of the effects where that is asked for.
    fn tenth_s(&self, likely_s: f64, effects: &[SpreadEffect], without: Option<usize>) -> f64 {
        let kept = effects.iter().enumerate().filter(|(i, _)| without != Some(*i)).map(|(_, effect)| effect);
        let squares: f64 = kept
            .map(|effect| {
                let whole_s = likely_s - effect.shortest_s;
                let shared = match effect.input {
                    SpreadInput::Capacity => self.shared_capacity(),
                    SpreadInput::Resistance => self.shared_resistance(),
                    _ => 1.0,
                };
                let (common_s, own_s) = (TENTH_PLACE * shared * whole_s, (1.0 - shared) * whole_s);
                common_s * common_s + own_s * own_s
            })
            .sum();
        (likely_s - sqrt(squares)).max(0.0)
    }
}

/// Upper end of the band, in seconds.
fn ninetieth_s(likely_s: f64, effects: &[SpreadEffect]) -> f64 {
    let square = |effect: &SpreadEffect| {
        let above_s = TENTH_PLACE * (effect.longest_s - likely_s);
        above_s * above_s
    };
    likely_s + sqrt(effects.iter().map(square).sum::<f64>())
}

/// The effect whose measurement raises the lower end of the band most.
fn first(effects: &[SpreadEffect], tenth_s: f64) -> Option<usize> {
    let measurable = |input: SpreadInput| !matches!(input, SpreadInput::Ambient | SpreadInput::Model);
    let measurable = effects.iter().enumerate().filter(|(_, effect)| measurable(effect.input));
    let best = measurable.max_by(|(_, a), (_, b)| a.tenth_without_s.total_cmp(&b.tenth_without_s))?;
    (best.1.tenth_without_s > tenth_s).then_some(best.0)
}
