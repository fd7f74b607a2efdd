//! Runs the program in a folder of its own.

use std::fs;
use std::io::Write;
use std::path::Path;

use assert_cmd::Command;
use tempfile::TempDir;

/// The example trace, as `scope.csv` in a bench.
pub const SCOPE: &str = include_str!("../../examples/scope.csv");

/// The command that fits a key to it.
pub const FIT_ONE: [&str; 9] = [
    "fit",
    "--trace",
    "scope.csv",
    "--time-unit",
    "ms",
    "--scale",
    "10kA",
    "--vary",
    "lead.length",
];

/// The same, its keys still to come.
pub const FIT: &[&str] = FIT_ONE.split_at(7).0;

/// A folder that goes when the test ends, and the program run in it.
pub struct Bench {
    folder: TempDir,
}

/// What a run gave.
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Bench {
    pub fn new() -> Self {
        Bench {
            folder: tempfile::tempdir().expect("a temporary folder"),
        }
    }

    /// A file in the folder.
    pub fn with(self, name: &str, text: impl AsRef<[u8]>) -> Self {
        fs::write(self.path().join(name), text).expect("a file in the temporary folder");
        self
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    pub fn read_bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path().join(name)).expect("the file")
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path().join(name)).expect("the file is there")
    }

    /// Copies what stands beside the table `from`, written by `other`, beside `to` here.
    pub fn with_meta(self, to: &str, other: &Bench, from: &str) -> Self {
        let text = other.read(&format!("{from}.meta.json"));
        self.with(&format!("{to}.meta.json"), text)
    }

    /// Names in the folder, in order.
    pub fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.path())
            .expect("the folder is there")
            .map(|e| {
                e.expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }

    /// The program in this folder, its environment free of what would change the output.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::cargo_bin("arcplunge").expect("the program is built");
        command
            .current_dir(self.path())
            .env("COLUMNS", "80")
            .env_remove("NO_COLOR")
            .env_remove("CLICOLOR_FORCE")
            .args(arguments);
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        ran(&mut self.command(arguments))
    }

    pub fn run_with(&self, arguments: &[&str], input: impl Into<Vec<u8>>) -> Ran {
        ran(self.command(arguments).write_stdin(input))
    }
}

fn ran(command: &mut Command) -> Ran {
    let output = command.output().expect("the program runs");
    Ran {
        code: output.status.code().expect("the program ends by itself"),
        out: String::from_utf8(output.stdout).expect("UTF-8 on standard output"),
        err: String::from_utf8(output.stderr).expect("UTF-8 on standard error"),
    }
}

/// Says that a test had nothing to work with and is passed over, where the test runner cannot hide it. Where
/// all is to be checked (`CI` is set) that is a failure.
#[track_caller]
pub fn skip(why: &str) {
    assert!(std::env::var_os("CI").is_none(), "not tested: {why}");
    let at = std::panic::Location::caller();
    // `eprintln!` would be kept back for a test that passes.
    writeln!(std::io::stderr(), "skipped: {why} ({at})").expect("standard error");
}

/// A JSON document without the command line it came from.
pub fn without_command(text: &str) -> serde_json::Value {
    let mut all: serde_json::Value = serde_json::from_str(text).expect("JSON");
    let command = all.as_object_mut().and_then(|all| all.remove("command"));
    let command = command.expect("a document has its command");
    assert!(command.as_str().expect("a text").starts_with("arcplunge "));
    all
}

/// A text with its breaks of line undone.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Ran {
    /// Done, and nothing to complain about; what came out.
    #[track_caller]
    pub fn done(self) -> String {
        assert_eq!((self.code, self.err.as_str()), (0, ""), "{}", self.out);
        self.out
    }

    /// Ended with this code, nothing on standard output; the complaint.
    #[track_caller]
    pub fn failed(self, code: i32) -> String {
        assert_eq!(self.code, code, "{}{}", self.out, self.err);
        assert_eq!(self.out, "", "nothing goes to standard output");
        assert!(
            self.err.contains("error: ") || self.err.contains("Usage:"),
            "{}",
            self.err
        );
        assert!(!self.err.contains("panicked"), "{}", self.err);
        assert!(!self.err.contains('\x1b'), "no colour off a terminal");
        self.err
    }
}
