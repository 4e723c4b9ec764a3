//! Builds `dist/cellwright.html`: one file with the markup, the style, the script and the compressed Wasm.

use crate::command::{Outcome, root};
use crate::{npm, wasm};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::fs;
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
        println!("  the planner as one page: everything is in the file, and it works without a network");
        println!("  page {} bytes, {} after gzip", self.raw, self.gzip);
        println!("  of which Wasm {} bytes, {} after gzip", self.wasm, self.wasm_gzip);
        println!("  to open: a double click; on a phone, send the file there and open it in a web browser");
    }
}

/// Builds the page.
pub fn build() -> Outcome<Page> {
    npm::install()?;
    let wasm = wasm::build()?;
    let markup = fs::read_to_string(root().join("www/index.html"))?;
    let html = assemble(&markup, &npm::bundle("style.css")?, &npm::bundle("main.js")?, &wasm::packed(&wasm)?)?;
    let file = root().join("dist/cellwright.html");
    fs::write(&file, &html)?;
    Ok(Page {
        file,
        raw: html.len(),
        gzip: wasm::gzip_size(html.as_bytes())?,
        wasm: wasm.len(),
        wasm_gzip: wasm::gzip_size(&wasm)?,
    })
}

/// Puts the parts into the markup and locks them by a content security policy.
pub fn assemble(markup: &str, style: &str, script: &str, wasm: &str) -> Outcome<String> {
    for ending in ["</script", "</style", "<!--"] {
        if script.contains(ending) || style.contains(ending) {
            return Err(format!("the script or the style holds {ending}, which ends or changes its element").into());
        }
    }
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
            return Err(format!("the markup must hold {mark} exactly once").into());
        }
        html = html.replace(mark, &part);
    }
    Ok(html)
}

/// SHA-256 as policies and integrity attributes want it.
pub fn hash(text: impl AsRef<[u8]>) -> String {
    STANDARD.encode(Sha256::digest(text.as_ref()))
}
