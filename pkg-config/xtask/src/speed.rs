//! Prints sizes and times, natively and as Wasm in Node, and how long the page takes to open.

use crate::browsers;
use crate::command::{Outcome, cargo, output, program};
use crate::{npm, page};
use std::collections::BTreeMap;

/// Sizes, times and ratios of this run.
pub fn print() -> Outcome {
    page::build()?.print();
    let native = times(&output(&mut cargo("run --quiet --locked --release --example speed"))?)?;
    let wasm = times(&output(npm::node()?.arg("tests/speed/wasm.mjs"))?)?;
    println!("\n{:>12} {:>12} {:>6}  one question at the door, from JSON text", "native", "Wasm", "ratio");
    for (name, native_s) in &native {
        let wasm_s = wasm.get(name).ok_or_else(|| format!("{name} was not timed as Wasm"))?;
        println!("{:>9.1} µs {:>9.1} µs {:>6.2}  {name}", native_s * 1e6, wasm_s * 1e6, wasm_s / native_s);
    }
    let browsers = browsers::all()?;
    print!(
        "\n{}",
        output(program("node").arg("tests/speed/opening.mjs").env("CELLWRIGHT_CHROMIUM", browsers.chromium))?
    );
    Ok(())
}

/// Seconds by name.
fn times(text: &str) -> Outcome<BTreeMap<String, f64>> {
    let mut times = BTreeMap::new();
    for line in text.lines() {
        let (name, seconds) = line.split_once('\t').ok_or_else(|| format!("not a time: {line}"))?;
        times.insert(name.to_owned(), seconds.parse()?);
    }
    Ok(times)
}
