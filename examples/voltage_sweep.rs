//! Fill and verdict of the demonstration case over the charging voltage.
//!
//! Run it with: `cargo run --release --example voltage_sweep`

use arcplunge::{Case, Error, Rig, Settings, fire};

fn main() -> Result<(), Error> {
    let mut case = Case::default();
    for volts in (90..=145).step_by(5) {
        case.bank.voltage = f64::from(volts);
        let shot = fire(&Rig::try_new(&case)?, &Settings::default())?;
        let fill = shot.figures.fill_ratio.unwrap_or(0.0);
        println!(
            "{volts:>4} V   fill {fill:.2}   {}",
            shot.verdict.map_or("", |v| v.name())
        );
    }
    Ok(())
}
