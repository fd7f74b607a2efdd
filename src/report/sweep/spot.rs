//! Points of a map that are marked: the case itself, and in front of it the pair a dial found, with its margin.

use super::Found;
use super::grid::Map;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::text::width;
use crate::plot::theme::{self, Stroke};
use plotters::style::RGBColor;

/// Edge of the margin: both keys may be off within it.
const MARGIN: Stroke = Stroke::solid(theme::ACCENT, theme::ACCENT_TEXT, 1.4).dashed(5.0, 3.0);

/// A point with its words.
pub(super) struct Spot {
    at: Point,
    /// Lower left and upper right corner of its margin.
    margin: Option<[Point; 2]>,
    /// Lines, each with its place.
    words: Vec<(String, Point)>,
    /// How the lines lie to their places.
    hold: Hold,
    /// Of the dot, and of the words.
    colours: [RGBColor; 2],
}

/// Height of the word over its point, or under it \[px\].
const OVER: f64 = -10.0;
const UNDER: f64 = 18.0;

/// What is marked, the one in front last.
pub(super) fn spots(map: &Map, found: Option<&Found>) -> Vec<Spot> {
    let keys = &map.sweep.vary;
    let now = |k: usize| keys[k].address.number(&map.sweep.base);
    let own = now(0)
        .zip(now(1))
        .and_then(|(up, across)| map.at(up, across));
    let pair = found.and_then(
        |found| match (found.at[..].as_ref(), found.off[..].as_ref()) {
            ([up, across], [tall, wide]) => {
                let corner = |sign: f64| map.within(up + sign * tall, across + sign * wide);
                let margin = (*tall > 0.0).then(|| [corner(-1.0), corner(1.0)]);
                Some((map.at(*up, *across)?, margin, found.word.clone()))
            }
            _ => None,
        },
    );
    let front = [theme::ACCENT, theme::ACCENT_TEXT];
    // Beside a pair that was found the case stands back.
    let back = [theme::GREY, theme::SOFT];
    let above = |a: Point, b: Option<Point>| b.is_none_or(|b| a.1 <= b.1);
    let mut out = Vec::new();
    if let Some(at) = own {
        let colours = if pair.is_some() { back } else { front };
        let over = pair.as_ref().is_none_or(|(other, ..)| at.1 < other.1);
        // Words beside each other belong to the dot they are next to.
        let left = pair.as_ref().is_some_and(|(other, ..)| at.0 <= other.0);
        out.push(Spot::new(map, at, None, "this case", colours, [over, left]));
    }
    if let Some((at, margin, word)) = pair {
        out.push(Spot::new(
            map,
            at,
            margin,
            &word,
            front,
            [above(at, own), false],
        ));
    }
    out
}

impl Spot {
    fn new(
        map: &Map,
        at: Point,
        margin: Option<[Point; 2]>,
        word: &str,
        colours: [RGBColor; 2],
        [over, left]: [bool; 2],
    ) -> Spot {
        let room = 12.0 + width(word, theme::NAME, true);
        let left = at.0 + room > map.rect.right || (left && at.0 - room > map.rect.left);
        let y = at.1 + if over { OVER } else { UNDER };
        let (hold, words) = match (margin, left) {
            // Narrow, between the edges of its margin.
            (Some(_), _) => {
                let lines = word
                    .split(", ")
                    .zip([at.1 + 2.0 * OVER - 10.0, at.1 + OVER - 3.0]);
                let lines = lines.map(|(line, y)| (line.to_string(), (at.0, y)));
                (Hold::Middle, lines.collect())
            }
            (None, true) => (Hold::End, vec![(word.into(), (at.0 - 11.0, y))]),
            (None, false) => (Hold::Start, vec![(word.into(), (at.0 + 11.0, y))]),
        };
        Spot {
            at,
            margin,
            words,
            hold,
            colours,
        }
    }

    /// What dot and words take up.
    pub fn room(&self) -> Rect {
        let widths = self
            .words
            .iter()
            .map(|(word, _)| width(word, theme::NAME, true));
        let wide = 22.0 + widths.fold(0.0, f64::max);
        let (side, tall) = match self.hold {
            Hold::End => (-0.5, 34.0),
            Hold::Middle => (0.0, 56.0),
            Hold::Start => (0.5, 34.0),
        };
        let heights = self.words.iter().map(|(_, at)| at.1);
        let height = heights.sum::<f64>() / self.words.len().max(1) as f64;
        let middle = (self.at.0 + side * wide, 0.5 * (self.at.1 + height));
        Rect::about(middle, (wide, tall))
    }

    pub fn draw(&self, canvas: &mut Canvas) {
        if let Some([low, high]) = self.margin {
            let corners = [low, (high.0, low.1), high, (low.0, high.1), low];
            canvas.line(&corners, &MARGIN);
        }
        canvas.dot(self.at, 7.0, theme::WHITE);
        canvas.dot(self.at, 5.0, self.colours[0]);
        for (word, at) in &self.words {
            let how = Type::new(theme::NAME, self.colours[1], self.hold).bold();
            canvas.text(*at, word, how);
        }
    }
}

impl Map<'_> {
    /// Place of a pair of values, the first upward; `None` outside the map.
    fn at(&self, up: f64, across: f64) -> Option<Point> {
        let inside = |k: usize, value: f64| {
            let v = &self.sweep.vary[k];
            (v.from.min(v.to)..=v.from.max(v.to)).contains(&value)
        };
        (inside(0, up) && inside(1, across)).then(|| self.within(up, across))
    }

    /// The same, held to the map's edges.
    fn within(&self, up: f64, across: f64) -> Point {
        let share = |k: usize, value: f64| {
            let v = &self.sweep.vary[k];
            ((value - v.from) / (v.to - v.from)).clamp(0.0, 1.0)
        };
        let places = [
            share(1, across) * (self.wide - 1) as f64,
            share(0, up) * (self.tall - 1) as f64,
        ];
        self.place((places[0], places[1]))
    }
}
