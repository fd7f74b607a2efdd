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
}

impl Turns {
    /// So many at once, and so many more that wait; others are told to come again.
    pub fn new(session: Session, at_once: usize, waiting: usize) -> Turns {
        Turns {
            session,
            turns: Arc::new(Semaphore::new(at_once)),
            queue: Arc::new(Semaphore::new(at_once + waiting)),
        }
    }

    pub fn session(&self) -> &Session {
        &self.session
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
