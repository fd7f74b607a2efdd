//! Connections: how many, how long, and how they end.

use std::future::Future;
use std::pin::pin;
use std::time::Duration;

use axum::Router;
use hyper::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::time::{interval, sleep, timeout};

use super::class::Peer;
use super::watched::{Open, Paced, Pacer};

/// Most connections at once; for one more, the one that moves least is closed.
const MOST: usize = 200;

/// Time to send the head of a request, and to send the next one.
const HEAD: Duration = Duration::from_secs(10);

/// Time after which a connection is closed once its request is answered.
const LIFE: Duration = Duration::from_secs(300);

/// Time for a last answer to be read.
const GRACE: Duration = Duration::from_secs(20);

/// The same where the whole server stops.
const LAST: Duration = Duration::from_secs(1);

/// Time after which an answer that its client does not read is given up.
const UNREAD: Duration = Duration::from_secs(10);

/// Time without a byte after which a connection makes room for a new one, where there is no other.
const ROOM: Duration = Duration::from_millis(500);

/// Time between two looks at the open connections.
const LOOK: Duration = Duration::from_millis(100);

/// Takes connections until `stop`, then lets the open ones finish. The head of a request has `heads` bytes at most.
pub async fn run(listener: TcpListener, app: Router, heads: usize, stop: impl Future<Output = ()>) {
    let mut open = Open::default();
    let (ending, ended) = watch::channel(());
    let mut stop = pin!(stop);
    let mut look = interval(LOOK);
    loop {
        let count = open.count();
        let full = count >= MOST;
        tokio::select! {
            () = &mut stop => break,
            _ = look.tick(), if count > 0 => {
                open.close_stuck(UNREAD);
                if full {
                    open.make_room(ROOM);
                }
            }
            accepted = listener.accept(), if !full => match accepted {
                Ok((stream, from)) => {
                    let pacer = Pacer::new();
                    let peer = Peer(from.ip().to_canonical());
                    let paced = Paced::new(stream, pacer.clone());
                    let task = tokio::spawn(serve(paced, peer, heads, app.clone(), ended.clone()));
                    open.add(&pacer, task.abort_handle());
                }
                // No descriptors left, or a caller that has gone: the next one may do better.
                Err(_) => sleep(Duration::from_millis(20)).await,
            }
        }
    }
    drop(ended);
    let _ = ending.send(());
    let _ = timeout(LAST, ending.closed()).await;
}

/// Answers one connection's requests.
async fn serve(
    stream: Paced<TcpStream>,
    peer: Peer,
    heads: usize,
    app: Router,
    mut ended: watch::Receiver<()>,
) {
    let answers = TowerToHyperService::new(app);
    let service = service_fn(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(peer);
        answers.call(request)
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .max_buf_size(heads)
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
