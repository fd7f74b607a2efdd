//! Connections: how many, how long, and how they end.

use std::future::Future;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, watch};
use tokio::time::{sleep, timeout};

/// Most connections at once; more wait to be taken.
const MOST: usize = 200;

/// Time to send the head of a request, and to send the next one.
const HEAD: Duration = Duration::from_secs(10);

/// Time after which a connection is closed once its request is answered.
const LIFE: Duration = Duration::from_secs(300);

/// Time for a last answer to be read.
const GRACE: Duration = Duration::from_secs(20);

/// The same where the whole server stops.
const LAST: Duration = Duration::from_secs(1);

/// Takes connections until `stop`, then lets the open ones finish.
pub async fn run(listener: TcpListener, app: Router, stop: impl Future<Output = ()>) {
    let slots = Arc::new(Semaphore::new(MOST));
    let (ending, ended) = watch::channel(());
    let mut stop = pin!(stop);
    loop {
        let taken = async {
            let slot = slots.clone().acquire_owned().await;
            (slot, listener.accept().await)
        };
        let (slot, accepted) = tokio::select! {
            () = &mut stop => break,
            taken = taken => taken,
        };
        match (slot, accepted) {
            (Ok(slot), Ok((stream, _))) => {
                tokio::spawn(serve(stream, app.clone(), ended.clone(), slot));
            }
            // No descriptors left, or a caller that has gone: the next one may do better.
            _ => sleep(Duration::from_millis(20)).await,
        }
    }
    drop(ended);
    let _ = ending.send(());
    let _ = timeout(LAST, ending.closed()).await;
}

/// Answers one connection's requests; `_slot` is free again when it ends.
async fn serve(
    stream: TcpStream,
    app: Router,
    mut ended: watch::Receiver<()>,
    _slot: OwnedSemaphorePermit,
) {
    let service = TowerToHyperService::new(app);
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD)
        .serve_connection(TokioIo::new(stream), service);
    let mut connection = pin!(connection);
    tokio::select! {
        _ = &mut connection => return,
        _ = ended.changed() => {}
        () = sleep(LIFE) => {}
    }
    connection.as_mut().graceful_shutdown();
    let _ = timeout(GRACE, connection).await;
}
