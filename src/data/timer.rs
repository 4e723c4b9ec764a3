//! Thresholds, saturation, drive and limits of timer circuits.
