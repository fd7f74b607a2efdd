//! Work beside the connections: how much of it at once, and how much may wait.

use std::sync::Arc;
use std::time::Duration;

use axum::http::StatusCode;
use axum::response::Response;
use tokio::sync::Semaphore;
use tokio::time::timeout;

use super::answers::{late, refused};
use crate::session::Session;

/// Time to wait for a turn, and to fire.
pub const FIRED: Duration = Duration::from_secs(10);

/// Turns at work on the welds of a session.
#[derive(Debug, Clone)]
pub struct Turns {
    session: Session,
    turns: Arc<Semaphore>,
    queue: Arc<Semaphore>,
    /// For work that takes all cores.
    alone: Arc<Semaphore>,
}

impl Turns {
    /// So many at once, and so many more that wait; others are told to come again.
    pub fn new(session: Session, at_once: usize, waiting: usize) -> Turns {
        Turns {
            session,
            turns: Arc::new(Semaphore::new(at_once)),
            queue: Arc::new(Semaphore::new(at_once + waiting)),
            alone: Arc::new(Semaphore::new(1)),
        }
    }

    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Does work that takes all cores: after any other such work has ended, even where nobody waits for that any more.
    ///
    /// # Errors
    /// As [`Turns::run`].
    pub async fn run_alone<T: Send + 'static>(
        &self,
        limit: Duration,
        work: impl FnOnce(&Session) -> T + Send + 'static,
    ) -> Result<T, Response> {
        let done = async {
            let alone = self.alone.clone().acquire_owned().await;
            let work = move |session: &Session| {
                let _held = alone;
                work(session)
            };
            self.run(limit, work).await
        };
        match timeout(limit, done).await {
            Ok(done) => done,
            Err(_) => Err(late(limit)),
        }
    }

    /// Does work on a thread of its own, so that others are answered meanwhile.
    ///
    /// # Errors
    /// The answer to give instead, when there is no room, or no end.
    pub async fn run<T: Send + 'static>(
        &self,
        limit: Duration,
        work: impl FnOnce(&Session) -> T + Send + 'static,
    ) -> Result<T, Response> {
        let busy = || {
            refused(
                StatusCode::SERVICE_UNAVAILABLE,
                "too many welds at once; try again",
            )
        };
        let place = self.queue.clone().try_acquire_owned().map_err(|_| busy())?;
        let turn = timeout(FIRED, self.turns.clone().acquire_owned()).await;
        let turn = turn.ok().and_then(Result::ok).ok_or_else(busy)?;
        let (session, waiting) = self.session.waited_for();
        let task = tokio::task::spawn_blocking(move || {
            let _held = (place, turn);
            work(&session)
        });
        let done = timeout(limit, task).await;
        // Dropped earlier where the client has gone: the work then ends between two shots.
        drop(waiting);
        match done {
            Ok(Ok(response)) => Ok(response),
            Ok(Err(_)) => Err(refused(
                StatusCode::INTERNAL_SERVER_ERROR,
                "the weld could not be fired",
            )),
            Err(_) => Err(late(limit)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;
    use tokio::runtime::Builder;

    #[test]
    fn work_alone_is_alone_until_it_ends_though_nobody_waits_for_it() {
        let runtime = Builder::new_current_thread().enable_all().build().unwrap();
        let turns = Turns::new(Session::default(), 2, 2);
        let (begun, starts) = channel();
        let (end, ends) = channel::<()>();
        let long = Duration::from_secs(60);
        runtime.block_on(async {
            let first = turns.clone();
            let work = move |_: &Session| {
                begun.send(()).unwrap();
                ends.recv().unwrap();
            };
            let asked = tokio::spawn(async move { first.run_alone(long, work).await.is_ok() });
            while starts.try_recv().is_err() {
                tokio::task::yield_now().await;
            }
            asked.abort();
            assert!(asked.await.unwrap_err().is_cancelled());
            assert_eq!(turns.alone.available_permits(), 0);
            end.send(()).unwrap();
            assert!(turns.run_alone(long, |_| ()).await.is_ok());
        });
        assert_eq!(turns.alone.available_permits(), 1);
    }
}
