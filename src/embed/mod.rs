//! The small door of a web page: text in, text out, without generated JavaScript beside it.
//!
//! The page writes the name of a question and its JSON text, both as UTF-8, into the room that [`cellwright_room`]
//! gives, asks by [`cellwright_answer`], and reads as many bytes as that says from where [`cellwright_told`] points to.
//! Only the questions of [`crate::reader`] are here, so that everything else stays out of the Wasm; a whole plan is
//! among them with the feature `embed_plan`.

mod memory;

use crate::ask::{Node, decode_own, encode, read, refused, write};
use crate::error::Error;
use crate::reader::ReaderAnswer;
use crate::reader::cells::ReaderCells;
use crate::reader::knob::ReaderKnob;
use crate::reader::runtime::ReaderRuntime;
use crate::reader::wire::ReaderWire;
use alloc::string::String;
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

fn answer(question: &str, node: &Node) -> Result<ReaderAnswer, Vec<Error>> {
    match question {
        "reader_runtime" => decode_own::<ReaderRuntime>(node)?.answer(),
        "reader_cells" => decode_own::<ReaderCells>(node)?.answer(),
        "reader_knob" => decode_own::<ReaderKnob>(node)?.answer(),
        "reader_wire" => decode_own::<ReaderWire>(node)?.answer(),
        #[cfg(feature = "embed_plan")]
        "reader_plan" => crate::reader::plan::in_short(&decode_own(node)?),
        _ => Err(Error::other("question", "another name", "a question of this Wasm").placed("").into()),
    }
}
