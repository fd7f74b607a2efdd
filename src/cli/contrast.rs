//! `contrast`: a base and variations of it, side by side.

use std::io::IsTerminal;

use super::args::Contrast as Arguments;
use super::fire::stopped;
use super::input::{faults, read, text, unfit, wants_color, wrong};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, failed, open_plots};
use super::{Outcome, Trouble};
use arcplunge_core::case::faults::apply;
use arcplunge_core::case::read::{Resolved, Text};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::trace::{Trace, rows};
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::contrast::{Contrast, Variation, contrast};
use arcplunge_report::plot::overlay::{self, MOST};
use arcplunge_report::{contrast as report, plot};

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    check(a)?;
    let text = text(&a.input)?;
    let base = read(&text, &a.input.sets)?;
    let variations = variations(a, &text, &base)?;
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json = a.json.as_deref().map(Output::open).transpose()?;
    let page = a.report.as_deref().map(Output::open).transpose()?;
    let plots = open_plots(&a.plot)?;

    let c = contrast(base.case.clone(), variations).map_err(stopped)?;
    if let Some(out) = csv {
        let mut bytes = Vec::new();
        report::csv(&mut bytes, &c).map_err(failed)?;
        out.put(&bytes)?;
    }
    if let Some(out) = json {
        out.put(report::json(&c).map_err(failed)?.as_bytes())?;
    }
    let mut curves = Vec::new();
    if !plots.is_empty() || page.is_some() {
        curves = traces(&c)?;
    }
    if let (Some((first, others)), false) = (curves.split_first(), plots.is_empty()) {
        let others: Vec<_> = c.variations.iter().zip(others).collect();
        let svg = overlay::svg((&c.base, first), &others);
        for (kind, out) in plots {
            out.put(&kind.pack(svg.clone())?)?;
        }
    }
    if page.is_none() {
        curves.clear();
    }
    let document = report::document(&c, &base.origins, &curves);
    if let Some(out) = page {
        out.put(document.html().as_bytes())?;
    }
    if !any_standard(&[&a.csv, &a.json, &a.report]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(document.text(color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// What can be said before anything is read.
fn check(a: &Arguments) -> Result<(), Trouble> {
    let complain = |text: String| Err(Trouble::Wrong(format!("error: {text}")));
    let count = a.fault.len() + a.with.len();
    if count == 0 {
        return complain(
            "nothing to hold against the base: name a --fault (`arcplunge catalogue faults` lists \
             them) or change a key --with KEY=VALUE"
                .into(),
        );
    }
    if !a.plot.is_empty() && count > MOST {
        return complain(format!(
            "--plot: {count} variations in one drawing cannot be told apart; at most {MOST}"
        ));
    }
    check_outputs(&a.input, &[&a.csv, &a.json, &a.report], &a.plot)
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
    for with in &a.with {
        let own = a.input.sets.len();
        let mut sets = a.input.sets.clone();
        sets.extend(split(with));
        let varied = text.read(&sets);
        let varied = varied.map_err(|d| wrong(d.given_by(own, "--with")))?;
        if varied.case == base.case {
            return Err(Trouble::Wrong(format!(
                "error: --with {with}: changes nothing, the base is so already"
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
fn traces(c: &Contrast) -> Result<Vec<Trace>, Trouble> {
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
