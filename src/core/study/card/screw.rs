//! The stud's thread in the test: how far to tighten it, and what gives way first.

use super::Asked;
use crate::case::catalogue::find_stud;
use crate::physics::thread::Thread;
use crate::simulation::holds::Part;
use crate::study::assessment::Assessment;

/// Yield over tensile strength of a stud's metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yield {
    /// Metal of the catalogue.
    pub metal: &'static str,
    /// Yield or 0.2 % proof stress over tensile strength.
    pub share: f64,
    /// Where that comes from.
    pub source: &'static str,
}

/// All from memory: to be checked against the standard.
static YIELDS: [Yield; 5] = [
    Yield {
        metal: "mild steel",
        share: 340.0 / 420.0,
        source: "ISO 898-1, class 4.8: 340 of 420 MPa",
    },
    Yield {
        metal: "stainless 18/8",
        share: 210.0 / 500.0,
        source: "ISO 3506-1, A2-50: 210 of 500 MPa",
    },
    Yield {
        metal: "aluminium Mg alloy",
        share: 170.0 / 230.0,
        source: "ISO 13918, AlMg3: 170 of 230 MPa",
    },
    Yield {
        metal: "brass 63/37",
        share: 250.0 / 370.0,
        source: "ISO 13918, CuZn37: 250 of 370 MPa",
    },
    Yield {
        metal: "copper",
        share: 160.0 / 240.0,
        source: "ISO 8839, CU1: 160 of 240 MPa",
    },
];

/// The yield of a metal of the catalogue, by its name.
pub fn yield_of(metal: &str) -> Option<&'static Yield> {
    YIELDS.iter().find(|y| y.metal == metal)
}

/// How far a stud may be tightened in the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// Its thread.
    pub thread: Thread,
    /// Yield of its metal.
    pub stud: &'static Yield,
    /// Preload for the test \[N\].
    pub force: f64,
    /// What sets that preload.
    pub limit: Part,
    /// Torque that brings it \[N·m\].
    pub torque: f64,
    /// What the thread bears at that share of its yield, the torsion of tightening included \[N\].
    pub thread_force: f64,
    /// What breaks first when the stud is pulled, and the force by the model \[N\].
    pub breaks: (Part, f64),
}

impl Screw {
    /// The test of a weld: no more than a share of what the thread yields at, and of what weld and sheet bear.
    pub(super) fn of(weld: &Assessment, asked: &Asked) -> Option<Screw> {
        let size = find_stud(&weld.case.stud.size)?;
        let stud = yield_of(&weld.case.stud.metal.name)?;
        let thread = Thread::coarse(size.diameter()?)?;
        let yields = stud.share * weld.case.stud.metal.strength;
        let thread_force = thread.preload(yields, asked.share, asked.friction);
        let holds = &weld.shot.holds;
        // Without a weld there is nothing to tighten.
        holds.breaks_first?;
        let all = [
            (Part::Stud, Some(thread_force)),
            (Part::Weld, holds.weld_N.map(|load| asked.share * load)),
            (Part::Sheet, holds.sheet_N.map(|load| asked.share * load)),
        ];
        let loads = all
            .into_iter()
            .filter_map(|(part, load)| Some((part, load?)));
        let (limit, force) = loads.min_by(|a, b| a.1.total_cmp(&b.1))?;
        Some(Screw {
            thread,
            stud,
            force,
            limit,
            torque: thread.torque(force, asked.friction),
            thread_force,
            breaks: holds.least()?,
        })
    }
}
