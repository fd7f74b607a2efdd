//! `completions` and `manual`: what a shell and `man` know of the program, made from its arguments.

use clap::{Args, CommandFactory};
use clap_complete::generate;
use clap_mangen::Man;

use super::args::CommandLine;
use super::outcome::{Outcome, Trouble};
use super::output::print;
use super::results::{failed, wrong};
use arcplunge_core::case::keys::nearest;

#[derive(Debug, Args)]
#[command(after_help = "bash: arcplunge completions bash > \
    ~/.local/share/bash-completion/completions/arcplunge")]
pub struct Completions {
    /// Shell to write the completions for
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

#[derive(Debug, Args)]
#[command(after_help = "To read it: arcplunge manual chart | man -l -")]
pub struct Manual {
    /// Command to describe, e.g. fire
    pub command: Option<String>,
}

/// Name of the program.
const NAME: &str = "arcplunge";

pub fn completions(a: &Completions) -> Result<Outcome, Trouble> {
    let mut script = Vec::new();
    generate(a.shell, &mut CommandLine::command(), NAME, &mut script);
    print(&script)?;
    Ok(Outcome::Done)
}

pub fn manual(a: &Manual) -> Result<Outcome, Trouble> {
    let mut command = CommandLine::command();
    // Gives commands below it their full names.
    command.build();
    if let Some(name) = &a.command {
        let Some(found) = command.find_subcommand(name) else {
            let names = command.get_subcommands().map(clap::Command::get_name);
            let help = nearest(name, names)
                .map_or("`arcplunge --help` lists the commands".to_string(), |n| {
                    format!("did you mean {n}?")
                });
            return wrong(format!("manual {name}: no such command\nhelp: {help}"));
        };
        command = found.clone();
    }
    let mut page = Vec::new();
    Man::new(command).render(&mut page).map_err(failed)?;
    print(&page)?;
    Ok(Outcome::Done)
}
