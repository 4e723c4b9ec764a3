//! Asks one question: JSON in on standard input, JSON out.
fn main() {}
