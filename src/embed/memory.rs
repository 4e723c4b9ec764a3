//! Memory of a Wasm without a standard library.
//!
//! Sizes are rounded up to a power of two, from 16 bytes on. What is given back goes onto the list of its size and is
//! handed out again; new memory is cut from the end. At most half of it is lost to rounding, nothing to wear.

use core::alloc::{GlobalAlloc, Layout};
use core::cell::UnsafeCell;
use core::ptr;

/// Power of two of the smallest and of the largest piece: 16 bytes and 1 GiB.
const SMALLEST: usize = 4;
const LARGEST: usize = 30;
/// Bytes of one page of Wasm memory.
const PAGE: usize = 65_536;

/// Pieces that were given back, a list for each size, and the rest of the last pages.
pub(super) struct Memory(UnsafeCell<State>);

struct State {
    /// First free piece of each size; each holds the address of the next, and the last holds null.
    free: [*mut u8; LARGEST + 1],
    next: usize,
    end: usize,
}

// Safety: this target has no threads.
unsafe impl Sync for Memory {}

impl Memory {
    pub(super) const fn new() -> Self {
        Self(UnsafeCell::new(State { free: [ptr::null_mut(); LARGEST + 1], next: 0, end: 0 }))
    }
}

/// Power of two that holds a layout; its pieces are aligned to their own size, up to that of a page.
fn power(layout: Layout) -> usize {
    let size = layout.size().max(layout.align()).max(1 << SMALLEST);
    usize::BITS as usize - (size - 1).leading_zeros() as usize
}

#[allow(clippy::cast_ptr_alignment)] // pieces are aligned to 16 bytes or more
// Safety: a piece is cut once, and is on its list or in use, never both.
unsafe impl GlobalAlloc for Memory {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        let power = power(layout);
        // Safety: one thread, and no reference outlives this function.
        let state = unsafe { &mut *self.0.get() };
        let Some(first) = state.free.get_mut(power) else { return ptr::null_mut() };
        if first.is_null() {
            return state.cut(1 << power);
        }
        let piece = *first;
        // Safety: a free piece holds the address of the next; it is aligned to 16 bytes.
        *first = unsafe { piece.cast::<*mut u8>().read() };
        piece
    }

    unsafe fn dealloc(&self, piece: *mut u8, layout: Layout) {
        // Safety: as above; the piece is in nobody's use any more.
        unsafe {
            let state = &mut *self.0.get();
            if let Some(first) = state.free.get_mut(power(layout)) {
                piece.cast::<*mut u8>().write(*first);
                *first = piece;
            }
        }
    }

    unsafe fn realloc(&self, piece: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        // Safety: the caller promises a valid size.
        let wanted = unsafe { Layout::from_size_align_unchecked(size, layout.align()) };
        if power(wanted) == power(layout) {
            return piece;
        }
        // Safety: both pieces hold what is copied, and the old one came from here.
        unsafe {
            let moved = self.alloc(wanted);
            if !moved.is_null() {
                ptr::copy_nonoverlapping(piece, moved, layout.size().min(size));
                self.dealloc(piece, layout);
            }
            moved
        }
    }
}

impl State {
    /// New memory; null where there is no more.
    fn cut(&mut self, size: usize) -> *mut u8 {
        let align = if size < PAGE { size } else { PAGE };
        let start = (self.next + align - 1) & !(align - 1);
        if start + size > self.end {
            let pages = size.div_ceil(PAGE);
            let before = core::arch::wasm32::memory_grow::<0>(pages);
            if before == usize::MAX {
                return ptr::null_mut();
            }
            // Pages that somebody else grew in between are left alone.
            if before * PAGE != self.end {
                self.next = before * PAGE;
            }
            self.end = (before + pages) * PAGE;
            return self.cut(size);
        }
        self.next = start + size;
        start as *mut u8
    }
}
