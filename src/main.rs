//! The door: arguments in, exit code out.

use std::process::ExitCode;

use arcplunge_cli::{self as cli, Outcome};

fn main() -> ExitCode {
    match cli::main() {
        Outcome::Done => ExitCode::SUCCESS,
        Outcome::Failed => ExitCode::from(1),
        Outcome::Wrong => ExitCode::from(2),
        Outcome::Stopped => ExitCode::from(130),
    }
}
