//! Long work in turns, so that whoever waits can look up between two of them.
//!
//! What takes long is `async` and waits for [`turn`] after each part of its work. [`at_once`] goes through all of it;
//! [`Turns`] holds it between turns. The work is the same either way, and so is what comes of it.

use alloc::boxed::Box;
use core::fmt;
use core::pin::{Pin, pin};
use core::task::{Context, Poll, Waker};

/// Ends a turn.
pub(crate) fn turn() -> impl Future<Output = ()> + Send {
    let mut taken = false;
    core::future::poll_fn(move |_| {
        let ready = taken;
        taken = true;
        if ready { Poll::Ready(()) } else { Poll::Pending }
    })
}

/// Goes through work that waits for nothing but its own turns.
pub(crate) fn at_once<T>(work: impl Future<Output = T>) -> T {
    let mut work = pin!(work);
    loop {
        if let Poll::Ready(done) = work.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
            return done;
        }
    }
}

/// Work under way.
pub(crate) struct Turns<T> {
    work: Pin<Box<dyn Future<Output = T> + Send>>,
    done: Option<T>,
    taken: u32,
}

impl<T> Turns<T> {
    /// Takes work up; none of it is done yet.
    pub(crate) fn new(work: impl Future<Output = T> + Send + 'static) -> Self {
        Self { work: Box::pin(work), done: None, taken: 0 }
    }

    /// Works for so many turns, or fewer where it is done before.
    pub(crate) fn go(&mut self, turns: u32) {
        for _ in 0..turns {
            if self.done.is_some() {
                return;
            }
            if let Poll::Ready(done) = self.work.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
                self.done = Some(done);
            }
            self.taken += 1;
        }
    }

    /// Turns taken so far.
    pub(crate) fn taken(&self) -> u32 {
        self.taken
    }

    /// What came of it, once it is done.
    pub(crate) fn done(&self) -> Option<&T> {
        self.done.as_ref()
    }
}

impl<T: fmt::Debug> fmt::Debug for Turns<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Turns").field("taken", &self.taken).field("done", &self.done).finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn sum(parts: u32) -> u32 {
        let mut sum = 0;
        for part in 1..=parts {
            sum += part;
            turn().await;
        }
        sum
    }

    #[test]
    fn turns_come_to_what_is_done_at_once() {
        assert_eq!(at_once(sum(4)), 10);
        let mut turns = Turns::new(sum(4));
        turns.go(4);
        assert_eq!((turns.taken(), turns.done()), (4, None));
        turns.go(9);
        assert_eq!((turns.taken(), turns.done()), (5, Some(&10)));
        turns.go(1);
        assert_eq!(turns.taken(), 5);
    }
}
