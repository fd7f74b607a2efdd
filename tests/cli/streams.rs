//! Standard streams: closed pipes, full disks, colour.

use std::process::{Command, Stdio};

use super::tool::{Bench, skip};

const COMMANDS: [&[&str]; 7] = [
    &["fire", "--no-band"],
    &["fire", "--no-band", "--json", "-"],
    &["fire", "--no-band", "--csv", "-"],
    &["case", "show"],
    &["case", "new", "-"],
    &["catalogue"],
    &["--help"],
];

fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("arcplunge"));
    command
        .args(arguments)
        .stdin(Stdio::null())
        .stderr(Stdio::piped());
    command
}

#[test]
fn a_reader_that_has_gone_is_no_error() {
    for arguments in COMMANDS {
        let mut child = program(arguments)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program runs");
        drop(child.stdout.take());
        let ended = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&ended.stderr).into_owned();
        assert_eq!(
            (ended.status.code(), said.as_str()),
            (Some(0), ""),
            "{arguments:?}"
        );
    }
}

#[test]
fn a_reader_that_goes_early_is_no_error() {
    use std::io::Read;
    let mut child = program(&["fire", "--no-band", "--csv", "-", "--interval", "200 ns"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut out = child.stdout.take().expect("a pipe");
    let mut head = [0; 6];
    out.read_exact(&mut head).expect("the head of the table");
    drop(out);
    let ended = child.wait_with_output().expect("it ends");
    assert_eq!(&head, b"time_s");
    assert_eq!((ended.status.code(), ended.stderr.len()), (Some(0), 0));
}

#[test]
fn a_full_disk_is_an_error() {
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else {
        return skip("there is no /dev/full");
    };
    for arguments in [
        &["fire", "--no-band"][..],
        &["--help"],
        &["fire", "--help"],
        &["--version"],
    ] {
        let full = full.try_clone().expect("another handle");
        let ended = program(arguments)
            .stdout(full)
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&ended.stderr).into_owned();
        assert_eq!(ended.status.code(), Some(1), "{arguments:?}");
        assert!(
            said.contains("cannot write to standard output"),
            "{arguments:?}: {said}"
        );
    }
}

#[test]
fn complaints_without_a_listener_keep_their_exit_code() {
    let mut child = program(&["fire", "--set", "x=1"])
        .stdout(Stdio::null())
        .spawn()
        .expect("the program runs");
    drop(child.stderr.take());
    assert_eq!(child.wait().expect("it ends").code(), Some(2));
}

#[test]
fn no_colour_off_a_terminal() {
    let bench = Bench::new();
    for arguments in COMMANDS {
        for no_color in [None, Some(""), Some("1")] {
            let mut command = bench.command(arguments);
            if let Some(value) = no_color {
                command.env("NO_COLOR", value);
            }
            let output = command.output().expect("the program runs");
            assert!(!output.stdout.contains(&0x1b), "{arguments:?}");
        }
    }
}

/// `script` lends the program a terminal; on one, colour comes unless NO_COLOR is set.
#[cfg(target_os = "linux")]
#[test]
fn colour_on_a_terminal_unless_no_color() {
    let typescript = |no_color: &str| {
        let program = assert_cmd::cargo::cargo_bin!("arcplunge");
        let line = format!("{} fire --no-band; {0} fire --set x=1", program.display());
        let output = Command::new("script")
            .args(["-qec", &line, "/dev/null"])
            .env("NO_COLOR", no_color)
            .env("TERM", "xterm")
            .stdin(Stdio::null())
            .output()
            .ok()?;
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(text.contains("ignition"), "nothing was fired: {text}");
        Some(text)
    };
    let (Some(plain), Some(coloured)) = (typescript("1"), typescript("")) else {
        return skip("there is no `script` to lend a terminal");
    };
    assert!(!plain.contains('\x1b'), "NO_COLOR=1");
    assert!(
        coloured.contains("\x1b["),
        "an empty NO_COLOR asks for nothing"
    );
}

#[test]
fn results_to_standard_output_and_complaints_to_standard_error() {
    let bench = Bench::new();
    assert!(
        bench
            .run(&["fire", "--no-band"])
            .done()
            .contains("ignition")
    );
    assert!(bench.run(&["--version"]).done().starts_with("arcplunge "));
    assert!(bench.run(&["help", "fire"]).done().contains("--interval"));
}

/// More threads than anyone has are not started, and threads that cannot be had are told of.
#[cfg(target_os = "linux")]
#[test]
fn regress_threads_that_cannot_be_had() {
    let many = program(&["scatter", "--shots", "20"])
        .env("RAYON_NUM_THREADS", "1000000")
        .output()
        .unwrap();
    assert_eq!(
        many.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&many.stderr)
    );
    let line = format!(
        "ulimit -v 400000; exec {} fire",
        assert_cmd::cargo::cargo_bin!("arcplunge").display()
    );
    let none = Command::new("sh")
        .args(["-c", &line])
        .env("RAYON_NUM_THREADS", "1000")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&none.stderr).into_owned();
    assert_eq!(none.status.code(), Some(1), "{said}");
    assert!(said.contains("threads cannot be started"), "{said}");
}
