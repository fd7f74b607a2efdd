//! The two ways to solve the heat, following the fronts and by enthalpy, against each other over
//! cases drawn from wide bounds.

use std::time::Instant;

use arcplunge::case::{Case, catalogue, check};
use arcplunge::cycle::fire::{Settings, Workspace, fire};
use arcplunge::cycle::heating::Until;
use arcplunge::cycle::mesh::{Cells, Method, Resolution};
use arcplunge::cycle::rig::Rig;
use arcplunge::cycle::shot::Shot;

/// A small generator of even numbers (splitmix64), so that every run draws the same cases.
struct Draw(u64);

impl Draw {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    fn one_of<T: Clone>(&mut self, all: &[T]) -> T {
        all[((self.unit() * all.len() as f64) as usize).min(all.len() - 1)].clone()
    }

    fn case(&mut self) -> Case {
        let mut case = Case::default();
        let size = catalogue::stud(self.one_of(&catalogue::stud_names()));
        case.stud.flange = size.flange;
        case.stud.pip_diameter = size.pip_diameter * self.between(0.8, 1.2);
        case.stud.pip_length = size.pip_length * self.between(0.7, 1.3);
        case.stud.cone = self.between(1.0, 5.0_f64).to_radians();
        case.stud.metal = catalogue::metal(self.one_of(&catalogue::metal_names()));
        case.sheet.metal = if self.unit() < 0.7 {
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
        case.arc.to_stud = self.between(0.15, 0.49);
        case.arc.to_sheet = self.between(0.15, 0.49);
        case.arc.fall = self.between(10.0, 24.0);
        case.model.stud_depth = self.between(1e-3, 8e-3);
        case
    }
}

/// Cases that pass the checks.
fn cases(seed: u64, count: usize) -> impl Iterator<Item = Case> {
    let mut draw = Draw(seed);
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

/// The largest of the melt depths counts as much as a tenth of a cell's reach [m].
const LITTLE: f64 = 0.5e-6;

#[test]
fn agrees_with_the_enthalpy_method_over_random_cases() {
    let (mut landed, mut followed) = (0, 0);
    for (n, case) in cases(1, 300).enumerate() {
        let fronts = fired(&case, Resolution::fronts());
        let enthalpy = fired(&case, Resolution::enthalpy());
        let (a, b) = (&fronts.figures, &enthalpy.figures);
        let near = |name: &str, a: Option<f64>, b: Option<f64>, part: f64, least: f64| match (a, b)
        {
            (None, None) => {}
            (Some(a), Some(b)) => assert!(
                (a - b).abs() <= part * a.abs().max(b.abs()) + least,
                "{n} {name}: fronts {a:e}, enthalpy {b:e}\n{case:#?}"
            ),
            _ => panic!("{n} {name}: fronts {a:?}, enthalpy {b:?}\n{case:#?}"),
        };
        near(
            "melt of the stud",
            a.melt_stud_m,
            b.melt_stud_m,
            0.03,
            LITTLE,
        );
        near(
            "melt of the sheet",
            a.melt_sheet_m,
            b.melt_sheet_m,
            0.03,
            LITTLE,
        );
        near(
            "largest melt",
            a.melt_sheet_max_m,
            b.melt_sheet_max_m,
            0.03,
            LITTLE,
        );
        near("closed", a.closed_m, b.closed_m, 0.04, 2.0 * LITTLE);
        near("freezing", a.freeze_s, b.freeze_s, 0.01, 5e-6);
        near("vapour", a.vapour_share, b.vapour_share, 0.03, 1e-3);
        let decided = |shot: &Shot| {
            let f = &shot.figures;
            f.fill_ratio.is_none_or(|fill| (fill - 1.0).abs() > 0.05)
                && f.vapour_share.is_none_or(|v| (v - 0.1).abs() > 0.005)
                && f.melt_sheet_max_m
                    .is_none_or(|m| (m / (0.5 * case.sheet.thickness) - 1.0).abs() > 0.05)
        };
        if decided(&enthalpy) {
            assert_eq!(fronts.verdict, enthalpy.verdict, "{n}: {case:#?}");
        }
        landed += usize::from(a.touchdown_s.is_some());
        followed += usize::from(fronts.effort.heat_solves < enthalpy.effort.heat_solves);
    }
    // Otherwise the enthalpy method was compared with itself.
    assert!(landed > 100, "only {landed} landed");
    assert!(followed > 100, "only {followed} were followed");
}

#[test]
fn conserves_heat_whichever_method() {
    for case in cases(2, 200) {
        for resolution in [Resolution::fronts(), Resolution::enthalpy()] {
            let start = Instant::now();
            let settings = Settings {
                resolution,
                ..Settings::default()
            };
            let shot = fire(&Rig::new(&case), &settings, &mut Workspace::default());
            let gap = shot.expect("a shot").effort.heat_imbalance;
            assert!(gap < 1e-9, "{gap:e} {resolution:?}\n{case:#?}");
            // A guard against runaway work, far above what any machine needs.
            assert!(start.elapsed().as_secs_f64() < 1.0, "{case:#?}");
        }
    }
}

#[test]
fn agrees_with_itself_better_the_finer_it_is() {
    // Second order: half the cell and half the step leave about a quarter of the deviation.
    let finer = |cells, by: f64| {
        let r = Resolution::fronts();
        Resolution {
            cells,
            first_cell: r.first_cell / by,
            arc_steps: (r.arc_steps as f64 * by) as usize,
            contact_step: r.contact_step / by,
            growth: r.growth.powf(1.0 / by),
            longest: r.longest / by,
            ..r
        }
    };
    let case = Case::default();
    let melt = |r| fired(&case, r).figures.melt_stud_m.expect("a touchdown");
    let truth = melt(finer(Cells::Finest, 4.0));
    let error = |r| (melt(r) / truth - 1.0).abs();
    let coarse = error(finer(Cells::Coarse, 0.5));
    let standard = error(finer(Cells::Standard, 1.0));
    let fine = error(finer(Cells::Fine, 2.0));
    assert!(standard < 0.002, "{standard}");
    assert!(fine < 0.25 * coarse, "{fine} {coarse}");
}

#[test]
fn agrees_with_the_enthalpy_method_where_the_fronts_do_not_cover() {
    // Unlike metals go to the enthalpy method whole, so that the figures are its own.
    let mut case = Case::default();
    case.sheet.metal = catalogue::metal(catalogue::metal_names()[1]);
    assert_ne!(case.stud.metal, case.sheet.metal);
    let fronts = fired(&case, Resolution::fronts());
    let enthalpy = fired(&case, Resolution::enthalpy());
    assert!(fronts.figures.touchdown_s.is_some());
    assert_eq!(fronts.figures, enthalpy.figures);
    assert_eq!(Resolution::default().method, Method::Fronts);
}
