//! In a panel: names on the curves, the word at the mark, the quiet note.

use super::{Frame, Mark, Panel, Side};
use crate::plot::axis::Scale;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::curve::simplify;
use crate::plot::geometry::{Rect, together};
use crate::plot::place::{Crowd, beside, callout};
use crate::plot::text::width;
use crate::plot::theme;

/// Straight enough to keep words away from \[px\].
const COARSE: f64 = 0.5;

/// Curves this near to each other share a name \[px\].
const TOGETHER: f64 = 2.0;

impl Panel {
    /// Names on the curves, the word at the mark, the quiet note; returns where words stand.
    pub(super) fn words(
        &self,
        canvas: &mut Canvas,
        frame: &Frame,
        scales: &[Scale],
        curves: &[Vec<Point>],
    ) -> Vec<Rect> {
        let r = frame.rect;
        let inside = Rect {
            left: r.left + 4.0,
            right: r.right - 4.0,
            top: r.top,
            bottom: r.bottom - 2.0,
        };
        let hair = |x: &f64| {
            let x = frame.across(*x);
            vec![(x, r.top), (x, r.bottom)]
        };
        let mut crowd = Crowd {
            curves: curves.iter().map(|c| simplify(c, COARSE)).collect(),
            hairs: frame.hairs.iter().map(hair).collect(),
            words: Vec::new(),
        };
        if let Some(note) = &self.note {
            let how = Type::new(theme::NAME, theme::SOFT, Hold::Middle);
            let size = (width(note, theme::NAME, false), theme::NAME);
            let word = Rect::about(r.middle(), size);
            canvas.text(word.middle(), note, how);
            crowd.words.push(word);
        }
        if let Some(mark) = &self.mark {
            self.mark(canvas, frame, scales, &inside, mark, &mut crowd);
        }
        let mut named = vec![false; self.series.len()];
        for k in 0..self.series.len() {
            let marked = self.mark.as_ref().is_some_and(|m| m.series == k);
            if named[k] || marked || self.series[k].name.is_empty() {
                continue;
            }
            let (name, same) = self.share_name(k, curves);
            same.iter().for_each(|j| named[*j] = true);
            let size = (width(&name, theme::SMALL, false), theme::SMALL);
            if let Some(word) = beside(k, &same, size, &inside, &crowd) {
                let how = Type::new(theme::SMALL, self.series[k].stroke.text, Hold::Middle);
                canvas.text(word.middle(), &name, how);
                crowd.words.push(word);
            }
        }
        crowd.words
    }

    /// The name of a curve and of those that run along with it, and which those are.
    fn share_name(&self, k: usize, curves: &[Vec<Point>]) -> (String, Vec<usize>) {
        let mut name = self.series[k].name.clone();
        let mut same = Vec::new();
        for (j, other) in self.series.iter().enumerate().skip(k + 1) {
            let along = other.side == self.series[k].side
                && !other.name.is_empty()
                && together(&curves[k], &curves[j], TOGETHER);
            if along {
                name = format!("{name} and {}", other.name);
                same.push(j);
            }
        }
        (name, same)
    }

    fn mark(
        &self,
        canvas: &mut Canvas,
        frame: &Frame,
        scales: &[Scale],
        inside: &Rect,
        mark: &Mark,
        crowd: &mut Crowd,
    ) {
        let Some(series) = self.series.get(mark.series) else {
            return;
        };
        let scale = match series.side {
            Side::Left => &scales[0],
            Side::Right => &scales[scales.len() - 1],
        };
        let r = &frame.rect;
        let share = (mark.at.1 / scale.factor - scale.low) / (scale.high - scale.low);
        let at = (
            frame.across(mark.at.0),
            r.bottom - share * (r.bottom - r.top),
        );
        let size = (width(&mark.word, theme::SMALL, false), theme::SMALL);
        if let Some(found) = callout(at, 6.0, size, inside, crowd) {
            canvas.dot(at, 3.0, series.stroke.colour);
            canvas.line(&found.leader, &theme::LEADER);
            let how = Type::new(theme::SMALL, series.stroke.text, Hold::Middle);
            canvas.text(found.word.middle(), &mark.word, how);
            crowd.words.push(found.word);
            crowd.hairs.push(found.leader.to_vec());
        }
    }
}
