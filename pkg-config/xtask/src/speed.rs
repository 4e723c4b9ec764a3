//! Prints sizes and times, natively and as Wasm in Node, and how long the page takes to open.

use crate::browsers;
use crate::command::{Outcome, cargo, output, program};
use crate::{embed, npm, page};

/// Sizes, times and ratios of this run.
pub fn print() -> Outcome {
    page::build()?.print();
    embed::build()?.print()?;
    let native = times(&output(&mut cargo("run --quiet --locked --release --example speed"))?)?;
    let in_node = times(&output(npm::node()?.arg("tests/speed/wasm.mjs"))?)?;
    println!(
        "\n{:>12} {:>12} {:>6} {:>9}  one question at the door, from JSON text",
        "native", "Wasm", "ratio", "of first"
    );
    let first_s = native.first().map_or(1.0, |(_, seconds)| *seconds);
    for (name, native_s) in &native {
        let found = in_node.iter().find(|(other, _)| other == name);
        let (_, wasm_s) = found.ok_or_else(|| format!("{name} was not timed as Wasm"))?;
        let (ratio, of_first) = (wasm_s / native_s, native_s / first_s);
        println!("{:>9.1} µs {:>9.1} µs {ratio:>6.2} {of_first:>9.4}  {name}", native_s * 1e6, wasm_s * 1e6);
    }
    let browsers = browsers::all()?;
    print!(
        "\n{}",
        output(program("node").arg("tests/speed/opening.mjs").env("CELLWRIGHT_CHROMIUM", browsers.chromium))?
    );
    Ok(())
}

/// Seconds by name, in the order of the cases.
fn times(text: &str) -> Outcome<Vec<(String, f64)>> {
    let mut times = Vec::new();
    for line in text.lines() {
        let (name, seconds) = line.split_once('\t').ok_or_else(|| format!("not a time: {line}"))?;
        times.push((name.to_owned(), seconds.parse()?));
    }
    Ok(times)
}
