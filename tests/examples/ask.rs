//! Asks one question: JSON in on standard input, JSON out.
//!
//! ```text
//! ask QUESTION < input.json    the answer, or the mistakes of the input with exit status 1
//! ask -- list                  the questions
//! ask -- schema QUESTION       JSON Schema of input and answer
//! ```

use cellwright::ask::{QUESTIONS, Question, ask, refused};
use cellwright::error::Error;
use std::io::Read;
use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--").collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let said = match words.as_slice() {
        ["list"] => Ok(list()),
        ["schema", name] => schema(name),
        [name] => answer(name),
        _ => Err(vec![Error::other("arguments", words.join(" "), "QUESTION, list, or schema QUESTION").placed("")]),
    };
    match said {
        Ok(text) => {
            println!("{text}");
            ExitCode::SUCCESS
        }
        Err(errors) => {
            println!("{}", pretty(&refused(&errors)));
            ExitCode::FAILURE
        }
    }
}

fn list() -> String {
    let width = QUESTIONS.iter().map(|question| question.name.len()).max().unwrap_or(0);
    let rows: Vec<_> =
        QUESTIONS.iter().map(|question| format!("{:width$}  {}", question.name, question.about)).collect();
    rows.join("\n")
}

fn schema(name: &str) -> Result<String, Vec<Error>> {
    Ok(pretty(&Question::named(name)?.schemas()))
}

fn answer(name: &str) -> Result<String, Vec<Error>> {
    Question::named(name)?;
    let mut bytes = Vec::new();
    if let Err(error) = std::io::stdin().read_to_end(&mut bytes) {
        return Err(vec![Error::other("input", error.to_string(), "JSON on standard input").placed("")]);
    }
    let text = String::from_utf8(bytes).map_err(|_| Error::other("input", "bytes", "text in UTF-8").placed(""))?;
    Ok(pretty(&ask(name, &text)?))
}

fn pretty<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default()
}
