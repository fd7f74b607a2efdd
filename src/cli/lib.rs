//! The command line: what was asked, and one short function a command.

mod args;
mod calibrate;
mod card;
mod case;
mod case_input;
mod catalogue;
mod chart;
mod compare;
mod design;
mod dial;
mod earths;
mod files;
mod fire;
mod fit;
mod handbook;
mod input;
mod join;
mod kept;
mod meta;
mod outcome;
mod output;
#[cfg(feature = "page")]
mod page;
mod parquet;
mod part;
mod picture;
mod place;
mod progress;
mod renamed;
mod resume;
mod rows;
mod samples;
mod scatter;
mod scope;
mod sensitivity;
mod shift;
mod stream;
mod sweep;
mod table;
mod threads;
mod unfinished;
mod unnamed;
mod unquoted;
mod validate;

use std::io::IsTerminal;

use clap::{CommandFactory, Parser};

use args::CommandLine;
pub use outcome::Outcome;
use outcome::{Trouble, complain};

/// Parses the command line and runs it.
pub fn main() -> Outcome {
    let (arguments, notes) = renamed::renew(std::env::args_os());
    let arguments = match CommandLine::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        // Help and version are results as others.
        Err(help) if !help.use_stderr() => {
            return told(output::print(shown(&help).as_bytes()).map(|()| Outcome::Done));
        }
        Err(error) => refuse(error),
    };
    notes.iter().for_each(|note| complain(note));
    told(threads::start().and_then(|()| run(arguments.command)))
}

fn run(command: args::Command) -> Result<Outcome, Trouble> {
    match command {
        args::Command::Fire(a) => fire::run(&a),
        args::Command::Sweep(a) => sweep::run(&a),
        args::Command::Scatter(a) => scatter::run(&a),
        args::Command::Sensitivity(a) => sensitivity::run(&a),
        args::Command::Join(a) => join::run(&a),
        args::Command::Dial(a) => dial::run(&a),
        args::Command::Chart(a) => chart::run(&a),
        args::Command::Earths(a) => earths::run(&a),
        args::Command::Card(a) => card::run(&a),
        args::Command::Shift(a) => shift::run(&a),
        args::Command::Fit(a) => fit::run(&a),
        args::Command::Calibrate(a) => calibrate::run(&a),
        args::Command::Compare(a) => compare::run(&a),
        #[cfg(feature = "page")]
        args::Command::Page(a) => page::run(&a),
        args::Command::Case(a) => case::run(&a),
        args::Command::Catalogue(a) => catalogue::run(&a),
        args::Command::Validate(a) => validate::run(&a),
        args::Command::Completions(a) => handbook::completions(&a, CommandLine::command()),
        args::Command::Manual(a) => handbook::manual(&a, CommandLine::command()),
    }
}

/// Says what stopped a command.
fn told(result: Result<Outcome, Trouble>) -> Outcome {
    match result {
        Ok(outcome) => outcome,
        Err(Trouble::ClosedPipe) => Outcome::Done,
        Err(Trouble::Wrong(text)) => {
            complain(&text);
            Outcome::Wrong
        }
        Err(Trouble::Stopped(text)) => {
            complain(&text);
            Outcome::Stopped
        }
        Err(Trouble::Failed(text)) => {
            complain(&text);
            Outcome::Failed
        }
    }
}

/// Help or version, in colour on a terminal.
fn shown(help: &clap::Error) -> String {
    let text = help.render();
    if input::wants_color(std::io::stdout().is_terminal()) {
        text.ansi().to_string()
    } else {
        text.to_string()
    }
}

/// Says what is wrong with a command line and ends: clap knows the exit code.
fn refuse(mut error: clap::Error) -> ! {
    use clap::error::{ContextKind, ContextValue, ErrorKind};
    if error.kind() == ErrorKind::UnknownArgument
        && let Some(ContextValue::String(word)) = error.get(ContextKind::InvalidArg)
        && let Some(text) = unquoted::torn(word)
    {
        complain(&text);
        std::process::exit(2);
    }
    // Nothing here takes a value that begins with dashes, so the tip how to pass one leads astray.
    if let Some(ContextValue::StyledStrs(tips)) = error.get(ContextKind::Suggested)
        && tips
            .iter()
            .any(|tip| tip.to_string().contains("as a value"))
    {
        error.remove(ContextKind::Suggested);
    }
    error.exit()
}
