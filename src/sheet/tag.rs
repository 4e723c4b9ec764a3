//! The tag for the pack and its jack.
