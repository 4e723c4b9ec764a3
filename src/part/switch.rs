//! Conduction, switching and gate loss of the switch; its temperature.
