//! Text on a plot: its width, what may stand in it, and how it is shortened.

/// Width of `text` \[px\] at `size` \[px\] in DejaVu Sans; what the tables lack counts as wide.
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    let table = if bold { &BOLD } else { &REGULAR };
    let sum: u32 = text.chars().map(|c| advance(c, table)).sum();
    f64::from(sum) * size / 1000.0
}

/// Advance of a character \[thousandths of the size\].
fn advance(c: char, table: &[u16; 95]) -> u32 {
    let like = match c {
        ' '..='~' => c,
        'µ' | 'μ' => 'm',
        '·' | '\u{a0}' | '\u{2009}' => ' ',
        '–' | '²' | '³' | '°' => '-',
        '×' | '−' | '→' | '±' => '+',
        'Ω' => 'O',
        'à'..='ö' | 'ø'..='ÿ' | 'ß' => 'm',
        _ => 'W',
    };
    // Wider stand-ins than needed only leave room.
    let base = table[like as usize - 32];
    let extra = if like == '-' && c != '-' { 140 } else { 0 };
    u32::from(base) + extra
}

/// Text as it may stand in a drawing: control and direction marks gone, one space for many.
pub fn clean(text: &str) -> String {
    let kept = text.chars().map(|c| {
        if c.is_control() || c.is_whitespace() {
            ' '
        } else {
            c
        }
    });
    let kept: String = kept.filter(|c| !forbidden(*c)).collect();
    kept.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Characters XML does not allow, and marks that turn the writing direction.
fn forbidden(c: char) -> bool {
    matches!(c, '\u{fffe}' | '\u{ffff}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// `text` cut to `room` \[px\], with an ellipsis where something is missing.
pub fn shorten(text: &str, size: f64, bold: bool, room: f64) -> String {
    if width(text, size, bold) <= room {
        return text.to_string();
    }
    let mut kept = text.to_string();
    while kept.pop().is_some() {
        let short = format!("{}…", kept.trim_end());
        if width(&short, size, bold) <= room {
            return short;
        }
    }
    String::new()
}

/// The largest size from `largest` down to `smallest` \[px\] at which `text` fits into `room` \[px\],
/// and the text, shortened if none does.
pub fn fit(text: &str, bold: bool, largest: f64, smallest: f64, room: f64) -> (String, f64) {
    let size = (largest * room / width(text, largest, bold).max(1e-9)).clamp(smallest, largest);
    (shorten(text, size, bold, room * (1.0 + 1e-9)), size)
}

/// `text` for an element or an attribute of an XML document.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            c => out.push(c),
        }
    }
    out
}

/// Advances of the printable ASCII characters, from the font's own table, rounded up.
const REGULAR: [u16; 95] = [
    318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337, 637, 637, 637,
    637, 637, 637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 531, 1000, 685, 687, 699, 771, 632,
    576, 775, 752, 295, 295, 656, 558, 863, 749, 788, 604, 788, 695, 635, 611, 732, 685, 989, 686,
    611, 686, 391, 337, 391, 838, 500, 500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580,
    278, 975, 634, 612, 635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
];

const BOLD: [u16; 95] = [
    349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366, 696, 696, 696,
    696, 696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 581, 1000, 774, 763, 734, 831, 684,
    684, 821, 837, 373, 373, 775, 638, 996, 837, 851, 733, 851, 771, 721, 683, 813, 774, 1104, 771,
    725, 726, 458, 366, 458, 838, 500, 500, 675, 716, 593, 716, 679, 436, 716, 712, 343, 343, 666,
    343, 1042, 712, 688, 716, 716, 494, 596, 479, 712, 652, 924, 646, 652, 583, 712, 366, 712, 838,
];
