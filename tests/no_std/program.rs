//! A program without the standard library: were a part of the library built on it, there would be two panic handlers
//! and two allocators, and this would not compile.

#![no_std]

use cellwright::part::wire::Pair;
use core::alloc::{GlobalAlloc, Layout};
use core::panic::PanicInfo;

/// Has no memory to give, because the program never runs.
struct Nothing;

unsafe impl GlobalAlloc for Nothing {
    unsafe fn alloc(&self, _: Layout) -> *mut u8 {
        core::ptr::null_mut()
    }

    unsafe fn dealloc(&self, _: *mut u8, _: Layout) {}
}

#[global_allocator]
static NOTHING: Nothing = Nothing;

#[panic_handler]
fn stop(_: &PanicInfo<'_>) -> ! {
    loop {}
}

/// Voltage lost along a copper pair of 0.75 mm².
#[unsafe(no_mangle)]
pub extern "C" fn drop_v(length_m: f64, current_a: f64) -> f64 {
    Pair { length_m, area_mm2: 0.75, conductor_degc: 20.0 }.drop_v(current_a).unwrap_or(0.0)
}
