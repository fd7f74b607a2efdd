//! The chart as a drawing: a bar from end to end of each sound window, a dot where to set.

use super::cells::{Cells, Short, cells, short};
use super::groups::{Group, groups};
use super::words::{rig, title};
use crate::pairs::{CONTACT, UNUSUAL};
use crate::plot::axis::{Scale, Unit};
use crate::plot::canvas::{Canvas, Hold, Type};
use crate::plot::text::{clean, fit};
use crate::plot::theme::{self, Stroke};
use crate::program::PROGRAM;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::study::chance::Chance;
use arcplunge_core::study::chart::{Answer, Chart, KEYS, Line, Setting};
use arcplunge_core::study::dial::Limit;

const WIDTH: u32 = 1000;
const LEFT: f64 = 84.0;
const RIGHT: f64 = 282.0;
/// The same with marks.
const RIGHT_MARKED: f64 = 350.0;
const HEAD: f64 = 104.0;
const ROW: f64 = 22.0;
const ABOVE: f64 = 30.0;
const FOOT: f64 = 66.0;

const BAR: f64 = 7.0;
const EDGE: Stroke = Stroke::solid(theme::GREEN, theme::GREEN_TEXT, 1.6);

/// Draws the chart.
pub fn svg(chart: &Chart) -> String {
    let groups = groups(chart);
    let rows: usize = groups.iter().map(|g| g.lines.len()).sum();
    let body = ROW * rows as f64 + ABOVE * groups.len() as f64;
    let height = HEAD + body + FOOT;
    let scaled = KEYS.iter().any(|key| scale_of(&chart.base, key).is_some());
    let beside = if scaled { RIGHT_MARKED } else { RIGHT };
    let right = f64::from(WIDTH) - beside;
    let mut drawing = Drawing {
        canvas: Canvas::new(WIDTH, height.ceil() as u32),
        scale: scale(chart),
        right,
    };
    drawing.head(chart);
    drawing.grid(HEAD + body);
    let head = if scaled { "set [mark]" } else { "set" };
    drawing.text((right + 14.0, HEAD - 12.0), head, soft());
    let how = Type::new(theme::NUMBER, theme::SOFT, Hold::End);
    drawing.text((f64::from(WIDTH) - 28.0, HEAD - 12.0), "sound", how);

    let mut y = HEAD;
    for group in &groups {
        y += ABOVE;
        let how = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
        drawing.text((28.0, y - 12.0), &clean(&heading(group)), how);
        for line in group.lines {
            drawing.line(chart, line, y + 0.5 * ROW);
            y += ROW;
        }
    }
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::Start);
    let foot = "Bar: sound at that spring force, open where the search ends; dot: setting (stored energy); sound: of \
                welds drawn. Test welds decide.";
    drawing.text((28.0, height - 16.0), foot, how);
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::End);
    drawing.text((f64::from(WIDTH) - 28.0, height - 16.0), PROGRAM, how);
    let about = format!(
        "{} Sound windows of the charging voltage for each stud.",
        rig(chart)
    );
    drawing.canvas.finish(&clean(&title(chart)), &clean(&about))
}

fn soft() -> Type {
    Type::new(theme::NUMBER, theme::SOFT, Hold::Start)
}

/// A chart in the making, with its scale of volts up to the column of settings.
struct Drawing {
    canvas: Canvas,
    scale: Scale,
    right: f64,
}

impl Drawing {
    fn x(&self, volts: f64) -> f64 {
        let s = &self.scale;
        LEFT + (volts - s.low) / (s.high - s.low) * (self.right - LEFT)
    }

    fn text(&mut self, at: (f64, f64), text: &str, how: Type) {
        self.canvas.text(at, text, how);
    }

    fn head(&mut self, chart: &Chart) {
        let room = f64::from(WIDTH) - 56.0;
        let (text, size) = fit(&clean(&title(chart)), true, theme::TITLE, 12.0, room);
        let how = Type::new(size, theme::INK, Hold::Start).bold();
        self.text((28.0, 26.0), &text, how);
        let (text, size) = fit(&clean(&rig(chart)), false, theme::SECOND, 9.0, room);
        let how = Type::new(size, theme::SOFT, Hold::Start);
        self.text((28.0, 50.0), &text, how);
    }

    fn grid(&mut self, bottom: f64) {
        for tick in self.scale.ticks() {
            let x = self.x(tick);
            self.canvas.line(&[(x, HEAD), (x, bottom)], &theme::RULE);
            for y in [HEAD - 12.0, bottom + 14.0] {
                let how = Type::new(theme::NUMBER, theme::SOFT, Hold::Middle);
                self.text((x, y), &self.scale.number(tick), how);
            }
        }
        let name = self.scale.named("charging voltage");
        self.text((LEFT, HEAD - 30.0), &name, soft());
    }

    fn line(&mut self, chart: &Chart, line: &Line, middle: f64) {
        match (cells(chart, line), &line.answer) {
            (Short::Sound(c), Answer::Sound(s)) => self.sound(&c, s, middle),
            (Short::Not { stud, hardly, .. }, answer) => {
                self.text((28.0, middle), &stud, soft());
                let (why, word) = (short(answer), if hardly { "hardly" } else { "not" });
                let room = f64::from(WIDTH) - LEFT - 28.0;
                let (why, size) = fit(&format!("{word}: {why}"), false, theme::SMALL, 9.0, room);
                let how = Type::new(size, theme::ALARM_TEXT, Hold::Start);
                self.text((LEFT, middle), &why, how);
            }
            _ => {}
        }
    }

    fn sound(&mut self, c: &Cells, s: &Setting, middle: f64) {
        let (low, high) = (self.x(s.voltages.low), self.x(s.voltages.high));
        let (top, bottom) = (middle - BAR, middle + BAR);
        self.canvas.fill((low, top), (high, bottom), theme::SOUND);
        // The end of the range searched is no end of the window.
        for (end, limit) in [(low, s.voltages.below), (high, s.voltages.above)] {
            if limit != Limit::Range {
                self.canvas.line(&[(end, top), (end, bottom)], &EDGE);
            }
        }
        let at = self.x(s.voltage);
        self.canvas.dot((at, middle), 4.0, theme::ACCENT);
        self.text((28.0, middle), &c.stud, soft());
        let with = |value: &str, mark: &str| match mark {
            "" => value.to_string(),
            mark => format!("{value} [{mark}]"),
        };
        let (volts, force) = (with(&c.voltage, &c.marks[0]), with(&c.force, &c.marks[1]));
        let how = Type::new(theme::NUMBER, theme::INK, Hold::Start);
        let at = (self.right + 14.0, middle);
        self.text(at, &format!("{volts}, {force}"), how);
        let tone = match s.chance.is_some_and(Chance::is_poor) {
            true => theme::ALARM_TEXT,
            false => theme::INK,
        };
        let at = (f64::from(WIDTH) - 28.0, middle);
        self.text(at, &c.chance, Type::new(theme::NUMBER, tone, Hold::End));
    }
}

/// The heading of a group, with what is not judged of its metals in short.
fn heading(group: &Group) -> String {
    let mut text = group.heading.clone();
    for remark in &group.remarks {
        text += match *remark {
            UNUSUAL => " · not a usual pair",
            CONTACT => " · usually with a gap",
            _ => " · oxide and pores not judged",
        };
    }
    text
}

/// Volts from a little below the lowest window to a little above the highest.
fn scale(chart: &Chart) -> Scale {
    let windows = chart.lines.iter().filter_map(|line| match &line.answer {
        Answer::Sound(s) => Some(&s.voltages),
        _ => None,
    });
    let (low, high) = windows.fold((f64::INFINITY, 0.0_f64), |(low, high), w| {
        (low.min(w.low), high.max(w.high))
    });
    let (low, high) = if low < high {
        let free = 0.03 * (high - low);
        ((low - free).max(0.0), high + free)
    } else {
        (chart.ranges[0].from, chart.ranges[0].to)
    };
    Scale::along(Unit::plain("V"), low, high, 10)
}
