//! On how many threads work is done.

use crate::cli::failure::CannotCheck;

/// Does work on so many threads; on as many as there are cores where no number is given.
#[cfg(feature = "parallel")]
pub(super) fn in_threads<T: Send>(
    threads: Option<u16>,
    work: impl FnOnce() -> T + Send,
) -> Result<T, CannotCheck> {
    let Some(threads) = threads else {
        return Ok(work());
    };
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(threads))
        .build()
        .map_err(|error| CannotCheck::Threads {
            reason: error.to_string(),
        })?;
    Ok(pool.install(work))
}

/// Does work on the one thread there is.
#[cfg(not(feature = "parallel"))]
pub(super) fn in_threads<T: Send>(
    _: Option<u16>,
    work: impl FnOnce() -> T + Send,
) -> Result<T, CannotCheck> {
    Ok(work())
}
