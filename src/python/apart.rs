//! Work on threads of its own, waited for: knows nothing of Python.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

use rayon::ThreadPool;

/// Time that a wait lasts at most.
const EVERY: Duration = Duration::from_millis(50);

/// The result of the work, or what it said when it panicked.
pub type Found<T> = Result<T, String>;

/// Work that is going on.
pub struct Awaited<T>(Mutex<Receiver<Found<T>>>);

impl<T> Awaited<T> {
    /// Waits a moment for the result; none where it is still to come.
    pub fn wait(&self) -> Option<Found<T>> {
        let lost = || Some(Err("the work ended without a result".into()));
        let Ok(receiver) = self.0.lock() else {
            return lost();
        };
        match receiver.recv_timeout(EVERY) {
            Ok(found) => Some(found),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => lost(),
        }
    }
}

/// Does `work` in the pool while `heed` waits for it here.
pub fn apart<T: Send, R>(
    pool: &ThreadPool,
    work: impl FnOnce() -> T + Send,
    heed: impl FnOnce(&Awaited<T>) -> R,
) -> R {
    let (send, receive) = channel();
    pool.in_place_scope(|scope| {
        // The sender goes with the work, so that the wait ends whatever becomes of it.
        scope.spawn(move |_| {
            let found = catch_unwind(AssertUnwindSafe(work));
            let found = found.map_err(|panic| said(panic.as_ref()));
            send.send(found).unwrap_or_default();
        });
        heed(&Awaited(Mutex::new(receive)))
    })
}

/// What a panic says.
fn said(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().copied();
    let text = text.or_else(|| panic.downcast_ref::<String>().map(String::as_str));
    text.unwrap_or("the work panicked").to_string()
}
