//! What each knob position does.
