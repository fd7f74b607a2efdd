//! The page's server: a thread of its own for connections, welds fired beside it.

mod accept;
mod answers;
mod class;
mod guard;
mod routes;
mod turns;
mod watched;

use std::future::Future;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::sync::Arc;
use std::thread::{self, JoinHandle};
use std::time::Duration;

use axum::Router;
use tokio::runtime::{Builder, Runtime};
#[cfg(unix)]
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::{Notify, oneshot};

use super::{Class, Session};
use guard::Guard;

/// Time for work that nobody waits for any more to end once the server stops.
const LAST: Duration = Duration::from_millis(200);

/// What a connection holds for a client that has not read it \[bytes\].
#[cfg(unix)]
const UNREAD: usize = 128 << 10;

/// Connections that wait to be taken.
#[cfg(unix)]
const QUEUE: i32 = 1024;

/// Largest head of a request of the page, whose address may hold a weld and its base, and of a phone \[bytes\].
const HEADS: usize = 400 << 10;
const HEADS_OF_PHONES: usize = 16 << 10;

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

/// Serves the page on `listener` until `stop`, and a class on a listener and a thread of its own for as long.
///
/// # Errors
/// When the system gives no sockets or threads.
pub fn serve(
    session: Session,
    listener: TcpListener,
    class: Option<(Class, TcpListener)>,
    stop: &Stop,
) -> io::Result<()> {
    let who = Guard::new(listener.local_addr()?);
    let held = class.as_ref().map(|(class, _)| class.clone());
    let beside = class
        .map(|(class, listener)| Beside::begin(session.clone(), class, listener))
        .transpose()?;
    let app = routes::app(session, held, who);
    let served = answer(runtime(at_once() + 2)?, listener, app, HEADS, stopped(stop));
    beside.map_or(Ok(()), Beside::end)?;
    served
}

/// A class that is served beside the page, on its own thread: what phones ask does not hold up the trainer's answers.
struct Beside {
    over: oneshot::Sender<()>,
    thread: JoinHandle<io::Result<()>>,
}

impl Beside {
    fn begin(session: Session, class: Class, listener: TcpListener) -> io::Result<Beside> {
        let who = Guard::new(listener.local_addr()?);
        let app = class::app(session, class, who);
        let runtime = runtime(2)?;
        let (over, told) = oneshot::channel();
        let until = async {
            let _ = told.await;
        };
        let serves = move || answer(runtime, listener, app, HEADS_OF_PHONES, until);
        let thread = thread::Builder::new().name("class".into()).spawn(serves)?;
        Ok(Beside { over, thread })
    }

    /// Ends it with the page.
    fn end(self) -> io::Result<()> {
        drop(self.over);
        self.thread.join().unwrap_or(Ok(()))
    }
}

/// One thread for connections, and so many for work.
fn runtime(threads: usize) -> io::Result<Runtime> {
    Builder::new_current_thread()
        .enable_all()
        .max_blocking_threads(threads)
        .build()
}

/// Answers who comes to `listener` until `stop`.
fn answer(
    runtime: Runtime,
    listener: TcpListener,
    app: Router,
    heads: usize,
    stop: impl Future<Output = ()>,
) -> io::Result<()> {
    listener.set_nonblocking(true)?;
    // The usual queue of 128 is full before slow clients are let go, and who finds it full asks again after seconds.
    #[cfg(unix)]
    rustix::net::listen(&listener, QUEUE)?;
    // Its connections inherit it: megabytes written to a client that does not read would be work for nothing.
    #[cfg(unix)]
    rustix::net::sockopt::set_socket_send_buffer_size(&listener, UNREAD)?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        accept::run(listener, app, heads, stop).await;
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

/// Where phones on the network find a class that listens on `address`; none where the machine is on no network.
pub fn network_link(address: SocketAddr) -> Option<String> {
    let ip = match address.ip() {
        ip if ip.is_unspecified() => own_address().ok()?,
        ip => ip,
    };
    Some(format!("http://{}/", SocketAddr::new(ip, address.port())))
}

/// The address this machine has on its network. A datagram socket that is "connected" sends nothing: the system only looks up by
/// which of its addresses it would; the other end is one kept for documentation (RFC 5737).
fn own_address() -> io::Result<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0))?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9))?;
    Ok(socket.local_addr()?.ip())
}

/// Requests at work at once: more than cores, so that a laborious weld does not keep the others waiting.
fn at_once() -> usize {
    4 * std::thread::available_parallelism().map_or(1, usize::from)
}
