//! `shift`: many welds at a pace, what that does to the rig, and the rig to the welds.

use clap::Args;

use super::case_input::{CaseInput, FaultInput};
use super::files::Files;
use super::fire::stopped;
use super::input::faulted;
use super::outcome::{Outcome, Trouble, failed, wrong};
use arcplunge_core::study::scatter::draw::Draw;
use arcplunge_core::study::shift::plan::{Break, MOST_WELDS, Plan, read_break, read_pace};
use arcplunge_core::study::shift::{Extent, shift};
use arcplunge_report::provenance::Study;
use arcplunge_report::shift::{csv, document, json, svg, svg_low};

#[derive(Debug, Args)]
#[command(
    after_help = "The sections [charger], [room], [thermal], [wear] and [limits] of the case file say what the rig is \
    between shots. Between shots that are fired the welds are interpolated, to a thousandth."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Number of welds
    #[arg(long, value_name = "N", default_value_t = 1000, value_parser = welds)]
    pub welds: usize,
    /// Welds per time that the welder tries to keep
    #[arg(long, value_name = "N/TIME", default_value = "12/min")]
    pub pace: String,
    /// A break: its length and when it begins, e.g. 30min@2h (repeatable)
    #[arg(long, value_name = "TIME@TIME", value_delimiter = ',')]
    pub breaks: Vec<String>,
    /// Random seed of the scatter from weld to weld
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Omit the scatter of studs and rig from weld to weld
    #[arg(long)]
    pub no_scatter: bool,
    /// Omit the band from the spread of the model's own constants
    #[arg(long)]
    pub no_band: bool,
    #[command(flatten)]
    pub faults: FaultInput,
    #[command(flatten)]
    pub files: Files,
}

fn welds(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n) if (1..=MOST_WELDS).contains(&n) => Ok(n),
        _ => Err(format!("a number from 1 to {MOST_WELDS}")),
    }
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let plan = plan(a)?;
    let (resolved, _) = faulted(&a.input, &a.faults)?;
    let case = &resolved.case;
    let tolerances = resolved.tolerances.of(case).into_iter();
    let draws = tolerances.map(|t| Draw::new(case, t));
    let draws: Vec<Draw> = draws
        .collect::<Result<_, _>>()
        .or_else(|e| wrong(format!("tolerance: {e}")))?;
    let mut out = a.files.open(false)?;
    let extent = Extent {
        scatter: (!a.no_scatter && !draws.is_empty()).then_some((&draws[..], a.seed)),
        band: !a.no_band,
    };
    let shift = shift(case, &plan, extent).map_err(stopped)?;
    let study = Study::new("shift", case)
        .map_err(failed)?
        .with("welds", a.welds)
        .with("pace_per_s", plan.pace)
        .with("breaks", a.breaks.clone())
        .with("seed", a.seed);
    out.csv(&study, |bytes| csv(bytes, &shift))?;
    out.json(|| json(&shift))?;
    out.plot(|| svg(&shift))?;
    let low = out.reports().then(|| svg_low(&shift));
    out.show(&document(&shift, low))?;
    Ok(Outcome::Done)
}

fn plan(a: &Arguments) -> Result<Plan, Trouble> {
    let pace = read_pace(&a.pace).or_else(|e| wrong(format!("--pace: {e}")))?;
    let breaks = a.breaks.iter().map(|text| read_break(text));
    let breaks: Vec<Break> = breaks
        .collect::<Result<_, _>>()
        .or_else(|e| wrong(format!("--breaks: {e}")))?;
    Plan::new(a.welds, pace, breaks).or_else(|e| wrong(format!("--breaks: {e}")))
}
