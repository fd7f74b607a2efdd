//! The weld cycle with diffsol.
//!
//! usage: peer-diffsol NUMBERS tsit45|bdf RTOL bdf|tr_bdf2|esdirk34 HEAT_RTOL HEAT_ATOL SHOTS
//!
//! Prints figures and the seconds of processor time of each shot as JSON; only the solves are timed.

mod discharge;
mod heat;
mod numbers;

use cpu_time::ProcessTime;

fn main() {
    let a: Vec<String> = std::env::args().skip(1).collect();
    let [file, method, rtol, heat_method, heat_rtol, heat_atol, shots] = &a[..] else {
        eprintln!("usage: peer-diffsol NUMBERS METHOD RTOL HEAT_METHOD HEAT_RTOL HEAT_ATOL SHOTS");
        std::process::exit(2);
    };
    let number = |text: &String| text.parse::<f64>().expect("a number");
    let shots = number(shots) as usize;
    let n = numbers::Numbers::read(file);
    let (rig, faces) = (discharge::Rig::new(&n), heat::Faces::new(&n));

    let (mut march_s, mut heat_s) = (Vec::new(), Vec::new());
    let mut course = discharge::Course::default();
    let mut times = |fire: &mut dyn FnMut() -> discharge::Course| {
        for _ in 0..=shots {
            let start = ProcessTime::now();
            course = fire();
            march_s.push(start.elapsed().as_secs_f64());
        }
    };
    match method.as_str() {
        "tsit45" => rig.tsit45(number(rtol), &mut times),
        "bdf" => rig.bdf(number(rtol), &mut times),
        other => panic!("no method {other}"),
    }
    let mut melted = heat::Melted::default();
    let tolerance = [number(heat_rtol), number(heat_atol)];
    faces.run(heat_method, tolerance, &mut |fire| {
        for _ in 0..=shots {
            let start = ProcessTime::now();
            melted = fire(&course);
            heat_s.push(start.elapsed().as_secs_f64());
        }
    });
    // The first shot warms up.
    let [melt_stud, melt_sheet] = melted.melt;
    println!(
        "{{\"touchdown_s\":{:e},\"current_end_s\":{:e},\"arc_energy_J\":{:e},\"melt_stud_m\":{:e},\
         \"melt_sheet_m\":{:e},\"freeze_s\":{:e},\"vapour_share\":{:e},\"ignition_s\":{:e},\
         \"steps\":[{},{}],\"march_s\":{:?},\"heat_s\":{:?}}}",
        course.touchdown,
        course.current_end,
        course.arc_energy,
        melt_stud,
        melt_sheet,
        melted.freeze,
        melted.vapour_share,
        course.ignition,
        course.steps,
        melted.steps,
        &march_s[1..],
        &heat_s[1..]
    );
}
