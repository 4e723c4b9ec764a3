//! A drawing as a complete SVG file.
//!
//! The file is 1:1 on paper: width and height stand in millimetres. It holds no script, no style sheet, no link and no
//! foreign font. Source: W3C, Scalable Vector Graphics 1.1; W3C, Extensible Markup Language 1.0 for the signs that text
//! may hold.

use super::drawing::{Anchor, Drawing, Ink, Shape};
use alloc::format;
use alloc::string::String;
use core::fmt::Write;

/// Line and filling of an ink.
struct Look {
    stroke: &'static str,
    fill: &'static str,
    /// Width of the line in plain lines.
    wide: f64,
    /// Dashes in plain lines; empty for a full line.
    dashes: &'static [f64],
    bold: bool,
}

const BLACK: &str = "#000000";
const NONE: &str = "none";

const fn look(stroke: &'static str, fill: &'static str, wide: f64, dashes: &'static [f64], bold: bool) -> Look {
    Look { stroke, fill, wide, dashes, bold }
}

impl Ink {
    const fn look(self) -> Look {
        match self {
            Self::Plus => look("#b00020", NONE, 1.8, &[], true),
            Self::Minus => look(BLACK, NONE, 1.8, &[], true),
            Self::Sense => look("#0b4f9e", NONE, 0.9, &[], false),
            Self::Signal => look("#0b6b3a", NONE, 1.1, &[], false),
            Self::Symbol => look(BLACK, "#ffffff", 1.2, &[], false),
            Self::Solid => look(BLACK, BLACK, 1.0, &[], true),
            Self::Mark => look(BLACK, "#ffffff", 1.0, &[], true),
            Self::Frame => look("#444444", NONE, 1.0, &[], false),
            Self::Missing => look("#666666", NONE, 1.0, &[4.0, 3.0], false),
            Self::Alarm => look("#b00020", NONE, 2.0, &[], true),
            Self::Text => look(BLACK, NONE, 1.0, &[], false),
            Self::Quiet | Self::Hatch => look("#444444", NONE, 0.6, &[], false),
            Self::Grid => look("#bbbbbb", NONE, 0.6, &[], false),
            Self::First => look(BLACK, NONE, 1.6, &[], false),
            Self::Second => look("#0b4f9e", NONE, 1.6, &[7.0, 3.0], false),
            Self::Third => look("#b00020", NONE, 1.6, &[1.5, 2.5], false),
            Self::Pale => look("#444444", "#dfe7ee", 0.8, &[], false),
        }
    }
}

/// The drawing as a complete SVG file.
///
/// # Examples
///
/// ```
/// # use cellwright::sheet::drawing::{Anchor, Drawing, Ink, Shape};
/// # use cellwright::sheet::svg::svg;
/// let text = Shape::Text {
///     x: 1.0, y: 4.0, text: "<b> & \"c\"".into(), size: 3.0, anchor: Anchor::Left, ink: Ink::Text,
/// };
/// let drawing =
///     Drawing { title: "a tag".into(), width: 40.0, height: 20.0, unit_m: 1e-3, line: 0.2, shapes: vec![text] };
/// let file = svg(&drawing);
/// assert!(file.contains("width=\"40.00mm\""));
/// assert!(file.contains("&lt;b&gt; &amp; &quot;c&quot;</text>"));
/// ```
#[must_use]
pub fn svg(drawing: &Drawing) -> String {
    let (width, height) = (drawing.width, drawing.height);
    let millimetres = drawing.unit_m * 1e3;
    let mut file = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let _ = write!(
        file,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.2}mm\" height=\"{:.2}mm\" \
         viewBox=\"0 0 {width:.2} {height:.2}\" role=\"img\" font-family=\"sans-serif\" stroke-linecap=\"round\" \
         stroke-linejoin=\"round\">\n<title>{}</title>\n\
         <rect x=\"0\" y=\"0\" width=\"{width:.2}\" height=\"{height:.2}\" fill=\"#ffffff\"/>\n",
        width * millimetres,
        height * millimetres,
        escaped(&drawing.title),
    );
    for shape in &drawing.shapes {
        element(&mut file, shape, drawing.line);
    }
    file.push_str("</svg>\n");
    file
}

fn element(file: &mut String, shape: &Shape, line: f64) {
    let _ = match shape {
        Shape::Path { points, closed, ink } => {
            let name = if *closed { "polygon" } else { "polyline" };
            let mut list = String::new();
            for [x, y] in points {
                let _ = write!(list, "{x:.2},{y:.2} ");
            }
            writeln!(file, "<{name} points=\"{}\" {}/>", list.trim_end(), drawn(*ink, line, *closed))
        }
        Shape::Circle { x, y, radius, ink } => {
            writeln!(file, "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{radius:.2}\" {}/>", drawn(*ink, line, true))
        }
        Shape::Box { x, y, width, height, ink } => writeln!(
            file,
            "<rect x=\"{x:.2}\" y=\"{y:.2}\" width=\"{width:.2}\" height=\"{height:.2}\" {}/>",
            drawn(*ink, line, true)
        ),
        Shape::Text { x, y, text, size, anchor, ink } => {
            let look = ink.look();
            let anchor = match anchor {
                Anchor::Left => "start",
                Anchor::Middle => "middle",
                Anchor::Right => "end",
            };
            let weight = if look.bold { " font-weight=\"bold\"" } else { "" };
            writeln!(
                file,
                "<text x=\"{x:.2}\" y=\"{y:.2}\" font-size=\"{size:.2}\" text-anchor=\"{anchor}\" fill=\"{}\"{weight}>{}</text>",
                look.stroke,
                escaped(text)
            )
        }
    };
}

/// Attributes of a line, with its filling where it has an inside.
fn drawn(ink: Ink, line: f64, inside: bool) -> String {
    let look = ink.look();
    let fill = if inside { look.fill } else { NONE };
    let mut text = format!("fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{:.3}\"", look.stroke, look.wide * line);
    if !look.dashes.is_empty() {
        text.push_str(" stroke-dasharray=\"");
        for (place, dash) in look.dashes.iter().enumerate() {
            let gap = if place == 0 { "" } else { "," };
            let _ = write!(text, "{gap}{:.2}", dash * line);
        }
        text.push('"');
    }
    text
}

/// Text that XML may hold: marks escaped, signs that XML forbids replaced.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' | ' '..='\u{7e}' | '\u{a0}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'.. => {
                out.push(sign);
            }
            _ => out.push('\u{fffd}'),
        }
    }
    out
}
