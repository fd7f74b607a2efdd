//! Names of commands and options that were changed: read for one release more, with a note.

use std::ffi::OsString;

/// Old and new names of commands.
const COMMANDS: [(&str, &str); 2] = [("contrast", "compare"), ("prove", "validate")];

/// Command, old and new name of its options.
const OPTIONS: [(&str, &str, &str); 5] = [
    ("fire", "--every", "--interval"),
    ("dial", "--turn", "--vary"),
    ("dial", "--for", "--target"),
    ("fit", "--free", "--vary"),
    ("compare", "--with", "--variant"),
];

/// The arguments with new names for old ones, and a note on each that was changed.
pub fn renew(arguments: impl IntoIterator<Item = OsString>) -> (Vec<OsString>, Vec<String>) {
    let mut arguments: Vec<OsString> = arguments.into_iter().collect();
    let mut notes = Vec::new();
    // "help contrast" and "manual contrast" name a command, too.
    for at in 1..arguments.len().min(3) {
        let before = arguments[at - 1].to_str();
        if at == 2 && !matches!(before, Some("help" | "manual")) {
            continue;
        }
        let given = arguments[at].to_str();
        if let Some((old, new)) = COMMANDS.iter().find(|(old, _)| given == Some(*old)) {
            notes.push(format!("note: the command `{old}` is now called `{new}`"));
            arguments[at] = new.into();
        }
    }
    let command = arguments
        .get(1)
        .and_then(|name| name.to_str())
        .map(str::to_string);
    for argument in arguments.iter_mut().skip(2) {
        let Some(text) = argument.to_str() else {
            continue;
        };
        let (name, value) = text
            .split_once('=')
            .map_or((text, None), |(n, v)| (n, Some(v)));
        let found = OPTIONS
            .iter()
            .find(|(home, old, _)| command.as_deref() == Some(*home) && name == *old);
        if let Some((_, old, new)) = found {
            let note = format!("note: the option `{old}` is now called `{new}`");
            if !notes.contains(&note) {
                notes.push(note);
            }
            *argument = value
                .map_or(new.to_string(), |v| format!("{new}={v}"))
                .into();
        }
    }
    (arguments, notes)
}

#[cfg(test)]
mod tests {
    use super::renew;

    #[test]
    fn old_names_become_new_ones_in_their_own_command_only() {
        let line = |text: &str| {
            let (new, notes) = renew(text.split(' ').map(Into::into));
            let new: Vec<String> = new.into_iter().map(|a| a.into_string().unwrap()).collect();
            (new.join(" "), notes.len())
        };
        let same = |text: &str| assert_eq!(line(text), (text.to_string(), 0));
        let to = |old: &str, new: &str, notes| assert_eq!(line(old), (new.to_string(), notes));
        to(
            "arcplunge contrast --with a=1 --with=b=2",
            "arcplunge compare --variant a=1 --variant=b=2",
            2,
        );
        to(
            "arcplunge dial --turn a --for=fill_ratio=1",
            "arcplunge dial --vary a --target=fill_ratio=1",
            2,
        );
        to("arcplunge help prove", "arcplunge help validate", 1);
        same("arcplunge fire contrast");
        same("arcplunge sweep --turn a");
        same("arcplunge");
    }
}
