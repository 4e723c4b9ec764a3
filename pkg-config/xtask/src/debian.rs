//! Programs that come from Debian: installs them where `apt-get` and root allow.

use crate::command::{Outcome, output, program, run, which};
use std::path::PathBuf;

/// Where a program lies, installed if need be.
pub fn need(name: &str, package: &str) -> Outcome<PathBuf> {
    if let Some(found) = which(name) {
        return Ok(found);
    }
    install(&[package])?;
    which(name).ok_or_else(|| format!("{name} is missing even with {package} installed").into())
}

/// Installs packages.
pub fn install(packages: &[&str]) -> Outcome {
    let line = format!("apt-get install {}", packages.join(" "));
    let root = output(program("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !root || which("apt-get").is_none() {
        return Err(format!("programs are missing that this user cannot install; as root: {line}").into());
    }
    run(program("apt-get").args(["update", "-qq"]))?;
    let mut command = program("apt-get");
    command.env("DEBIAN_FRONTEND", "noninteractive").args(["install", "-y", "-qq", "--no-install-recommends"]);
    run(command.args(packages)).map_err(|error| format!("{error}; by hand, as root: {line}").into())
}
