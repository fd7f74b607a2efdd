//! A new case file: every key at its default, with what it is.

use std::fmt::Write;

use super::catalogue::{self, UsualTool};
use super::keys::{self, Address, EARTH, Key, METAL, METAL_KEYS, SECTIONS, TOLERANCE};
use super::model::Case;
use super::show::{number_text, value};
use super::tolerance::Tolerances;

const HEAD: &str = "\
# A case for arcplunge: one capacitor-discharge stud weld.
# Every key is optional and defaults to the demonstration case, which is shown here.
# A quantity is text with its unit: \"5 m\", \"35 mm2\", \"2 mohm\". Text after # is ignored.
";

const JOINT: &str = "\
# A joint is tight, worn, loose or arcing, a resistance such as \"0.4 mohm\",
# or a resistance, the force that holds it, and the voltage of its arc once the current has parted it:
# { resistance = \"0.5 mohm\", force = \"20 N\", drop = \"13 V\" }.
";

type OfTool = fn(&UsualTool) -> f64;

/// Keys of the tool that go with the method, and how each is read off a tool.
const OF_METHOD: [(&str, OfTool); 4] = [
    ("tool.lift", |tool| tool.lift),
    ("tool.moving_mass", |tool| tool.moving_mass),
    ("tool.spring_force", |tool| tool.spring_force),
    ("tool.spring_rate", |tool| tool.spring_rate),
];

/// The text of a new case file.
pub fn template() -> String {
    let case = Case::default();
    let mut text = HEAD.to_string();
    text.push('\n');
    for key in keys::all().filter(|key| key.section().is_empty()) {
        line(&mut text, &case, key, None);
    }
    for (section, about) in SECTIONS {
        let _ = write!(text, "\n# {}\n", sentence(about));
        if section == EARTH {
            text.push_str(JOINT);
        }
        match section {
            EARTH => {
                for number in 0..case.earths.len() {
                    let gap = if number == 0 { "" } else { "\n" };
                    let _ = writeln!(text, "{gap}[[{EARTH}]]");
                    keys_of(&mut text, &case, section, Some(number));
                }
            }
            METAL => metal(&mut text),
            TOLERANCE => spreads(&mut text, &case),
            _ => {
                let _ = writeln!(text, "[{section}]");
                if section == "tool" {
                    gap_tool(&mut text);
                }
                keys_of(&mut text, &case, section, None);
            }
        }
    }
    text
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first
        .into_iter()
        .flatten()
        .chain(letters)
        .chain(['.'])
        .collect()
}

fn keys_of(text: &mut String, case: &Case, section: &str, earth: Option<usize>) {
    let told = |key: &&Key| key.section() == section && !key.is_part() && !key.is_view();
    for key in keys::all().filter(told) {
        line(text, case, key, earth);
    }
}

/// What the gap method brings, as it is not shown.
fn gap_tool(text: &mut String) {
    let tool = catalogue::gap_tool();
    let given = OF_METHOD.map(|(path, of)| {
        let number = keys::find(path).ok().and_then(|key| key.about().copied());
        let value = number.map_or(String::new(), |number| number.text(of(tool)));
        format!("{} {value}", path.trim_start_matches("tool."))
    });
    let _ = writeln!(
        text,
        "# What is commented out follows from the method: shown is contact; gap has\n# {}.",
        given.join(", ")
    );
}

fn line(text: &mut String, case: &Case, key: &'static Key, earth: Option<usize>) {
    let address = match earth {
        Some(number) => Address::Earth(key, number),
        None => Address::Case(key),
    };
    // What is not there by default, or follows from the size, is shown but not said.
    let sample = match key.path {
        "arc.fall" => Some("\"16 V\""),
        "stud.short_resistance" => Some("\"1 mohm\""),
        "bank.voltage_max" => Some("\"200 V\""),
        "bank.scale" => Some("[[1, \"60 V\"], [10, \"160 V\"]]"),
        "bank.voltage_mark" => Some("4"),
        "tool.spring_min" => Some("\"40 N\""),
        "tool.spring_max" => Some("\"120 N\""),
        "tool.scale" => Some("[[1, \"40 N\"], [5, \"120 N\"]]"),
        "tool.spring_mark" => Some("3"),
        "sheet.centre_mark" => Some("{ depth = \"0.7 mm\", angle = \"90 deg\" }"),
        _ => None,
    };
    let follows = ["stud.flange", "stud.pip_diameter", "stud.pip_length"].contains(&key.path);
    let (given, _) = value(case, key, &address, earth, &case.sheet.metal);
    let of_method = OF_METHOD.iter().any(|(path, _)| *path == key.path);
    let mark = if sample.is_some() || follows || of_method {
        "# "
    } else {
        ""
    };
    let shown = sample.map_or(given, str::to_string);
    let mut about = key.about.to_string();
    if follows {
        about.push_str(", if not the size's");
    }
    if of_method {
        about.push_str(", if not the method's");
    }
    commented(text, &format!("{mark}{} = {shown}", key.name()), &about);
}

fn commented(text: &mut String, line: &str, about: &str) {
    const COLUMN: usize = 40;
    let gap = " ".repeat(COLUMN.saturating_sub(line.chars().count()).max(2));
    let _ = writeln!(text, "{line}{gap}# {about}");
}

/// How a metal is given; commented out, since the catalogue has the default ones.
fn metal(text: &mut String) {
    let names = catalogue::metal_names().join(", ");
    let _ = writeln!(text, "# The catalogue has {names}.");
    let _ = writeln!(text, "# [{METAL}.\"my alloy\"]");
    let base = Case::default().sheet.metal;
    let like = format!("# like = \"{}\"", base.name);
    commented(
        text,
        &like,
        "this metal supplies the figures not given below",
    );
    for key in METAL_KEYS {
        let figure = number_text(&key.number, *(key.field)(&base));
        commented(text, &format!("# {} = {figure}", key.name), key.about);
    }
}

/// The spreads that hold anyway; commented out, as the catalogue has them.
fn spreads(text: &mut String, case: &Case) {
    text.push_str(
        "# A spread is \"1 V\" or \"2 %\", which is the standard deviation of a normal one, or a table.\n\
         # Those of the catalogue apply unless a line says otherwise; \"none\" removes one,\n\
         # and others = \"none\" all that are not named.\n",
    );
    let _ = writeln!(text, "# [{TOLERANCE}]");
    for tolerance in Tolerances::default().of(case) {
        if let Some(number) = tolerance.address.about() {
            let spread = tolerance.spread.toml(number);
            let _ = writeln!(text, "# \"{}\" = {spread}", tolerance.address);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::read::read_text;

    fn read(text: &str) -> Case {
        let read = read_text("new.toml", text, &[]);
        read.unwrap_or_else(|told| panic!("{told}")).case
    }

    #[test]
    fn regress_a_new_file_is_the_demonstration_case() {
        let text = template();
        assert_eq!(read(&text), Case::default());
        for key in keys::all().filter(|key| !key.is_part() && !key.is_view()) {
            assert!(text.contains(&format!("{} = ", key.name())), "{}", key.path);
        }
        for line in text.lines() {
            assert!(line.len() < 140, "{line}");
        }
    }

    #[test]
    fn a_new_file_with_the_other_method_is_what_an_override_makes_of_the_case() {
        let text = template().replace("method = \"contact\"", "method = \"gap\"");
        let set = ["tool.method=gap".to_string()];
        let case = crate::case::read::demonstration(&set).unwrap().case;
        assert_eq!(read(&text), case);
        assert!(text.contains("gap has\n# lift 0.5 mm, "), "{text}");
    }

    #[test]
    fn regress_what_is_commented_out_is_valid_too() {
        let uncommented: Vec<String> = template()
            .lines()
            // A mark would say once more what its number says.
            .filter(|line| !line.contains("_mark = 4") && !line.contains("_mark = 3"))
            .map(|line| {
                let body = line.strip_prefix("# ").unwrap_or(line);
                let code = body.starts_with('[')
                    || body
                        .split(" = ")
                        .next()
                        .is_some_and(|key| !key.contains(' '));
                if code {
                    body.to_string()
                } else {
                    line.to_string()
                }
            })
            .collect();
        let case = read(&uncommented.join("\n"));
        assert_eq!(case.stud.short_resistance, Some(1e-3));
        assert_eq!(case.sheet.centre_mark.map(|mark| mark.depth), Some(0.7e-3));
        assert_eq!(
            case.bank.scale.as_ref().map(|s| s.values()),
            Some([60.0, 160.0])
        );
        assert_eq!(
            case.tool.scale.as_ref().map(|s| s.values()),
            Some([40.0, 120.0])
        );
        let mut plain = case;
        plain.bank.scale = None;
        plain.tool.scale = None;
        assert_eq!(plain.bank.voltage_max, Some(200.0));
        plain.bank.voltage_max = None;
        let tool = &mut plain.tool;
        let ends = [&mut tool.spring_min, &mut tool.spring_max].map(Option::take);
        assert_eq!(ends, [Some(40.0), Some(120.0)]);
        assert_eq!(plain.arc.fall, Some(16.0));
        plain.arc.fall = None;
        plain.stud.short_resistance = None;
        plain.sheet.centre_mark = None;
        assert_eq!(plain, Case::default());
    }
}
