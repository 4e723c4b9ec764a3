//! How far a result may lie from a published or simulated value, each with the reason for that size.

/// One kind of comparison.
pub(crate) struct Tolerance {
    /// Kind: topic of the reference file, a dot, and the first word of the rows' keys.
    pub(crate) name: &'static str,
    /// Largest relative error, as a ratio.
    pub(crate) relative: f64,
    /// Why it is that size.
    pub(crate) why: &'static str,
}

const fn row(name: &'static str, relative: f64, why: &'static str) -> Tolerance {
    Tolerance { name, relative, why }
}

/// Rows of a published table stand in the crate as printed.
const AS_PRINTED: &str = "copied: nothing but the binary rounding of a decimal may differ";
/// A published number that a formula gives is rounded to the digits printed.
const ROUNDED: &str = "the printed value is rounded to three or four digits";

/// The one table of tolerances. A row of a reference file may ask for less, never for more.
pub(crate) const TOLERANCES: &[Tolerance] = &[
    row("timer.astable", 0.003, "printed with the coefficient 1.44 for 1.4427, which is 0.2 %"),
    row("timer.steer", 0.003, ROUNDED),
    row("timer.corr", 0.003, ROUNDED),
    row("timer.limit", 0.003, ROUNDED),
    row("timer.step", 0.01, "printed with two digits in the maker's note"),
    row("timer.one_shot", 0.002, "printed with the coefficient 1.1 for ln 3, which is 0.13 %"),
    row("timer.row", 0.001, AS_PRINTED),
    row("timer.tri", 0.01, ROUNDED),
    row("timer.series", 0.001, AS_PRINTED),
    row("timer.mark", 0.001, AS_PRINTED),
    row("timer.dielectric", 0.001, AS_PRINTED),
    row("timer.tolerance", 0.003, ROUNDED),
    row("drive.blower", 0.001, AS_PRINTED),
    row("drive.fet", 0.001, AS_PRINTED),
    row("drive.loss", 0.003, ROUNDED),
    row("drive.stage", 0.01, "the printed ripple formula leaves out resistance and diode"),
    row("drive.affinity", 0.005, ROUNDED),
    row("drive.motor", 0.003, ROUNDED),
    row("drive.led", 0.003, ROUNDED),
    row("drive.capacitor", 0.003, ROUNDED),
    row("protection.gate", 0.001, AS_PRINTED),
    row("protection.row", 0.001, AS_PRINTED),
    row("protection.element", 0.003, ROUNDED),
    row("protection.derating", 0.001, AS_PRINTED),
    row("protection.wish", 0.001, AS_PRINTED),
    row("protection.pulse", 0.001, AS_PRINTED),
    row("protection.resettable", 0.01, "ratios of printed currents of two digits"),
    row("protection.joint", 0.001, AS_PRINTED),
    row("protection.rush", 0.1, "references give 14 and 15 times for the upper end"),
    row("wire.gauge", 0.0025, "diameters and circular mils are printed with three or four digits"),
    row("wire.mass", 0.001, ROUNDED),
    row("wire.metal", 0.02, "handbooks print resistivities and coefficients with two to five digits"),
    row("wire.warm", 0.001, ROUNDED),
    row("wire.metre", 0.005, "printed with three digits; at 75 °C also with another coefficient, 0.3 % away"),
    row("wire.stranded", 0.001, AS_PRINTED),
    row("wire.small", 0.001, AS_PRINTED),
    row("wire.limit", 0.001, AS_PRINTED),
    row("wire.ambient", 0.025, "printed in whole amperes, and as a factor of two digits"),
    row("wire.bundle", 0.001, AS_PRINTED),
    row("wire.aluminium", 0.03, "the reprint gives two figures around 0.8"),
    row("wire.boat", 0.001, AS_PRINTED),
    row("wire.drop", 0.003, ROUNDED),
    row("wire.cca", 0.001, ROUNDED),
    row("wire.fusing", 0.007, "the printed diameters have two or three digits"),
    row("cells.sheet", 1e-6, AS_PRINTED),
    row("cells.limit", 1e-6, AS_PRINTED),
    row("cells.pre", 1e-6, AS_PRINTED),
    row("cells.band", 1e-6, AS_PRINTED),
    row("cells.guideline", 1e-6, AS_PRINTED),
    row("cells.nickel", 1e-6, AS_PRINTED),
    row("cells.circuit", 0.001, ROUNDED),
    row("cells.air", 1e-6, AS_PRINTED),
    row("cells.type_test", 1e-6, AS_PRINTED),
    row("cells.lead", 1e-6, AS_PRINTED),
    row("cells.thermistor", 0.002, ROUNDED),
    row("cells.rate", 0.003, ROUNDED),
    row("cells.guard", 0.001, ROUNDED),
    row("cells.pack", 0.001, ROUNDED),
    row("cells.fade", 0.003, ROUNDED),
    row("cells.tie", 0.001, ROUNDED),
    row("safety.hydrogen", 0.01, "printed as 0.05 where the product of its factors is 0.0504"),
    row("safety.advice", 1e-6, AS_PRINTED),
];

/// The row called `name`.
#[allow(dead_code)] // not every test that holds this table looks a row up
pub(crate) fn tolerance(name: &str) -> &'static Tolerance {
    TOLERANCES.iter().find(|row| row.name == name).unwrap_or_else(|| panic!("no tolerance stands for {name}"))
}

#[test]
fn every_tolerance_has_a_name_of_its_own_and_a_reason() {
    for (i, row) in TOLERANCES.iter().enumerate() {
        assert!(row.relative > 0.0 && row.relative < 1.0 && row.why.len() > 20, "{}", row.name);
        assert!(TOLERANCES.iter().skip(i + 1).all(|other| other.name != row.name), "{} stands twice", row.name);
    }
}
