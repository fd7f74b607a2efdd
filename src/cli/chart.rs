//! `chart`: the settings chart of a rig.

use clap::{Args, ValueEnum};

use super::case_input::{CaseInput, FaultInput};
use super::files::Files;
use super::input::{case, faults, put_on};
use super::outcome::{Outcome, Trouble, failed, suggestion, wrong};
use super::progress::Watch;
use arcplunge_core::case::Case;
use arcplunge_core::case::faults::{Fault, apply};
use arcplunge_core::case::keys::nearest;
use arcplunge_core::case::model::Method;
use arcplunge_core::case::settings::differences;
use arcplunge_core::study::chart::{KEYS, Plan, chart, jobs, metal, pairs, sizes, usual_range};
use arcplunge_core::study::dial::range::beyond_rig;
use arcplunge_core::study::range::{Vary, dotted};
use arcplunge_report::chart as report;
use arcplunge_report::provenance::Study;

#[derive(Debug, Args)]
#[command(
    after_help = "Searches the full range of bank and tool where the case has their scales, else from a \
    quarter to twice the case's voltage and spring force; the voltage up to bank.voltage_max or, without it, \
    200 V, unless --voltage says otherwise. A stud the rig cannot weld is a result, not an error. Ctrl-C stops \
    it; nothing is written then."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Only studs of these sizes, e.g. M4,M6 (repeatable)
    #[arg(long, value_name = "SIZE", value_delimiter = ',')]
    pub stud: Vec<String>,
    /// Only studs of this metal, or this pair: "brass 63/37 on copper" (repeatable)
    #[arg(long, value_name = "METAL")]
    pub metal: Vec<String>,
    /// Method to chart, instead of the tool's own; `both` charts both
    #[arg(long, value_enum, value_delimiter = ',')]
    pub method: Vec<Asked>,
    /// Voltages the bank can be charged to, e.g. 40..200V
    #[arg(long, value_name = "FROM..TO")]
    pub voltage: Option<String>,
    /// Forces the spring can be set to, e.g. 40..120N
    #[arg(long, value_name = "FROM..TO")]
    pub spring: Option<String>,
    /// One spring force for all studs, with what it costs each
    #[arg(long)]
    pub one_spring: bool,
    #[command(flatten)]
    pub faults: FaultInput,
    #[command(flatten)]
    pub files: Files,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Asked {
    Contact,
    Gap,
    Both,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let mut resolved = case(&a.input)?;
    let plain = resolved.case.clone();
    let faults = faults(&a.faults.fault)?;
    put_on(&mut resolved.case, &faults)?;
    refuse_overwritten(&plain, &faults)?;
    let base = &resolved.case;
    if base.stud.short_resistance.is_some() {
        return wrong("a discharge test (stud.short_resistance) has no weld to chart".into());
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
    let mut out = a.files.open(false)?;

    let watch = Watch::new("searching", jobs.len(), 0);
    let plan = Plan {
        base: &plain,
        faults: &faults,
        ranges,
        jobs,
        one_spring: a.one_spring,
        tolerances: &resolved.tolerances,
    };
    let made = chart(plan, || {
        watch.step();
        !watch.stopped()
    });
    drop(watch);
    let Some(mut made) = made else {
        return Err(Trouble::Stopped("stopped; nothing was written".into()));
    };
    made.base = resolved.case.clone();
    let study = Study::new("chart", &made.base)
        .map_err(failed)?
        .with("stud", a.stud.clone())
        .with("metal", a.metal.clone())
        .with(
            "method",
            a.method
                .iter()
                .map(|m| format!("{m:?}").to_lowercase())
                .collect::<Vec<_>>(),
        )
        .with("voltage", a.voltage.clone())
        .with("spring", a.spring.clone())
        .with("one_spring", a.one_spring);
    out.csv(&study, |bytes| report::csv::csv(bytes, &made))?;
    out.json(|| report::json::json(&made))?;
    out.plot(|| report::picture::svg(&made))?;
    out.show(&report::document(&made, &resolved.origins))?;
    Ok(Outcome::Done)
}

/// A fault in what the chart sets itself would be mended by the chart.
fn refuse_overwritten(base: &Case, faults: &[&'static Fault]) -> Result<(), Trouble> {
    const SET: [&str; 4] = [
        "bank.voltage",
        "tool.spring_force",
        "stud.metal",
        "sheet.metal",
    ];
    for fault in faults {
        let Ok(case) = apply(base, &[fault]) else {
            continue;
        };
        let mut changed = differences(base, &case).into_iter().map(|d| d.key);
        if let Some(key) = changed.find(|key| SET.contains(&key.as_str())) {
            return wrong(format!(
                "--fault {}: the chart sets {key} itself; `fire` shows what the fault does",
                fault.name
            ));
        }
    }
    Ok(())
}

/// What was asked to be searched, or around the case's value.
fn range(base: &Case, key: usize, option: &str, asked: Option<&str>) -> Result<Vary, Trouble> {
    let path = KEYS[key];
    let text = match asked {
        Some(text) if text.contains('/') || !text.contains("..") => {
            let help = suggestion(dotted(text).map(|range| format!("{option} {range}")));
            return wrong(format!(
                "{option} {text}: write FROM..TO, as in 40..200V{help}"
            ));
        }
        Some(text) => format!("{path}={text}"),
        None => return usual(base, path),
    };
    let complain =
        |why: String| Trouble::Wrong(format!("error: {option} {}: {why}", asked.unwrap_or(&text)));
    let vary = Vary::read(base, &text, 2).map_err(|e| complain(e.to_string()))?;
    if let Some(why) = beyond_rig(base, &vary) {
        return Err(complain(why.into()));
    }
    let (from, to) = (vary.from.min(vary.to), vary.from.max(vary.to));
    Ok(Vary { from, to, ..vary })
}

fn usual(base: &Case, path: &str) -> Result<Vary, Trouble> {
    match usual_range(base, path) {
        Some(vary) => Ok(vary),
        None => wrong(format!("{path} is not above zero; give a range to search")),
    }
}

fn methods(base: &Case, asked: &[Asked]) -> Vec<Method> {
    let mut out = Vec::new();
    let each = asked.iter().flat_map(|asked| match asked {
        Asked::Contact => &[Method::Contact][..],
        Asked::Gap => &[Method::Gap],
        Asked::Both => &[Method::Contact, Method::Gap],
    });
    for method in each {
        if !out.contains(method) {
            out.push(*method);
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
        return wrong(format!("--stud {name}: unknown stud size\nhelp: {help}"));
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
            wrong(format!("--metal {name}: unknown metal\nhelp: {help}"))
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
                "--metal {text}: not a usual stud metal; name the pair, as in \"{text} on {}\"",
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
