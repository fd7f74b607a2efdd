//! One shot, whole and in parts: `cargo bench`.

use std::hint::black_box;

use arcplunge_core::case::{Case, read};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::trace;
use criterion::{Criterion, criterion_group, criterion_main};

fn shot(c: &mut Criterion) {
    let case = Case::default();
    let rig = Rig::new(&case);
    let mut work = Workspace::default();
    let whole = Settings::default();
    let frozen = Settings {
        until: Until::Frozen,
        ..whole
    };

    let mut group = c.benchmark_group("shot");
    group.bench_function("rig from case", |b| b.iter(|| Rig::new(black_box(&case))));
    group.bench_function("to freezing", |b| {
        b.iter(|| fire(black_box(&rig), &frozen, &mut work));
    });
    group.bench_function("with late heating", |b| {
        b.iter(|| fire(black_box(&rig), &whole, &mut work));
    });
    let test = Rig::new(&{
        let mut bolted = case.clone();
        bolted.stud.short_resistance = Some(1e-3);
        bolted
    });
    group.bench_function("bolted discharge", |b| {
        b.iter(|| fire(black_box(&test), &whole, &mut work));
    });
    group.bench_function("trace each 2 us", |b| {
        b.iter(|| trace(black_box(&rig), &whole, 2e-6, &mut work));
    });
    for name in ["sound-weld", "loose-clamp", "gap-aluminium"] {
        let path = format!("{}/examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let case = read::read_file(path.as_ref(), &[]).expect("a case").case;
        let rig = Rig::new(&case);
        group.bench_function(format!("{name} to freezing"), |b| {
            b.iter(|| fire(black_box(&rig), &frozen, &mut work));
        });
    }
    group.finish();
}

criterion_group!(benches, shot);
criterion_main!(benches);
