//! Resistors, a capacitor and thresholds to period and duty.
