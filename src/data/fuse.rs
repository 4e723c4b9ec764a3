//! Fuse ratings and published time-current gates.
