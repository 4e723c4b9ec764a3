//! Every check, one stage after the other, each with its time.

use crate::browsers::{self, Browsers};
use crate::command::{Outcome, cargo, output, program, root, run, which};
use crate::page;
use std::time::Instant;

type Stage = (&'static str, fn() -> Outcome);

const STAGES: [Stage; 10] = [
    ("format", format),
    ("lints", lints),
    ("native", native),
    ("features", features),
    ("documents", documents),
    ("types", types),
    ("wasm", wasm),
    ("page", page_tests),
    ("c", c_library),
    ("package", package),
];

/// Runs the stages named, or all of them.
pub fn all(wanted: &[&str]) -> Outcome {
    if let Some(unknown) = wanted.iter().find(|name| STAGES.iter().all(|(stage, _)| stage != *name)) {
        let names = STAGES.map(|(name, _)| name).join(", ");
        return Err(format!("no stage {unknown}; there are {names}").into());
    }
    let begun = Instant::now();
    let mut times = Vec::new();
    for (name, stage) in STAGES.iter().filter(|(name, _)| wanted.is_empty() || wanted.contains(name)) {
        println!("\n=== {name}");
        let start = Instant::now();
        let outcome = stage();
        times.push((*name, start.elapsed().as_secs_f64() / 60.0));
        if let Err(error) = outcome {
            print_times(&times, begun);
            return Err(format!("{name}: {error}").into());
        }
    }
    print_times(&times, begun);
    println!("every check passed");
    Ok(())
}

fn print_times(times: &[(&str, f64)], begun: Instant) {
    println!("\nminutes per stage");
    for (name, minutes) in times {
        println!("  {name:10} {minutes:6.2}");
    }
    println!("  {:10} {:6.2}", "all", begun.elapsed().as_secs_f64() / 60.0);
}

fn format() -> Outcome {
    run(&mut cargo("fmt --all --check"))
}

fn lints() -> Outcome {
    page::target("wasm32-unknown-unknown")?;
    run(&mut cargo("clippy --locked --all-targets --all-features -- -D warnings"))?;
    run(&mut cargo("clippy --locked -p xtask -p wasm-test -- -D warnings"))?;
    run(&mut cargo(
        "clippy --locked -p cellwright --lib --features wasm --target wasm32-unknown-unknown -- -D warnings",
    ))
}

fn native() -> Outcome {
    run(&mut cargo("test --locked -p cellwright"))
}

/// Each feature alone, and no standard library at all.
fn features() -> Outcome {
    for feature in ["", "serde", "schema", "ask", "wasm", "capi"] {
        run(cargo("check --locked -p cellwright --lib --no-default-features --features").arg(feature))?;
    }
    // A target without a standard library: the build itself is the proof.
    page::target("wasm32v1-none")?;
    run(&mut cargo("build --locked -p cellwright --lib --no-default-features --target wasm32v1-none"))?;
    run(&mut cargo("build --locked -p cellwright --lib --features serde --target wasm32v1-none"))
}

fn documents() -> Outcome {
    let mut doc = cargo("doc --locked -p cellwright --all-features --no-deps");
    run(doc.env("RUSTDOCFLAGS", "-D warnings"))
}

/// The page's modules against the types generated from the crate's.
fn types() -> Outcome {
    page::npm_install()?;
    page::wasm()?;
    let tsc = page::npm_folder().join("node_modules/.bin/tsc");
    run(program(tsc).args(["--project", "www/tsconfig.json"]))
}

/// The same tests as WebAssembly, in Node and in a browser.
fn wasm() -> Outcome {
    let browsers = browsers::all()?;
    which("node").ok_or("Node 20 or later is needed; on Debian: apt-get install nodejs npm")?;
    run(&mut cargo("build --locked -p wasm-test"))?;
    let runner = root().join("target/debug/wasm-test");
    // The digests of the native answers, which the same inputs must give as WebAssembly.
    let seeded = output(&mut cargo("run --quiet --locked -p cellwright --release --example seeded"))?;
    for in_browser in [false, true] {
        let mut command =
            cargo("test --locked -p cellwright --release --features wasm --target wasm32-unknown-unknown --test wasm");
        command.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", &runner);
        command.env("WASM_BINDGEN_TEST_TIMEOUT", "300").env("CELLWRIGHT_SEEDED", seeded.trim());
        if in_browser {
            command.env("WASM_BINDGEN_USE_BROWSER", "1").env("CHROMEDRIVER", &browsers.chromedriver);
        }
        run(&mut command)?;
    }
    Ok(())
}

/// The built page in three browser engines, from a file.
fn page_tests() -> Outcome {
    let browsers = browsers::all()?;
    page::build()?.print();
    run(node_tests(&browsers, "tests/page/page.test.mjs").env("CELLWRIGHT_SHOTS", root().join("dist/shots")))
}

fn node_tests(browsers: &Browsers, file: &str) -> std::process::Command {
    // One virtual screen for all: WebKit's driver needs one.
    let mut command = program("xvfb-run");
    command.args(["-a", "-s", "-screen 0 1400x1000x24", "node", "--test", "--test-reporter=spec", file]);
    command.env("CELLWRIGHT_CHROMIUM", &browsers.chromium);
    command.env("CELLWRIGHT_FIREFOX", &browsers.firefox);
    command.env("CELLWRIGHT_WEBKIT_DRIVER", &browsers.webkit_driver);
    command.env("CELLWRIGHT_WEBKIT", &browsers.webkit_browser);
    command.env("NODE_PATH", page::npm_folder().join("node_modules"));
    command
}

/// A C program against the library, as another program would use it.
fn c_library() -> Outcome {
    crate::package::c_library()?;
    crate::package::c_program()
}

/// What a release would upload.
fn package() -> Outcome {
    let mut command = cargo("package --locked -p cellwright");
    if std::env::var_os("CI").is_none() {
        command.arg("--allow-dirty");
    }
    run(&mut command)
}
