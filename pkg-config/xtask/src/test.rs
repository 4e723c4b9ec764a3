//! Every check, one stage after the other, each with its time.

use crate::browsers::{self, Browsers};
use crate::command::{Outcome, cargo, output, program, root, run, target_folder};
use crate::{embed, npm, package, page, wasm};
use std::path::Path;
use std::process::Command;
use std::time::Instant;
use std::{env, fs};

type Stage = (&'static str, fn() -> Outcome);

const STAGES: [Stage; 10] = [
    ("format", format),
    ("lints", lints),
    ("features", features),
    ("documents", documents),
    ("native", native),
    ("types", types),
    ("wasm", wasm_tests),
    ("page", page_tests),
    ("handed-on", handed_on),
    ("crate", crate_file),
];

/// Runs the stages named, or all of them; a stage that fails does not keep the later ones from running.
pub fn all(wanted: &[&str]) -> Outcome {
    if let Some(unknown) = wanted.iter().find(|name| STAGES.iter().all(|(stage, _)| stage != *name)) {
        let names = STAGES.map(|(name, _)| name).join(", ");
        return Err(format!("no stage {unknown}; there are {names}").into());
    }
    let begun = Instant::now();
    let mut done = Vec::new();
    for (name, stage) in STAGES.iter().filter(|(name, _)| wanted.is_empty() || wanted.contains(name)) {
        println!("\n=== {name}");
        let start = Instant::now();
        let outcome = stage().map_err(|error| error.to_string());
        if let Err(error) = &outcome {
            println!("{name} failed: {error}");
        }
        done.push((*name, minutes(start), outcome));
    }
    println!("\nminutes per stage");
    for (name, minutes, _) in &done {
        println!("  {name:10} {minutes:6.2}");
    }
    println!("  {:10} {:6.2}", "all", minutes(begun));
    let failed: Vec<_> =
        done.iter().filter_map(|(name, _, outcome)| Some(format!("{name}: {}", outcome.as_ref().err()?))).collect();
    println!("{} stages passed, {} failed", done.len() - failed.len(), failed.len());
    if failed.is_empty() { Ok(()) } else { Err(failed.join("\n").into()) }
}

fn minutes(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() / 60.0
}

fn format() -> Outcome {
    run(&mut cargo("fmt --all --check"))
}

fn lints() -> Outcome {
    wasm::target(wasm::TARGET)?;
    run(&mut cargo("clippy --locked -p cellwright --all-targets --all-features -- -D warnings"))?;
    let mut on_wasm = cargo("clippy --locked -p cellwright --lib --features wasm --target wasm32-unknown-unknown");
    run(on_wasm.args(wasm_tests_named()?).args(["--", "-D", "warnings"]))?;
    let door =
        "clippy --locked -p cellwright --lib --features embed_plan --target wasm32-unknown-unknown -- -D warnings";
    run(&mut cargo(door))?;
    run(&mut cargo("clippy --locked -p xtask -p wasm-test -- -D warnings"))
}

/// Every set of features that differs from the others, and no standard library at all. Checking one crate keeps one core
/// busy: half of the sets go to a second lane, which builds into a folder of its own.
fn features() -> Outcome {
    let sets = |sets: &[&str], folder: &Path| -> Result<(), String> {
        sets.iter().try_for_each(|set| {
            let mut command = cargo("clippy --locked -p cellwright --lib --no-default-features --features");
            command.arg(set).args(["--", "-D", "warnings"]).env("CARGO_TARGET_DIR", folder);
            run(&mut command).map_err(|error| error.to_string())
        })
    };
    let first = target_folder();
    let second = first.join("second");
    std::thread::scope(|lanes| {
        let other = lanes.spawn(|| sets(&["", "serde", "schema", "capi"], &second));
        sets(&["ask", "ask,schema", "wasm", "wasm,capi"], &first)?;
        other.join().map_err(|_| "the second lane panicked")?
    })?;
    no_standard_library()
}

/// A target that has no standard library proves it by checking there; a program with a panic handler of its own proves it
/// on any target, because the standard library would bring a second one.
fn no_standard_library() -> Outcome {
    wasm::target(wasm::TARGET)?;
    let lines = ["", "--features serde", "--features ask"];
    run(&mut cargo("build --locked -p cellwright --lib --no-default-features --target wasm32-unknown-unknown"))?;
    let built = target_folder().join(wasm::TARGET).join("debug");
    let mut rustc = program(env::var_os("RUSTC").unwrap_or_else(|| "rustc".into()));
    rustc.args(["--edition=2024", "--crate-type=cdylib", "-Cpanic=abort", "--target", wasm::TARGET, "-Dwarnings"]);
    rustc.arg("--extern").arg(format!("cellwright={}", built.join("libcellwright.rlib").display()));
    rustc.arg("-L").arg(format!("dependency={}", built.join("deps").display()));
    fs::create_dir_all(root().join("dist/build"))?;
    run(rustc.args(["-o", "dist/build/no_std.wasm", "tests/no_std/program.rs"]))?;
    if let Err(error) = wasm::target("wasm32v1-none") {
        println!("the target wasm32v1-none cannot be had here ({error}): the program above is the proof");
        return Ok(());
    }
    for features in lines {
        let line = "check --locked -p cellwright --lib --no-default-features --target wasm32v1-none";
        run(cargo(line).args(features.split_whitespace()))?;
    }
    Ok(())
}

fn documents() -> Outcome {
    for line in ["--all-features", "--features wasm --target wasm32-unknown-unknown"] {
        let mut command = cargo("doc --locked -p cellwright --no-deps");
        run(command.args(line.split_whitespace()).env("RUSTDOCFLAGS", "-D warnings"))?;
    }
    Ok(())
}

/// Unit, integration and documentation tests.
fn native() -> Outcome {
    run(&mut cargo("test --locked -p cellwright"))?;
    run(&mut cargo("run --quiet --locked -p cellwright --example speed -- once"))
}

/// The page's modules against the types generated from the crate's.
fn types() -> Outcome {
    npm::install()?;
    wasm::build()?;
    run(npm::tool("tsc").args(["--project", "www/tsconfig.json"]))
}

/// Tests as WebAssembly, in Node and in a browser.
fn wasm_tests() -> Outcome {
    let browsers = browsers::all()?;
    npm::node()?;
    wasm::target(wasm::TARGET)?;
    run(&mut cargo("build --locked -p wasm-test"))?;
    let runner = target_folder().join("debug/wasm-test");
    // The digests of the native answers, which the same inputs must give as WebAssembly.
    let seeded = output(&mut cargo("run --quiet --locked -p cellwright --release --example seeded"))?;
    for in_browser in [false, true] {
        let mut command = cargo("test --locked -p cellwright --release --target wasm32-unknown-unknown");
        command.args(wasm_tests_named()?);
        command.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", &runner);
        command.env("WASM_BINDGEN_TEST_TIMEOUT", "900").env("CELLWRIGHT_SEEDED", seeded.trim());
        if in_browser {
            command.env("WASM_BINDGEN_USE_BROWSER", "1").env("CHROMEDRIVER", &browsers.chromedriver);
        }
        run(&mut command)?;
    }
    Ok(())
}

/// Names the test programs that hold tests for WebAssembly, as cargo wants it.
fn wasm_tests_named() -> Outcome<Vec<String>> {
    let mut names = Vec::new();
    for entry in fs::read_dir(root().join("tests"))? {
        let path = entry?.path();
        let is_rust = path.extension().is_some_and(|end| end == "rs");
        if is_rust && fs::read_to_string(&path)?.contains("#[wasm_bindgen_test]") {
            names.extend(path.file_stem().map(|name| format!("--test={}", name.to_string_lossy())));
        }
    }
    names.sort();
    if names.is_empty() { Err("no file in tests holds #[wasm_bindgen_test]".into()) } else { Ok(names) }
}

/// The built page in three browser engines, from a file.
fn page_tests() -> Outcome {
    let browsers = browsers::all()?;
    page::build()?.print();
    embed::build()?.print()?;
    let mut files = Vec::new();
    for entry in fs::read_dir(root().join("tests/page"))? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        files.extend(name.ends_with(".test.mjs").then(|| format!("tests/page/{name}")));
    }
    files.sort();
    run(node_tests(&browsers).args(files))
}

/// Node's test runner with a screen, which WebKit's driver needs. One file at a time: the browsers need the processor.
fn node_tests(browsers: &Browsers) -> Command {
    let mut command = program("xvfb-run");
    command.args(["-a", "-s", "-screen 0 1400x1000x24", "node", "--test", "--test-reporter=spec"]);
    command.arg("--test-concurrency=1");
    command.env("CELLWRIGHT_CHROMIUM", &browsers.chromium);
    command.env("CELLWRIGHT_FIREFOX", &browsers.firefox);
    command.env("CELLWRIGHT_WEBKIT_DRIVER", &browsers.webkit_driver);
    command.env("CELLWRIGHT_WEBKIT", &browsers.webkit_browser);
    command
}

/// The npm folder and the C library, used as another program would use them.
fn handed_on() -> Outcome {
    package::npm()?;
    package::npm_programs()?;
    package::c_library()?;
    package::c_programs()
}

/// What a release of the crate would upload, built on its own.
fn crate_file() -> Outcome {
    let mut command = cargo("package --locked -p cellwright");
    if env::var_os("CI").is_none() {
        command.arg("--allow-dirty");
    }
    run(&mut command)
}
