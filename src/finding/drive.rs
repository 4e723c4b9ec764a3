//! Findings about speed control and the switch.
