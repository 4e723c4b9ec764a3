//! Builds `dist/embed`: the elements' script with its Wasm beside it, the page of a frame, and an article with all of it.

use crate::command::{Outcome, cargo, output, root, run, target_folder};
use crate::page::{assemble, hash};
use crate::{npm, wasm};
use std::fs;
use std::path::PathBuf;

/// What an element may cost before it is near, and with everything, after gzip. Printed, never a gate.
const BEFORE_MOST: usize = 15_000;
const ALL_MOST: usize = 100_000;

/// Wasm of the short answers, and of the whole plan as well.
pub struct Cores {
    pub short: Vec<u8>,
    pub whole: Vec<u8>,
}

/// The folder that it is built into.
pub fn folder() -> PathBuf {
    root().join("dist/embed")
}

/// Builds everything.
pub fn build() -> Outcome<Cores> {
    npm::install()?;
    let out = folder();
    let parts = root().join("dist/build/embed");
    for folder in [&out, &parts] {
        fs::create_dir_all(folder)?;
    }
    let cores = Cores { short: core("embed")?, whole: core("embed_plan")? };
    fs::write(out.join("cellwright-embed.wasm"), &cores.short)?;
    fs::write(out.join("cellwright-plan.wasm"), &cores.whole)?;
    let packed = wasm::packed(&cores.short)?;
    fs::write(parts.join("text.js"), format!("export default \"{packed}\";\n"))?;
    fs::write(parts.join("style.js"), style("style.css")?)?;
    for (from, to) in [
        ("script.js", "cellwright-embed.js"),
        ("whole.js", "cellwright-embed-whole.js"),
        ("parent.js", "cellwright-frame.js"),
    ] {
        fs::write(out.join(to), bundle(from, &cores, "iife")?)?;
    }
    fs::write(out.join("embed.mjs"), bundle("module.js", &cores, "esm")?)?;
    let frame = fs::read_to_string(root().join("www/embed/frame.html"))?;
    let script = bundle("frame.js", &cores, "iife")?;
    fs::write(out.join("frame.html"), assemble(&frame, &minified("frame.css")?, &script, &packed)?)?;
    fs::write(out.join("article.css"), minified("article.css")?)?;
    fs::write(out.join("article.html"), output(helper().arg("article").arg(out.join("cellwright-plan.wasm")))?)?;
    Ok(cores)
}

/// The files of the npm package: modules, both Wasm files, types, and the list of elements for editors.
pub fn npm(out: &std::path::Path) -> Outcome {
    build()?;
    fs::copy(folder().join("embed.mjs"), out.join("embed.js"))?;
    for name in ["cellwright-embed.wasm", "cellwright-plan.wasm", "cellwright-embed.js", "cellwright-embed-whole.js"] {
        fs::copy(folder().join(name), out.join(name))?;
    }
    fs::write(out.join("custom-elements.json"), output(helper().arg("manifest"))?)?;
    Ok(())
}

impl Cores {
    /// Prints what a page loads.
    pub fn print(&self) -> Outcome {
        let size = |name: &str| -> Outcome<usize> { wasm::gzip_size(&fs::read(folder().join(name))?) };
        let script = size("cellwright-embed.js")?;
        let (short, whole) = (wasm::gzip_size(&self.short)?, wasm::gzip_size(&self.whole)?);
        println!();
        println!("{}", folder().display());
        println!("  the elements for a blog; article.html shows all of it (to be served, not opened from the disk)");
        println!("  script before an element is near: {script} after gzip (wanted: at most {BEFORE_MOST})");
        println!("  script and Wasm of the four questions: {} after gzip (wanted: at most {ALL_MOST})", script + short);
        println!("  Wasm of the four questions {} bytes, {short} after gzip", self.short.len());
        println!(
            "  Wasm of the whole plan, asked for by cellwright-plan alone: {} bytes, {whole} after gzip",
            self.whole.len()
        );
        println!("  one file with the Wasm in it: {} after gzip", size("cellwright-embed-whole.js")?);
        println!("  page of a frame: {} after gzip", size("frame.html")?);
        Ok(())
    }
}

/// A Wasm that holds the short answers alone, without names of functions.
fn core(feature: &str) -> Outcome<Vec<u8>> {
    wasm::target(wasm::TARGET)?;
    let mut command = cargo("rustc --locked -p cellwright --lib --crate-type cdylib --profile embed --features");
    command
        .args([feature, "--target", wasm::TARGET, "--", wasm::LOW_DATA])
        .env("CARGO_ENCODED_RUSTFLAGS", wasm::neutral_paths()?);
    run(&mut command)?;
    Ok(fs::read(target_folder().join(wasm::TARGET).join("embed/cellwright.wasm"))?)
}

fn minified(from: &str) -> Outcome<String> {
    let mut command = npm::tool("esbuild");
    Ok(output(command.args(["--minify", "--charset=utf8"]).arg(format!("www/embed/{from}")))?.trim().to_owned())
}

/// The style sheet as a module.
fn style(from: &str) -> Outcome<String> {
    let css = minified(from)?.replace('\\', "\\\\").replace('`', "\\`");
    Ok(format!("export default `{css}`;\n"))
}

/// Bundles a module of `www/embed`.
fn bundle(from: &str, cores: &Cores, format: &str) -> Outcome<String> {
    let parts = root().join("dist/build/embed");
    let to = parts.join(format!("{format}-{from}"));
    let integrity = |bytes: &[u8]| format!("\"sha256-{}\"", hash(bytes));
    let mut command = npm::tool("esbuild");
    command.args(["--bundle", "--minify", "--charset=utf8", "--legal-comments=none", "--log-level=warning"]);
    command.args([&format!("--format={format}"), "--target=chrome96,firefox113,safari16.4"]);
    command.arg(format!("--define:SHORT_INTEGRITY={}", integrity(&cores.short)));
    command.arg(format!("--define:WHOLE_INTEGRITY={}", integrity(&cores.whole)));
    command.arg(format!("--define:VERSION=\"{}\"", env!("CARGO_PKG_VERSION")));
    command.arg(format!("--alias:cellwright-embed-style={}", parts.join("style.js").display()));
    command.arg(format!("--alias:cellwright-embed-text={}", parts.join("text.js").display()));
    command.arg(format!("--outfile={}", to.display())).arg(format!("www/embed/{from}"));
    run(&mut command)?;
    Ok(fs::read_to_string(to)?.trim().to_owned())
}

/// The program that asks the built Wasm, under Node.
fn helper() -> std::process::Command {
    let mut command = crate::command::program("node");
    command.arg("pkg-config/npm/embed.mjs");
    command
}
