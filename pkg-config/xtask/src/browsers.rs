//! The browsers that the checks need.

use crate::command::{Outcome, output, program, which};
use crate::debian;
use std::path::PathBuf;

/// Where each browser and its driver lie.
pub struct Browsers {
    pub chromium: PathBuf,
    pub chromedriver: PathBuf,
    pub firefox: PathBuf,
    pub webkit_driver: PathBuf,
    pub webkit_browser: PathBuf,
}

const WEBKIT: &str = "libwebkit2gtk-4.1-0";
const PACKAGES: [&str; 8] =
    ["chromium", "chromium-driver", "firefox-esr", "webkit2gtk-driver", WEBKIT, "xvfb", "xauth", "fonts-dejavu-core"];

/// All browsers, installed if need be.
pub fn all() -> Outcome<Browsers> {
    if let Some(found) = find() {
        return Ok(found);
    }
    debian::install(&PACKAGES)?;
    find().ok_or_else(|| format!("a browser is missing even with {} installed", PACKAGES.join(" ")).into())
}

fn find() -> Option<Browsers> {
    which("xvfb-run")?;
    Some(Browsers {
        chromium: which("chromium")?,
        chromedriver: which("chromedriver")?,
        firefox: which("firefox-esr").or_else(|| which("firefox"))?,
        webkit_driver: which("WebKitWebDriver")?,
        webkit_browser: webkit_browser()?,
    })
}

/// The small browser that belongs to the WebKit library.
fn webkit_browser() -> Option<PathBuf> {
    let files = output(program("dpkg").args(["-L", WEBKIT])).ok()?;
    files.lines().find(|line| line.ends_with("/MiniBrowser")).map(PathBuf::from)
}
