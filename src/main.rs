use arcplunge::case::read;
use arcplunge::cycle::{
    fire::{Settings, Workspace, fire},
    rig::Rig,
};
fn main() {
    println!(
        "{:28} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6}",
        "case", "peak", "at", "ign", "arc", "v", "J", "melt", "fill", "vap%", "frozen", "iend"
    );
    for p in std::env::args().skip(1) {
        let c = match read::read_file(p.as_ref(), &[]) {
            Ok(c) => c,
            Err(e) => {
                println!("{}", e.render(false));
                continue;
            }
        };
        let rig = Rig::new(&c.case);
        let mut ws = Workspace::default();
        let s = match fire(&rig, &Settings::default(), &mut ws) {
            Ok(s) => s,
            Err(e) => {
                println!("{p} {e}");
                continue;
            }
        };
        let f = &s.figures;
        let o = |v: Option<f64>, k: f64| v.map_or("none".into(), |v| format!("{:.4}", v * k));
        let name = p.rsplit('/').next().unwrap();
        println!(
            "{:24} {:>9} {:>7} {:>7} {:>7} {:>7} {:>9} {:>8} {:>7} {:>7} {:>7} {:>7} {:?} ledger {:.1e} heat {:.1e} cool {:?} back {:?} {:?}",
            name,
            o(f.peak_current_A, 1.),
            o(f.time_of_peak_s, 1e3),
            o(f.ignition_s, 1e3),
            o(f.arc_time_s, 1e3),
            o(f.touchdown_speed_m_per_s, 1.),
            o(f.arc_energy_J, 1.),
            o(f.melt_sheet_m, 1e6),
            o(f.fill_ratio, 1.),
            o(f.vapour_share, 100.),
            o(f.freeze_s, 1e3),
            o(f.current_end_s, 1e3),
            s.verdict,
            s.imbalance(),
            s.effort.heat_imbalance,
            f.cooling_rate_K_per_s,
            f.back_face_K,
            s.effort
        );
        let t = std::time::Instant::now();
        for _ in 0..300 {
            std::hint::black_box(fire(&rig, &Settings::default(), &mut ws)).ok();
        }
        let full = t.elapsed().as_secs_f64() / 300.;
        let st = Settings {
            until: arcplunge::cycle::heating::Until::Frozen,
            ..Settings::default()
        };
        let t = std::time::Instant::now();
        for _ in 0..300 {
            std::hint::black_box(fire(&rig, &st, &mut ws)).ok();
        }
        println!(
            "   {:.1} us full, {:.1} us frozen",
            full * 1e6,
            t.elapsed().as_secs_f64() / 300. * 1e6
        );
    }
}
