//! Runs that are ended by force: nothing half-written, nothing hidden, and rows that are gone on with.

use std::process::{Command, ExitStatus, Stdio};
use std::thread::sleep;
use std::time::Duration;

use crate::tool::Bench;

/// Starts the program on a bench, sends it a signal after a while, and waits for its end.
fn killed(bench: &Bench, arguments: &[&str], signal: &str, after: Duration) -> ExitStatus {
    let mut child = Command::new(assert_cmd::cargo::cargo_bin!("arcplunge"))
        .args(arguments)
        .current_dir(bench.path())
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    sleep(after);
    let id = child.id().to_string();
    // It may have ended by itself by then.
    let _ = Command::new("kill")
        .args([signal, &id])
        .stderr(Stdio::null())
        .status();
    child.wait().unwrap()
}

#[cfg(unix)]
#[test]
fn regress_a_killed_run_leaves_no_file() {
    // The other two are ignored by what a shell starts in the background.
    for signal in ["-KILL", "-TERM"] {
        let bench = Bench::new();
        let outputs = ["--json", "a.json", "--plot", "a.svg", "--report", "a.html"];
        let all = [&["scatter", "--shots", "300000"][..], &outputs].concat();
        // Long enough for the files to be open, far too short for the shots.
        let ended = killed(&bench, &all, signal, Duration::from_millis(400));
        assert_eq!(ended.code(), None, "{signal}");
        assert!(bench.names().is_empty(), "{signal}: {:?}", bench.names());
    }
}

const SIGNALS: [&str; 4] = ["-KILL", "-TERM", "-HUP", "-INT"];

/// `KILLS=400 cargo test --release --test cli hunt_killed -- --ignored --nocapture`
#[cfg(unix)]
#[test]
#[ignore = "runs for minutes; a hunt, not a check"]
fn hunt_killed_runs_for_files_left_behind() {
    let kills: u64 = std::env::var("KILLS")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(200);
    let fire = [
        "fire", "--csv", "a.csv", "--json", "a.json", "--plot", "a.png", "--report", "a.html",
    ];
    let rows = [
        "scatter", "--shots", "2000", "--csv", "r.csv", "--json", "r.json",
    ];
    let whole = Bench::new();
    whole.run(&fire).done();
    whole.run(&rows).done();
    let (mut partly, mut resumed) = (0, 0);
    for k in 0..kills {
        let signal = SIGNALS[(k % 4) as usize];
        // Steps that share nothing with the work's length.
        let after = |longest: u64| Duration::from_micros(k * 7_919 % longest);
        let bench = Bench::new();
        killed(&bench, &fire, signal, after(400_000));
        for name in bench.names() {
            assert_eq!(
                bench.read_bytes(&name),
                whole.read_bytes(&name),
                "{signal}: {name}"
            );
            partly += 1;
        }
        let bench = Bench::new();
        killed(&bench, &rows, signal, after(500_000));
        let known = [
            "r.csv",
            "r.csv.meta.json",
            "r.csv.part",
            "r.csv.part.meta.json",
            "r.json",
        ];
        let names = bench.names();
        assert!(
            names.iter().all(|name| known.contains(&name.as_str())),
            "{signal}: {names:?}"
        );
        if names.iter().any(|name| name == "r.csv.part") {
            bench.run(&[&rows[..], &["--resume"]].concat()).done();
            assert_eq!(
                bench.read_bytes("r.csv"),
                whole.read_bytes("r.csv"),
                "{signal}"
            );
            resumed += 1;
        }
    }
    eprintln!(
        "{kills} runs of each killed: {partly} whole files there, {resumed} studies gone on with"
    );
}
