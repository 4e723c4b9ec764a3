//! Prints the digests of all seeded inputs, for the same inputs asked as WebAssembly.

#[path = "../door/seeded.rs"]
mod seeded;

fn main() {
    let digests = |drawn: &seeded::Drawn| (0..seeded::BLOCKS).map(|block| drawn.ask(block).digest).collect::<Vec<_>>();
    let all: Vec<_> = seeded::DRAWN.iter().flat_map(digests).map(|digest| format!("{digest:016x}")).collect();
    println!("{}", all.join(" "));
}
