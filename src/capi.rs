//! The C door: JSON text in, JSON text out.
//!
//! `pkg-config/cellwright.h` tells C programs the same; a test keeps the two equal.

extern crate std;

use crate::ask::{Node, Stepped, ask, refused, write};
use crate::error::Error;
use alloc::boxed::Box;
use alloc::ffi::CString;
use alloc::vec::Vec;
use core::ffi::{CStr, c_char};
use core::ptr;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Version of the crate, with the end that C wants.
const VERSION: &CStr = match CStr::from_bytes_with_nul(concat!(env!("CARGO_PKG_VERSION"), "\0").as_bytes()) {
    Ok(version) => version,
    Err(_) => c"",
};

/// The answer to a question as JSON text, or `{"errors": [...]}`.
///
/// The text that comes back belongs to the caller, who gives it to [`cellwright_free`]. It is null only where memory
/// has run out or a defect was met.
///
/// # Safety
///
/// `question` and `json` are null, or point to bytes that end with a zero and do not change during the call.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn cellwright_ask(question: *const c_char, json: *const c_char) -> *mut c_char {
    guarded(|| {
        // Safety: the caller's promise is handed on.
        let answer = unsafe { words("question", question) }.and_then(|question| {
            let json = unsafe { words("input", json) }?;
            ask(question, json)
        });
        text(answer)
    })
}

/// A text for the caller; null where there is none, or where a defect makes the work panic.
fn guarded(work: impl FnOnce() -> Option<CString>) -> *mut c_char {
    catch_unwind(AssertUnwindSafe(work)).ok().flatten().map_or(ptr::null_mut(), CString::into_raw)
}

/// Gives back a text that [`cellwright_ask`] returned; null is passed over.
///
/// # Safety
///
/// `text` is null, or comes from [`cellwright_ask`] and was not given back before.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn cellwright_free(text: *mut c_char) {
    if !text.is_null() {
        // Safety: the caller promises that it was made by `CString::into_raw`.
        drop(unsafe { CString::from_raw(text) });
    }
}

/// A question that is asked in steps.
#[derive(Debug)]
pub struct SteppedQuestion {
    work: Stepped,
}

/// Starts a question that is asked in steps; null where it has mistakes.
///
/// The mistakes are then put into `mistakes` as JSON text, which belongs to the caller, where `mistakes` is not null;
/// null is put there otherwise. What comes back goes to [`cellwright_end`].
///
/// # Safety
///
/// `question` and `json` are null, or point to bytes that end with a zero and do not change during the call;
/// `mistakes` is null or points to a place for a pointer.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn cellwright_begin(
    question: *const c_char,
    json: *const c_char,
    mistakes: *mut *mut c_char,
) -> *mut SteppedQuestion {
    // Safety: the caller's promise is handed on.
    let begun = catch_unwind(|| unsafe { begin(question, json) });
    let (work, told) = match begun {
        Ok(Ok(work)) => (Box::into_raw(Box::new(SteppedQuestion { work })), None),
        Ok(Err(errors)) => (ptr::null_mut(), Some(errors)),
        Err(_) => (ptr::null_mut(), None),
    };
    if !mistakes.is_null() {
        let text = told.map_or(ptr::null_mut(), |errors| guarded(|| text(Err(errors))));
        // Safety: not null, and the caller promises the rest.
        unsafe { mistakes.write(text) };
    }
    work
}

/// Spends `count` nodes, draws or turns, and tells as JSON text how far it has come, or `{"errors": [...]}`.
///
/// The text belongs to the caller. It is null where `work` is null or a defect was met.
///
/// # Safety
///
/// `work` is null, or comes from [`cellwright_begin`] and is used by nobody else during the call.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn cellwright_step(work: *mut SteppedQuestion, count: f64) -> *mut c_char {
    // Safety: the caller's promise.
    let Some(question) = (unsafe { work.as_mut() }) else { return ptr::null_mut() };
    guarded(|| text(question.work.step(count)))
}

/// The answer with the effort spent so far as JSON text, or `{"errors": [...]}`.
///
/// The text belongs to the caller. It is null where `work` is null or a defect was met.
///
/// # Safety
///
/// `work` is null, or comes from [`cellwright_begin`] and is stepped by nobody during the call.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn cellwright_so_far(work: *const SteppedQuestion) -> *mut c_char {
    // Safety: the caller's promise.
    let Some(question) = (unsafe { work.as_ref() }) else { return ptr::null_mut() };
    guarded(|| text(question.work.answer()))
}

/// Gives back what [`cellwright_begin`] returned; null is passed over.
///
/// # Safety
///
/// `work` is null, or comes from [`cellwright_begin`] and was not given back before.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn cellwright_end(work: *mut SteppedQuestion) {
    if !work.is_null() {
        // Safety: the caller promises that it was made by `Box::into_raw`.
        drop(unsafe { Box::from_raw(work) });
    }
}

/// Starts a question from two pointers to text.
///
/// # Safety
///
/// As [`cellwright_begin`].
unsafe fn begin(question: *const c_char, json: *const c_char) -> Result<Stepped, Vec<Error>> {
    // Safety: the caller's promise is handed on.
    let question = unsafe { words("question", question) }?;
    let json = unsafe { words("input", json) }?;
    Stepped::start(question, json)
}

/// Version of the library, such as `0.1.0`; it lives as long as the program and is not given back.
#[unsafe(no_mangle)]
pub extern "C" fn cellwright_version() -> *const c_char {
    VERSION.as_ptr()
}

/// The text behind a pointer.
///
/// # Safety
///
/// `pointer` is null, or points to bytes that end with a zero and do not change while the text is in use.
unsafe fn words<'t>(field: &'static str, pointer: *const c_char) -> Result<&'t str, Vec<Error>> {
    if pointer.is_null() {
        return Err(Error::missing(field, "a pointer to text").placed("").into());
    }
    // Safety: not null, and the caller promises the rest.
    let bytes = unsafe { CStr::from_ptr(pointer) };
    Ok(bytes.to_str().map_err(|_| Error::other(field, "bytes", "text in UTF-8").placed(""))?)
}

/// JSON text of an answer or of the mistakes.
fn text(answer: Result<Node, Vec<Error>>) -> Option<CString> {
    let node = answer.unwrap_or_else(|errors| refused(&errors));
    CString::new(write(&node)).ok()
}

#[cfg(test)]
mod tests {
    use super::guarded;

    #[test]
    fn a_panic_does_not_cross_the_border() {
        assert!(guarded(|| panic!("a defect")).is_null());
        assert!(guarded(|| None).is_null());
    }
}
