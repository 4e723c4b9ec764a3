//! One cell: rest voltage, resistance, energy.
