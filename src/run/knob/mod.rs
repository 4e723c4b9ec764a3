//! What each position of the knob does.
//!
//! The timer gives duty and frequency at the full, half and empty pack; [`crate::run::driven`] what the load takes;
//! `runtimes` how long the pack lasts; [`crate::part::switch`] how warm the switch gets. Voltages, currents and speed
//! are those of the half-full pack at rest with its own drop.

mod answer;
mod runtimes;

pub use answer::{
    HeldShaft, KnobAnswer, KnobRow, KnobSetting, LowestDuty, Starts, StartsOver, Tolerance, ToleranceEffect,
};
pub use runtimes::APPROXIMATED;
pub(crate) use runtimes::{Settings, runtimes};

use crate::data::diode::Diode;
use crate::data::switch::Transistor;
use crate::error::{Check, Error};
use crate::part::cell::{CellCircuit, Chemistries};
use crate::part::load::LoadCircuit;
use crate::part::switch::{Drive, Heat, Switch};
use crate::part::timing::{Cycle, Outcome, Timer};
use crate::quantity::turns::at_once;
use crate::quantity::{End, Interval};
use crate::run::discharge::discharge;
use crate::run::driven::{Chopping, Driven, Taken};
use crate::run::pack_run::{PackRun, RunEnds};
use crate::run::stepper::PackCircuit;
use alloc::string::String;
use alloc::vec::Vec;

/// Most positions of a table.
pub const POSITIONS_MOST: usize = 25;

/// The switch's parts; current, duty and frequency come from the table.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct KnobSwitch {
    /// The transistor.
    pub transistor: Transistor,
    /// Resistor between timer and gate or base, in ohms.
    pub gate_ohm: f64,
    /// Resistor from the gate to the negative side, in ohms.
    pub pull_down_ohm: Option<f64>,
    /// Thermal resistance from the case to the air, in kelvin per watt; none without heat sink.
    pub sink_k_per_w: Option<f64>,
    /// The diode across the load.
    pub flyback: Option<Diode>,
}

/// Something that interrupts too much current.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Interrupter {
    /// The maker's name for it.
    pub name: String,
    /// Mean current at which it interrupts in the end, in amperes.
    pub trip_a: Interval,
}

/// A pack, a timer and what its switch drives.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize), serde(deny_unknown_fields))]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct KnobTable {
    /// The pack, the loads that do not hang on the knob, and the leads.
    pub run: PackRun,
    /// The timer.
    pub timer: Timer,
    /// Positions of the knob, 0 to 1.
    pub positions: Vec<f64>,
    /// What the switch drives.
    pub driven: Driven,
    /// The switch.
    pub switch: Option<KnobSwitch>,
    /// Fuse, protection board and the like.
    pub trips: Vec<Interrupter>,
    /// Whether to tell what each tolerance does to the runtime at the middle position; no where left out.
    pub tell_tolerances: Option<bool>,
}

/// The corners in the order they are kept.
const CORNERS: [RunEnds; 3] = [RunEnds::LEAST, RunEnds::LIKELY, RunEnds::MOST];

/// The pack's voltages that the timer sees.
#[derive(Clone, Copy)]
#[expect(clippy::struct_field_names, reason = "every field is a voltage and says so")]
struct Supplies {
    full_v: f64,
    half_v: f64,
    empty_v: f64,
}

impl Supplies {
    /// The empty pack, kept apart from the full one.
    fn lowest_v(&self) -> f64 {
        self.empty_v.min(0.999 * self.full_v)
    }
}

/// The timer at one position.
struct Turned {
    duty: Interval,
    frequency_hz: Interval,
    full: Cycle,
    half: Cycle,
    empty: Cycle,
}

impl KnobTable {
    pub(crate) fn check(&self, check: &mut Check) {
        check.inside("run", |check| self.run.check(check));
        check.inside("timer", |check| self.timer.check(check));
        check.inside("driven", |check| self.driven.check(check));
        if !(1..=POSITIONS_MOST).contains(&self.positions.len()) {
            check.note(Error::range("positions", self.positions.len() as f64, 1.0, POSITIONS_MOST as f64));
        }
        for (i, position) in self.positions.iter().enumerate() {
            if let Err(error) = crate::error::within("positions", *position, 0.0, 1.0) {
                check.inside("positions", |check| check.note(error.placed(alloc::format!("/{i}"))));
            }
        }
        let series = self.run.pack.groups.len() as f64;
        if series * self.run.pack.full_v > 60.0 || series * self.run.pack.floor_v < 1.0 {
            let given = alloc::format!("{series} groups");
            check.note(Error::other("groups", given, "a pack between 1 V and 60 V").at("pack").at("run"));
        }
        if self.trips.len() > 20 {
            check.note(Error::range("trips", self.trips.len() as f64, 0.0, 20.0));
        }
        for (i, trip) in self.trips.iter().enumerate() {
            check.inside("trips", |check| {
                check.inside(i, |check| trip.trip_a.note(check, "trip_a", 1e-3, 10000.0));
            });
        }
    }

    /// Every position of the knob.
    ///
    /// # Errors
    ///
    /// Everything that is wrong with the inputs, each with its place.
    pub fn answer(&self) -> Result<KnobAnswer, Vec<Error>> {
        let mut check = Check::new();
        self.check(&mut check);
        check.finish()?;
        let used = self.run.pack.groups.iter().flat_map(|group| &group.cells).map(|cell| &cell.chemistry);
        let chemistries = Chemistries::new(&self.run.own_chemistries, used)?;
        let packs = self.run.corners(&chemistries)?;
        let lead_ohm = packs.each_ref().map(|pack| pack.lead_ohm);
        at_once(self.answer_on(&packs, lead_ohm, &chemistries))
    }

    /// As [`KnobTable::answer`], for checked values and the pack's circuits at the three corners.
    pub(crate) async fn answer_on(
        &self,
        packs: &[PackCircuit; 3],
        lead_ohm: [f64; 3],
        chemistries: &Chemistries,
    ) -> Result<KnobAnswer, Vec<Error>> {
        let supplies = self.supplies(&packs[1]);
        if let Some(switch) = &self.switch {
            let mut check = Check::new();
            check.inside("switch", |check| self.switch_at(switch, &supplies, 1.0, 0.5, 100.0).check(check));
            check.finish()?;
        }
        let turned: Vec<Result<Turned, Outcome>> =
            self.positions.iter().map(|wiper_ratio| self.turned(*wiper_ratio, &supplies)).collect();
        let loads = turned.iter().map(|turned| turned.as_ref().ok().and_then(|turned| self.loads(turned, &supplies)));
        let loads: Vec<Option<[Vec<LoadCircuit>; 3]>> = loads.collect();
        let settings =
            Settings { packs: packs.each_ref(), lead_ohm, full_v: self.run.pack.full_v, stops: self.run.stops() };
        let told: Vec<_> = loads.iter().flatten().collect();
        let [least, likely, _] = packs;
        let source_ohm = [
            lead_ohm[0] + pack_ohm(least, |cell| cell.soc_at_rest(self.run.pack.floor_v).clamp(0.0, 1.0)),
            lead_ohm[1] + pack_ohm(likely, |_| 0.5),
        ];
        let mut runs = runtimes(&settings, &told).await.into_iter();
        let rows = self.positions.iter().zip(&turned).zip(&loads).map(|((wiper_ratio, turned), loads)| match turned {
            Err(outcome) => KnobRow::outside(*wiper_ratio, outcome),
            Ok(turned) => {
                let run = loads.as_ref().and_then(|_| runs.next());
                KnobRow::of(*wiper_ratio, self.setting(turned, &supplies, source_ohm, run))
            }
        });
        let rows: Vec<KnobRow> = rows.collect();
        let middle = turned.iter().flatten().nth(turned.iter().flatten().count() / 2);
        let tolerances = match middle.filter(|_| self.tell_tolerances == Some(true)) {
            Some(turned) => self.tolerances(chemistries, turned, &supplies)?,
            None => Vec::new(),
        };
        Ok(KnobAnswer {
            rows,
            lowest: [supplies.full_v, supplies.half_v, supplies.empty_v].map(|v| self.lowest(v)).to_vec(),
            surge_a: self.driven.surge_a(),
            tolerances,
            approximated: runtimes::APPROXIMATED,
        })
    }

    /// The loads at the three corners with the knob at one place.
    ///
    /// Where the timer does not run, or the load is not known at this duty, nothing is promised: the corner of the
    /// longest run has it off, the others have it on all the time.
    pub(crate) fn corner_loads(&self, wiper_ratio: f64, likely: &PackCircuit) -> [Vec<LoadCircuit>; 3] {
        let supplies = self.supplies(likely);
        let known = self.turned(wiper_ratio, &supplies).ok().and_then(|turned| self.loads(&turned, &supplies));
        known.unwrap_or_else(|| {
            CORNERS.map(|ends| {
                let duty = if ends.loads == End::Low { 0.0 } else { 1.0 };
                let at = Chopping { supply_v: supplies.full_v, duty, frequency_hz: 100.0 };
                let driven = self.driven.circuit(at, supplies.lowest_v(), ends.loads);
                self.run.loads.iter().map(|load| load.circuit(ends.loads)).chain(driven).collect()
            })
        })
    }

    /// The switch at the largest duty, current and frequency of all positions and both ends of the knob; none without a
    /// switch or where the timer runs at none.
    pub(crate) fn worst_switch(&self, likely: &PackCircuit) -> Option<Switch> {
        let (switch, supplies) = (self.switch.as_ref()?, self.supplies(likely));
        let places = self.positions.iter().copied().chain([0.0, 1.0]);
        let turned: Vec<Turned> = places.filter_map(|wiper_ratio| self.turned(wiper_ratio, &supplies).ok()).collect();
        let most = |of: fn(&Turned) -> f64| turned.iter().map(of).fold(0.0, f64::max);
        let (duty, frequency_hz) = (most(|turned| turned.duty.high), most(|turned| turned.frequency_hz.high));
        let peak_a = |turned: &Turned| {
            let at =
                Chopping { supply_v: supplies.full_v, duty: turned.duty.high, frequency_hz: turned.frequency_hz.low };
            self.driven.circuit(at, supplies.lowest_v(), End::High).map_or(0.0, |load| load.current_a)
        };
        let on_a = turned.iter().map(peak_a).fold(0.0, f64::max);
        let duty_low = turned.iter().map(|turned| turned.duty.low).reduce(f64::min)?;
        Some(Switch { duty_low: Some(duty_low), ..self.switch_at(switch, &supplies, on_a, duty, frequency_hz) })
    }

    fn supplies(&self, likely: &PackCircuit) -> Supplies {
        let series = self.run.pack.groups.len() as f64;
        let half_v = likely.groups().filter_map(<[_]>::first).map(|member| member.cell.rest_v(0.5)).sum();
        Supplies { full_v: series * self.run.pack.full_v, half_v, empty_v: series * self.run.pack.floor_v }
    }

    fn turned(&self, wiper_ratio: f64, supplies: &Supplies) -> Result<Turned, Outcome> {
        let timer = self.timer.turned(wiper_ratio);
        let at = |supply_v: f64| match timer.judged(supply_v, self.run.ambient_degc.likely) {
            Outcome::Runs(cycle) => Ok(cycle),
            outside @ Outcome::Outside(_) => Err(outside),
        };
        let (full, half, empty) = (at(supplies.full_v)?, at(supplies.half_v)?, at(supplies.empty_v)?);
        let over = |of: fn(&Cycle) -> f64| {
            let (full, half, empty) = (of(&full), of(&half), of(&empty));
            Interval { low: full.min(half).min(empty), likely: half, high: full.max(half).max(empty) }
        };
        let (duty, frequency_hz) = (over(|cycle| cycle.duty), over(|cycle| cycle.frequency_hz));
        Ok(Turned { duty, frequency_hz, full, half, empty })
    }

    /// The loads at the three corners; none where nothing is known of the driven one.
    fn loads(&self, turned: &Turned, supplies: &Supplies) -> Option<[Vec<LoadCircuit>; 3]> {
        let [least, likely, most] = CORNERS.map(|ends| self.loads_at(turned, supplies, ends.loads));
        Some([least?, likely?, most?])
    }

    fn loads_at(&self, turned: &Turned, supplies: &Supplies, end: End) -> Option<Vec<LoadCircuit>> {
        let frequency_hz = turned.frequency_hz.at(end.opposite());
        let at = Chopping { supply_v: supplies.full_v, duty: turned.duty.at(end), frequency_hz };
        let driven = self.driven.circuit(at, supplies.lowest_v(), end)?;
        let others = self.run.loads.iter().map(|load| load.circuit(end));
        Some(others.chain([driven]).collect())
    }

    fn setting(
        &self,
        turned: &Turned,
        supplies: &Supplies,
        source_ohm: [f64; 2],
        run: Option<runtimes::SettingRun>,
    ) -> KnobSetting {
        let at =
            |supply_v: f64, cycle: &Cycle| Chopping { supply_v, duty: cycle.duty, frequency_hz: cycle.frequency_hz };
        let half_v = run.map_or(supplies.half_v, |run| run.half_load_v);
        let half = at(half_v, &turned.half);
        let taken = self.driven.taken(half).unwrap_or_default();
        let peak_a = self.driven.circuit(at(supplies.full_v, &turned.full), supplies.lowest_v(), End::High);
        let starts =
            |supply_v: f64, cycle: &Cycle| Starts::of(self.driven.mean_v(at(supply_v, cycle)), self.driven.start_v());
        KnobSetting {
            duty: turned.duty,
            frequency_hz: turned.frequency_hz,
            mean_v: self.driven.mean_v(half),
            mean_a: run.map(|run| run.mean_a),
            power_w: run.map(|run| run.power_w),
            current_never_stops: taken.continuous,
            speed_ratio: taken.speed_ratio,
            turns_per_minute: taken.turns_per_minute,
            flow: taken.flow,
            sound_db: self.sound_db(&taken),
            switch: self.switch.as_ref().zip(peak_a).map(|(switch, peak)| self.heat(switch, supplies, turned, &peak)),
            starts: StartsOver {
                full: starts(supplies.full_v, &turned.full),
                half: starts(supplies.half_v, &turned.half),
                empty: starts(supplies.empty_v, &turned.empty),
            },
            held_shaft: self.held_shaft(turned, supplies, source_ohm),
            runtime_s: run.map(|run| run.runtime_s),
            ended_by: run.map(|run| run.ended_by),
        }
    }

    fn sound_db(&self, taken: &Taken) -> Option<f64> {
        let speed_ratio = taken.speed_ratio.filter(|_| self.driven.machine.turns())?;
        crate::part::blower::sound_db(speed_ratio, f64::from(self.driven.count)).ok()
    }

    fn switch_at(&self, switch: &KnobSwitch, supplies: &Supplies, on_a: f64, duty: f64, frequency_hz: f64) -> Switch {
        Switch {
            transistor: switch.transistor,
            drive: Drive { timer: self.timer.part, gate_ohm: switch.gate_ohm, pull_down_ohm: switch.pull_down_ohm },
            supply_full_v: supplies.full_v,
            supply_empty_v: supplies.empty_v,
            on_a,
            duty,
            frequency_hz,
            ambient_degc: self.run.ambient_degc.high,
            sink_k_per_w: switch.sink_k_per_w,
            flyback: switch.flyback,
            duty_low: None,
        }
    }

    /// The switch at the largest current of the full pack in the warmest surroundings.
    fn heat(&self, switch: &KnobSwitch, supplies: &Supplies, turned: &Turned, peak: &LoadCircuit) -> Heat {
        let frequency_hz = turned.frequency_hz.high;
        let answer = self.switch_at(switch, supplies, peak.current_a, turned.duty.high, frequency_hz).worked();
        answer.with_sink.unwrap_or(answer.without_sink)
    }

    /// What flows where the shaft is held, and who interrupts it; pack and leads have `source_ohm` at the low end and at
    /// the likely values.
    fn held_shaft(&self, turned: &Turned, supplies: &Supplies, source_ohm: [f64; 2]) -> Option<HeldShaft> {
        let ohm = self.driven.held_ohm()?;
        let [source_high_ohm, source_likely_ohm] = source_ohm;
        let Interval { low: duty_low, high: duty_high, .. } = turned.duty;
        // Low: smooth current, empty pack, all resistances; high: the whole on-time at the full pack, its own resistance and
        // leads left out.
        let mean_a = Interval {
            low: duty_low * duty_low * supplies.empty_v / (ohm.high + source_high_ohm),
            likely: turned.half.duty * turned.half.duty * supplies.half_v / (ohm.likely + source_likely_ohm),
            high: duty_high * supplies.full_v / ohm.low,
        };
        let reached = |trip: &&Interrupter| trip.trip_a.low <= mean_a.high;
        let first = self.trips.iter().filter(reached).min_by(|a, b| a.trip_a.high.total_cmp(&b.trip_a.high));
        Some(HeldShaft {
            mean_a,
            heat_w: duty_high * supplies.full_v * supplies.full_v / ohm.low,
            trips_first: first.map(|trip| trip.name.clone()),
            trips_surely: first.is_some_and(|trip| trip.trip_a.high <= mean_a.low),
        })
    }

    fn lowest(&self, supply_v: f64) -> LowestDuty {
        let whole_v = self.driven.mean_v(Chopping { supply_v, duty: 1.0, frequency_hz: 1.0 });
        let duty = |v: Option<Interval>| v.map(|v| v.high / whole_v).filter(|duty| *duty <= 1.0);
        LowestDuty {
            supply_v,
            start_duty: duty(self.driven.start_v()),
            hold_duty: duty(self.driven.hold_v.or_else(|| self.driven.start_v())),
        }
    }

    /// One run per tolerance, each alone at its worse end.
    fn tolerances(
        &self,
        chemistries: &Chemistries,
        turned: &Turned,
        supplies: &Supplies,
    ) -> Result<Vec<ToleranceEffect>, Vec<Error>> {
        let likely = RunEnds::LIKELY;
        let runtime_s = |ends: RunEnds| -> Result<Option<f64>, Vec<Error>> {
            let circuit = self.run.circuit(chemistries, ends)?;
            let Some(loads) = self.loads_at(turned, supplies, ends.loads) else { return Ok(None) };
            let circuit = circuit.with_loads(loads, circuit.lead_ohm);
            let full_v = self.run.pack.full_v;
            Ok(Some(discharge(&circuit, &self.run.stops(), |cell| cell.soc_at_rest(full_v))?.runtime_s))
        };
        let base_s = runtime_s(likely)?;
        let mut effects = Vec::new();
        for (tolerance, ends) in [
            (Tolerance::Capacity, RunEnds::capacity(End::Low)),
            (Tolerance::Resistance, RunEnds::resistance(End::High)),
            (Tolerance::Load, RunEnds { loads: End::High, ..likely }),
            (Tolerance::Leads, RunEnds::leads(End::High)),
            (Tolerance::Ambient, RunEnds::ambient(End::Low)),
        ] {
            if let (Some(base_s), Some(worse_s)) = (base_s.filter(|s| *s > 0.0), runtime_s(ends)?) {
                effects.push(ToleranceEffect { tolerance, change_ratio: worse_s / base_s - 1.0 });
            }
        }
        Ok(effects)
    }
}

/// Time after which a cell's resistance counts for a current that goes on, in seconds.
const SETTLED_S: f64 = 10.0;

/// Current of a cell for which its resistance is the one of small currents, in amperes: more than at any larger one.
const SMALL_A: f64 = 1e-3;

/// Resistance of the cells of a pack from end to end, in ohms.
fn pack_ohm(pack: &PackCircuit, soc_ratio: impl Fn(&CellCircuit) -> f64) -> f64 {
    let cell_ohm = |cell: &CellCircuit| cell.pulse_ohm(soc_ratio(cell), SMALL_A, SETTLED_S);
    pack.groups().map(|group| 1.0 / group.iter().map(|member| 1.0 / cell_ohm(&member.cell)).sum::<f64>()).sum()
}
