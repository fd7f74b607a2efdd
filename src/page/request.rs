//! What a request asks for: overrides and faults, as pairs of a form or an address.

use form_urlencoded::parse;

/// Most pairs one request may carry: far more than there are keys to change.
const MOST_PAIRS: usize = 500;

/// A weld that is wanted: the page's case with these overrides, and these faults on top.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Weld {
    /// Overrides, `KEY=VALUE`, after those of the command line.
    pub sets: Vec<String>,
    /// Names of faults, put on in this order.
    pub faults: Vec<String>,
    /// On the demonstration case, whatever the page was opened with: the lessons' words are about that.
    pub demonstration: bool,
}

/// A weld, and the base it is compared with.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PageRequest {
    /// What is to be fired.
    pub weld: Weld,
    /// What it is compared with; `None` where no base is pinned.
    pub base: Option<Weld>,
    /// What a shift or a calibration is asked of it, as typed.
    pub study: Study,
}

/// What is asked beside the weld; as on the command line, or as there by default.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Study {
    /// Welds of a shift.
    pub welds: Option<String>,
    /// Its pace.
    pub pace: Option<String>,
    /// Its breaks, parted by commas.
    pub breaks: Option<String>,
    /// A table of test welds, CSV.
    pub table: Option<String>,
}

/// Reads `set=…&fault=…&demonstration=`, and the same after `base-` for a pinned base, `base=` if it has none of
/// them; `welds=…&pace=…&breaks=…&table=…` of a study. Names the page keeps for itself are passed over.
///
/// # Errors
/// When there are too many pairs.
pub fn read(pairs: &str) -> Result<PageRequest, String> {
    let mut asked = PageRequest::default();
    for (count, (name, value)) in parse(pairs.as_bytes()).enumerate() {
        if count == MOST_PAIRS {
            return Err(format!(
                "error: more than {MOST_PAIRS} values in one request"
            ));
        }
        let study = match name.as_ref() {
            "welds" => Some(&mut asked.study.welds),
            "pace" => Some(&mut asked.study.pace),
            "breaks" => Some(&mut asked.study.breaks),
            "table" => Some(&mut asked.study.table),
            _ => None,
        };
        if let Some(place) = study {
            *place = Some(value.into_owned());
            continue;
        }
        let (part, name) = match name.strip_prefix("base") {
            Some(rest) => (
                asked.base.get_or_insert_default(),
                rest.trim_start_matches('-'),
            ),
            None => (&mut asked.weld, name.as_ref()),
        };
        match name {
            "set" => part.sets.push(value.into_owned()),
            "fault" => part.faults.push(value.into_owned()),
            "demonstration" => part.demonstration = true,
            _ => {}
        }
    }
    Ok(asked)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_gives_overrides_faults_and_the_base() {
        let asked = read("set=bank.voltage%3D120+V&fault=stiff-slide&at=1.2").unwrap();
        assert_eq!(asked.weld.sets, ["bank.voltage=120 V"]);
        assert_eq!(asked.weld.faults, ["stiff-slide"]);
        assert_eq!(asked.base, None);
        let asked = read("base=&fault=stiff-slide").unwrap();
        assert_eq!(asked.base, Some(Weld::default()));
        let asked = read("base-set=lead.length%3D9m&base-fault=fat-pip").unwrap();
        let base = asked.base.unwrap();
        assert_eq!(
            (base.sets, base.faults),
            (vec!["lead.length=9m".into()], vec!["fat-pip".into()])
        );
        let asked = read("pace=30%2Fmin&welds=500&table=witness%0Afull").unwrap();
        assert_eq!(asked.study.pace.as_deref(), Some("30/min"));
        assert_eq!(asked.study.welds.as_deref(), Some("500"));
        assert_eq!(asked.study.table.as_deref(), Some("witness\nfull"));
        assert_eq!(asked.weld, Weld::default());
        assert!(read(&"set=a&".repeat(501)).is_err());
    }
}
