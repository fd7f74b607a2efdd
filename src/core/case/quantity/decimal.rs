//! A decimal number, read and not yet rounded.

/// A decimal number still as text, so that a unit's power of ten can join its exponent
/// and the result is rounded once.
pub(super) struct Decimal<'a> {
    /// Sign, digits and point.
    mantissa: &'a str,
    negative: bool,
    exponent: i64,
    /// Bytes taken from the text.
    pub(super) length: usize,
}

impl<'a> Decimal<'a> {
    /// The number at the head of `text`, if there is one.
    pub(super) fn lex(text: &'a str) -> Option<Self> {
        let (negative, sign) = match text.chars().next()? {
            '+' => (false, 1),
            '-' => (true, 1),
            '\u{2212}' => (true, '\u{2212}'.len_utf8()),
            _ => (false, 0),
        };
        let body = &text[sign..];
        let whole = digits(body);
        let fraction = match body[whole..].strip_prefix('.') {
            Some(rest) => digits(rest),
            None => 0,
        };
        if whole + fraction == 0 {
            return None;
        }
        let dot = usize::from(body[whole..].starts_with('.'));
        let end = whole + dot + fraction;
        let (exponent, tail) = exponent(&body[end..]);
        Some(Decimal {
            mantissa: &body[..end],
            negative,
            exponent,
            length: sign + end + tail,
        })
    }

    /// The number times ten to the `shift`, rounded once.
    pub(super) fn shifted(&self, shift: i32) -> f64 {
        let exponent = self.exponent.saturating_add(i64::from(shift));
        let size: f64 = format!("{}e{exponent}", self.mantissa)
            .parse()
            .unwrap_or(f64::INFINITY);
        if self.negative { -size } else { size }
    }
}

fn digits(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// Exponent at the head of `text` and the bytes it takes; an `e` without digits belongs to the unit.
fn exponent(text: &str) -> (i64, usize) {
    let Some(body) = text.strip_prefix(['e', 'E']) else {
        return (0, 0);
    };
    let sign = usize::from(body.starts_with(['+', '-']));
    let count = digits(&body[sign..]);
    if count == 0 {
        return (0, 0);
    }
    // Beyond this no digits could bring the number back into range.
    const HUGE: i64 = 1_000_000;
    let size = body[sign..sign + count].parse().unwrap_or(HUGE).min(HUGE);
    let value = if body.starts_with('-') { -size } else { size };
    (value, 1 + sign + count)
}
