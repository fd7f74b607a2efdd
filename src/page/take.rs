//! What can be taken away from the page: curves, drawings, the case, a replay that needs no program.

use super::answer::Answer;
use super::assets;
use super::bench::{Bench, Done};
use super::wish::Wish;
use crate::case::show::to_toml;
use crate::cycle::fire::{Settings, Workspace};
use crate::cycle::trace::trace;
use crate::report::{plot, table, title};

/// A file to take away.
#[derive(Debug)]
pub struct File {
    pub kind: &'static str,
    pub bytes: Vec<u8>,
}

/// Time between the rows of the CSV, as `fire` has it [s].
const EVERY: f64 = 2e-6;

/// Most rows of the CSV.
const MOST_ROWS: f64 = 1e5;

/// The file of this name.
///
/// # Errors
/// In words; `Ok(None)` where no such file is made.
pub fn take(bench: &Bench, name: &str, wish: &Wish) -> Result<Option<File>, String> {
    let make: fn(&Bench, &Wish) -> Result<Vec<u8>, String> = match name {
        "weld.csv" => csv,
        "weld.svg" => |bench, wish| Ok(svg(&bench.fire(&wish.weld)?).into_bytes()),
        "weld.png" => |bench, wish| png(&svg(&bench.fire(&wish.weld)?)),
        "weld.toml" => |bench, wish| Ok(to_toml(&bench.case(&wish.weld)?.0.case).into_bytes()),
        "weld.html" => replay,
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
        bytes: make(bench, wish)?,
    }))
}

fn csv(bench: &Bench, wish: &Wish) -> Result<Vec<u8>, String> {
    let done = bench.fire(&wish.weld)?;
    let rows = &done.trace.rows;
    let length = rows.last().map_or(0.0, |r| r.time_s);
    let every = EVERY.max(length / MOST_ROWS);
    let fine = trace(
        &done.rig,
        &Settings::default(),
        every,
        &mut Workspace::default(),
    )
    .map_err(|e| format!("error: {e}"))?;
    let mut bytes = Vec::new();
    table::csv(&mut bytes, &fine.rows, done.rig.earths).map_err(|e| format!("error: {e}"))?;
    Ok(bytes)
}

fn svg(done: &Done) -> String {
    let (case, shot) = (&done.resolved.case, &done.trace.shot);
    let verdict = shot.verdict.map_or("discharge test", |v| v.name());
    let line = format!("{verdict} · {}", title::deciding(case, shot));
    plot::svg(case, &done.trace, &line, plot::Size::default())
}

#[cfg(feature = "png")]
fn png(svg: &str) -> Result<Vec<u8>, String> {
    plot::png(svg).map_err(|e| format!("error: {e}"))
}

#[cfg(not(feature = "png"))]
fn png(_: &str) -> Result<Vec<u8>, String> {
    Err("error: this build draws SVG only (feature \"png\" is off)".into())
}

/// The page itself with this weld inside: it plays from a file.
fn replay(bench: &Bench, wish: &Wish) -> Result<Vec<u8>, String> {
    let base = wish.base.as_ref().map(|b| bench.fire(b)).transpose()?;
    let done = bench.fire(&wish.weld)?;
    let now = Answer::of(&done, base.as_ref());
    let base = base.map(|b| Answer::of(&b, None));
    let data = serde_json::json!({ "now": now, "base": base });
    Ok(assets::standalone(&data.to_string()).into_bytes())
}
