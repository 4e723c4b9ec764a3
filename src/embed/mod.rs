//! The small door of a web page: text in, text out, without generated JavaScript beside it.
//!
//! The page writes the name of a question and its JSON text, both as UTF-8, into the room that [`cellwright_room`]
//! gives, asks by [`cellwright_answer`], and reads as many bytes as that says from where [`cellwright_told`] points to.
//! Only the questions of [`crate::reader`] are here, so that everything else stays out of the Wasm; a whole plan is
//! among them with the feature `embed_plan`.

mod memory;

use crate::ask::{Node, encode, read, refused, write};
use crate::error::Error;
use crate::reader::ReaderAnswer;
use crate::reader::cells::ReaderCells;
use crate::reader::knob::ReaderKnob;
use crate::reader::runtime::ReaderRuntime;
use crate::reader::wire::ReaderWire;
use alloc::format;
use alloc::string::{String, ToString};
use alloc::vec;
use alloc::vec::Vec;
use core::cell::RefCell;

/// Longest text that is taken in, in bytes; [`crate::ask::read`] has its own limit below this.
const ROOM_MAX: usize = 4 << 20;

/// What was written, and what is told.
#[derive(Debug, Default)]
struct Desk {
    given: Vec<u8>,
    told: String,
}

/// A page calls from one thread, one call after the other.
struct OneThread(RefCell<Desk>);

// Safety: this target has no threads.
unsafe impl Sync for OneThread {}

/// Everything else that is linked in does without a standard library, and so does this.
#[cfg(not(feature = "wasm"))]
#[global_allocator]
static MEMORY: memory::Memory = memory::Memory::new();

/// A defect ends the instance; the page starts another one.
#[cfg(not(feature = "wasm"))]
#[panic_handler]
fn ended(_: &core::panic::PanicInfo<'_>) -> ! {
    core::arch::wasm32::unreachable()
}

static DESK: OneThread = OneThread(RefCell::new(Desk { given: Vec::new(), told: String::new() }));

/// Room for `length` bytes to be written to; null where that is too long.
#[unsafe(no_mangle)]
pub extern "C" fn cellwright_room(length: usize) -> *mut u8 {
    if length > ROOM_MAX {
        return core::ptr::null_mut();
    }
    let mut desk = DESK.0.borrow_mut();
    desk.given = vec![0; length];
    desk.given.as_mut_ptr()
}

/// Answers what was written: the first `name` bytes are the question's name, the rest is its JSON text. Gives the
/// length of the answer, a JSON text: the answer itself, or `{"errors": [...]}`.
#[unsafe(no_mangle)]
pub extern "C" fn cellwright_answer(name: usize) -> usize {
    let given = core::mem::take(&mut DESK.0.borrow_mut().given);
    let told = told(&given, name).unwrap_or_else(|errors| write(&refused(&errors)));
    let length = told.len();
    DESK.0.borrow_mut().told = told;
    length
}

/// Where the answer stands, until the next one.
#[unsafe(no_mangle)]
pub extern "C" fn cellwright_told() -> *const u8 {
    DESK.0.borrow().told.as_ptr()
}

fn told(given: &[u8], name: usize) -> Result<String, Vec<Error>> {
    let words = |bytes: Option<&[u8]>| {
        let text = bytes.and_then(|bytes| String::from_utf8(bytes.into()).ok());
        text.ok_or_else(|| Error::other("input", "bytes", "text in UTF-8").placed(""))
    };
    let (question, text) = (words(given.get(..name))?, words(given.get(name..))?);
    let node = read(&text)?;
    let answer = answer(&question, &node)?;
    Ok(write(&encode(&answer)?))
}

/// Asks with the entries of an object: each field of the question is a text, or left out.
macro_rules! asked {
    ($node:ident, $question:ident { $($field:ident),* $(,)? }) => {{
        let mut texts = texts($node, &[$(stringify!($field)),*])?.into_iter();
        $question { $($field: texts.next().flatten()),* }.answer()
    }};
}

fn answer(question: &str, node: &Node) -> Result<ReaderAnswer, Vec<Error>> {
    match question {
        "reader_runtime" => asked!(
            node,
            ReaderRuntime {
                chemistry,
                series,
                parallel,
                capacity_ah,
                resistance_ohm,
                power_w,
                current_a,
                lead_ohm,
                ambient_degc,
                discharge_limit_a,
            }
        ),
        "reader_cells" => asked!(node, ReaderCells { cells, chemistry, series, parallel }),
        "reader_knob" => asked!(node, ReaderKnob { supply_v, frequency_hz, duty, part, resistors, dielectric }),
        "reader_wire" => asked!(
            node,
            ReaderWire {
                length_m,
                area_mm2,
                current_a,
                supply_v,
                ambient_degc,
                lies,
                insulation_degc,
                joints_ohm,
                wanted_drop_ratio,
                fuse_a,
                fuse_family,
            }
        ),
        #[cfg(feature = "embed_plan")]
        "reader_plan" => crate::reader::plan::in_short(&crate::ask::decode_own(node)?),
        _ => Err(Error::other("question", "another name", "a question of this Wasm").placed("").into()),
    }
}

/// The texts of an object in the order of `names`, as the general decoder reads them, in a fraction of its code.
fn texts(node: &Node, names: &[&'static str]) -> Result<Vec<Option<String>>, Vec<Error>> {
    let mut texts = vec![None; names.len()];
    let mut errors = Vec::new();
    let mut given = vec![false; names.len()];
    let Node::Object(entries) = node else {
        return Err(Error::other("input", node.described(), "an object").placed("").into());
    };
    for (key, value) in entries {
        let place = format!("/{}", key.replace('~', "~0").replace('/', "~1"));
        let at = names.iter().position(|name| name == key);
        let slot = at.and_then(|at| Some((texts.get_mut(at)?, given.get_mut(at)?)));
        let error = match (slot, value) {
            (None, _) => Error::unknown(key.to_string(), names.join(", ")),
            (Some((_, true)), _) => Error::duplicate(key.to_string()),
            (Some((text, seen)), Node::Text(words)) => {
                (*text, *seen) = (Some(words.clone()), true);
                continue;
            }
            (Some((_, seen)), Node::Null) => {
                *seen = true;
                continue;
            }
            (Some(_), other) => Error::other(key.to_string(), other.described(), "text"),
        };
        errors.push(error.placed(place));
    }
    if errors.is_empty() { Ok(texts) } else { Err(errors) }
}
