//! Which fault explains the readings best.
