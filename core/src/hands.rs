//! Hands: the same work over many things, shared out over the machine's cores.
//!
//! The answer is that of doing it in one go, in the same order; only the time differs. It is
//! a door of its own because the rooms that compute may start no thread themselves.

use std::num::NonZeroUsize;
use std::thread;

/// The most cores that one piece of work takes: a tablet has others for the screen.
const MOST_HANDS: usize = 4;

/// Runs `work` over all of `things`, in as many equal rows as there are cores and at least
/// `least` things in each; what each row gave is joined end to end.
pub(crate) fn share<T: Sync, R: Send>(
    things: &[T],
    least: usize,
    work: impl Fn(&[T]) -> Vec<R> + Sync,
) -> Vec<R> {
    let cores = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let rows = (things.len() / least.max(1)).clamp(1, cores.min(MOST_HANDS));
    if rows == 1 {
        return work(things);
    }
    let length = things.len().div_ceil(rows);
    let (own, others) = things.split_at_checked(length).unwrap_or((things, &[]));
    thread::scope(|scope| {
        let work = &work;
        let others: Vec<_> = others
            .chunks(length)
            .map(|row| {
                let begun = thread::Builder::new().spawn_scoped(scope, move || work(row));
                (row, begun.ok())
            })
            .collect();
        let mut all = work(own);
        for (row, begun) in others {
            // Where the system gives no thread, or one broke off, it is done here.
            match begun.and_then(|one| one.join().ok()) {
                Some(done) => all.extend(done),
                None => all.extend(work(row)),
            }
        }
        all
    })
}

/// Runs two pieces of work at once, `there` on a core of its own where there is one.
pub(crate) fn beside<A, B: Send>(here: impl FnOnce() -> A, there: impl Fn() -> B + Sync) -> (A, B) {
    let cores = thread::available_parallelism().map_or(1, NonZeroUsize::get);
    if cores == 1 {
        return (here(), there());
    }
    thread::scope(|scope| {
        let begun = thread::Builder::new().spawn_scoped(scope, &there).ok();
        let here = here();
        // Where the system gave no thread, or it broke off, it is done here.
        match begun.and_then(|one| one.join().ok()) {
            Some(done) => (here, done),
            None => (here, there()),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_pieces_of_work_give_what_each_alone_gives() {
        let mut sum = 0;
        let both = beside(
            || {
                sum += 1;
                sum
            },
            || "there",
        );
        assert_eq!(both, (1, "there"));
    }

    #[test]
    fn however_it_is_shared_out_the_answer_is_that_of_one_hand() {
        let double = |row: &[usize]| row.iter().map(|n| n * 2).collect::<Vec<_>>();
        for length in [0, 1, 2, 3, 7, 8, 9, 100, 1_001] {
            let things: Vec<usize> = (0..length).collect();
            for least in [1, 3, 64] {
                assert_eq!(share(&things, least, double), double(&things), "{length}");
            }
        }
    }

    #[test]
    fn few_things_are_not_shared_out_at_all() {
        let rows = share(&[1; 15], 8, |row| vec![row.len()]);
        assert_eq!(rows, [15]);
        let rows = share(&[1; 64], 8, |row| vec![row.len()]);
        assert_eq!(rows.iter().sum::<usize>(), 64);
    }
}
