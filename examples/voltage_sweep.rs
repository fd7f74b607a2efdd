//! Fill and verdict of the demonstration case over the charging voltage, with the band.
//!
//! Run it with: `cargo run --release --example voltage_sweep`

use arcplunge_core::case::Case;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::study::band::band;

fn main() -> Result<(), IntegrationError> {
    let mut work = Workspace::default();
    println!("   V   fill   band            boiled   verdict");
    for volts in (90..=135).step_by(5) {
        println!("{}", row(f64::from(volts), &mut work)?);
    }
    Ok(())
}

/// One line of the table: the demonstration case charged to `volts` [V].
pub fn row(volts: f64, work: &mut Workspace) -> Result<String, IntegrationError> {
    let mut case = Case::default();
    case.bank.voltage = volts;
    let shot = fire(&Rig::new(&case), &Settings::default(), work)?;
    let band = band(&case, shot.verdict)?;

    let fill = number(shot.figures.fill_ratio);
    let range = band.as_ref().and_then(|b| b.fill_ratio);
    let range = range.map_or("–".into(), |[low, high]| format!("{low:.2} to {high:.2}"));
    let boiled = number(shot.figures.vapour_share.map(|share| 100.0 * share));
    let verdict = shot.verdict.map_or("discharge test", |v| v.name());
    let doubt = match band {
        Some(b) if b.borderline => ", borderline",
        _ => "",
    };
    Ok(format!(
        "{volts:>4}   {fill:>4}   {range:<14} {boiled:>5} %   {verdict}{doubt}"
    ))
}

/// Two decimals, or a dash where there is no figure.
fn number(value: Option<f64>) -> String {
    value.map_or("–".into(), |v| format!("{v:.2}"))
}
