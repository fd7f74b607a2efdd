//! Earth branches that begin and cease to conduct, joints that melt and set.

use super::sane;

#[test]
fn regress_equal_arcing_branches_stop_together() {
    // The second of two branches that stop at one instant went on conducting backwards.
    let arcing = ["earth.0.clamp=arcing", "earth.1.clamp=arcing"];
    sane(&[&arcing[..], &["earth.2.clamp=tight"]].concat());
    sane(&arcing);
    sane(
        &[
            &arcing[..],
            &["earth.2.clamp=arcing", "earth.3.length=20 m"],
        ]
        .concat(),
    );
}

#[test]
fn regress_equal_arcing_branches_start_together() {
    // The first of two branches stopped again at once, as the other took its current, and so on for ever.
    sane(&[
        "bank.voltage=63.26 V",
        "bank.esr=0.9934 mohm",
        "lead.length=1.009 m",
        "earth.0.clamp=arcing",
        "earth.1.section=78.52 mm2",
        "earth.2.clamp=arcing",
        "earth.3.length=0.1644 m",
        "earth.3.clamp={ resistance = \"14.07 mohm\", drop = \"10.52 V\" }",
        "tool.spring_force=0.7739 N",
        "tool.friction=0 N",
        "stud.metal=copper",
    ]);
}

#[test]
fn regress_a_branch_that_starts_in_a_dip_of_the_others_does_not_chatter() {
    // It started at no current and no slope; its guard's double zero there was taken for its stop, 10,000 times.
    sane(&[
        "bank.voltage=4.896e1 V",
        "bank.capacitance=1.128e2 mF",
        "bank.esr=1.391e1 mohm",
        "bank.switch_slope=2.855e-2 mohm",
        "lead.section=3.051e1 mm2",
        "lead.turns=8.414e-1",
        "earth.0.length=5.399e-1 m",
        "earth.0.section=4.510e1 mm2",
        "earth.0.clamp=loose",
        "earth.0.at=[\"916.2 mm\", \"95.4 mm\"]",
        "earth.1.terminal={ resistance = \"1.404e1 mohm\", drop = \"3.32 V\" }",
        "earth.2.length=3.456e0 m",
        "earth.2.clamp=loose",
        "tool.spring_force=2.740e0 N",
        "tool.friction=0 N",
        "sheet.metal=stainless 18/8",
    ]);
}

#[test]
fn regress_a_branch_that_conducts_for_less_than_a_step_does_not_chatter() {
    // It started and stopped again within the first step, of which the ends alone showed the stop.
    sane(&[
        "bank.capacitance=1.096e2 mF",
        "bank.esr=9.414e0 mohm",
        "lead.length=6.903e-1 m",
        "lead.section=4.465e1 mm2",
        "earth.1.length=1.803e0 m",
        "earth.2.length=4.538e-1 m",
        "earth.2.clamp=arcing",
        "joints.bank=loose",
        "tool.spring_force=6.759e-1 N",
        "tool.friction=0 N",
        "stud.metal=copper",
        "sheet.metal=stainless 18/8",
        "sheet.thickness=2.658e1 mm",
    ]);
}

#[test]
fn regress_a_branch_that_starts_backwards_stops_at_once() {
    // An arcing earth at zero went negative and came back within one long step.
    sane(&[
        "bank.voltage=9.374e1 V",
        "bank.esr=0 ohm",
        "earth.0.length=8.963e-1 m",
        "earth.0.clamp={ resistance = \"6.126e-1 mohm\", drop = \"11.68 V\" }",
        "earth.1.length=6.914e-1 m",
        "earth.1.section=5.561e1 mm2",
        "earth.1.clamp=loose",
        "earth.2.length=5.365e-1 m",
        "earth.2.clamp=arcing",
        "tool.spring_force=3.018e0 N",
        "tool.friction=0 N",
        "stud.size=M3",
        "arc.fall=1.926e0 V",
        "model.burst_share=7.213e-2",
    ]);
}

#[test]
fn regress_a_joint_that_sets_at_the_peak_is_not_molten_again_by_rounding() {
    // It set and melted by turns, 10,000 times at one instant.
    sane(&[
        "bank.capacitance=7.964e2 mF",
        "bank.esr=2.053e1 mohm",
        "lead.length=2.142e-1 m",
        "earth.0.length=5.922e0 m",
        "earth.0.clamp={ resistance = \"3.364e-2 mohm\", drop = \"5.40 V\" }",
        "earth.0.at=[\"-1186.0 mm\", \"-691.5 mm\"]",
        "earth.1.length=1.402e0 m",
        "earth.1.clamp={ resistance = \"1.002e1 mohm\", force = \"3.969e2 N\", drop = \"10.06 V\" }",
        "earth.2.terminal=tight",
        "earth.3.at=[\"1135.1 mm\", \"744.1 mm\"]",
        "joints.bank={ resistance = \"1.610e0 mohm\", force = \"4.015e1 N\", drop = \"11.41 V\" }",
        "tool.spring_rate=0 N/mm",
        "tool.friction=7.250e-1 N",
        "stud.metal=aluminium Mg alloy",
    ]);
}
