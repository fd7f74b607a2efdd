//! `sensitivity`: the keys that cause the scatter of a figure.

use clap::Args;

use super::case_input::CaseInput;
use super::files::Files;
use super::input::case;
use super::outcome::{Outcome, Trouble, complain, failed, wrong};
use super::progress::Watch;
use super::scatter::{Asked, draws, sampling};
use super::sweep::figures;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::study::points::{MOST_SOBOL, Points};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::{Collected, SOUND};
use arcplunge_report::scatter::SHOWN_BOLTED;
use arcplunge_report::sensitivity::{SHOWN, csv, document, json, picture};

#[derive(Debug, Args)]
#[command(
    after_help = "Fires N (k + 2) shots for k keys. Spreads are those of `scatter`. First-order indices by \
    Saltelli et al. (2010), total indices by Jansen (1999), intervals from eight independent replicates."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Number of samples; a power of two is best
    #[arg(long, value_name = "N", default_value_t = 1024, value_parser = samples)]
    pub samples: usize,
    /// Random seed
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Sampling method: low-discrepancy points, or independent ones
    #[arg(long, value_enum, default_value_t = Asked::Sobol)]
    pub sampling: Asked,
    /// Sample the model's own uncertain figures as well
    #[arg(long)]
    pub model: bool,
    /// Figures to show, e.g. arc_energy_J,peak_current_A, and sound for the verdict
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub show: Vec<String>,
    #[command(flatten)]
    pub files: Files,
}

fn samples(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n) if (16..=10_000_000).contains(&n) => Ok(n),
        _ => Err("a number from 16 to 10000000".into()),
    }
}

/// Most values held in memory: 8 bytes each.
const MOST_VALUES: usize = 100_000_000;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let resolved = case(&a.input)?;
    let draws = draws(&resolved, a.model)?;
    if !resolved.tolerances.correlations.is_empty() {
        complain(
            "note: Sobol indices are those of keys that scatter by themselves; the correlations of the case are left out",
        );
    }
    // A sample takes two points.
    let sampling = sampling(a.sampling, draws.len(), MOST_SOBOL / 2)?;
    let shown: &[&'static str] = match resolved.case.stud.short_resistance {
        Some(_) => &SHOWN_BOLTED,
        None => &SHOWN,
    };
    let show = chosen(&a.show, shown)?;
    let values = a.samples.saturating_mul(draws.len() + 2);
    if values.saturating_mul(show.len()) > MOST_VALUES {
        return wrong("--samples: too many values to store; use fewer samples or figures".into());
    }
    let scatter = Scatter {
        base: resolved.case,
        draws,
        dependence: None,
        points: Points {
            sampling,
            seed: a.seed,
        },
        shots: a.samples,
        settings: Settings::default(),
    };
    let mut out = a.files.open(false)?;
    let found = {
        let watch = Watch::new("firing samples", scatter.shots, 0);
        let mut collected = Collected::new(&show, scatter.draws.len(), scatter.shots);
        for sample in scatter.samples(&show) {
            collected.take(&sample);
            watch.step();
            if watch.stopped() {
                drop(watch);
                return Err(Trouble::Stopped("stopped; nothing was written".into()));
            }
        }
        collected.found()
    };
    let study = arcplunge_report::scatter::json::study("sensitivity", &scatter)
        .map_err(failed)?
        .with("show", show.clone());
    out.csv(&study, |bytes| csv::csv(bytes, &scatter, &found))?;
    out.json(|| json::json(&scatter, &found))?;
    out.plot(|| picture::svg(&scatter, &found))?;
    out.show(&document(&scatter, &found))?;
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
