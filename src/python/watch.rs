//! Work away from Python's own thread: its lock is let go, signals are heard, progress is told.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::apart::apart;
use crate::error::count;

/// Most threads.
const MOST: u64 = 1024;

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
    pub threads: Option<&'a Bound<'py, PyAny>>,
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
/// progress, stops it at its next step; its panic is a `RuntimeError`.
pub fn watched<T: Send>(
    py: Python,
    asked: &Asked,
    work: impl FnOnce(&Watch) -> T + Send,
) -> PyResult<T> {
    let pool = pool(asked.threads)?;
    let watch = Watch::default();
    let mut heard = Ok(());
    let found = apart(
        &pool,
        || work(&watch),
        |awaited| loop {
            if let Some(found) = py.detach(|| awaited.wait()) {
                return found;
            }
            if heard.is_ok() {
                heard = py.check_signals().and_then(|()| asked.tell(&watch));
                watch.stopped.store(heard.is_err(), Ordering::Relaxed);
            }
        },
    );
    heard?;
    let found = found.map_err(|why| {
        PyRuntimeError::new_err(format!("the work failed, a fault of arcplunge: {why}"))
    })?;
    asked.tell(&watch)?;
    Ok(found)
}

fn pool(threads: Option<&Bound<PyAny>>) -> PyResult<ThreadPool> {
    let threads = threads.map(|threads| count(threads, "threads", 1..=MOST));
    // None asked for: as many as rayon would take.
    let threads = threads.transpose()?.unwrap_or(0) as usize;
    let built = ThreadPoolBuilder::new().num_threads(threads).build();
    built.map_err(|e| PyRuntimeError::new_err(e.to_string()))
}
