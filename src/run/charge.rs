//! Constant current, then constant voltage, until termination.
