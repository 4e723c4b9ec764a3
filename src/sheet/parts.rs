//! Parts with the values printed on them.
