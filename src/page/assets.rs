//! The page's own files, inside the program, and the one file they make together.

use std::sync::OnceLock;

/// A file of the page.
pub struct Asset {
    /// Its name in the address, "page.css".
    pub name: &'static str,
    /// Content type, charset included.
    pub kind: &'static str,
    /// All of it.
    pub text: &'static str,
}

const SCRIPT: &str = "text/javascript; charset=utf-8";

macro_rules! asset {
    ($name:literal, $kind:expr) => {
        Asset {
            name: $name,
            kind: $kind,
            text: include_str!(concat!("files/", $name)),
        }
    };
}

/// The page's frame.
pub const FRAME: Asset = asset!("index.html", "text/html; charset=utf-8");

const STYLE: &str = "text/css; charset=utf-8";

/// The styles; a later one may override an earlier one.
const STYLES: [Asset; 4] = [
    asset!("page.css", STYLE),
    asset!("rig.css", STYLE),
    asset!("lessons.css", STYLE),
    asset!("print.css", STYLE),
];

/// The scripts, each after those it uses: in this order they make one.
const SCRIPTS: [Asset; 29] = [
    asset!("dom.js", SCRIPT),
    asset!("words.js", SCRIPT),
    asset!("memory.js", SCRIPT),
    asset!("motion.js", SCRIPT),
    asset!("reveal.js", SCRIPT),
    asset!("glossary.js", SCRIPT),
    asset!("heat.js", SCRIPT),
    asset!("weld.js", SCRIPT),
    asset!("stage.js", SCRIPT),
    asset!("curves.js", SCRIPT),
    asset!("flow.js", SCRIPT),
    asset!("cord.js", SCRIPT),
    asset!("rig.js", SCRIPT),
    asset!("clock.js", SCRIPT),
    asset!("rim.js", SCRIPT),
    asset!("board.js", SCRIPT),
    asset!("face.js", SCRIPT),
    asset!("dots.js", SCRIPT),
    asset!("meaning.js", SCRIPT),
    asset!("sound.js", SCRIPT),
    asset!("view.js", SCRIPT),
    asset!("controls.js", SCRIPT),
    asset!("poll.js", SCRIPT),
    asset!("lessons.js", SCRIPT),
    asset!("guide.js", SCRIPT),
    asset!("complaint.js", SCRIPT),
    asset!("present.js", SCRIPT),
    asset!("print.js", SCRIPT),
    asset!("main.js", SCRIPT),
];

const SHOP_STYLE: Asset = asset!("shop.css", "text/css; charset=utf-8");

/// The scripts of what only works with the program, fetched by it and left out of a replay.
const LIVE: [Asset; 7] = [
    asset!("chart.js", SCRIPT),
    asset!("plan.js", SCRIPT),
    asset!("table.js", SCRIPT),
    asset!("learnt.js", SCRIPT),
    asset!("welds.js", SCRIPT),
    asset!("shop.js", SCRIPT),
    asset!("classroom.js", SCRIPT),
];

const CLASSROOM_STYLE: Asset = asset!("classroom.css", STYLE);

/// A phone's frame, its own style and script.
const PUPIL: Asset = asset!("pupil.html", "text/html; charset=utf-8");
const PUPIL_STYLE: Asset = asset!("pupil.css", STYLE);
const PUPIL_SCRIPT: Asset = asset!("pupil.js", SCRIPT);

/// What a phone's script uses of the page's.
const PUPIL_USES: [&str; 12] = [
    "dom.js",
    "words.js",
    "memory.js",
    "glossary.js",
    "heat.js",
    "weld.js",
    "stage.js",
    "curves.js",
    "face.js",
    "dots.js",
    "meaning.js",
    "controls.js",
];

/// The files of a phone by their names: few, for sixty phones fetch them at once.
pub fn of_pupil(name: &str) -> Option<Asset> {
    static STYLE_OF: OnceLock<String> = OnceLock::new();
    static SCRIPT_OF: OnceLock<String> = OnceLock::new();
    let style = || {
        let page = STYLES.iter().filter(|s| s.name != "print.css");
        page.chain([&PUPIL_STYLE]).map(|s| s.text).collect()
    };
    let script = || {
        let used = PUPIL_USES.iter().filter_map(|name| find(name));
        joined(used.chain([&PUPIL_SCRIPT]))
    };
    let (kind, text) = match name {
        "" => return Some(PUPIL),
        "pupil.css" => (STYLE, STYLE_OF.get_or_init(style)),
        "pupil.js" => (SCRIPT, SCRIPT_OF.get_or_init(script)),
        _ => return None,
    };
    Some(Asset {
        name: "",
        kind,
        text,
    })
}

/// The file of this name.
pub fn find(name: &str) -> Option<&'static Asset> {
    static ALL: [&[Asset]; 5] = [&STYLES, &[SHOP_STYLE], &[CLASSROOM_STYLE], &SCRIPTS, &LIVE];
    ALL.into_iter().flatten().find(|a| a.name == name)
}

/// One file that needs no other: frame, style, scripts and the welds, given as JSON.
pub fn standalone(data: &str) -> String {
    let style = format!("<style>\n{}</style>", STYLES.map(|s| s.text).concat());
    // No "</script>" or "<!--" in a title may end the script or hide what follows; JSON allows the escape.
    let data = data.replace('<', "\\u003c");
    let policy = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; \
        script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:\">";
    let script = format!(
        "<script type=\"application/json\" id=\"welds\">{data}</script>\n\
         <script type=\"module\">\n{}</script>",
        joined(&SCRIPTS)
    );
    FRAME
        .text
        .replace(
            "<meta charset=\"utf-8\">",
            &format!("<meta charset=\"utf-8\">\n{policy}"),
        )
        .replace(&links(), &style)
        .replace("<script type=\"module\" src=\"main.js\"></script>", &script)
}

/// The lines of the frame that fetch the styles.
fn links() -> String {
    STYLES
        .map(|s| format!("<link rel=\"stylesheet\" href=\"{}\">", s.name))
        .join("\n")
}

/// The scripts as one: without the lines that fetch one from another.
fn joined<'a>(scripts: impl IntoIterator<Item = &'a Asset>) -> String {
    let mut out = String::new();
    for script in scripts {
        for line in script.text.lines() {
            if !line.starts_with("import ") {
                out.push_str(line.strip_prefix("export ").unwrap_or(line));
                out.push('\n');
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_one_file_fetches_nothing_and_ends_no_script_early() {
        let page = standalone(r#"{"title":"</script><!--<script>"}"#);
        assert!(FRAME.text.contains(&links()));
        assert!(!page.contains("src=\"") && !page.contains("stylesheet"));
        assert!(!page.contains("\nimport ") && !page.contains("\nexport "));
        assert_eq!(page.matches("</script>").count(), 2);
        assert!(page.contains(r#"{"title":"\u003c/script>\u003c!--\u003cscript>"}"#));
    }

    #[test]
    fn each_script_fetches_only_those_before_it() {
        let all = || SCRIPTS.iter().chain(&LIVE).chain([&PUPIL_SCRIPT]);
        for (k, script) in all().enumerate() {
            for line in script.text.lines().filter(|l| l.starts_with("import ")) {
                let from = line
                    .split("\"./")
                    .nth(1)
                    .and_then(|r| r.split('"').next())
                    .unwrap();
                let at = all().position(|s| s.name == from).unwrap();
                assert!(at < k, "{} fetches {from}", script.name);
                assert!(
                    line.ends_with(';'),
                    "{}: one line an import: {line}",
                    script.name
                );
            }
        }
    }

    #[test]
    fn a_phones_script_has_all_that_it_fetches() {
        let uses = PUPIL_USES.iter().filter_map(|name| find(name));
        let mut there: Vec<&str> = Vec::new();
        for script in uses.chain([&PUPIL_SCRIPT]) {
            for line in script.text.lines().filter(|l| l.starts_with("import ")) {
                let found = there.iter().any(|n| line.ends_with(&format!("\"./{n}\";")));
                assert!(found, "{}: {line}", script.name);
            }
            there.push(script.name);
        }
        assert_eq!(there.len(), PUPIL_USES.len() + 1);
        let script = of_pupil("pupil.js").unwrap().text;
        assert!(!script.contains("\nimport ") && !script.contains("\nexport "));
    }

    #[test]
    fn no_two_scripts_name_a_thing_alike() {
        let mut count = std::collections::BTreeMap::new();
        let all = SCRIPTS.iter().chain(&LIVE).chain([&PUPIL_SCRIPT]);
        for name in all.flat_map(|s| s.text.lines()).flat_map(names_of) {
            *count.entry(name).or_insert(0) += 1;
        }
        assert!(count.len() > 40);
        count.retain(|_, n| *n > 1);
        assert!(count.is_empty(), "{count:?}");
    }

    /// The names a line declares at the top of a script: one, or those of a list taken apart.
    fn names_of(line: &str) -> Vec<&str> {
        let line = line.strip_prefix("export ").unwrap_or(line);
        let line = line.strip_prefix("async ").unwrap_or(line);
        let kinds = ["const ", "let ", "function ", "class "];
        let Some(rest) = kinds.iter().find_map(|kind| line.strip_prefix(kind)) else {
            return Vec::new();
        };
        match rest.strip_prefix(['[', '{']) {
            Some(list) => {
                let inside = list.split([']', '}']).next().unwrap_or("");
                inside.split(',').map(str::trim).collect()
            }
            None => rest.split([' ', '=', '(', ';', ':']).take(1).collect(),
        }
    }

    #[test]
    fn no_file_names_an_outside_address() {
        let pupil = [&PUPIL, &PUPIL_STYLE, &PUPIL_SCRIPT];
        let live = LIVE.iter().chain([&SHOP_STYLE, &CLASSROOM_STYLE, &FRAME]);
        let live = live.chain(pupil);
        for asset in SCRIPTS.iter().chain(&STYLES).chain(live) {
            let text = asset.text.replace("http://www.w3.org/2000/svg", "");
            assert!(
                !text.contains("http:") && !text.contains("https:"),
                "{}",
                asset.name
            );
        }
    }
}
