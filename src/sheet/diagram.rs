//! The wiring diagram as shapes and labels.
