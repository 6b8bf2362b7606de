//! Work on many things at once, with what comes of it in the order of the things.

/// Does `work` on each of `items`, and gives what comes of it to `take` in their order.
///
/// Only so many as there are threads wait to be taken, so that memory follows the largest of them, not all.
#[cfg(feature = "parallel")]
pub(super) fn in_order<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(R),
) {
    use rayon::prelude::*;
    /// How many of a batch a thread does.
    const EACH: usize = 2;
    let batch = EACH * rayon::current_num_threads();
    for items in items.chunks(batch.max(1)) {
        let done: Vec<R> = items.par_iter().map(&work).collect();
        done.into_iter().for_each(&mut take);
    }
}

/// Does `work` on each of `items`, and gives what comes of it to `take` in their order.
#[cfg(not(feature = "parallel"))]
pub(super) fn in_order<T: Sync, R: Send>(
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
    take: impl FnMut(R),
) {
    items.iter().map(work).for_each(take);
}
