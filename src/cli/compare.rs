//! `compare`: a base and variations of it, side by side.

use clap::Args;

use super::case_input::CaseInput;
use super::files::Files;
use super::fire::stopped;
use super::input::{faults, read, text, unfit, wrong};
use super::outcome::{Outcome, Trouble, failed};
use arcplunge_core::case::faults::apply;
use arcplunge_core::case::read::{Resolved, Text};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::trace::{Trace, rows};
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::{Comparison, Variation, compare};
use arcplunge_report::plot::overlay::{self, MOST};
use arcplunge_report::provenance::Study;
use arcplunge_report::{compare as report, plot};

#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// A fault as a variation, a+b for several at once; `catalogue faults` lists them
    /// (repeatable)
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub fault: Vec<String>,
    /// Changed keys as a variation, e.g. lead.length=12m,lead.section=70mm2 (repeatable)
    #[arg(long, value_name = "KEYS")]
    pub variant: Vec<String>,
    #[command(flatten)]
    pub files: Files,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    check(a)?;
    let text = text(&a.input)?;
    let base = read(&text, &a.input.sets)?;
    let variations = variations(a, &text, &base)?;
    let mut out = a.files.open(false)?;
    let c = compare(base.case.clone(), variations).map_err(stopped)?;
    let study = Study::new("compare", &base.case)
        .map_err(failed)?
        .with("fault", a.fault.clone())
        .with("variant", a.variant.clone());
    out.csv(&study, |bytes| report::csv(bytes, &c))?;
    out.json(|| report::json(&c))?;
    let mut curves = match out.draws() {
        true => traces(&c)?,
        false => Vec::new(),
    };
    if let Some((first, others)) = curves.split_first() {
        let others: Vec<_> = c.variations.iter().zip(others).collect();
        out.plot(|| overlay::svg((&c.base, first), &others))?;
    }
    if !out.reports() {
        curves.clear();
    }
    out.show(&report::document(&c, &base.origins, &curves))?;
    Ok(Outcome::Done)
}

/// What can be said before anything is read.
fn check(a: &Arguments) -> Result<(), Trouble> {
    let complain = |text: String| Err(Trouble::Wrong(format!("error: {text}")));
    let count = a.fault.len() + a.variant.len();
    if count == 0 {
        return complain(
            "nothing to compare with the base: give a --fault (`arcplunge catalogue faults` lists them) or a \
             --variant KEY=VALUE"
                .into(),
        );
    }
    if !a.files.plot.is_empty() && count > MOST {
        return complain(format!(
            "--plot: {count} variations are too many for one plot; at most {MOST}"
        ));
    }
    a.files.check(&a.input, &[], &[])
}

/// Faults first, then changed keys, each in the order given.
fn variations(a: &Arguments, text: &Text, base: &Resolved) -> Result<Vec<Variation>, Trouble> {
    let mut out = Vec::new();
    for name in &a.fault {
        let faults = faults([name])?;
        out.push(Variation {
            name: name.trim().to_string(),
            case: apply(&base.case, &faults).map_err(unfit)?,
            faults,
        });
    }
    for with in &a.variant {
        let own = a.input.sets.len();
        let mut sets = a.input.sets.clone();
        sets.extend(split(with));
        let varied = text.read(&sets);
        let varied = varied.map_err(|d| wrong(d.given_by(own, "--variant")))?;
        if varied.case == base.case {
            return Err(Trouble::Wrong(format!(
                "error: --variant {with}: changes nothing; the base already has these values"
            )));
        }
        out.push(Variation {
            name: with.trim().to_string(),
            faults: Vec::new(),
            case: varied.case,
        });
    }
    Ok(out)
}

/// Splits at the commas that stand outside brackets and quotes.
fn split(text: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let (mut depth, mut quote) = (0_i32, None);
    for c in text.chars() {
        match (c, quote) {
            (c, Some(open)) if c == open => quote = None,
            ('"' | '\'', None) => quote = Some(c),
            ('[' | '{', None) => depth += 1,
            (']' | '}', None) => depth -= 1,
            (',', None) if depth <= 0 => {
                out.push(String::new());
                continue;
            }
            _ => {}
        }
        if let Some(last) = out.last_mut() {
            last.push(c);
        }
    }
    out.iter().map(|part| part.trim().to_string()).collect()
}

/// Curves of the base and of each variation.
fn traces(c: &Comparison) -> Result<Vec<Trace>, Trouble> {
    let mut work = Workspace::default();
    let mut one = |s: &Assessment| {
        let every = s.shot.length() / plot::POINTS;
        let rows =
            rows(&s.rig, &Settings::default(), &s.shot, every, &mut work).map_err(stopped)?;
        let shot = s.shot.clone();
        Ok(Trace { shot, rows })
    };
    std::iter::once(&c.base)
        .chain(&c.variations)
        .map(&mut one)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::split;

    #[test]
    fn commas_in_lists_and_quotes_do_not_part_keys() {
        let one = "earth.0.at=[\"90 mm\", \"0 mm\"]";
        let both = format!("lead.length=12m, {one},title='a, b'");
        assert_eq!(split(&both), ["lead.length=12m", one, "title='a, b'"]);
        assert_eq!(split("a=1"), ["a=1"]);
    }
}
