//! Values with a blank that the shell has taken apart: `--set stud.metal=mild steel`.

/// Options whose value is KEY=VALUE.
const OPTIONS: [&str; 3] = ["--set", "--vary", "--variant"];

/// What to say of `word`, a lone word of the command line, if it was probably part of a value before it.
pub fn torn(word: &str) -> Option<String> {
    let all = std::env::args_os().map(|a| a.to_string_lossy().into_owned());
    let whole = joined(&all.collect::<Vec<_>>(), word)?;
    Some(format!(
        "error: `{word}` stands alone: a value with a blank needs quotes\nhelp: write {whole}"
    ))
}

/// The option with its whole value in quotes, where `word` follows it among these arguments.
fn joined(arguments: &[String], word: &str) -> Option<String> {
    (1..arguments.len()).find_map(|k| {
        let (option, value) = match arguments[k].split_once('=') {
            Some((option, value)) if OPTIONS.contains(&option) => (option, value),
            _ => (arguments[k - 1].as_str(), arguments[k].as_str()),
        };
        if !OPTIONS.contains(&option) || !value.contains('=') {
            return None;
        }
        let after = arguments[k + 1..]
            .iter()
            .take_while(|a| !a.starts_with('-'));
        let words: Vec<&str> = after.map(String::as_str).collect();
        let quote = if value.contains('\'') { '"' } else { '\'' };
        words
            .contains(&word)
            .then(|| format!("{option} {quote}{value} {}{quote}", words.join(" ")))
    })
}

#[cfg(test)]
mod tests {
    use super::joined;

    #[test]
    fn a_torn_value_is_put_together() {
        let of = |line: &str, word| {
            let all: Vec<String> = line.split(' ').map(String::from).collect();
            joined(&all, word)
        };
        let steel = Some("--set 'stud.metal=mild steel'".to_string());
        assert_eq!(of("fire --set stud.metal=mild steel", "steel"), steel);
        assert_eq!(
            of("fire --set=stud.metal=mild steel --no-band", "steel"),
            steel
        );
        assert_eq!(
            of("fire --set title=one two three", "three").as_deref(),
            Some("--set 'title=one two three'")
        );
        assert_eq!(of("fire steel --set stud.metal=copper", "steel"), None);
        assert_eq!(
            of("fire --set stud.metal=copper --csv out.csv", "out.csv"),
            None
        );
        assert_eq!(of("fire case.toml", "case.toml"), None);
    }
}
