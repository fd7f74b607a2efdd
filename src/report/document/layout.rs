//! How a terminal sets a row of cells: a template of literal text and places, `"   {:<21} {1:>8}"`.
//!
//! A place takes the next cell, or the one whose number it names; `<` or `>` and a width pad it to the left
//! or right, and what is longer than its place keeps its length.

use super::table::Cell;

/// The cells in their places; each passes `paint` with the blanks it is padded with.
pub fn set(layout: &str, cells: &[Cell], paint: impl Fn(&Cell, &str) -> String) -> String {
    let mut out = String::new();
    let (mut rest, mut next) = (layout, 0);
    while let Some((before, after)) = rest.split_once('{') {
        out += before;
        let Some((place, after)) = after.split_once('}') else {
            break;
        };
        rest = after;
        let (number, form) = place.split_once(':').unwrap_or((place, ""));
        let number = number.parse().unwrap_or(next);
        next = number + 1;
        if let Some(cell) = cells.get(number) {
            out += &paint(cell, &padded(&cell.text, form));
        }
    }
    out + rest
}

fn padded(text: &str, form: &str) -> String {
    let width = form.trim_start_matches(['<', '>']).parse().unwrap_or(0);
    if form.starts_with('>') {
        format!("{text:>width$}")
    } else {
        format!("{text:<width$}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_take_their_places() {
        let cells = ["a", "µm", "long name"].map(Cell::from);
        let set = |layout| set(layout, &cells, |_, text| text.to_string());
        assert_eq!(set("  {:<3}|{:>4}|{:<4}."), "  a  |  µm|long name.");
        assert_eq!(set("{1:>3} {0}{}"), " µm aµm");
        // No cell, no place; the words about it stay.
        assert_eq!(set("{3:<9}end"), "end");
    }
}
