//! Builds the Wasm and its JavaScript side, the same bytes from the same source.

use crate::command::{Outcome, cargo, output, program, root, run, target_folder};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::fs;
use std::io::Write;
use std::path::PathBuf;

pub const TARGET: &str = "wasm32-unknown-unknown";
/// Data lies above the stack: with half the usual stack it lies below 1 MiB, where addresses take a byte less.
pub const LOW_DATA: &str = "-Clink-arg=-zstack-size=524288";
/// Level "z" calls what it could put in place, such as an iterator's step: putting a little more in place makes a table of
/// knob positions a sixth quicker, and the Wasm a fortieth larger packed; level "s" as much quicker, but a tenth larger.
const IN_PLACE: &str = "-Cllvm-args=--inline-threshold=30";

/// Builds into `dist/wasm`; gives the Wasm's bytes.
pub fn build() -> Outcome<Vec<u8>> {
    target(TARGET)?;
    let mut command = cargo("rustc --locked -p cellwright --lib --crate-type cdylib --profile page --features wasm");
    command.args(["--target", TARGET, "--", LOW_DATA, IN_PLACE]);
    command.env("CARGO_ENCODED_RUSTFLAGS", neutral_paths()?);
    run(&mut command)?;
    let out = root().join("dist/wasm");
    let mut generator = wasm_bindgen_cli_support::Bindgen::new();
    generator.input_path(target_folder().join(TARGET).join("page/cellwright.wasm")).out_name("cellwright");
    generator
        .web(true)?
        .typescript(true)
        .omit_default_module_path(true)
        .remove_name_section(true)
        .remove_producers_section(true);
    generator.generate(&out).map_err(|error| format!("wasm-bindgen: {error:#}"))?;
    // What wasm-bindgen cannot know: the types of questions and answers, and a function for each question.
    for (part, file) in [("types", "cellwright.d.ts"), ("functions", "cellwright.js")] {
        let text = output(cargo("run --quiet --locked -p cellwright --example typescript --").arg(part))?;
        let file = out.join(file);
        fs::write(&file, fs::read_to_string(&file)? + &text)?;
    }
    Ok(fs::read(out.join("cellwright_bg.wasm"))?)
}

/// Panic messages name source files: where cargo keeps those of dependencies on this machine must not show.
pub fn neutral_paths() -> Outcome<String> {
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let home =
        home.or_else(|| Some(std::env::home_dir()?.join(".cargo"))).ok_or("no home folder, and no CARGO_HOME")?;
    let sources = home.join("registry/src");
    let registries = fs::read_dir(&sources).map_err(|error| format!("{}: {error}", sources.display()))?;
    let mut flags = Vec::new();
    for registry in registries {
        flags.push(format!("--remap-path-prefix={}=/crates", registry?.path().display()));
    }
    flags.sort();
    Ok(flags.join("\x1f"))
}

/// Makes sure that rustup's target is there.
pub fn target(name: &str) -> Outcome {
    let there = output(program("rustup").args(["target", "list", "--installed"]))?;
    if there.lines().any(|line| line == name) {
        return Ok(());
    }
    run(program("rustup").args(["target", "add", name]))
}

/// The Wasm as text, for a script to unpack: gzip, which browsers have known longest, then base64.
pub fn packed(wasm: &[u8]) -> Outcome<String> {
    let mut packed = Vec::new();
    zopfli::compress(zopfli::Options::default(), zopfli::Format::Gzip, wasm, &mut packed)?;
    Ok(STANDARD.encode(packed))
}

/// Size after gzip at its strongest.
pub fn gzip_size(bytes: &[u8]) -> Outcome<usize> {
    Ok(gzip(bytes)?.len())
}

fn gzip(bytes: &[u8]) -> Outcome<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}
