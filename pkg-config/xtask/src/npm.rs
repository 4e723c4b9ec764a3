//! The tools that come from npm: installs them as locked, and bundles modules with one of them.

use crate::command::{Outcome, output, program, root, run, which};
use std::fs;
use std::path::PathBuf;
use std::process::Command;

const OLDEST_NODE: u32 = 20;

/// The folder of the npm manifest.
fn folder() -> PathBuf {
    root().join("pkg-config/npm")
}

/// Node, new enough.
pub fn node() -> Outcome<Command> {
    let told = output(program("node").arg("--version")).unwrap_or_default();
    let major = told.trim().trim_start_matches('v').split('.').next().and_then(|text| text.parse::<u32>().ok());
    match major {
        Some(major) if major >= OLDEST_NODE => Ok(program("node")),
        _ => {
            Err(format!("Node {OLDEST_NODE} or later is needed, and \"node --version\" says \"{}\"", told.trim())
                .into())
        }
    }
}

/// A tool that came from npm.
pub fn tool(name: &str) -> Command {
    program(folder().join("node_modules/.bin").join(name))
}

/// Installs what the lock file says, once for each state of it.
pub fn install() -> Outcome {
    node()?;
    let npm = which("npm").ok_or("npm is needed; it belongs to Node, on Debian: apt-get install npm")?;
    let mark = folder().join("node_modules/.installed");
    let lock = fs::read(folder().join("package-lock.json"))?;
    if fs::read(&mark).is_ok_and(|seen| seen == lock) {
        return Ok(());
    }
    run(program(npm).current_dir(folder()).args(["ci", "--no-audit", "--no-fund", "--ignore-scripts"]))?;
    fs::write(mark, lock)?;
    Ok(())
}

/// Bundles a module or a style sheet of `www`, with all that it imports, into `dist/build`; gives its text.
pub fn bundle(from: &str) -> Outcome<String> {
    let to = root().join("dist/build").join(from);
    let mut command = tool("esbuild");
    command.args(["--bundle", "--minify", "--charset=utf8", "--legal-comments=none", "--log-level=warning"]);
    // The oldest engines that have `DecompressionStream`, which unpacks the Wasm.
    command.args(["--format=iife", "--target=chrome96,firefox113,safari16.4"]);
    command.arg(format!("--alias:cellwright={}", root().join("dist/wasm/cellwright.js").display()));
    command.arg(format!("--outfile={}", to.display())).arg(format!("www/{from}"));
    command.env("NODE_PATH", folder().join("node_modules"));
    run(&mut command)?;
    Ok(fs::read_to_string(to)?.trim().to_owned())
}
