//! `completions` and `manual`: what a shell and `man` know of the program, made from its arguments.

use clap::{Args, Command};
use clap_complete::generate;
use clap_mangen::Man;

use super::outcome::{Outcome, Trouble, failed, wrong};
use super::output::print;
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

/// `command` is the program's own.
pub fn completions(a: &Completions, mut command: Command) -> Result<Outcome, Trouble> {
    let mut script = Vec::new();
    generate(a.shell, &mut command, NAME, &mut script);
    print(&script)?;
    Ok(Outcome::Done)
}

/// `command` is the program's own.
pub fn manual(a: &Manual, mut command: Command) -> Result<Outcome, Trouble> {
    // Gives commands below it their full names.
    command.build();
    if let Some(name) = &a.command {
        let Some(found) = command.find_subcommand(name) else {
            let names = command.get_subcommands().map(Command::get_name);
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
