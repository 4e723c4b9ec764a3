//! `cargo xtask page | embed | test | speed | package`: builds the page and the packages, runs every check.

mod browsers;
mod command;
mod debian;
mod embed;
mod npm;
mod package;
mod page;
mod speed;
mod test;
mod wasm;

use command::Outcome;

fn main() -> std::process::ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let outcome: Outcome = match words.as_slice() {
        ["page"] => page::build().map(|page| page.print()),
        ["embed"] => embed::build().and_then(|cores| cores.print()),
        ["test"] => test::all(&[]),
        ["test", stages @ ..] => test::all(stages),
        ["speed"] => speed::print(),
        ["package"] => package::build(),
        _ => Err("usage: cargo xtask page | embed | test [stage …] | speed | package".into()),
    };
    match outcome {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("\nxtask: {error}");
            std::process::ExitCode::FAILURE
        }
    }
}
