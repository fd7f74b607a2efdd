//! `page`: the live page, served to a browser on this machine.

use std::io::{ErrorKind, IsTerminal, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, ToSocketAddrs};
use std::path::PathBuf;

use clap::Args;

use super::case_input::CaseInput;
use super::input::{read, text, wants_color};
use super::outcome::{Outcome, Trouble, failed};
use super::progress::hear;
use arcplunge_page::serve::{Stop, link, serve};
use arcplunge_page::{Session, lessons};

#[derive(Debug, Args)]
#[command(
    after_help = "Serves the page to this machine only, unless --listen says otherwise. It writes no file, and reads none once it \
    serves; Ctrl-C stops it."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Address to listen on [default: 127.0.0.1:7411, or a free port]
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub listen: Option<String>,
    /// Lessons of your own (TOML) instead of the built-in ones
    #[arg(long, value_name = "FILE")]
    pub lessons: Option<PathBuf>,
    /// Open the page in the default browser
    #[arg(long)]
    pub open: bool,
}

/// Default port of the page.
const PORT: u16 = 7411;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let text = text(&a.input)?;
    // A case that is wrong is said here, not in the browser.
    read(&text, &a.input.sets)?;
    let mut session = Session::new(text, a.input.sets.clone());
    if let Some(path) = &a.lessons {
        let color = wants_color(std::io::stderr().is_terminal());
        let lessons = lessons::of_file(path, color).map_err(Trouble::Wrong)?;
        session = session.with_lessons(lessons);
    }
    let listener = listener(a.listen.as_deref())?;
    let address = listener.local_addr().map_err(failed)?;
    let link = link(address);
    let stop = Stop::default();
    let heard = stop.clone();
    hear(move || heard.now()).map_err(failed)?;
    let mut out = std::io::stdout();
    let _ = writeln!(out, "The page is at {link}");
    let _ = writeln!(out, "Press Ctrl-C here to stop it.");
    if !address.ip().is_loopback() {
        eprintln!("warning: everyone who can reach {address} can use it");
    }
    if a.open {
        open(&link);
    }
    serve(session, listener, &stop).map_err(failed)?;
    let _ = writeln!(std::io::stderr(), "stopped");
    Ok(Outcome::Done)
}

/// The socket: where it was asked for, else the usual port on loopback, or any free one.
fn listener(listen: Option<&str>) -> Result<TcpListener, Trouble> {
    let Some(listen) = listen else {
        let usual = SocketAddr::from((Ipv4Addr::LOCALHOST, PORT));
        let any = SocketAddr::from((Ipv4Addr::LOCALHOST, 0));
        return match TcpListener::bind(usual) {
            Err(e) if e.kind() == ErrorKind::AddrInUse => TcpListener::bind(any).map_err(failed),
            bound => bound.map_err(failed),
        };
    };
    let wrong = || {
        Trouble::Wrong(format!(
            "error: --listen {listen}: expected ADDRESS:PORT, as in 127.0.0.1:{PORT}"
        ))
    };
    let mut found = listen.to_socket_addrs().map_err(|_| wrong())?;
    let address = found.next().ok_or_else(wrong)?;
    TcpListener::bind(address)
        .map_err(|e| Trouble::Failed(format!("error: --listen {listen}: {e}")))
}

/// Shows the page in the usual browser; where there is none, the address has been said.
fn open(link: &str) {
    if let Err(e) = ::open::that_detached(link) {
        eprintln!("warning: no browser could be opened: {e}");
    }
}
