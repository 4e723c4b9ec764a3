//! A plan file of an earlier format, brought to today's before it is read.

use super::Node;
use crate::error::Error;
use crate::plan::{FORMAT, Plan};
use alloc::borrow::Cow;

/// Brings a plan from one format to the next; `format` itself is seen to.
type Step = fn(Node) -> Result<Node, Error>;

/// One step for each format there was, the oldest first. A new format does not compile without its step.
const STEPS: [Step; FORMAT as usize - 1] = [];

/// The plan in today's format.
///
/// # Errors
///
/// A format that there never was or that is later than this program, a plan without one, or what a step does not accept.
pub(super) fn current(plan: &Node) -> Result<Cow<'_, Node>, Error> {
    brought(plan, &STEPS)
}

fn brought<'n>(plan: &'n Node, steps: &[Step]) -> Result<Cow<'n, Node>, Error> {
    let newest = steps.len() as f64 + 1.0;
    let format = match (plan, plan.get("format")) {
        (_, Some(Node::Number(format))) => *format,
        (Node::Object(_), None) => return Err(Error::missing("format", "1; without it this is no plan file")),
        // What is no plan at all, or no number, is told by whoever reads it.
        _ => return Ok(Cow::Borrowed(plan)),
    };
    if format == newest {
        return Ok(Cow::Borrowed(plan));
    }
    let known = (1..=steps.len()).find(|known| *known as f64 == format).ok_or_else(|| Plan::wrong_format(format))?;
    let mut upgraded = plan.clone();
    for (step, next) in steps.iter().zip(2_u32..).skip(known - 1) {
        upgraded = step(upgraded)?;
        if let Node::Object(entries) = &mut upgraded {
            entries.iter_mut().filter(|(key, _)| key == "format").for_each(|(_, value)| {
                *value = Node::Number(f64::from(next));
            });
        }
    }
    Ok(Cow::Owned(upgraded))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::read;

    /// Invented: a second format that calls the name a title, and a third that is the same but for its number.
    fn steps() -> [Step; 2] {
        let renamed = |node: Node| match node {
            Node::Object(entries) => Ok(Node::Object(
                entries
                    .into_iter()
                    .map(|(key, value)| if key == "name" { ("title".into(), value) } else { (key, value) })
                    .collect(),
            )),
            _ => Err(Error::missing("name", "a text")),
        };
        [renamed, |node| Ok(node)]
    }

    #[test]
    fn an_older_plan_takes_every_step_from_its_own_format_on() {
        let read = |text: &str| read(text).unwrap();
        let first = read(r#"{"format":1,"name":"a"}"#);
        assert_eq!(*brought(&first, &steps()).unwrap(), read(r#"{"format":3,"title":"a"}"#));
        let second = read(r#"{"format":2,"name":"a"}"#);
        assert_eq!(*brought(&second, &steps()).unwrap(), read(r#"{"format":3,"name":"a"}"#));
        let third = read(r#"{"format":3,"name":"a"}"#);
        assert_eq!(*brought(&third, &steps()).unwrap(), third);
    }

    #[test]
    fn a_format_that_never_was_is_refused() {
        for format in ["0", "-1", "1.5", "4", "1e999"] {
            let plan = read(&alloc::format!("{{\"format\":{format}}}")).unwrap();
            assert_eq!(brought(&plan, &steps()).unwrap_err().path(), "/format", "{format}");
        }
        assert_eq!(brought(&read("{}").unwrap(), &steps()).unwrap_err().code(), "missing");
    }
}
