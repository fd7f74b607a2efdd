//! The page's server: a thread of its own for connections, welds fired beside it.

mod accept;
mod guard;
mod routes;
mod watched;

use std::io;
use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;
use std::time::Duration;

#[cfg(unix)]
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::Notify;

use super::Session;

/// Time for work that nobody waits for any more to end once the server stops.
const LAST: Duration = Duration::from_millis(200);

/// What a connection holds for a client that has not read it \[bytes\].
#[cfg(unix)]
const UNREAD: usize = 128 << 10;

/// Connections that wait to be taken.
#[cfg(unix)]
const QUEUE: i32 = 1024;

/// Tells a running server to stop.
#[derive(Debug, Clone, Default)]
pub struct Stop(Arc<Notify>);

impl Stop {
    /// The server answers what it has begun and ends.
    pub fn now(&self) {
        // Kept, should the server not listen yet.
        self.0.notify_one();
    }
}

/// Serves the page on `listener` until `stop`.
///
/// # Errors
/// When the system gives no sockets.
pub fn serve(session: Session, listener: TcpListener, stop: &Stop) -> io::Result<()> {
    let address = listener.local_addr()?;
    listener.set_nonblocking(true)?;
    // The usual queue of 128 is full before slow clients are let go, and who finds it full asks again after seconds.
    #[cfg(unix)]
    rustix::net::listen(&listener, QUEUE)?;
    // Its connections inherit it: megabytes written to a client that does not read would be work for nothing.
    #[cfg(unix)]
    rustix::net::sockopt::set_socket_send_buffer_size(&listener, UNREAD)?;
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .max_blocking_threads(at_once() + 2)
        .build()?;
    let app = routes::app(session, guard::Guard::new(address));
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        accept::run(listener, app, stopped(stop)).await;
        io::Result::Ok(())
    })?;
    runtime.shutdown_timeout(LAST);
    Ok(())
}

/// Waits until the server is told to stop, or the system asks the program to end.
async fn stopped(stop: &Stop) {
    let told = stop.0.notified();
    #[cfg(unix)]
    if let Ok(mut ended) = signal(SignalKind::terminate()) {
        tokio::select! {
            () = told => {}
            _ = ended.recv() => {}
        }
        return;
    }
    told.await;
}

/// Where a browser on this machine finds a server that listens on `address`.
pub fn link(address: SocketAddr) -> String {
    let ip = address.ip();
    let port = address.port();
    if ip.is_unspecified() {
        return format!("http://localhost:{port}/");
    }
    format!("http://{}/", SocketAddr::new(ip, port))
}

/// Requests at work at once: more than cores, so that a laborious weld does not keep the others waiting.
fn at_once() -> usize {
    4 * std::thread::available_parallelism().map_or(1, usize::from)
}
