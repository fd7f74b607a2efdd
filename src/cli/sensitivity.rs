//! `sensitivity`: which keys the scatter of a figure comes from.

use std::io::IsTerminal;

use super::args::Sensitivity as Arguments;
use super::input::{case, wants_color};
use super::output::{Output, print};
use super::progress::Watch;
use super::results::{any_standard, check_outputs, failed, open_plots, wrong};
use super::scatter::{draws, sampling};
use super::sweep::figures;
use super::{Outcome, Trouble};
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::study::points::{MOST_SOBOL, Points};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::{Collected, SOUND};
use arcplunge_report::scatter::SHOWN_BOLTED;
use arcplunge_report::sensitivity::{SHOWN, csv, document, json, picture};

/// Most values held in memory: 8 bytes each.
const MOST_VALUES: usize = 100_000_000;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    check_outputs(&a.input, &[&a.csv, &a.json], &a.plot)?;
    let resolved = case(&a.input)?;
    let draws = draws(&resolved, a.model)?;
    // A sample takes two points.
    let sampling = sampling(a.sampling, draws.len(), MOST_SOBOL / 2)?;
    let shown: &[&'static str] = match resolved.case.stud.bolted {
        Some(_) => &SHOWN_BOLTED,
        None => &SHOWN,
    };
    let show = chosen(&a.show, shown)?;
    let values = a.samples.saturating_mul(draws.len() + 2);
    if values.saturating_mul(show.len()) > MOST_VALUES {
        return wrong(
            "--samples: too many values to hold; ask for fewer samples or figures".into(),
        );
    }
    let scatter = Scatter {
        base: resolved.case,
        draws,
        points: Points {
            sampling,
            seed: a.seed,
        },
        shots: a.samples,
        settings: Settings::default(),
    };
    let plots = open_plots(&a.plot)?;
    let table = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let found = {
        let watch = Watch::new("firing samples", scatter.shots, 0);
        let mut collected = Collected::new(&show, scatter.draws.len(), scatter.shots);
        for sample in scatter.samples(&show) {
            collected.take(&sample);
            watch.step();
            if watch.stopped() {
                drop(watch);
                return Err(Trouble::Failed("stopped; nothing is written".into()));
            }
        }
        collected.found()
    };
    if let Some(out) = table {
        let rows = csv::csv(&scatter, &found);
        out.put(&rows.map_err(failed)?)?;
    }
    if let Some(out) = json_file {
        let text = json::json(&scatter, &found);
        out.put(text.map_err(failed)?.as_bytes())?;
    }
    for (kind, out) in plots {
        out.put(&kind.pack(picture::svg(&scatter, &found))?)?;
    }
    if !any_standard(&[&a.csv, &a.json]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(document(&scatter, &found).text(color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// The figures asked for; `sound` is one here.
fn chosen(names: &[String], shown: &'static [&'static str]) -> Result<Vec<&'static str>, Trouble> {
    let (sound, others): (Vec<String>, Vec<String>) =
        names.iter().cloned().partition(|name| name == SOUND);
    if others.is_empty() && !sound.is_empty() {
        return Ok(vec![SOUND]);
    }
    let mut all = figures(&others, shown)?;
    if !sound.is_empty() {
        all.push(SOUND);
    }
    Ok(all)
}
