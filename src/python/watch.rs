//! Work away from Python's own thread: its lock is let go, signals are heard, progress is told.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use pyo3::exceptions::{PyRuntimeError, PyValueError};
use pyo3::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};

/// Time between two looks at signals.
const EVERY: Duration = Duration::from_millis(50);

/// Most threads, whatever is asked for.
const MOST: usize = 1024;

/// How far some work is, and whether it is still wanted.
#[derive(Default)]
pub struct Watch {
    done: AtomicUsize,
    stopped: Arc<AtomicBool>,
}

impl Watch {
    /// So much is done in all; false where the work is to end.
    pub fn reach(&self, done: usize) -> bool {
        self.done.fetch_max(done, Ordering::Relaxed);
        !self.stopped.load(Ordering::Relaxed)
    }

    /// True once the work is to end.
    pub fn stop(&self) -> Arc<AtomicBool> {
        self.stopped.clone()
    }

    /// One more is done; false where the work is to end.
    pub fn step(&self) -> bool {
        self.done.fetch_add(1, Ordering::Relaxed);
        !self.stopped.load(Ordering::Relaxed)
    }
}

/// What a call says of its threads and its progress.
pub struct Asked<'a, 'py> {
    /// Number of threads; `None` for `RAYON_NUM_THREADS`, or else one a core.
    pub threads: Option<usize>,
    /// Called with what is done and the total, some times a second.
    pub progress: Option<&'a Bound<'py, PyAny>>,
    /// What is to be done in all, in steps of the work.
    pub total: usize,
}

impl Asked<'_, '_> {
    fn tell(&self, watch: &Watch) -> PyResult<()> {
        let done = watch.done.load(Ordering::Relaxed).min(self.total);
        match self.progress {
            Some(progress) => progress.call1((done, self.total)).map(drop),
            None => Ok(()),
        }
    }
}

/// Does `work` on threads of its own: a process that was forked has none of those of its parent. Ctrl-C, or an error of the
/// progress, stops it at its next step.
pub fn watched<T: Send>(
    py: Python,
    asked: &Asked,
    work: impl FnOnce(&Watch) -> T + Send,
) -> PyResult<T> {
    let pool = pool(asked.threads)?;
    let watch = Watch::default();
    let (send, receive) = channel();
    let receive = Mutex::new(receive);
    let next = || match receive.lock() {
        Ok(receive) => receive.recv_timeout(EVERY),
        Err(_) => Err(RecvTimeoutError::Disconnected),
    };
    let mut heard = Ok(());
    let found = pool.in_place_scope(|scope| {
        scope.spawn(|_| send.send(work(&watch)).unwrap_or_default());
        loop {
            match py.detach(next) {
                Err(RecvTimeoutError::Timeout) if heard.is_ok() => {
                    heard = py.check_signals().and_then(|()| asked.tell(&watch));
                    watch.stopped.store(heard.is_err(), Ordering::Relaxed);
                }
                Err(RecvTimeoutError::Timeout) => {}
                Ok(found) => return Some(found),
                // The work has panicked; the scope tells of it.
                Err(RecvTimeoutError::Disconnected) => return None,
            }
        }
    });
    heard?;
    let found = found.ok_or_else(|| PyRuntimeError::new_err("the work ended without a result"))?;
    asked.tell(&watch)?;
    Ok(found)
}

fn pool(threads: Option<usize>) -> PyResult<ThreadPool> {
    if threads == Some(0) {
        return Err(PyValueError::new_err("threads: 1 or more"));
    }
    let count = threads.unwrap_or(0).min(MOST);
    let built = ThreadPoolBuilder::new().num_threads(count).build();
    built.map_err(|e| PyRuntimeError::new_err(e.to_string()))
}
