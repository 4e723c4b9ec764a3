//! Builds the Wasm and its JavaScript side, the same bytes from the same source.

use crate::command::{Outcome, cargo, output, program, root, run, target_folder};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

pub const TARGET: &str = "wasm32-unknown-unknown";

/// Builds into `dist/wasm`; gives the Wasm's bytes.
pub fn build() -> Outcome<Vec<u8>> {
    let out = root().join("dist/wasm");
    let wasm = compiled("page", &[], &out)?;
    // What wasm-bindgen cannot know: the types of questions and answers, and a function for each question.
    for (part, file) in [("types", "cellwright.d.ts"), ("functions", "cellwright.js")] {
        let text = output(cargo("run --quiet --locked -p cellwright --example typescript --").arg(part))?;
        let file = out.join(file);
        fs::write(&file, fs::read_to_string(&file)? + &text)?;
    }
    Ok(wasm)
}

/// Builds the Wasm that holds only the questions an article asks into `dist/wasm-slim`; gives its bytes. Its
/// JavaScript has `ask`, `ask_text` and `Stepped`, no function for each question.
pub fn slim() -> Outcome<Vec<u8>> {
    compiled("slim", &["--", "--cfg", "slim"], &root().join("dist/wasm-slim"))
}

/// The Wasm of a profile with its JavaScript side, in the folder `out`.
fn compiled(profile: &str, flags: &[&str], out: &Path) -> Outcome<Vec<u8>> {
    target(TARGET)?;
    let mut command = cargo("rustc --locked -p cellwright --lib --crate-type cdylib --features wasm --profile");
    command.args([profile, "--target", TARGET]).args(flags).env("CARGO_ENCODED_RUSTFLAGS", neutral_paths()?);
    run(&mut command)?;
    let mut generator = wasm_bindgen_cli_support::Bindgen::new();
    let input = target_folder().join(TARGET).join(profile).join("cellwright.wasm");
    generator.input_path(input).out_name("cellwright");
    generator
        .web(true)?
        .typescript(true)
        .omit_default_module_path(true)
        .remove_name_section(true)
        .remove_producers_section(true);
    generator.generate(out).map_err(|error| format!("wasm-bindgen: {error:#}"))?;
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
    Ok(STANDARD.encode(gzip(wasm)?))
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
