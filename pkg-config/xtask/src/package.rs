//! Builds what is handed on: the npm folder and the C library; and uses them as another program would.

use crate::command::{Outcome, cargo, output, program, root, run, target_folder};
use crate::{debian, embed};
use crate::{npm as tools, wasm};
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;

/// Version of this workspace; the crate's is the same, which a test of the C header holds.
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Everything that is handed on, into `dist`.
pub fn build() -> Outcome {
    npm()?;
    c_library()
}

/// The npm folder: the Wasm with its JavaScript side and types, beside and inside the script.
pub fn npm() -> Outcome {
    tools::install()?;
    let bytes = wasm::build()?;
    let out = root().join("dist/npm");
    empty(&out)?;
    for entry in fs::read_dir(root().join("pkg-config/npm/cellwright"))? {
        let entry = entry?;
        fs::copy(entry.path(), out.join(entry.file_name()))?;
    }
    let manifest = fs::read_to_string(out.join("package.json"))?;
    fs::write(out.join("package.json"), manifest.replace("@VERSION@", VERSION))?;
    for (from, to) in [
        ("cellwright.js", "core.js"),
        ("cellwright.d.ts", "core.d.ts"),
        ("cellwright_bg.wasm", "core.wasm"),
        ("cellwright_bg.wasm.d.ts", "core.wasm.d.ts"),
    ] {
        fs::copy(root().join("dist/wasm").join(from), out.join(to))?;
    }
    fs::write(out.join("text.js"), format!("export const text = \"{}\";\n", wasm::packed(&bytes)?))?;
    embed::npm(&out)?;
    for name in ["LICENSE-MIT", "LICENSE-APACHE", "README.md"] {
        fs::copy(root().join(name), out.join(name))?;
    }
    println!("{}: npm package, Wasm {} bytes, {} after gzip", out.display(), bytes.len(), wasm::gzip_size(&bytes)?);
    Ok(())
}

/// Installs the packed npm folder somewhere else and uses it in Node, in one plain script and in TypeScript.
pub fn npm_programs() -> Outcome {
    let place = root().join("dist/build/npm");
    empty(&place)?;
    fs::write(place.join("package.json"), "{ \"private\": true, \"type\": \"module\" }\n")?;
    let pack = ["pack", "--silent", "../../npm"];
    let archive = output(program("npm").current_dir(&place).args(pack))?;
    let install = ["install", "--silent", "--offline", "--no-audit", "--no-fund", archive.trim()];
    run(program("npm").current_dir(&place).args(install))?;
    for entry in fs::read_dir(root().join("tests/npm"))? {
        let entry = entry?;
        fs::copy(entry.path(), place.join(entry.file_name()))?;
    }
    run(program("node").current_dir(&place).arg("node.mjs"))?;
    run(program("node").current_dir(&place).arg("file.mjs"))?;
    let bundle =
        ["bundled.mjs", "--bundle", "--minify", "--format=iife", "--log-level=warning", "--outfile=bundled.js"];
    run(tools::tool("esbuild").current_dir(&place).args(bundle))?;
    run(program("node").current_dir(&place).args(["run-bundled.mjs", "bundled.js"]))?;
    let check = ["--noEmit", "--strict", "--target", "es2022", "--module", "nodenext", "--types", "", "typed.ts"];
    run(tools::tool("tsc").current_dir(&place).args(check))
}

/// The C library, shared and static, with header and `.pc` file, laid out as under `/usr/local`.
pub fn c_library() -> Outcome {
    let out = root().join("dist/c");
    empty(&out)?;
    fs::create_dir_all(out.join("include"))?;
    fs::create_dir_all(out.join("lib/pkgconfig"))?;
    let shared = format!("libcellwright.so.{}", compatible());
    let line = "rustc --locked -p cellwright --lib --profile capi --features capi --crate-type cdylib,staticlib --";
    run(cargo(line).args(["-C", &format!("link-arg=-Wl,-soname,{shared}")]))?;
    let built = target_folder().join("capi");
    fs::copy(built.join("libcellwright.so"), out.join("lib").join(&shared))?;
    symlink(&shared, out.join("lib/libcellwright.so"))?;
    fs::copy(built.join("libcellwright.a"), out.join("lib/libcellwright.a"))?;
    fs::copy(root().join("pkg-config/cellwright.h"), out.join("include/cellwright.h"))?;
    let pc = fs::read_to_string(root().join("pkg-config/cellwright.pc.in"))?;
    fs::write(out.join("lib/pkgconfig/cellwright.pc"), pc.replace("@VERSION@", VERSION))?;
    let size = fs::metadata(out.join("lib").join(&shared))?.len();
    println!("{}: C library, shared {size} bytes", out.display());
    Ok(())
}

/// The part of the version that promises the same interface: before 1.0, that is two numbers.
fn compatible() -> &'static str {
    let major = VERSION.split('.').next().unwrap_or(VERSION);
    if major == "0" { VERSION.rsplit_once('.').map_or(VERSION, |(compatible, _)| compatible) } else { major }
}

/// Compiles and runs the C test program, found by its `.pc` file, against the shared and the static library.
pub fn c_programs() -> Outcome {
    debian::need("pkg-config", "pkg-config")?;
    let out = root().join("dist/c");
    let lib = out.join("lib");
    for (name, extra) in [("shared", &[][..]), ("static", &["--static"][..])] {
        let mut ask = program("pkg-config");
        ask.env("PKG_CONFIG_PATH", lib.join("pkgconfig")).args(extra);
        let flags = output(ask.args(["--cflags", "--libs", "cellwright"]))?;
        // The linker would take the shared library where both lie side by side.
        let flags = if name == "static" { flags.replace("-lcellwright", "-l:libcellwright.a") } else { flags };
        let to = root().join("dist/build").join(format!("ask-{name}"));
        let mut compile = program("cc");
        compile.args(["-std=c99", "-Wall", "-Wextra", "-Werror", "tests/capi/ask.c", "-o"]).arg(&to);
        run(compile.args(flags.split_whitespace()))?;
        run(program(&to).env("LD_LIBRARY_PATH", &lib))?;
    }
    Ok(())
}

/// A folder without what an earlier run left there.
fn empty(folder: &Path) -> Outcome {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    Ok(fs::create_dir_all(folder)?)
}
