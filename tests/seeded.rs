//! Seeded inputs: most have an answer.
#![cfg(not(target_arch = "wasm32"))]

#[path = "door/seeded.rs"]
mod seeded;

use seeded::{BLOCKS, DRAWN};

#[test]
fn most_seeded_inputs_have_an_answer() {
    for drawn in DRAWN {
        let answered = drawn.ask(0).answered;
        assert!(answered * 10 >= drawn.block * 9, "{}: {answered} of {}", drawn.question, drawn.block);
        assert_ne!(drawn.ask(0).digest, drawn.ask(BLOCKS - 1).digest, "{}", drawn.question);
    }
}
