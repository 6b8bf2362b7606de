//! The seeds of hash tables, always the same: the same request gets the same answer. Nothing here is secret.

/// What the library of random numbers calls where it is built with `--cfg getrandom_backend="custom"`.
///
/// # Safety
///
/// There is room for so many bytes.
#[unsafe(no_mangle)]
unsafe extern "Rust" fn __getrandom_v03_custom(
    to: *mut u8,
    length: usize,
) -> Result<(), getrandom::Error> {
    // SAFETY: what the caller has promised.
    unsafe { to.write_bytes(0x5a, length) };
    Ok(())
}
