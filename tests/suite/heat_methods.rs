//! The two ways to solve the heat, following the fronts and by enthalpy, against each other over
//! cases drawn from wide bounds.

use crate::common::judge::{MOST_WORK, fine_enthalpy, work};
use arcplunge_core::case::{Case, catalogue, check};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::mesh::{Cells, Method, Resolution};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use proptest::prelude::RngExt;
use proptest::test_runner::{RngAlgorithm, TestRng};

/// Draws cases, the same ones in every run.
struct Draw(TestRng);

impl Draw {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0.random_range(low..high)
    }

    fn one_of<T: Clone>(&mut self, all: &[T]) -> T {
        all[self.0.random_range(0..all.len())].clone()
    }

    fn case(&mut self) -> Case {
        let mut case = Case::default();
        let size = catalogue::stud(self.one_of(&catalogue::stud_names()));
        case.stud.flange = size.flange;
        case.stud.pip_diameter = size.pip_diameter * self.between(0.8, 1.2);
        case.stud.pip_length = size.pip_length * self.between(0.7, 1.3);
        case.stud.cone = self.between(1.0, 5.0_f64).to_radians();
        case.stud.metal = catalogue::metal(self.one_of(&catalogue::metal_names()));
        case.sheet.metal = if self.between(0.0, 1.0) < 0.7 {
            case.stud.metal.clone()
        } else {
            catalogue::metal(self.one_of(&catalogue::metal_names()))
        };
        case.sheet.thickness = self.between(0.3e-3, 4e-3);
        case.bank.capacitance = self.between(20e-3, 150e-3);
        case.bank.voltage = self.between(50.0, 200.0);
        case.lead.length = self.between(2.0, 15.0);
        case.tool.moving_mass = self.between(0.05, 0.5);
        case.tool.spring_force = self.between(20.0, 150.0);
        case.tool.spring_rate = self.between(0.0, 8e3);
        case.arc.to_cathode = self.between(0.15, 0.49);
        case.arc.to_anode = self.between(0.15, 0.49);
        case.arc.fall = Some(self.between(10.0, 24.0));
        case.model.stud_depth = self.between(1e-3, 8e-3);
        case
    }
}

/// Cases that pass the checks.
pub fn cases(seed: u8, count: usize) -> impl Iterator<Item = Case> {
    let mut draw = Draw(TestRng::from_seed(RngAlgorithm::ChaCha, &[seed; 32]));
    std::iter::repeat_with(move || draw.case())
        .filter(|case| check::check(case).is_empty())
        .take(count)
}

fn fired(case: &Case, resolution: Resolution) -> Shot {
    let settings = Settings {
        resolution,
        until: Until::Frozen,
        ..Settings::default()
    };
    fire(&Rig::new(case), &settings, &mut Workspace::default()).expect("a shot")
}

/// By how much melts may differ: of any case, and of two metals.
const ANY: f64 = 0.03;
const PAIRS: f64 = 0.01;

/// The largest of the melt depths counts as much as a tenth of a cell's reach [m].
const LITTLE: f64 = 0.5e-6;

/// Cases of two metals that pass the checks.
fn pairs(seed: u8, count: usize) -> impl Iterator<Item = Case> {
    cases(seed, usize::MAX)
        .filter(|case| case.stud.metal != case.sheet.metal)
        .take(count)
}

/// Holds the melt by fronts against that by enthalpy, within the part `melts` of the depths; whether the verdicts,
/// too: near a limit they are left out.
fn agree(case: &Case, fronts: &Shot, enthalpy: &Shot, melts: f64) -> Result<bool, String> {
    let (a, b) = (&fronts.figures, &enthalpy.figures);
    for (name, a, b, part, least) in [
        (
            "melt of the stud",
            a.melt_stud_m,
            b.melt_stud_m,
            melts,
            LITTLE,
        ),
        (
            "melt of the sheet",
            a.melt_sheet_m,
            b.melt_sheet_m,
            melts,
            LITTLE,
        ),
        (
            "largest melt",
            a.melt_sheet_max_m,
            b.melt_sheet_max_m,
            melts,
            LITTLE,
        ),
        (
            "closed",
            a.squeeze_travel_m,
            b.squeeze_travel_m,
            0.04,
            2.0 * LITTLE,
        ),
        ("freezing", a.freeze_s, b.freeze_s, 0.01, 5e-6),
        ("vapour", a.vapour_share, b.vapour_share, 0.03, 1e-3),
    ] {
        let near = match (a, b) {
            (None, None) => true,
            (Some(a), Some(b)) => (a - b).abs() <= part * a.abs().max(b.abs()) + least,
            _ => false,
        };
        if !near {
            return Err(format!("{name}: fronts {a:?}, enthalpy {b:?}"));
        }
    }
    let decided = |shot: &Shot| {
        let f = &shot.figures;
        f.fill_ratio.is_none_or(|fill| (fill - 1.0).abs() > 0.05)
            && f.vapour_share.is_none_or(|v| (v - 0.1).abs() > 0.005)
            && f.melt_sheet_max_m
                .is_none_or(|m| (m / (0.5 * case.sheet.thickness) - 1.0).abs() > 0.05)
    };
    let decided = decided(enthalpy);
    if decided && fronts.verdict != enthalpy.verdict {
        return Err(format!("{:?} and {:?}", fronts.verdict, enthalpy.verdict));
    }
    Ok(decided)
}

#[test]
fn agrees_with_the_enthalpy_method_over_random_cases() {
    let (mut landed, mut followed, mut finer, mut verdicts) = (0, 0, 0, 0);
    for (n, case) in cases(1, 300).enumerate() {
        let fronts = fired(&case, Resolution::fronts());
        let enthalpy = fired(&case, Resolution::enthalpy());
        let decided = agree(&case, &fronts, &enthalpy, ANY).or_else(|_| {
            finer += 1;
            agree(&case, &fronts, &fired(&case, fine_enthalpy()), ANY)
        });
        verdicts += usize::from(decided.unwrap_or_else(|why| panic!("{n}: {why}\n{case:#?}")));
        landed += usize::from(fronts.figures.touchdown_s.is_some());
        followed += usize::from(fronts.effort.heat_solves < enthalpy.effort.heat_solves);
    }
    // Otherwise the enthalpy method was compared with itself.
    assert!(landed > 100, "only {landed} landed");
    assert!(followed > 100, "only {followed} were followed");
    assert!(verdicts > 200, "only {verdicts} verdicts were compared");
    assert!(finer < 10, "{finer} agree with the fine mesh only");
}

#[test]
fn agrees_with_the_enthalpy_method_over_random_pairs_of_two_metals() {
    let (mut landed, mut left, mut finer) = (0, 0, 0);
    for (n, case) in pairs(4, 250).enumerate() {
        let fronts = fired(&case, Resolution::fronts());
        let enthalpy = fired(&case, Resolution::enthalpy());
        if fronts.figures.touchdown_s.is_none() {
            continue;
        }
        landed += 1;
        left += usize::from(fronts.effort.heat_solves == enthalpy.effort.heat_solves);
        let agreed = agree(&case, &fronts, &enthalpy, PAIRS).or_else(|_| {
            finer += 1;
            agree(&case, &fronts, &fired(&case, fine_enthalpy()), PAIRS)
        });
        agreed.unwrap_or_else(|why| panic!("{n}: {why}\n{case:#?}"));
    }
    assert!(landed > 100, "only {landed} landed");
    // Melt near the back, in the main.
    assert!(
        left * 10 < landed,
        "{left} of {landed} were left to the enthalpy method"
    );
    assert!(finer * 4 < landed, "{finer} agree with the fine mesh only");
}

#[test]
fn conserves_heat_whichever_method() {
    let mut heated = 0;
    for case in cases(2, 200).chain(pairs(5, 100)) {
        for resolution in [Resolution::fronts(), Resolution::enthalpy()] {
            let settings = Settings {
                resolution,
                ..Settings::default()
            };
            let shot = fire(&Rig::new(&case), &settings, &mut Workspace::default());
            let shot = shot.expect("a shot");
            let gap = shot.effort.heat_imbalance;
            assert!(gap < 1e-9, "{gap:e} {resolution:?}\n{case:#?}");
            let unsettled = shot.effort.heat_unsettled;
            assert_eq!(unsettled, 0, "{resolution:?}\n{case:#?}");
            assert!(work(&shot) < MOST_WORK, "{:?}\n{case:#?}", shot.effort);
            heated += usize::from(shot.effort.heat_solves > 0);
        }
    }
    assert!(heated > 375, "only {heated} had heat to follow");
}

/// The fronts with cells and steps finer by these factors; the cells are the ones that fit.
fn finer(cells: u32, steps: u32) -> Resolution {
    let r = Resolution::fronts();
    let by = f64::from(steps);
    Resolution {
        cells: match cells {
            1 => Cells::Standard,
            2 => Cells::Fine,
            _ => Cells::Finest,
        },
        first_cell: r.first_cell / f64::from(cells),
        arc_steps: r.arc_steps * steps as usize,
        contact_step: r.contact_step / by,
        growth: r.growth.powf(1.0 / by),
        longest: r.longest / by,
        ..r
    }
}

#[test]
fn conserves_the_second_order_of_the_fronts_in_cells_and_steps() {
    // Halved twice, an error of the order p leaves differences that fall by 2^p. The freezing time has
    // seen every cell and step; the melt at touchdown is known to the secant's tolerance only. On the usual
    // mesh cells err by +0.16 % and steps by as much the other way: halved together from there they cancel, and
    // what is left tells no order. From a quarter of its steps on the cells decide.
    let freezing = |r| fired(&Case::default(), r).figures.freeze_s.expect("melt");
    for (name, levels) in [
        ("both", [(1, 4), (2, 8), (4, 16)]),
        ("steps", [(4, 1), (4, 2), (4, 4)]),
        ("cells", [(1, 32), (2, 32), (4, 32)]),
    ] {
        let [a, b, c] = levels.map(|(cells, steps)| freezing(finer(cells, steps)));
        let order = ((a - b) / (b - c)).log2();
        // Three meshes tell an order to a few tenths.
        assert!((order - 2.0).abs() < 0.4, "{name}: order {order}");
    }
}

#[test]
fn regress_the_usual_mesh_is_good_to_a_thousandth() {
    for stud in ["mild steel", "brass 63/37"] {
        let mut case = Case::default();
        case.stud.metal = catalogue::metal(stud);
        let figures = |r| fired(&case, r).figures;
        let (usual, fine) = (figures(Resolution::fronts()), figures(finer(4, 16)));
        for (name, a, b) in [
            ("melt", usual.melt_stud_m, fine.melt_stud_m),
            ("freezing", usual.freeze_s, fine.freeze_s),
        ] {
            let off = a.expect("a weld") / b.expect("a weld") - 1.0;
            assert!(off.abs() < 1e-3, "{stud}: {name} off by {off}");
        }
    }
}

#[test]
fn agrees_with_the_enthalpy_method_where_the_fronts_do_not_cover() {
    // A sheet molten to its back goes to the enthalpy method whole, so that the figures are its own.
    let mut case = Case::default();
    case.sheet.metal = catalogue::metal("aluminium Mg alloy");
    case.sheet.thickness = 0.3e-3;
    let fronts = fired(&case, Resolution::fronts());
    let enthalpy = fired(&case, Resolution::enthalpy());
    assert!(fronts.figures.touchdown_s.is_some());
    assert_eq!(fronts.figures, enthalpy.figures);
    assert_eq!(Resolution::default().method, Method::Fronts);
}
