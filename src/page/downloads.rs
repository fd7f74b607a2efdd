//! What can be taken away from the page: curves, drawings, the case, a replay that needs no program.

use super::assets;
use super::lessons;
use super::request::PageRequest;
use super::response::PageResponse;
use super::session::{Session, curves};
use super::shift;
use arcplunge_core::case::read::Origins;
use arcplunge_core::case::show::to_toml;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Trace, usual_interval};
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::{self, card::Asked};
use arcplunge_report as report;
use arcplunge_report::table::{self, Sides};
use arcplunge_report::{fire, plot};

/// A file to take away.
#[derive(Debug)]
pub struct File {
    /// Content type, with the charset of a text.
    pub kind: &'static str,
    /// All of it.
    pub bytes: Vec<u8>,
}

/// The set-up card.
pub const CARD: &str = "card.html";

/// The file of this name.
///
/// # Errors
/// In words; `Ok(None)` where no such file is made.
pub fn take(session: &Session, name: &str, asked: &PageRequest) -> Result<Option<File>, String> {
    let make: fn(&Session, &PageRequest) -> Result<Vec<u8>, String> = match name {
        "weld.csv" => csv,
        "weld.svg" => |session, asked| Ok(svg(session, asked)?.into_bytes()),
        "weld.png" => |session, asked| png(&svg(session, asked)?),
        "weld.toml" => {
            |session, asked| Ok(to_toml(&session.titled(&asked.weld)?.0.case).into_bytes())
        }
        "weld.html" => replay,
        "shift.html" => shift,
        CARD => card,
        "report.html" => of_fire,
        "questions.html" => |session, _| Ok(lessons::questions(session.lessons()).html().into()),
        "answers.html" => |session, _| Ok(lessons::answers(session.lessons()).html().into()),
        _ => return Ok(None),
    };
    let kind = match name.rsplit_once('.').map_or("", |(_, ending)| ending) {
        "csv" => "text/csv; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "toml" => "application/toml; charset=utf-8",
        _ => "text/html; charset=utf-8",
    };
    Ok(Some(File {
        kind,
        bytes: make(session, asked)?,
    }))
}

fn csv(session: &Session, asked: &PageRequest) -> Result<Vec<u8>, String> {
    let case = session.case(&asked.weld)?.0.case;
    let rig = Rig::new(&case);
    let curves = curves(&rig, usual_interval)?;
    let mut bytes = Vec::new();
    table::csv(&mut bytes, &curves, rig.circuit.earths, Sides::After)
        .map_err(|e| format!("error: {e}"))?;
    Ok(bytes)
}

fn svg(session: &Session, asked: &PageRequest) -> Result<String, String> {
    let (weld, curves, _) = whole(session, asked)?;
    Ok(plot::weld(&weld, &curves))
}

#[cfg(feature = "png")]
fn png(svg: &str) -> Result<Vec<u8>, String> {
    plot::png(svg).map_err(|e| format!("error: {e}"))
}

#[cfg(not(feature = "png"))]
fn png(_: &str) -> Result<Vec<u8>, String> {
    Err("error: this build draws SVG only (feature \"png\" is off)".into())
}

/// A weld with all there is to it, its band included; its curves, and where its settings come from.
fn whole(session: &Session, asked: &PageRequest) -> Result<(Assessment, Trace, Origins), String> {
    let (done, origins) = session.full(&asked.weld, plot::POINTS)?;
    let curves = Trace {
        shot: done.weld.shot.clone(),
        rows: done.rows,
    };
    Ok((done.weld, curves, origins))
}

/// The report of a shift of this weld.
fn shift(session: &Session, asked: &PageRequest) -> Result<Vec<u8>, String> {
    let shift = shift::run(session, asked)?;
    let picture = report::shift::svg_low(&shift);
    Ok(report::shift::document(&shift, Some(picture))
        .html()
        .into_bytes())
}

/// The set-up card of this rig.
fn card(session: &Session, asked: &PageRequest) -> Result<Vec<u8>, String> {
    let resolved = session.titled(&asked.weld)?.0;
    let case = resolved.case;
    if case.stud.short_resistance.is_some() {
        let why = "error: a discharge test (stud.short_resistance) has no weld to set up";
        return Err(why.into());
    }
    session.is_quick(&case)?;
    let card = study::card::card(&case, &resolved.tolerances, &Asked::usual(&case));
    let card = card.map_err(|e| format!("error: {e}"))?;
    Ok(report::card::document(&card, &case, true)
        .html()
        .into_bytes())
}

/// The report of `fire`.
fn of_fire(session: &Session, asked: &PageRequest) -> Result<Vec<u8>, String> {
    let (weld, curves, origins) = whole(session, asked)?;
    let drawing = plot::weld_low(&weld.case, &curves);
    let document = fire::document(&weld, &origins, Some(drawing));
    Ok(document.html().into())
}

/// The page itself with this weld inside: it plays from a file.
fn replay(session: &Session, asked: &PageRequest) -> Result<Vec<u8>, String> {
    let base = asked.base.as_ref().map(|b| session.fire(b)).transpose()?;
    let done = session.fire(&asked.weld)?;
    let from = base.as_ref().map(|b| &b.weld);
    let now = PageResponse::of(&done, from).banded(session.spread(&asked.weld)?);
    let base = base.map(|b| PageResponse::of(&b, None));
    let data = serde_json::json!({ "now": now, "base": base });
    Ok(assets::standalone(&data.to_string()).into_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::read::Text;

    fn taken(session: &Session, name: &str) -> String {
        let asked = crate::request::read("set=bank.voltage%3D105+V&fault=stiff-slide").unwrap();
        let file = take(session, name, &asked).unwrap().unwrap();
        // A document binds words.
        String::from_utf8(file.bytes)
            .unwrap()
            .replace('\u{a0}', " ")
    }

    #[test]
    fn what_is_taken_away_names_the_faults_in_its_title() {
        let session = Session::new(Text::default(), Vec::new());
        for name in ["report.html", "weld.svg", "weld.toml"] {
            let text = taken(&session, name);
            assert!(text.contains("fault: the slide is dirty"), "{name}");
        }
    }

    #[test]
    fn a_report_that_nobody_waits_for_is_not_finished() {
        let session = Session::new(Text::default(), Vec::new());
        let whole = taken(&session, "report.html");
        let (session, waiting) = session.waited_for();
        drop(waiting);
        let cut = taken(&session, "report.html");
        // Without the shots of band and remedies.
        assert!(cut.len() < whole.len(), "{} {}", cut.len(), whole.len());
    }
}
