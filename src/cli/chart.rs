//! `chart`: the settings chart of a rig.

use std::io::IsTerminal;

use super::args::{Chart as Arguments, Method as Asked};
use super::input::{case, wants_color};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, failed, open_plots, wrong};
use super::watch::Watch;
use super::{Outcome, Trouble};
use crate::case::Case;
use crate::case::keys::{Key, by_path, nearest, scale_of};
use crate::case::model::Method;
use crate::report::{chart as report, html};
use crate::study::chart::{KEYS, chart, jobs, metal, pairs, sizes};
use crate::study::vary::Vary;

/// Searched is the scale, or from the case's value over this to it times [`UP`].
const DOWN: f64 = 4.0;

/// A bank or spring is seldom set to twice what it is set to now; more is asked for by name.
const UP: f64 = 2.0;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    check_outputs(&a.input, &[&a.csv, &a.json, &a.report], &a.plot)?;
    let resolved = case(&a.input)?;
    let base = &resolved.case;
    if base.stud.bolted.is_some() {
        return wrong("a discharge test (stud.bolted) has no weld to chart".into());
    }
    let ranges = [
        range(base, 0, "--voltage", a.voltage.as_deref())?,
        range(base, 1, "--spring", a.spring.as_deref())?,
    ];
    let jobs = jobs(
        &chosen_sizes(base, &a.stud)?,
        &chosen_pairs(base, &a.metal)?,
        &methods(base, &a.method),
    );
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json = a.json.as_deref().map(Output::open).transpose()?;
    let page = a.report.as_deref().map(Output::open).transpose()?;
    let plots = open_plots(&a.plot)?;

    let watch = Watch::new("searching", jobs.len(), 0);
    let made = chart(base, ranges, jobs, || {
        watch.step();
        !watch.stopped()
    });
    drop(watch);
    let Some(made) = made else {
        return Err(Trouble::Failed("stopped; nothing is written".into()));
    };
    if let Some(out) = csv {
        let mut bytes = Vec::new();
        report::csv::csv(&mut bytes, &made).map_err(failed)?;
        out.put(&bytes)?;
    }
    if let Some(out) = json {
        let json = report::json::json(&made).map_err(failed)?;
        out.put(format!("{json:#}\n").as_bytes())?;
    }
    if let Some(out) = page {
        out.put(html::chart(&resolved, &made).as_bytes())?;
    }
    if !plots.is_empty() {
        let svg = report::picture::svg(&made);
        for (kind, out) in plots {
            out.put(&kind.pack(svg.clone())?)?;
        }
    }
    if !any_standard(&[&a.csv, &a.json, &a.report]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(report::text::page(&made, color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// What was asked to be searched, or around the case's value.
fn range(base: &Case, key: usize, option: &str, asked: Option<&str>) -> Result<Vary, Trouble> {
    let path = KEYS[key];
    let text = match asked {
        Some(text) if text.contains('/') || !text.contains("..") => {
            return wrong(format!("{option} {text}: write FROM..TO, as in 40..200V"));
        }
        Some(text) => format!("{path}={text}"),
        None => around(base, key),
    };
    let vary = Vary::read(base, &text, 2)
        .map_err(|e| Trouble::Wrong(format!("error: {option} {}: {e}", asked.unwrap_or(&text))))?;
    let (from, to) = (vary.from.min(vary.to), vary.from.max(vary.to));
    Ok(Vary { from, to, ..vary })
}

fn around(base: &Case, key: usize) -> String {
    let unit = ["V", "N"][key];
    if let Some(scale) = scale_of(base, KEYS[key]) {
        let [from, to] = scale.values();
        return format!("{}={from}..{to}{unit}", KEYS[key]);
    }
    let number = by_path(KEYS[key]).and_then(Key::number);
    let (least, most) = number.map_or((0.0, f64::INFINITY), |n| (n.range.least, n.range.most));
    let now = [base.bank.voltage, base.tool.spring_force][key];
    let (from, to) = ((now / DOWN).max(least), (now * UP).min(most));
    format!("{}={from}..{to}{unit}", KEYS[key])
}

fn methods(base: &Case, asked: &[Asked]) -> Vec<Method> {
    let mut out = Vec::new();
    for method in asked {
        let method = match method {
            Asked::Contact => Method::Contact,
            Asked::Gap => Method::Gap,
        };
        if !out.contains(&method) {
            out.push(method);
        }
    }
    if out.is_empty() {
        out.push(base.tool.method);
    }
    out
}

fn chosen_sizes(base: &Case, asked: &[String]) -> Result<Vec<String>, Trouble> {
    let known = sizes(base);
    if let Some(name) = asked.iter().find(|name| {
        !known
            .iter()
            .any(|size| size.eq_ignore_ascii_case(name.trim()))
    }) {
        let help = nearest(name, known.iter().map(String::as_str));
        let help = help.map_or(known.join(", "), |n| format!("did you mean {n}?"));
        return wrong(format!("--stud {name}: no stud of this size\nhelp: {help}"));
    }
    let wanted = |size: &String| {
        asked.is_empty() || asked.iter().any(|a| size.eq_ignore_ascii_case(a.trim()))
    };
    Ok(known.into_iter().filter(wanted).collect())
}

/// The usual pairs, those with studs of the metals named, or the pairs named.
fn chosen_pairs(base: &Case, asked: &[String]) -> Result<Vec<(String, String)>, Trouble> {
    let usual = pairs(base);
    if asked.is_empty() {
        return Ok(usual);
    }
    let known = |name: &str| match metal(base, name) {
        Some(metal) => Ok(metal.name),
        None => {
            let mut names: Vec<&str> = usual.iter().flat_map(|(a, b)| [&**a, &**b]).collect();
            // A name there twice would be as near as itself.
            names.sort_unstable();
            names.dedup();
            let help = nearest(name, names)
                .map_or("`arcplunge catalogue metals` lists them".to_string(), |n| {
                    format!("did you mean {n}?")
                });
            wrong(format!(
                "--metal {name}: no metal of this name\nhelp: {help}"
            ))
        }
    };
    let mut out: Vec<(String, String)> = Vec::new();
    for text in asked {
        let found = match text.split_once(" on ") {
            Some((stud, sheet)) => vec![(known(stud.trim())?, known(sheet.trim())?)],
            None => {
                let stud = known(text.trim())?;
                usual.iter().filter(|(s, _)| *s == stud).cloned().collect()
            }
        };
        if found.is_empty() {
            return wrong(format!(
                "--metal {text}: studs of it are not usual; name the pair, as in \"{text} on {}\"",
                base.sheet.metal.name
            ));
        }
        out.extend(found);
    }
    let mut seen: Vec<(String, String)> = Vec::new();
    out.retain(|pair| {
        !seen.contains(pair) && {
            seen.push(pair.clone());
            true
        }
    });
    Ok(out)
}
