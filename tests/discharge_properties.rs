//! What must hold for every discharge.
#![cfg(not(target_arch = "wasm32"))]

use cellwright::data::chemistry;
use cellwright::part::cell::{CellCircuit, Curves};
use cellwright::part::load::LoadCircuit;
use cellwright::run::discharge::{Discharge, Stops, TIME_MAX_S, discharge};
use cellwright::run::stepper::PackCircuit;
use proptest::prelude::*;
use std::sync::{Arc, OnceLock};

fn curves(which: usize) -> Arc<Curves> {
    static ALL: OnceLock<[Arc<Curves>; 2]> = OnceLock::new();
    let all = ALL.get_or_init(|| [&chemistry::NMC, &chemistry::LFP].map(|cell| Arc::new(Curves::published(cell))));
    Arc::clone(&all[which])
}

/// Three groups of two, capacity and resistance factor of each cell.
type Cells = [[f64; 2]; 6];

fn run(which: usize, cells: &Cells, load: LoadCircuit, plain: bool) -> Discharge {
    let cell = |[ah, scale]: [f64; 2]| {
        if plain {
            CellCircuit::plain(curves(which), ah, 0.05 * scale, 0.02 * scale, 40.0)
        } else {
            CellCircuit::new(curves(which), ah, scale, 25.0)
        }
    };
    let groups = cells.chunks(2).map(|pair| pair.iter().map(|made| cell(*made)).collect()).collect();
    let circuit = PackCircuit::new(groups, vec![load], 0.05, 25.0);
    let floor_v = if which == 0 { 2.8 } else { 2.2 };
    discharge(&circuit, &Stops { floor_v, cut_off_v: 0.0, time_s: TIME_MAX_S }, |_| 1.0).unwrap()
}

fn load(current_a: f64, exponent: f64, duty: f64) -> LoadCircuit {
    LoadCircuit { current_a, at_v: 10.0, exponent, duty, drop_out_v: 0.0 }
}

fn cells() -> impl Strategy<Value = Cells> {
    proptest::array::uniform6((1.5..3.0f64, 0.5..2.0f64).prop_map(|(ah, scale)| [ah, scale]))
}

/// Two runs take different steps: on the packs of `packs.rs` their times are up to 0.02 % off, a tenth of a percent is
/// allowed here.
const STEP_NOISE: f64 = 1e-3;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn energy_adds_up(
        made in cells(), which in 0..2usize, current_a in 0.2..4.0f64, exponent in 0..4u8, duty in 0.2..1.0f64, plain: bool,
    ) {
        let result = run(which, &made, load(current_a, f64::from(exponent), duty), plain);
        let left = result.drawn_wh - result.delivered_wh - result.cell_heat_wh - result.lead_heat_wh - result.slow_wh;
        prop_assert!(left.abs() <= 1e-6 * result.drawn_wh, "{left} of {}", result.drawn_wh);
    }

    #[test]
    fn more_load_never_runs_longer(made in cells(), which in 0..2usize, current_a in 0.2..3.0f64, more in 1.01..1.5f64, exponent in 0..4u8) {
        let of = |current_a| run(which, &made, load(current_a, f64::from(exponent), 1.0), false).runtime_s;
        prop_assert!(of(current_a * more) <= of(current_a) * (1.0 + STEP_NOISE));
    }

    #[test]
    fn more_capacity_never_runs_shorter(made in cells(), which in 0..2usize, current_a in 0.2..3.0f64, index in 0..6usize, more in 1.01..1.5f64) {
        let mut better = made;
        better[index][0] *= more;
        // All else equal: the resistances are those of a plain circuit, which do not change with capacity.
        let of = |made: &Cells| run(which, made, load(current_a, 1.0, 1.0), true).runtime_s;
        prop_assert!(of(&better) >= of(&made) * (1.0 - STEP_NOISE));
    }

    #[test]
    fn the_order_of_cells_in_a_group_changes_nothing(made in cells(), which in 0..2usize, current_a in 0.2..3.0f64) {
        let mut turned = made;
        turned.swap(0, 1);
        turned.swap(4, 5);
        let (one, two) = (run(which, &made, load(current_a, 0.0, 1.0), false), run(which, &turned, load(current_a, 0.0, 1.0), false));
        prop_assert_eq!(one.runtime_s.to_bits(), two.runtime_s.to_bits());
        prop_assert_eq!(one.groups[0].cells[0], two.groups[0].cells[1]);
    }
}
