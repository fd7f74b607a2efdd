//! The chart's lines by method and pair of metals.

use crate::format::trimmed;
use crate::pairs::remarks;
use arcplunge_core::case::model::Method;
use arcplunge_core::study::chart::{Chart, Line, tool};

/// Lines of one method on one pair of metals, and what stands above them.
pub struct Group<'a> {
    /// Both metals, and the method where the chart has several.
    pub heading: String,
    /// What is not judged of these metals.
    pub remarks: Vec<&'static str>,
    /// One a stud, in the order of the chart.
    pub lines: &'a [Line],
}

/// The chart's lines by method and pair of metals.
pub fn groups(chart: &Chart) -> Vec<Group<'_>> {
    let same = |a: &Line, b: &Line| {
        let (a, b) = (&a.job, &b.job);
        (a.method, &a.stud_metal, &a.sheet_metal) == (b.method, &b.stud_metal, &b.sheet_metal)
    };
    // One method for all is said once, with the rig.
    let several = method_of_all(chart).is_none();
    let group = |lines| {
        let [first, ..]: &[Line] = lines else {
            return None;
        };
        let job = &first.job;
        let mut heading = format!("{} on {}", job.stud_metal, job.sheet_metal);
        if several {
            heading.push_str(", ");
            heading.push_str(&method(chart, job.method));
        }
        let remarks = remarks(&job.stud_metal, &job.sheet_metal, job.method);
        Some(Group {
            heading,
            remarks,
            lines,
        })
    };
    chart.lines.chunk_by(same).filter_map(group).collect()
}

/// The method of every line, if they have the same.
pub(super) fn method_of_all(chart: &Chart) -> Option<Method> {
    let first = chart.lines.first()?.job.method;
    let same = chart.lines.iter().all(|l| l.job.method == first);
    same.then_some(first)
}

/// The method in words.
fn method(chart: &Chart, method: Method) -> String {
    match method {
        Method::Contact => "contact".into(),
        Method::Gap => format!("gap {} mm", trimmed(tool(&chart.base, method).lift * 1e3)),
    }
}

/// The method's name in files.
pub(super) fn method_name(method: Method) -> &'static str {
    match method {
        Method::Contact => "contact",
        Method::Gap => "gap",
    }
}
