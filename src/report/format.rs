//! Numbers for people: three significant digits, the prefix that fits, units always.

/// `value` with `digits` significant digits, no exponent, no needless zeros cut.
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".into();
    }
    if !value.is_finite() {
        return "–".into();
    }
    let decimals = |v: f64| digits as i32 - 1 - v.abs().log10().floor() as i32;
    let d = decimals(value).clamp(0, 12) as usize;
    let text = format!("{value:.d$}");
    // Rounding may carry into a new digit (9.996 → 10.00).
    let again = text
        .parse::<f64>()
        .map_or(d, |r| decimals(r).clamp(0, 12) as usize);
    if again == d {
        text
    } else {
        format!("{value:.again$}")
    }
}

/// `value` to three significant digits, without needless zeros: 1.5, 120.
pub fn trimmed(value: f64) -> String {
    let text = significant(value, 3);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').into()
    } else {
        text
    }
}

/// `value` \[SI\] with the SI prefix that leaves 1 to 999 before the point.
pub fn engineering(value: f64, unit: &str) -> String {
    if value == 0.0 {
        return format!("0 {unit}");
    }
    let (factor, prefix) = prefix(value);
    format!("{} {prefix}{unit}", significant(value / factor, 3))
}

/// The SI prefix that leaves 1 to 999 before the point of `value` \[SI\], and what it stands for.
pub fn prefix(value: f64) -> (f64, &'static str) {
    const PREFIXES: [(f64, &str); 6] = [
        (1e6, "M"),
        (1e3, "k"),
        (1.0, ""),
        (1e-3, "m"),
        (1e-6, "µ"),
        (1e-9, "n"),
    ];
    if value == 0.0 {
        return PREFIXES[2];
    }
    let size = value.abs() * (1.0 + 5e-4);
    PREFIXES
        .into_iter()
        .find(|(f, _)| size >= *f)
        .unwrap_or(PREFIXES[5])
}

/// A large number rounded to three significant digits, in groups of three: 39 100.
pub fn grouped(value: f64) -> String {
    if value.abs() < 1000.0 {
        return significant(value, 3);
    }
    let unit = 10f64.powi(value.abs().log10().floor() as i32 - 2);
    let digits = format!("{:.0}", (value / unit).round() * unit);
    let mut out = String::new();
    for (n, c) in digits.chars().enumerate() {
        if n > 0 && c != '-' && (digits.len() - n) % 3 == 0 {
            out.push(' ');
        }
        out.push(c);
    }
    out
}

/// A time \[s\] in ms with three decimals.
pub fn milliseconds(t: f64) -> String {
    format!("{:.3} ms", t * 1e3)
}

/// A share in per cent.
pub fn percent(share: f64) -> String {
    let p = share * 100.0;
    // What rounds to ten has no decimal.
    if p != 0.0 && p.abs() < 9.95 {
        format!("{p:.1} %")
    } else {
        format!("{p:.0} %")
    }
}

/// A length that is negligible below this \[m\].
pub const NO_LENGTH: f64 = 0.5e-9;

/// A length of melt or gap; what is less than rounding leaves is none.
pub fn depth(metres: f64) -> String {
    if metres.abs() < NO_LENGTH {
        "none".into()
    } else {
        engineering(metres, "m")
    }
}

/// A number of things: `1 weld`, `12 welds`.
pub fn plural(count: usize, thing: &str) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {thing}{s}")
}

/// Names one after the other: `a, b and c`.
pub fn listed(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}

/// A volume of melt, which hardly counts below a thousandth of a cubic millimetre.
pub fn melt_volume(cubic_metres: f64) -> String {
    match cubic_metres * 1e9 {
        v if v > 0.0 && v < 1e-3 => "less than 0.001 mm³".into(),
        v => format!("{} mm³", significant(v, 2)),
    }
}

/// With a capital letter at its head.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters
        .next()
        .map_or(String::new(), |c| c.to_uppercase().to_string());
    first + letters.as_str()
}

/// Celsius from kelvin, whole degrees.
pub fn celsius(t: f64) -> String {
    format!("{:.0} °C", t - 273.15)
}

/// Text with the marks that turn the direction of writing shown by their number, as in ⟨U+202E⟩: a title could make a page read
/// as it does not.
pub fn marked(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{61c}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}' => {
                out.push_str(&format!("⟨U+{:04X}⟩", u32::from(c)));
            }
            c => out.push(c),
        }
    }
    out
}

/// A bar as long as a share of `width` characters, to an eighth of one.
pub fn bar(share: f64, width: usize) -> String {
    const EIGHTHS: [&str; 8] = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"];
    let eighths = (share.clamp(0.0, 1.0) * (width * 8) as f64).round() as usize;
    format!("{}{}", "█".repeat(eighths / 8), EIGHTHS[eighths % 8])
}

/// Units that stay on the line of their number.
const UNITS: [&str; 26] = [
    "A", "kA", "V", "mΩ", "µΩ", "mF", "J", "kJ", "mJ", "N", "mm", "µm", "mm³", "ms", "m/s", "%",
    "µH", "g", "shots)", "mm2", "mohm", "deg", "kW", "K", "N/mm", "mm²",
];

/// `text` with spaces that do not break between number and unit.
pub fn bound(text: &str) -> String {
    let words = words(text).into_iter();
    let words: Vec<String> = words.map(|w| w.replace(' ', "\u{a0}")).collect();
    words.join(" ")
}

/// Words, a number and its unit as one.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let unit = UNITS.contains(&word.trim_end_matches([',', '.', ')', ':', ';', ']']))
            || UNITS.contains(&word);
        match words.last_mut() {
            Some(last)
                if (unit || is_group(word)) && last.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_string()),
        }
    }
    words
}

/// Whether a word may be the second group of a number: three digits, as in 10 000.
fn is_group(word: &str) -> bool {
    let digits = word.trim_end_matches(|c: char| c.is_ascii_punctuation());
    digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit())
}

/// Breaks `text` into lines of at most `width` characters at spaces, none between number and unit.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words(text) {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(&word);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_well() {
        let cases = [
            (6142.4, "A", "6.14 kA"),
            (0.00044873, "s", "449 µs"),
            (999.6, "A", "1.00 kA"),
            (0.0, "V", "0 V"),
            (143.21, "J", "143 J"),
            (7.0e-5, "m", "70.0 µm"),
        ];
        for (value, unit, expected) in cases {
            assert_eq!(engineering(value, unit), expected);
        }
        assert_eq!(significant(9.996, 3), "10.0");
        assert_eq!(grouped(39_136.2), "39 100");
        assert_eq!(grouped(1_234_567.0), "1 230 000");
        assert_eq!(percent(0.0331), "3.3 %");
        assert_eq!(percent(0.237), "24 %");
        assert_eq!(percent(0.09997), "10 %");
    }

    #[test]
    fn lines_keep_their_width() {
        let text = "one two three four five six seven";
        assert!(wrap(text, 10).iter().all(|l| l.chars().count() <= 10));
        assert_eq!(wrap(text, 10).join(" "), text);
        assert_eq!(
            wrap("a spring of 80 N holds", 14),
            ["a spring of", "80 N holds"]
        );
        assert_eq!(wrap("after 30 000 welds", 8), ["after", "30 000", "welds"]);
    }
}
