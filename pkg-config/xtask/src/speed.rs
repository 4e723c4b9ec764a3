//! Prints sizes and runs the benchmark, natively and as Wasm in Node.

use crate::command::{Outcome, cargo, program, root, run};
use crate::page;

/// Sizes, times and ratios of this run.
pub fn print() -> Outcome {
    page::build()?.print();
    run(&mut cargo("run --locked --release --example speed"))?;
    run(program("node").arg(root().join("tests/speed/speed.mjs")))
}
