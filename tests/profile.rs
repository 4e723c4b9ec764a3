//! A pack in use, with pauses, standing draws and cut-offs.

#[path = "door/invented.rs"]
mod invented;

use cellwright::pack::{Group, Pack};
use cellwright::part::cell::{Chemistries, Chemistry};
use cellwright::part::load::{Draw, Load};
use cellwright::quantity::Interval;
use cellwright::run::discharge::EndedBy;
use cellwright::run::pack_run::{PackRun, RunEnds};
use cellwright::run::profile::{AfterCutOff, Restarts, StandingDraw, UsePhase, UseProfile, UseState};
use invented::{cell, measured};

const DAY_S: f64 = 86400.0;

fn load(current_a: f64) -> Load {
    Load::new("market-stall lamp", Draw::Current { current_a: Interval::exact(current_a) })
}

fn running(time_s: f64, current_a: f64) -> UsePhase {
    UsePhase { name: "evening".into(), time_s, state: UseState::Running { loads: vec![load(current_a)] } }
}

fn off(time_s: f64) -> UsePhase {
    UsePhase { name: "night".into(), time_s, state: UseState::Off }
}

/// Three groups of two unequal cells; nothing draws in the pauses.
fn lamp(phases: Vec<UsePhase>, repeats: u32) -> UseProfile {
    let cell = |g: usize, c: usize| {
        let capacity_ah = Interval::around(1.8 + 0.1 * ((2 * g + 3 * c) % 5) as f64, 0.03);
        cell(Chemistry::Nmc, measured(capacity_ah), Interval::around(0.06 + 0.03 * c as f64, 0.1), 1.0)
    };
    let groups = (0..3).map(|g| Group { cells: (0..2).map(|c| cell(g, c)).collect() }).collect();
    UseProfile {
        run: PackRun {
            own_chemistries: Vec::new(),
            pack: Pack { groups, link_ohm: Interval::exact(0.005), full_v: 4.2, floor_v: 3.0 },
            loads: Vec::new(),
            lead_ohm: Interval::exact(0.05),
            ambient_degc: Interval::exact(25.0),
            cut_off_v: Some(2.8),
            trip_a: None,
            heat_path: None,
            time_s: None,
        },
        phases,
        repeats,
        standing: StandingDraw {
            knob_minimum_a: None,
            switch_off_a: Interval::exact(0.0),
            cut_off_a: Interval::exact(0.0),
            self_discharge_ratio_per_month: Interval::exact(0.0),
        },
        after_cut_off: AfterCutOff::default(),
    }
}

#[test]
fn one_long_phase_is_a_discharge() {
    let profile = lamp(vec![running(20.0 * 3600.0, 1.5)], 3);
    let run = PackRun { loads: vec![load(1.5)], ..profile.run.clone() };
    let (answer, whole) = (profile.answer().unwrap(), run.answer().unwrap());
    for (used, discharge) in
        [(&answer.least, &whole.least), (&answer.likely, &whole.likely), (&answer.most, &whole.most)]
    {
        // The end is found to 0.1 µV twice, from a start that is guessed anew.
        assert!((used.time_s / discharge.runtime_s - 1.0).abs() < 1e-6);
        assert_eq!((used.ended_by, used.ended_in_phase, used.rounds), (EndedBy::GroupFloor, Some(0), 0));
        assert_eq!(used.weakest_group, discharge.weakest_group);
    }
}

/// Every charge is counted: in use, standing, and by itself.
#[test]
fn charge_is_counted_over_days() {
    let mut profile = lamp(vec![running(1800.0, 0.8), off(1.5 * DAY_S - 1800.0)], 4);
    profile.standing.switch_off_a = Interval { low: 0.001, likely: 0.002, high: 0.004 };
    profile.standing.self_discharge_ratio_per_month = Interval { low: 0.01, likely: 0.03, high: 0.06 };
    let answer = profile.answer().unwrap();
    let run = &answer.likely;
    assert_eq!((run.ended_by, run.rounds, run.ended_in_phase), (EndedBy::TimeLimit, 4, None));
    // Times are sums of steps that end exactly: rounding alone.
    assert!((run.time_s - 6.0 * DAY_S).abs() < 1e-3 && (run.used_s - 7200.0).abs() < 1e-6);
    assert!((run.delivered_ah - 2.0 * 0.802).abs() < 1e-9);
    assert!((run.standing_ah - 0.002 * (6.0 * 24.0 - 2.0)).abs() < 1e-9);
    assert!((run.self_discharged_ratio - 0.03 * 6.0 / 30.0).abs() < 1e-9);
    assert!(answer.least.left_ratio < run.left_ratio && run.left_ratio < answer.most.left_ratio);
    assert_eq!(run.points.len(), 8);
}

/// In the pauses the charge inside the grains catches up: with them the same load runs longer in sum, but not by more
/// than the tenth of the charge that lags at this rate.
#[test]
fn pauses_let_the_cells_recover() {
    let used_s = |phases| lamp(phases, 200).answer().unwrap().likely.used_s;
    let (through, paused) = (used_s(vec![running(600.0, 3.0)]), used_s(vec![running(600.0, 3.0), off(1800.0)]));
    assert!(paused > 1.002 * through && paused < 1.1 * through, "{paused} against {through}");
}

/// Times of standing are charge over current, by the pack's own curves.
#[test]
fn standing_times_are_charge_over_current() {
    let mut profile = lamp(vec![running(600.0, 1.0)], 1);
    profile.standing = StandingDraw {
        knob_minimum_a: Some(Interval { low: 0.01, likely: 0.02, high: 0.03 }),
        switch_off_a: Interval { low: 1e-5, likely: 2e-5, high: 4e-5 },
        cut_off_a: Interval { low: 4e-6, likely: 6e-6, high: 1e-5 },
        self_discharge_ratio_per_month: Interval { low: 0.0, likely: 0.02, high: 0.04 },
    };
    let answer = profile.answer().unwrap();
    assert_eq!(answer.damage_v, Some(2.0));
    let chemistries = Chemistries::new(&[], [&Chemistry::Nmc].into_iter()).unwrap();
    let curves = chemistries.curves(&Chemistry::Nmc).unwrap();
    let ends = RunEnds::LEAST.cells;
    let cells = profile.run.pack.circuits(&chemistries, ends, 25.0).unwrap();
    let weakest_ah = cells.iter().map(|group| group.iter().map(|cell| cell.capacity_ah).sum::<f64>());
    let weakest_ah = weakest_ah.fold(f64::MAX, f64::min);
    let taken = |from_v: f64, to_v: f64| curves.soc_ratio(from_v) - curves.soc_ratio(to_v).max(0.0);
    let hours =
        |from_v, to_v, current_a: f64| weakest_ah * taken(from_v, to_v) / (current_a + 0.04 / 720.0 * weakest_ah);
    let standing = answer.standing;
    for (found, by_hand) in [
        (standing.knob_minimum_to_floor_s, hours(4.2, 3.0, 0.03 + 4e-5)),
        (standing.switch_off_to_floor_s, hours(4.2, 3.0, 4e-5)),
        (standing.floor_to_damage_s, hours(3.0, 2.0, 4e-5)),
        (standing.cut_off_to_damage_s, hours(2.8, 2.0, 1e-5)),
    ] {
        let found = found.unwrap();
        assert!((found.low / 3600.0 / by_hand - 1.0).abs() < 1e-9, "{} against {by_hand} h", found.low / 3600.0);
        assert!(found.low < found.likely && found.likely < found.high);
    }
    let nothing = lamp(vec![running(600.0, 1.0)], 1).answer().unwrap().standing;
    assert_eq!((nothing.switch_off_to_floor_s, nothing.knob_minimum_to_floor_s), (None, None));
}

/// A board left in the cold for weeks takes the pack down past its floor.
#[test]
fn a_pack_is_drained_at_rest() {
    let mut profile = lamp(vec![running(3.0 * 3600.0, 1.0), off(29.0 * DAY_S)], 2);
    profile.standing.switch_off_a = Interval::exact(0.01);
    let run = profile.answer().unwrap().likely;
    assert!(run.drained_at_rest && run.ended_in_phase == Some(1) && run.rounds == 0);
    assert!(run.left_ratio < 0.0 && run.time_s < 10.0 * DAY_S, "{} {}", run.left_ratio, run.time_s);
}

#[test]
fn a_cut_off_may_be_followed_by_pulses() {
    let mut profile = lamp(vec![running(600.0, 2.5)], 1);
    let restart = |profile: &UseProfile| profile.answer().unwrap().restart;
    assert_eq!(restart(&profile).restarts, Restarts::NotKnown);
    profile.after_cut_off.release_v = Some(Interval::around(2.95, 0.005));
    let pulsing = restart(&profile);
    assert_eq!((pulsing.restarts, pulsing.cut_by), (Restarts::Yes, Some(EndedBy::ProtectionCutOff)));
    assert!(pulsing.pulses >= 2 && pulsing.pause_s.unwrap() > 0.0, "{pulsing:?}");
    let run_s = profile.answer().unwrap().likely.time_s;
    assert!(pulsing.pulse_s.unwrap() < run_s, "a pulse is shorter than the run before it");
    assert!(pulsing.recovers_to_v.unwrap().low > 2.965);
    // A release above what the group can recover to never comes.
    profile.after_cut_off.release_v = Some(Interval::around(4.0, 0.01));
    assert_eq!((restart(&profile).restarts, restart(&profile).pulses), (Restarts::No, 0));
    let reached_v = restart(&profile).recovers_to_v.unwrap().likely;
    profile.after_cut_off.release_v = Some(Interval::around(reached_v, 0.01));
    assert_eq!(restart(&profile).restarts, Restarts::Perhaps);
    profile.after_cut_off.stays_off = Some(true);
    assert_eq!((restart(&profile).restarts, restart(&profile).pulses), (Restarts::No, 0));
    profile.run.cut_off_v = None;
    assert_eq!(restart(&profile).restarts, Restarts::NothingCutsOff);
}

#[test]
fn a_load_that_drops_out_starts_again() {
    let mut profile = lamp(vec![running(600.0, 2.5)], 1);
    let UseState::Running { loads } = &mut profile.phases[0].state else { panic!("running") };
    loads[0].drop_out_v = Some(9.3);
    profile.after_cut_off.load_restart_v = Some(Interval::around(9.6, 0.005));
    let restart = profile.answer().unwrap().restart;
    assert_eq!((restart.restarts, restart.cut_by), (Restarts::Yes, Some(EndedBy::LoadDropOut)));
    assert!(restart.pulses > 1 && restart.pack_recovers_to_v.unwrap().low > 9.65);
}

#[test]
fn wrong_inputs_are_named() {
    let refused = |change: &dyn Fn(&mut UseProfile)| {
        let mut profile = lamp(vec![running(600.0, 1.0)], 1);
        change(&mut profile);
        profile.answer().unwrap_err()[0].path().clone()
    };
    assert_eq!(refused(&|profile| profile.phases.clear()), "/phases");
    assert_eq!(refused(&|profile| profile.repeats = 0), "/repeats");
    assert_eq!(refused(&|profile| profile.phases[0].time_s = f64::NAN), "/phases/0/time_s");
    assert_eq!(refused(&|profile| profile.phases[0].state = UseState::KnobMinimum), "/phases/0/state/knob_minimum");
    assert_eq!(refused(&|profile| profile.standing.switch_off_a = Interval::exact(-1.0)), "/standing/switch_off_a");
    assert_eq!(refused(&|profile| profile.run.pack.full_v = 2.9), "/run/pack/floor_v");
    let many = |profile: &mut UseProfile| (profile.repeats) = 20_000;
    assert_eq!(refused(&many), "/repeats");
}
