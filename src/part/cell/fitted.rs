//! The lags of the built-in cells, as [`super::lag`] finds them in their pulses.
//!
//! The search takes as long as twenty whole tables of a knob, and always finds the same. A test holds each row against
//! it, bit for bit.

use super::lag::KeptLag;

/// Lithium cobalt oxide, cold and warm.
pub(super) static LCO: [KeptLag; 2] = [
    KeptLag {
        quick_s: 1231.8576310638125,
        slow_s: 2916.212416624983,
        steps: [4, 10, 10, 8, 10, 10, 0, 0, 0, 1, 10, 10],
        misfit_ratio: 0.03998756974717654,
    },
    KeptLag {
        quick_s: 693.6305014200233,
        slow_s: 1488.2325100435644,
        steps: [5, 10, 10, 10, 10, 9, 0, 0, 1, 4, 10, 8],
        misfit_ratio: 0.01063451494686162,
    },
];

/// Lithium nickel manganese cobalt oxide, cold and warm.
pub(super) static NMC: [KeptLag; 2] = [
    KeptLag {
        quick_s: 1226.6610930172276,
        slow_s: 7049.478068732034,
        steps: [0, 2, 5, 6, 8, 10, 10, 6, 10, 10, 9, 9],
        misfit_ratio: 0.01882665498276282,
    },
    KeptLag {
        quick_s: 1218.3372311125681,
        slow_s: 7065.5528560388775,
        steps: [0, 2, 5, 6, 8, 10, 10, 6, 10, 10, 9, 9],
        misfit_ratio: 0.020780630350115983,
    },
];

/// Lithium nickel cobalt aluminium oxide, cold and warm.
pub(super) static NCA: [KeptLag; 2] = [
    KeptLag {
        quick_s: 911.5031704548055,
        slow_s: 1795.9153995801944,
        steps: [7, 7, 4, 1, 3, 8, 10, 7, 10, 10, 10, 10],
        misfit_ratio: 0.015384795969219834,
    },
    KeptLag {
        quick_s: 498.89110450064885,
        slow_s: 828.3786221827814,
        steps: [10, 5, 3, 0, 1, 8, 10, 7, 10, 10, 10, 10],
        misfit_ratio: 0.01174901657874373,
    },
];

/// Lithium iron phosphate, cold and warm.
pub(super) static LFP: [KeptLag; 2] = [
    KeptLag {
        quick_s: 412.8747089621106,
        slow_s: 8661.350601024262,
        steps: [10, 10, 10, 10, 10, 10, 10, 4, 9, 0, 0, 0],
        misfit_ratio: 0.09031025828136123,
    },
    KeptLag {
        quick_s: 444.30142544913815,
        slow_s: 8671.403494310069,
        steps: [10, 10, 10, 10, 10, 10, 10, 5, 9, 0, 0, 0],
        misfit_ratio: 0.0872597380720986,
    },
];

/// Sodium vanadium fluorophosphate, warm.
pub(super) static NVPF: KeptLag = KeptLag {
    quick_s: 158.9421696043895,
    slow_s: 9996.742160138954,
    steps: [10, 10, 10, 10, 10, 8, 3, 0, 0, 10, 10, 0],
    misfit_ratio: 0.3222473368445291,
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::data::chemistry as rows;
    use crate::data::other_cells as others;
    use crate::part::cell::lag::Lag;

    #[test]
    fn the_search_finds_them_again() {
        for (cell, lags) in [(&rows::LCO, &LCO), (&rows::NMC, &NMC), (&rows::NCA, &NCA), (&rows::LFP, &LFP)] {
            for (table, kept) in cell.pulse_tables().iter().zip(lags) {
                assert_eq!(Lag::fit(&cell.rest_v, table), kept.lag());
            }
        }
        assert_eq!(Lag::fit(&others::NVPF.rest_v, &others::NVPF.pulse_table()), NVPF.lag());
    }
}
