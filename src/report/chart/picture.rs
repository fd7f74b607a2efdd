//! The chart as a drawing: a bar from end to end of each sound window, a dot where to set.

use super::cells::{Short, cells, short};
use super::groups::{Group, groups};
use super::words::{rig, title};
use crate::pairs::UNUSUAL;
use crate::plot::axis::{Scale, Unit};
use crate::plot::canvas::{Canvas, Hold, Type};
use crate::plot::text::{clean, fit};
use crate::plot::theme::{self, Stroke};
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::study::chart::{Answer, Chart, KEYS};
use arcplunge_core::study::dial::Limit;

const WIDTH: u32 = 1000;
const LEFT: f64 = 84.0;
const RIGHT: f64 = 200.0;
/// The same with marks.
const RIGHT_MARKED: f64 = 268.0;
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
    let (w, right) = (f64::from(WIDTH), f64::from(WIDTH) - beside);
    let mut canvas = Canvas::new(WIDTH, height.ceil() as u32);
    let (text, size) = fit(&clean(&title(chart)), true, theme::TITLE, 12.0, w - 56.0);
    canvas.text(
        (28.0, 26.0),
        &text,
        Type::new(size, theme::INK, Hold::Start).bold(),
    );
    let (text, size) = fit(&clean(&rig(chart)), false, theme::SECOND, 9.0, w - 56.0);
    canvas.text(
        (28.0, 50.0),
        &text,
        Type::new(size, theme::SOFT, Hold::Start),
    );

    let scale = scale(chart);
    let x = |volts: f64| LEFT + (volts - scale.low) / (scale.high - scale.low) * (right - LEFT);
    let (top, bottom) = (HEAD, HEAD + body);
    let soft = |hold| Type::new(theme::NUMBER, theme::SOFT, hold);
    for tick in scale.ticks() {
        canvas.line(&[(x(tick), top), (x(tick), bottom)], &theme::RULE);
        for y in [top - 12.0, bottom + 14.0] {
            canvas.text((x(tick), y), &scale.number(tick), soft(Hold::Middle));
        }
    }
    canvas.text(
        (LEFT, top - 30.0),
        &scale.named("charging voltage"),
        soft(Hold::Start),
    );
    let head = if scaled { "set [mark]" } else { "set" };
    canvas.text((right + 14.0, top - 12.0), head, soft(Hold::Start));

    let mut y = top;
    for group in &groups {
        y += ABOVE;
        let how = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
        canvas.text((28.0, y - 12.0), &clean(&heading(group)), how);
        for line in group.lines {
            let middle = y + 0.5 * ROW;
            y += ROW;
            match (cells(chart, line), &line.answer) {
                (Short::Sound(c), Answer::Sound(s)) => {
                    let (low, high) = (x(s.voltages.low), x(s.voltages.high));
                    canvas.fill((low, middle - BAR), (high, middle + BAR), theme::SOUND);
                    // The end of the range searched is no end of the window.
                    for (end, limit) in [(low, s.voltages.below), (high, s.voltages.above)] {
                        if limit != Limit::Range {
                            canvas.line(&[(end, middle - BAR), (end, middle + BAR)], &EDGE);
                        }
                    }
                    canvas.dot((x(s.voltage), middle), 4.0, theme::ACCENT);
                    canvas.text((28.0, middle), &c.stud, soft(Hold::Start));
                    let with = |value: &str, mark: &str| match mark {
                        "" => value.to_string(),
                        mark => format!("{value} [{mark}]"),
                    };
                    let (volts, force) =
                        (with(&c.voltage, &c.marks[0]), with(&c.force, &c.marks[1]));
                    let set = format!("{volts}, {force}");
                    let how = Type::new(theme::NUMBER, theme::INK, Hold::Start);
                    canvas.text((right + 14.0, middle), &set, how);
                }
                (Short::Not { stud, hardly, .. }, answer) => {
                    canvas.text((28.0, middle), &stud, soft(Hold::Start));
                    let (why, word) = (short(answer), if hardly { "hardly" } else { "not" });
                    let room = w - LEFT - 28.0;
                    let (why, size) =
                        fit(&format!("{word}: {why}"), false, theme::SMALL, 9.0, room);
                    let how = Type::new(size, theme::ALARM_TEXT, Hold::Start);
                    canvas.text((LEFT, middle), &why, how);
                }
                _ => {}
            }
        }
    }
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::Start);
    let foot = "Bar: sound at the spring force named, open where the range searched ends; dot: where to set \
                (energy stored). A verdict is a screen: test welds decide.";
    canvas.text((28.0, height - 16.0), foot, how);
    let about = format!(
        "{} Sound windows of the charging voltage for each stud.",
        rig(chart)
    );
    canvas.finish(&clean(&title(chart)), &clean(&about))
}

/// The heading of a group, with what is not judged of its metals in short.
fn heading(group: &Group) -> String {
    let mut text = group.heading.clone();
    for remark in &group.remarks {
        text += match *remark {
            UNUSUAL => " · not a usual pair",
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
