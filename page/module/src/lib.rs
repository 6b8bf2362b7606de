//! The judge as a module for a page: texts in and texts out of its memory, and nothing else; it imports nothing.
//!
//! The page asks for room with [`allocate`], writes a request there, and calls [`answer`]; the answer then stands at
//! [`answered`]. What is asked and answered is `swathlint::page`'s alone.
//!
//! A fault of the program stops the module. Its message is left where an answer stands, so that the page can tell it; the page
//! then begins with a new module.
#![expect(
    unsafe_code,
    reason = "exports have fixed names, and a page gives and takes bytes by their address"
)]

#[cfg(target_arch = "wasm32")]
mod seeds;

use std::cell::RefCell;
use std::panic::{self, PanicHookInfo};
use std::sync::Once;
use swathlint::page::{self, State};

thread_local! {
    static STATE: RefCell<State> = RefCell::default();
    /// The last answer.
    static ANSWER: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Room for a request of so many bytes; null where there is no more memory.
#[unsafe(no_mangle)]
pub extern "C" fn allocate(length: usize) -> *mut u8 {
    let mut room: Vec<u8> = Vec::new();
    if room.try_reserve_exact(length).is_err() {
        return std::ptr::null_mut();
    }
    room.resize(length, 0);
    Box::into_raw(room.into_boxed_slice()).cast()
}

/// Gives back room that no answer was asked for.
///
/// # Safety
///
/// It is from [`allocate`], of the same length, and neither was freed nor answered.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn free(at: *mut u8, length: usize) {
    // SAFETY: what the caller has promised.
    drop(unsafe { taken(at, length) });
}

/// Answers the request at an address, whose room is then given back. The answer before is gone.
///
/// # Safety
///
/// As for [`free`].
#[unsafe(no_mangle)]
pub unsafe extern "C" fn answer(at: *mut u8, length: usize) {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| panic::set_hook(Box::new(leave_message)));
    keep(String::new());
    // SAFETY: what the caller has promised.
    let request = unsafe { taken(at, length) };
    keep(match String::from_utf8(request) {
        Ok(request) => STATE.with_borrow_mut(|state| page::answer(state, &request)),
        Err(_) => page::error("this is no request: it is not UTF-8"),
    });
}

/// Where the last answer is, until the next is asked for.
#[unsafe(no_mangle)]
pub extern "C" fn answered() -> *const u8 {
    ANSWER.with_borrow(|answer| answer.as_ptr())
}

/// How many bytes it has.
#[unsafe(no_mangle)]
pub extern "C" fn answered_length() -> usize {
    ANSWER.with_borrow(String::len)
}

/// # Safety
///
/// As for [`free`].
unsafe fn taken(at: *mut u8, length: usize) -> Vec<u8> {
    let room = std::ptr::slice_from_raw_parts_mut(at, length);
    // SAFETY: `allocate` made a box of this length there, and nobody else has it.
    unsafe { Box::from_raw(room) }.into_vec()
}

fn keep(answer: String) {
    ANSWER.set(answer);
}

/// A fault of the program, in the place of an answer.
fn leave_message(fault: &PanicHookInfo<'_>) {
    let reason = fault.payload_as_str().unwrap_or("it gives no reason");
    let place = fault
        .location()
        .map_or_else(String::new, |place| format!(" ({place})"));
    keep(page::error(&format!("internal error: {reason}{place}")));
}
