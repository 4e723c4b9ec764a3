//! Charge voltage, current and stages.
