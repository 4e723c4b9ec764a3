//! Size, mass and energy of a pack.

use cellwright::part::layout::{CellShape, PackLayout, RoundFormat};
use cellwright::part::transport::{AirClass, Transport};
use cellwright::quantity::Interval;

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-12 * (1.0 + expected.abs()), "{value} instead of {expected}");
}

fn bare(rows: u32, columns: u32, staggered: bool) -> PackLayout {
    PackLayout {
        shape: CellShape::Round { diameter_m: 0.018, length_m: 0.065, cell_kg: Interval::exact(0.047) },
        cells: rows * columns,
        rows,
        columns,
        layers: 1,
        staggered,
        gap_m: 0.0,
        end_m: 0.0,
        wall_m: 0.0,
        extra_kg: Interval::exact(0.0),
    }
}

#[test]
fn a_staggered_pack_is_narrower_and_longer_and_holds_every_cell() {
    let (grid, staggered) = (bare(3, 4, false).answer().unwrap(), bare(3, 4, true).answer().unwrap());
    near(grid.length_m, 0.072);
    near(grid.width_m, 0.054);
    near(staggered.length_m, 0.081);
    assert!(staggered.width_m < grid.width_m);
    // Neighbouring rows touch: centres are one diameter apart.
    let rise = (staggered.width_m - 0.018) / 2.0;
    near(rise * rise + 0.009 * 0.009, 0.018 * 0.018);
    // One row has nothing to stagger.
    assert_eq!(bare(1, 4, true).answer().unwrap(), bare(1, 4, false).answer().unwrap());
}

#[test]
fn gaps_ends_and_walls_add_up() {
    let roomy = PackLayout { gap_m: 0.001, end_m: 0.002, wall_m: 0.003, layers: 2, cells: 23, ..bare(3, 4, false) };
    let answer = roomy.answer().unwrap();
    near(answer.length_m, 4.0 * 0.018 + 3.0 * 0.001 + 0.006);
    near(answer.width_m, 3.0 * 0.018 + 2.0 * 0.001 + 0.006);
    near(answer.height_m, 2.0 * (0.065 + 0.004) + 0.006);
    assert_eq!(answer.free_places, 1);
    near(answer.pack_kg.high, 23.0 * 0.047);
}

#[test]
fn pouches_get_room_to_swell() {
    let shape = CellShape::Pouch { length_m: 0.1, width_m: 0.05, thickness_m: 0.01, cell_kg: Interval::exact(0.1) };
    let answer = PackLayout { shape, cells: 3, rows: 1, columns: 1, layers: 3, gap_m: 0.001, ..bare(1, 1, false) };
    near(answer.answer().unwrap().height_m, 3.0 * 0.011 + 2.0 * 0.001);
}

#[test]
fn the_largest_capacity_decides_about_the_cabin() {
    let pack = |low: f64, high: f64| Transport {
        series: 4,
        parallel: 3,
        nominal_v: 3.7,
        cell_capacity_ah: Interval { low, likely: low, high },
        type_tested: true,
    };
    // 44.4 V of cells: 100 Wh lie at 2.2523 Ah, 160 Wh at 3.6036 Ah.
    for (low, high, class) in [
        (2.0, 2.252, AirClass::Cabin),
        (2.0, 2.253, AirClass::AskAirline),
        (2.0, 3.603, AirClass::AskAirline),
        (2.0, 3.604, AirClass::NotAsPassenger),
    ] {
        let answer = pack(low, high).answer().unwrap();
        assert_eq!(answer.by_energy, class, "{high}");
        assert_eq!(answer.spares.is_some(), class == AirClass::AskAirline);
        assert_eq!(answer.may_fly_or_post, class != AirClass::NotAsPassenger);
        let home_built = Transport { type_tested: false, ..pack(low, high) }.answer().unwrap();
        assert!(!home_built.may_fly_or_post && home_built.words.contains("not type-tested"));
        assert_eq!(home_built.by_energy, class);
    }
}

#[test]
fn every_wrong_value_is_named_with_its_place() {
    let shape = CellShape::Round { diameter_m: f64::NAN, length_m: 0.0, cell_kg: Interval::exact(0.047) };
    let wrong = PackLayout { shape, rows: 0, columns: u32::MAX, gap_m: -1.0, ..bare(2, 2, false) };
    let paths: Vec<String> = wrong.answer().unwrap_err().iter().map(cellwright::Error::path).collect();
    assert_eq!(paths, ["/shape/round/diameter_m", "/shape/round/length_m", "/rows", "/columns", "/gap_m"]);
    let format = PackLayout { shape: CellShape::Format(RoundFormat::R21700), ..bare(2, 2, false) };
    assert!(format.answer().unwrap().source.is_some());
}
