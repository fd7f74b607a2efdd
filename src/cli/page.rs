//! `page`: the live page, served to a browser on this machine.

use std::io::{ErrorKind, IsTerminal, Write};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, ToSocketAddrs};
use std::path::PathBuf;

use clap::Args;

use super::case_input::CaseInput;
use super::input::{read, text, wants_color};
use super::outcome::{Outcome, Trouble, failed};
use super::progress::hear;
use arcplunge_page::serve::{Stop, link, network_link, serve};
use arcplunge_page::{Class, Reach, Session, lessons};

#[derive(Debug, Args)]
#[command(
    after_help = "Serves the page to this machine only, unless --listen says otherwise. With --class phones on the local network can \
    follow it with a code, vote and try one slider; they can change nothing of it. It writes no file, and reads none once it serves; \
    Ctrl-C stops it, and the class with it."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Address to listen on [default: 127.0.0.1:7411, or a free port]
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub listen: Option<String>,
    /// Let a class of up to 60 phones follow over the local network, with a code [default address: all of this machine's, port 7412
    /// or a free one]
    #[arg(long, value_name = "ADDRESS:PORT", num_args = 0..=1, require_equals = true, default_missing_value = "")]
    pub class: Option<String>,
    /// Lessons of your own (TOML) instead of the built-in ones
    #[arg(long, value_name = "FILE")]
    pub lessons: Option<PathBuf>,
    /// Open the page in the default browser
    #[arg(long)]
    pub open: bool,
}

/// Default port of the page.
const PORT: u16 = 7411;

/// Default port of a class.
const CLASS_PORT: u16 = 7412;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let text = text(&a.input)?;
    // A case that is wrong is said here, not in the browser.
    read(&text, &a.input.sets)?;
    let session = Session::new(text, a.input.sets.clone());
    let session = match &a.lessons {
        Some(path) => {
            let color = wants_color(std::io::stderr().is_terminal());
            session.with_lessons(lessons::of_file(path, color).map_err(Trouble::Wrong)?)
        }
        None => session.with_lessons(lessons::built_in()),
    };
    let listener = listener("--listen", a.listen.as_deref(), (Ipv4Addr::LOCALHOST, PORT))?;
    let address = listener.local_addr().map_err(failed)?;
    let class = a
        .class
        .as_deref()
        .map(|at| class(at, address))
        .transpose()?;
    let link = link(address);
    let stop = Stop::default();
    let heard = stop.clone();
    hear(move || heard.now()).map_err(failed)?;
    let mut out = std::io::stdout();
    let _ = writeln!(out, "The page is at {link}");
    if let Some((class, _)) = &class {
        let _ = writeln!(
            out,
            "The class is at {} with the code {}",
            class.link(),
            class.code()
        );
        let _ = writeln!(out, "{}", who(class.reach()));
    }
    let _ = writeln!(out, "Press Ctrl-C here to stop it.");
    if !address.ip().is_loopback() {
        eprintln!("warning: everyone who can reach {address} can use it");
    }
    if a.open {
        open(&link);
    }
    serve(session, listener, class, &stop).map_err(failed)?;
    let _ = writeln!(std::io::stderr(), "stopped");
    Ok(Outcome::Done)
}

/// Who can come into a class, and what they can do there.
fn who(reach: Reach) -> String {
    match reach {
        Reach::Network => {
            "Everyone on the network can reach the class; with the code, up to 60 phones follow the page, vote and try one slider on \
             a copy. They can change nothing of the page. It ends with the page."
                .to_string()
        }
        Reach::Machine => format!(
            "Only this machine can reach the class, no phone; for those leave the address out, or give that of this machine on its \
             network, as in --class=192.168.1.5:{CLASS_PORT}. It ends with the page."
        ),
    }
}

/// A class and its socket, beside a page at `page`.
fn class(at: &str, page: SocketAddr) -> Result<(Class, TcpListener), Trouble> {
    if !page.ip().is_loopback() {
        return Err(Trouble::Wrong(
            "error: with --class the page itself stays on this machine: leave --listen out, or give it 127.0.0.1".into(),
        ));
    }
    let at = (!at.is_empty()).then_some(at);
    let listener = listener("--class", at, (Ipv4Addr::UNSPECIFIED, CLASS_PORT))?;
    let address = listener.local_addr().map_err(failed)?;
    let link = network_link(address).ok_or_else(|| {
        Trouble::Failed(format!(
            "error: --class: this machine is on no network that phones could reach it by; connect it, or give its address as in \
             --class=192.168.1.5:{CLASS_PORT}"
        ))
    })?;
    let class = Class::new(&link, Reach::of(address.ip()));
    Ok((class.map_err(failed)?, listener))
}

/// The socket: where an option asks for it, else the usual address and port, or any free one there.
fn listener(
    option: &str,
    listen: Option<&str>,
    usual: (Ipv4Addr, u16),
) -> Result<TcpListener, Trouble> {
    let (ip, port) = usual;
    let Some(listen) = listen else {
        return match TcpListener::bind(usual) {
            Err(e) if e.kind() == ErrorKind::AddrInUse => {
                TcpListener::bind((ip, 0)).map_err(failed)
            }
            bound => bound.map_err(failed),
        };
    };
    let wrong = || {
        Trouble::Wrong(format!(
            "error: {option} {listen}: expected ADDRESS:PORT, as in 127.0.0.1:{port}"
        ))
    };
    let mut found = listen.to_socket_addrs().map_err(|_| wrong())?;
    let address = found.next().ok_or_else(wrong)?;
    TcpListener::bind(address)
        .map_err(|e| Trouble::Failed(format!("error: {option} {listen}: {e}")))
}

/// Shows the page in the usual browser; where there is none, the address has been said.
fn open(link: &str) {
    if let Err(e) = ::open::that_detached(link) {
        eprintln!("warning: no browser could be opened: {e}");
    }
}
