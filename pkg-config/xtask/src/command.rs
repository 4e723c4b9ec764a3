//! Runs programs and tells what went wrong.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

pub type Outcome<T = ()> = Result<T, Box<dyn std::error::Error>>;

/// The folder that holds the workspace.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here).to_path_buf()
}

/// The folder that cargo builds into.
pub fn target_folder() -> PathBuf {
    root().join(std::env::var_os("CARGO_TARGET_DIR").unwrap_or_else(|| "target".into()))
}

/// A program started in the workspace's folder, with nothing to read.
pub fn program<S: AsRef<OsStr>>(name: S) -> Command {
    let mut command = Command::new(name);
    command.current_dir(root()).stdin(Stdio::null());
    command
}

/// The cargo that started this program, with arguments split at blanks.
pub fn cargo(line: &str) -> Command {
    let mut command = program(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(line.split_whitespace());
    command
}

/// Runs to the end; an exit status other than 0 is an error that names the command.
pub fn run(command: &mut Command) -> Outcome {
    let shown = show(command);
    println!("$ {shown}");
    let status = command.status().map_err(|error| format!("cannot start {shown}: {error}"))?;
    if status.success() { Ok(()) } else { Err(format!("{shown} ended with {status}").into()) }
}

/// Runs quietly and gives what it printed.
pub fn output(command: &mut Command) -> Outcome<String> {
    let shown = show(command);
    let output = command.output().map_err(|error| format!("cannot start {shown}: {error}"))?;
    if output.status.success() {
        Ok(String::from_utf8(output.stdout)?)
    } else {
        Err(format!("{shown} ended with {}: {}", output.status, String::from_utf8_lossy(&output.stderr)).into())
    }
}

/// Where a program lies, if it is installed.
pub fn which(name: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    std::env::split_paths(&path).map(|folder| folder.join(name)).find(|file| file.is_file())
}

/// The command line, the program by its bare name.
fn show(command: &Command) -> String {
    let name = Path::new(command.get_program()).file_name().unwrap_or(command.get_program());
    let words = std::iter::once(name).chain(command.get_args());
    words.map(|word| word.to_string_lossy().into_owned()).collect::<Vec<_>>().join(" ")
}
