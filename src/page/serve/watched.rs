//! Open connections: when each last moved, so that one whose client does not read can be closed.

use std::io::{Error, IoSlice};
use std::pin::Pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::task::AbortHandle;

/// What is known of a connection.
#[derive(Debug, Clone, Copy)]
struct Pace {
    /// When bytes last went either way.
    moved: Instant,
    /// Whether an answer waits for its client to read.
    stuck: bool,
}

type Shared = Arc<Mutex<Pace>>;

fn lock<T>(held: &Mutex<T>) -> MutexGuard<'_, T> {
    held.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The open connections.
#[derive(Debug, Default)]
pub struct Open(Vec<(Shared, AbortHandle)>);

impl Open {
    /// How many there are.
    pub fn count(&mut self) -> usize {
        self.0.retain(|(_, handle)| !handle.is_finished());
        self.0.len()
    }

    /// Adds one.
    pub fn add(&mut self, pace: &Pacer, handle: AbortHandle) {
        self.0.push((pace.0.clone(), handle));
    }

    /// Closes those whose client has not read for `time`; how many.
    pub fn close_stuck(&mut self, time: Duration) -> usize {
        let stuck = self.0.iter().filter(|(pace, _)| {
            let pace = *lock(pace);
            pace.stuck && pace.moved.elapsed() > time
        });
        stuck.map(|(_, handle)| handle.abort()).count()
    }

    /// Makes room: closes those whose client has not read for `time`, or else the one that has not moved for longest,
    /// if that is as long.
    pub fn make_room(&mut self, time: Duration) {
        if self.close_stuck(time) > 0 {
            return;
        }
        let slowest = self.0.iter().min_by_key(|(pace, _)| lock(pace).moved);
        if let Some((pace, handle)) = slowest
            && lock(pace).moved.elapsed() >= time
        {
            handle.abort();
        }
    }
}

/// Notes how a connection moves.
#[derive(Debug, Clone)]
pub struct Pacer(Shared);

impl Pacer {
    /// Of a connection that has just been opened.
    pub fn new() -> Pacer {
        Pacer(Arc::new(Mutex::new(Pace {
            moved: Instant::now(),
            stuck: false,
        })))
    }

    fn note<T>(&self, polled: &Poll<T>, writes: bool) {
        let mut pace = lock(&self.0);
        if polled.is_ready() {
            pace.moved = Instant::now();
        }
        if writes {
            pace.stuck = polled.is_pending();
        }
    }
}

/// A stream whose pace is noted.
#[derive(Debug)]
pub struct Paced<S> {
    stream: S,
    pacer: Pacer,
}

impl<S> Paced<S> {
    /// Notes the pace of `stream` with `pacer`.
    pub fn new(stream: S, pacer: Pacer) -> Self {
        Paced { stream, pacer }
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Paced<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context,
        buffer: &mut ReadBuf,
    ) -> Poll<Result<(), Error>> {
        let polled = Pin::new(&mut self.stream).poll_read(context, buffer);
        self.pacer.note(&polled, false);
        polled
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Paced<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context,
        bytes: &[u8],
    ) -> Poll<Result<usize, Error>> {
        let polled = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.pacer.note(&polled, true);
        polled
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context,
        bytes: &[IoSlice],
    ) -> Poll<Result<usize, Error>> {
        let polled = Pin::new(&mut self.stream).poll_write_vectored(context, bytes);
        self.pacer.note(&polled, true);
        polled
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context) -> Poll<Result<(), Error>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context) -> Poll<Result<(), Error>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }
}
