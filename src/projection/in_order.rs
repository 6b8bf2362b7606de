//! Work on many things at once, with what comes of it in the order of the things.

/// How much of what comes of the work waits to be taken.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Waiting {
    /// That of one item a thread: it is large.
    Little,
    /// That of many items a thread, so that no thread waits for another.
    Some,
}

/// Does `work` on each of `items`, and gives what comes of it to `take` in their order.
///
/// Memory follows the largest of what waits to be taken, not all of it.
#[cfg(feature = "parallel")]
pub(super) fn in_order<T: Sync, R: Send>(
    items: &[T],
    waiting: Waiting,
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(R),
) {
    use rayon::prelude::*;
    let each = match waiting {
        Waiting::Little => 1,
        Waiting::Some => 64,
    };
    let batch = each * rayon::current_num_threads();
    for items in items.chunks(batch.max(1)) {
        let done: Vec<R> = items.par_iter().map(&work).collect();
        done.into_iter().for_each(&mut take);
    }
}

/// Does `work` on each of `items`, and gives what comes of it to `take` in their order.
#[cfg(not(feature = "parallel"))]
pub(super) fn in_order<T: Sync, R: Send>(
    items: &[T],
    _: Waiting,
    work: impl Fn(&T) -> R + Sync,
    take: impl FnMut(R),
) {
    items.iter().map(work).for_each(take);
}
