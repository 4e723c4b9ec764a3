//! Questions asked in steps: any steps of the same sum tell the same, and end in the answer asked at once.

#[path = "door/stepped.rs"]
mod stepped;

use cellwright::ask::{Node, Stepped, ask};
use stepped::CASES;

#[test]
fn steps_end_in_the_answer() {
    for (question, input, counts) in CASES {
        let mut search = Stepped::start(question, input).unwrap();
        let mut told = Vec::new();
        for count in counts {
            told.push(search.step(*count).unwrap());
        }
        assert_eq!(told[0].get("done"), Some(&Node::Bool(false)), "{question}");
        let mut whole = Stepped::start(question, input).unwrap();
        assert_eq!(whole.step(counts.iter().sum()).unwrap(), told[counts.len() - 1], "{question}");
        assert_eq!(search.answer().unwrap(), ask(question, input).unwrap(), "{question}");
        // A search that is done says so and spends no more.
        assert_eq!(search.step(1e6).unwrap().get("done"), Some(&Node::Bool(true)), "{question}");
    }
}

#[test]
fn wrong_steps_are_mistakes() {
    let mut search = Stepped::start(CASES[0].0, CASES[0].1).unwrap();
    for count in [0.0, -1.0, 1e9, f64::NAN, f64::INFINITY] {
        assert_eq!(search.step(count).unwrap_err()[0].field(), "count");
    }
    assert_eq!(Stepped::start("timer", "{}").unwrap_err()[0].field(), "question");
    assert_eq!(Stepped::start("match", "{").unwrap_err().len(), 1);
    assert!(Stepped::start("runtime_spread", "{}").unwrap_err().len() > 1);
}
