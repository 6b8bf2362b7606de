//! Unpacks the judge in a page: a file `.lzma` in, its bytes out. Imports nothing.
//!
//! The page asks for [`room`], writes the file there, and calls [`unpack`]; the bytes then stand at [`unpacked`].
//! Browsers have no LZMA of their own, and what they have packs the judge half again as large.
#![expect(
    unsafe_code,
    reason = "exports have fixed names; nothing is read or written by its address here"
)]

use lzma_rust2::{LzmaReader, Read as _};
use std::cell::RefCell;

/// Bytes of the header: properties, size of the dictionary, size unpacked.
const HEADER: usize = 13;

/// The most bytes that are unpacked: about seven times the judge, and room that a phone has.
const MOST: u64 = 32 << 20;

thread_local! {
    static PACKED: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static UNPACKED: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

/// Room for a file of so many bytes; null where there is no more memory.
#[unsafe(no_mangle)]
pub extern "C" fn room(length: usize) -> *mut u8 {
    let Some(mut packed) = zeros(length) else {
        return std::ptr::null_mut();
    };
    let at = packed.as_mut_ptr();
    PACKED.set(packed);
    at
}

/// Unpacks the file in the room, which is then gone. Gives the number of bytes, and 0 for a file that is broken or too large.
#[unsafe(no_mangle)]
pub extern "C" fn unpack() -> usize {
    let bytes = unpacked_of(&PACKED.take()).unwrap_or_default();
    let length = bytes.len();
    UNPACKED.set(bytes);
    length
}

/// Where the bytes are, until something is unpacked again.
#[unsafe(no_mangle)]
pub extern "C" fn unpacked() -> *const u8 {
    UNPACKED.with_borrow(Vec::as_ptr)
}

/// The bytes of a whole and sound file `.lzma` that tells its size.
fn unpacked_of(packed: &[u8]) -> Option<Vec<u8>> {
    let (header, stream) = packed.split_first_chunk::<HEADER>()?;
    let [properties, d0, d1, d2, d3, size @ ..] = *header;
    let size = Some(u64::from_le_bytes(size)).filter(|size| *size <= MOST)?;
    let dictionary = u32::from_le_bytes([d0, d1, d2, d3]);
    let mut bytes = zeros(usize::try_from(size).ok()?)?;
    let mut reader = LzmaReader::new_with_props(stream, size, properties, dictionary, None).ok()?;
    // A change of the file nearly always leaves the decoder in another state than the end of the file has.
    reader.set_relaxed_end_condition(false);
    reader.read_exact(&mut bytes).ok()?;
    let (rest, buffered) = reader.into_parts();
    (rest.is_empty() && buffered.is_empty()).then_some(bytes)
}

/// So many zeros, where there is memory for them.
fn zeros(length: usize) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    bytes.try_reserve_exact(length).ok()?;
    bytes.resize(length, 0);
    Some(bytes)
}
