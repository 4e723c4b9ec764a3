//! The C door: JSON text in, JSON text out.
//!
//! `pkg-config/cellwright.h` tells C programs the same; a test keeps the two equal.

extern crate std;

use crate::ask::{Node, ask, refused};
use crate::error::Error;
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
    CString::new(serde_json::to_string(&node).ok()?).ok()
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
