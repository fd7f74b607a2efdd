//! The set-up from above, and the stud's rim, drawn side by side.
//!
//! On the left the sheet to scale with its clamps and the currents to them; on the right the stud,
//! larger, with the fill of its rim round the clock and the drift of the melt, larger still.

mod rim;
mod shapes;
mod sheet;

use super::words::{headline, witness};
use crate::format::{milliseconds, significant};
use crate::plot::canvas::{Canvas, Hold, Type};
use crate::plot::geometry::Rect;
use crate::plot::text::{clean, fit, width};
use crate::plot::theme;
use crate::title::what;
use arcplunge_core::case::Case;
use arcplunge_core::study::earths::Blow;

/// Size of the paper \[px\].
const WIDTH: u32 = 1000;
const HEIGHT: u32 = 690;
const MARGIN: f64 = 40.0;

/// Where the two drawings stand \[px\].
const SHEET: Rect = Rect {
    left: MARGIN,
    top: 130.0,
    right: 530.0,
    bottom: 620.0,
};
const RIM: Rect = Rect {
    left: 570.0,
    top: 130.0,
    right: 960.0,
    bottom: 620.0,
};

/// Draws the plan.
pub fn svg(case: &Case, blow: &Blow) -> String {
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    let (word, sentence) = headline(case, blow);
    let title = if case.title.is_empty() {
        what(case)
    } else {
        case.title.clone()
    };
    let told = match witness(blow) {
        Some(witness) => format!("witness {witness}"),
        None => word.to_string(),
    };
    heading(&mut canvas, &title, &told, &sentence);
    let scale = sheet::draw(&mut canvas, SHEET, case, blow);
    rim::draw(&mut canvas, RIM, blow, scale);
    let small = Type::new(theme::SMALL, theme::SOFT, Hold::Middle);
    let [x, y, _] = blow.field();
    let field = blow.time.map_or("No current flows.".into(), |t| {
        format!(
            "Flux density at the stud's face at {}: {} mT. ",
            milliseconds(t),
            significant(x.hypot(y) * 1e3, 3)
        )
    });
    let foot = format!(
        "{field}The direction of the drift agrees with common practice; its magnitude is not validated. Test welds decide."
    );
    let (foot, size) = fit(
        &foot,
        false,
        theme::SMALL,
        10.0,
        f64::from(WIDTH) - 2.0 * MARGIN,
    );
    let middle = (0.5 * f64::from(WIDTH), f64::from(HEIGHT) - 18.0);
    canvas.text(middle, &foot, Type { size, ..small });
    canvas.finish(&clean(&title), &clean(&format!("{word}: {sentence}")))
}

/// Width of the plan of the clamps alone, and the place above and below it \[px\].
const SMALL_WIDTH: u32 = 460;
const ABOVE: f64 = 26.0;
const BELOW: f64 = 46.0;

/// Draws the sheet with its clamps alone, and where the melt drifts.
pub fn clamps(case: &Case, blow: &Blow) -> String {
    let width = f64::from(SMALL_WIDTH);
    let tall = sheet::height(case, width).ceil();
    let mut canvas = Canvas::new(SMALL_WIDTH, (tall + ABOVE + BELOW) as u32);
    let room = Rect {
        left: 0.0,
        top: ABOVE,
        right: width,
        bottom: ABOVE + tall,
    };
    sheet::draw(&mut canvas, room, case, blow);
    let told = rim::heading(&mut canvas, room.middle(), blow);
    let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
    canvas.text((0.0, ABOVE + tall + 34.0), &told, how);
    canvas.finish("Sheet and clamps", &clean(&told))
}

/// Title, and the sentence on two lines, smaller where it is long.
fn heading(canvas: &mut Canvas, title: &str, word: &str, sentence: &str) {
    let room = f64::from(WIDTH) - 2.0 * MARGIN;
    let (title, size) = fit(&clean(title), true, theme::TITLE, 12.0, room);
    let bold = Type::new(size, theme::INK, Hold::Start).bold();
    canvas.text((MARGIN, 30.0), &title, bold);
    let text = clean(&format!("{word} · {sentence}"));
    // The first column at which two lines hold all.
    let (lines, size) = (110..)
        .step_by(4)
        .map(|columns| crate::format::wrap(&text, columns))
        .find(|lines| lines.len() <= 2)
        .map(|lines| {
            let widest = lines.iter().map(|line| width(line, 1.0, false));
            let size = (room / widest.fold(1.0, f64::max)).min(theme::SECOND);
            (lines, size)
        })
        .unwrap_or_default();
    for (n, line) in lines.iter().enumerate() {
        let how = Type::new(size, theme::SOFT, Hold::Start);
        canvas.text((MARGIN, 54.0 + 19.0 * n as f64), line, how);
    }
}
