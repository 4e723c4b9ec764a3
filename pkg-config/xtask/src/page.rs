//! Builds `dist/cellwright.html`: one file with the markup, the style, the script and the compressed Wasm.

use crate::command::{Outcome, cargo, output, program, root, run, which};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use flate2::Compression;
use flate2::write::{DeflateEncoder, GzEncoder};
use sha2::{Digest, Sha256};
use std::fs;
use std::io::Write;
use std::path::PathBuf;

/// The built page and its sizes in bytes.
pub struct Page {
    pub file: PathBuf,
    pub raw: usize,
    pub gzip: usize,
    pub wasm: usize,
    pub wasm_gzip: usize,
}

impl Page {
    pub fn print(&self) {
        println!();
        println!("{}", self.file.display());
        println!("  the whole of cellwright in one page: works from a saved file, without a network");
        println!("  page {} bytes, {} gzip; Wasm {} bytes, {} gzip", self.raw, self.gzip, self.wasm, self.wasm_gzip);
        println!(
            "  open it with a browser (double click, or send the file to a phone and open it in the browser there)"
        );
    }
}

/// Builds the page.
pub fn build() -> Outcome<Page> {
    npm_install()?;
    let wasm = wasm()?;
    let dist = root().join("dist");
    bundle("www/main.js", "page.js")?;
    bundle("www/style.css", "page.css")?;
    let read = |name: &str| fs::read_to_string(dist.join("build").join(name));
    let markup = fs::read_to_string(root().join("www/index.html"))?;
    let html = assemble(&markup, read("page.css")?.trim(), read("page.js")?.trim(), &packed(&wasm)?)?;
    let file = dist.join("cellwright.html");
    fs::write(&file, &html)?;
    Ok(Page {
        file,
        raw: html.len(),
        gzip: gzip_size(html.as_bytes())?,
        wasm: wasm.len(),
        wasm_gzip: gzip_size(&wasm)?,
    })
}

/// Puts the parts into the markup and locks them by a content security policy.
fn assemble(markup: &str, style: &str, script: &str, wasm: &str) -> Outcome<String> {
    let policy = format!(
        "default-src 'none'; script-src 'sha256-{}' 'wasm-unsafe-eval'; style-src 'sha256-{}'; img-src data:; \
         base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types 'none'",
        hash(script),
        hash(style)
    );
    let mut html = markup.to_owned();
    for (mark, part) in [
        ("<!-- policy -->", format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">")),
        ("<!-- style -->", format!("<style>{style}</style>")),
        ("<!-- wasm -->", format!("<script type=\"text/plain\" id=\"wasm\">{wasm}</script>")),
        ("<!-- script -->", format!("<script>{script}</script>")),
    ] {
        if html.matches(mark).count() != 1 {
            return Err(format!("www/index.html must hold {mark} exactly once").into());
        }
        html = html.replace(mark, &part);
    }
    if script.contains("</script") || style.contains("</style") {
        return Err("the script or the style would end its element early".into());
    }
    Ok(html)
}

fn hash(text: &str) -> String {
    STANDARD.encode(Sha256::digest(text.as_bytes()))
}

fn packed(wasm: &[u8]) -> Outcome<String> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(wasm)?;
    Ok(STANDARD.encode(encoder.finish()?))
}

/// Size after gzip at its strongest.
pub fn gzip_size(bytes: &[u8]) -> Outcome<usize> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?.len())
}

/// Builds the Wasm and its JavaScript side into `dist/wasm`; gives the Wasm's bytes.
pub fn wasm() -> Outcome<Vec<u8>> {
    target("wasm32-unknown-unknown")?;
    run(&mut cargo(
        "rustc --locked -p cellwright --lib --crate-type cdylib --target wasm32-unknown-unknown --profile page --features wasm",
    ))?;
    let built = root().join("target/wasm32-unknown-unknown/page/cellwright.wasm");
    let out = root().join("dist/wasm");
    let mut bindgen = wasm_bindgen_cli_support::Bindgen::new();
    bindgen.input_path(&built).web(true)?.typescript(true).out_name("cellwright");
    bindgen.generate(&out).map_err(|error| format!("wasm-bindgen: {error:#}"))?;
    Ok(fs::read(out.join("cellwright_bg.wasm"))?)
}

/// Makes sure that rustup's target is there.
pub fn target(name: &str) -> Outcome {
    let there = output(program("rustup").args(["target", "list", "--installed"])).unwrap_or_default();
    if there.lines().any(|line| line == name) {
        return Ok(());
    }
    run(program("rustup").args(["target", "add", name]))
}

/// Bundles one module or style sheet into `dist/build`.
pub fn bundle(from: &str, to: &str) -> Outcome {
    let esbuild = npm_folder().join("node_modules/.bin/esbuild");
    let mut command = program(esbuild);
    command.args([from, "--bundle", "--minify", "--format=iife", "--charset=utf8", "--log-level=warning"]);
    command.args(["--target=es2021", "--define:import.meta.url=\"\"", "--legal-comments=none", "--loader:.json=json"]);
    command.arg(format!("--alias:cellwright={}", root().join("dist/wasm/cellwright.js").display()));
    command.arg(format!("--outfile={}", root().join("dist/build").join(to).display()));
    command.env("NODE_PATH", npm_folder().join("node_modules"));
    run(&mut command)
}

/// The folder of the npm manifest.
pub fn npm_folder() -> PathBuf {
    root().join("pkg-config/npm")
}

/// Installs the tools that come from npm, once for each state of the lock file.
pub fn npm_install() -> Outcome {
    let npm = which("npm").ok_or("Node 20 or later with npm is needed; on Debian: apt-get install nodejs npm")?;
    let folder = npm_folder();
    let mark = folder.join("node_modules/.installed");
    let lock = fs::read(folder.join("package-lock.json"))?;
    if fs::read(&mark).is_ok_and(|seen| seen == lock) {
        return Ok(());
    }
    run(program(npm).current_dir(&folder).args(["ci", "--no-audit", "--no-fund", "--ignore-scripts"]))?;
    fs::write(mark, lock)?;
    Ok(())
}
