//! Texts whose quotes were forgotten: put back, so that the rest of the file can be read.

use std::ops::Range;

/// A file with quotes put in where they were missing.
#[derive(Debug, Default)]
pub(super) struct Mended {
    pub text: String,
    /// Bytes of `text` that were put in, by rising place.
    put_in: Vec<usize>,
    /// The lines that were mended: place of the value in `text`, and the line as it was probably meant.
    pub lines: Vec<(Range<usize>, String)>,
}

impl Mended {
    /// The place in the file as it was of a place in the mended text.
    pub fn before(&self, at: usize) -> usize {
        at - self.put_in.partition_point(|&put_in| put_in < at)
    }
}

/// Curly quotes, as word processors set them; as long as a plain one with two blanks.
const CURLY: [char; 5] = ['“', '”', '„', '‘', '’'];

/// Puts quotes into the lines of `text` at these places that lack them; `None` where no line does.
pub(super) fn mend(text: &str, places: impl Iterator<Item = usize>) -> Option<Mended> {
    let places: Vec<usize> = places.collect();
    let mut out = Mended::default();
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        let end = start + line.len();
        let wrong = places.iter().any(|at| (start..end).contains(at))
            || (end == text.len() && places.contains(&end));
        match wrong.then(|| parts(line)).flatten() {
            Some((key, value)) => out.add(line, key, value),
            None => out.text.push_str(line),
        }
        start = end;
    }
    (!out.lines.is_empty()).then_some(out)
}

impl Mended {
    /// Adds a line, the value at this place in it in quotes.
    fn add(&mut self, line: &str, key: &str, value: Range<usize>) {
        let start = self.text.len();
        self.text.push_str(&line[..value.start]);
        let from = self.text.len();
        self.value(&line[value.clone()]);
        let place = from..self.text.len();
        let mut meant = self.text[place.clone()].to_string();
        if line.contains(CURLY) {
            meant = meant.trim().replace("\"  ", "\"").replace("  \"", "\"");
        }
        self.text.push_str(&line[value.end..]);
        debug_assert!(self.text.len() >= start + line.len());
        self.lines.push((place, format!("{key} = {meant}")));
    }

    fn value(&mut self, value: &str) {
        let inner = value.strip_prefix('[').and_then(|v| v.strip_suffix(']'));
        match inner {
            Some(list) => {
                self.text.push('[');
                for (n, item) in list.split(',').enumerate() {
                    self.text.push_str(if n > 0 { "," } else { "" });
                    let word = item.trim();
                    let lead = item.len() - item.trim_start().len();
                    self.text.push_str(&item[..lead]);
                    self.word(word);
                    self.text.push_str(&item[lead + word.len()..]);
                }
                self.text.push(']');
            }
            None => self.word(value),
        }
    }

    /// A text in quotes; numbers and what has both quotes already stay as they are.
    fn word(&mut self, word: &str) {
        let open = word.chars().next();
        let close = word.chars().next_back();
        let whole = word.len() > 1 && open == close && matches!(open, Some('"' | '\''));
        if word.is_empty() || whole || word.parse::<f64>().is_ok() {
            return self.text.push_str(word);
        }
        if word.contains(CURLY) {
            let plain = word.replace(CURLY, "");
            let [before, after] = [word.starts_with(CURLY), word.ends_with(CURLY)];
            let pad = word.len() - plain.len();
            // As many bytes as before, where there is room for them.
            let (before, after) = match (before, after) {
                (true, true) => ("  \"", "\"  "),
                (true, false) => ("  \"", "\""),
                _ => ("\"", "\"  "),
            };
            let long = before.len() + after.len();
            self.text.push_str(before);
            self.text.push_str(&plain);
            let end = self.text.len();
            self.text.push_str(after);
            self.put_in.extend(end..end + long.saturating_sub(pad));
            return;
        }
        let quote = match (open, close) {
            (Some('\''), _) | (_, Some('\'')) => '\'',
            _ => '"',
        };
        if open != Some(quote) {
            self.quote(quote);
        }
        self.text.push_str(word);
        if close != Some(quote) || word.len() == 1 {
            self.quote(quote);
        }
    }

    fn quote(&mut self, quote: char) {
        self.put_in.push(self.text.len());
        self.text.push(quote);
    }
}

/// Key and place of the value in a line `key = value`, without a comment behind it; `None` of another line, or of a
/// value that is more than a text.
fn parts(line: &str) -> Option<(&str, Range<usize>)> {
    let (key, _) = line.split_once('=')?;
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.' | ' ' | '\t');
    if key.trim().is_empty() || !key.chars().all(bare) {
        return None;
    }
    let rest = &line[key.len() + 1..];
    let text = rest.split('#').next().unwrap_or_default();
    let value = text.trim();
    let start = key.len() + 1 + (text.len() - text.trim_start().len());
    let more = |c: char| c.is_control() || matches!(c, '\\' | '{' | '}' | '=');
    let quotes = value.matches(['"', '\'']).count();
    let brackets = value.matches(['[', ']']).count();
    let list = brackets == 2 && value.starts_with('[') && value.ends_with(']');
    let simple =
        !value.is_empty() && !value.contains(more) && (list || (quotes < 2 && brackets == 0));
    simple.then(|| (key.trim(), start..start + value.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mended(line: &str) -> Option<(String, String)> {
        let found = mend(line, std::iter::once(0))?;
        let (place, meant) = found.lines[0].clone();
        // Every place of the mended text stands for one of the line.
        let back = found.before(place.end);
        assert!(back <= line.len() && line.is_char_boundary(found.before(place.start)));
        Some((found.text, meant))
    }

    #[test]
    fn quotes_are_put_back() {
        for (line, text, meant) in [
            (
                "metal = mild steel # all",
                "metal = \"mild steel\" # all",
                "metal = \"mild steel\"",
            ),
            ("size=M6\n", "size=\"M6\"\n", "size = \"M6\""),
            (
                "voltage = \"112 V\n",
                "voltage = \"112 V\"\n",
                "voltage = \"112 V\"",
            ),
            (
                "voltage = 112 V'\n",
                "voltage = '112 V'\n",
                "voltage = '112 V'",
            ),
            (
                "at = [-200 mm, 0 mm]",
                "at = [\"-200 mm\", \"0 mm\"]",
                "at = [\"-200 mm\", \"0 mm\"]",
            ),
        ] {
            let found = mended(line).unwrap();
            assert_eq!((found.0.as_str(), found.1.as_str()), (text, meant));
        }
        let (text, meant) = mended("metal = “mild steel”").unwrap();
        assert_eq!(meant, "metal = \"mild steel\"");
        assert_eq!(text.len(), "metal = “mild steel”".len());
    }

    #[test]
    fn other_lines_are_left_alone() {
        for line in [
            "[bank",
            "metal",
            "a = { b = c }",
            "metal = \"a\" b\"",
            "= 3",
            "x =",
        ] {
            assert_eq!(mended(line), None, "{line}");
        }
    }
}
