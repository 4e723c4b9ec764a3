//! Finds the browsers that the checks need; installs them where apt-get and root allow.

use crate::command::{Outcome, output, program, run, which};
use std::path::PathBuf;

/// Where each browser and its driver lie.
pub struct Browsers {
    pub chromium: PathBuf,
    pub chromedriver: PathBuf,
    pub firefox: PathBuf,
    pub webkit_driver: PathBuf,
    pub webkit_browser: PathBuf,
}

const PACKAGES: &str =
    "chromium chromium-driver firefox-esr webkit2gtk-driver libwebkit2gtk-4.1-0 xvfb xauth fonts-dejavu-core";

/// All browsers, installed if need be.
pub fn all() -> Outcome<Browsers> {
    if let Some(found) = find() {
        return Ok(found);
    }
    install()?;
    find().ok_or_else(|| format!("a browser is still missing; install with: apt-get install {PACKAGES}").into())
}

fn find() -> Option<Browsers> {
    which("xvfb-run")?;
    Some(Browsers {
        chromium: which("chromium")?,
        chromedriver: which("chromedriver")?,
        firefox: which("firefox-esr").or_else(|| which("firefox"))?,
        webkit_driver: which("WebKitWebDriver")?,
        webkit_browser: mini_browser()?,
    })
}

/// The small browser that belongs to the WebKit library.
fn mini_browser() -> Option<PathBuf> {
    ["libwebkit2gtk-4.1-0", "libwebkit2gtk-4.0-37"].iter().find_map(|package| {
        let files = output(program("dpkg").args(["-L", package])).ok()?;
        files.lines().find(|line| line.ends_with("/MiniBrowser")).map(PathBuf::from)
    })
}

fn install() -> Outcome {
    let root = output(program("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !root || which("apt-get").is_none() {
        return Err(
            format!("browsers are missing and this user cannot install them: apt-get install {PACKAGES}").into()
        );
    }
    run(program("apt-get").args(["update", "-qq"]))?;
    let mut command = program("apt-get");
    command.env("DEBIAN_FRONTEND", "noninteractive");
    command.args(["install", "-y", "-qq", "--no-install-recommends"]).args(PACKAGES.split(' '));
    run(&mut command)
}
