//! How often a weld is sound, in words.

use serde_json::{Value, json};

use arcplunge_core::study::chance::Chance;

/// "107 of 128"
pub fn count(Chance { sound, shots }: Chance) -> String {
    format!("{sound} of {shots}")
}

/// "Sound in 107 of 128 welds drawn: model, rig and stud at once, each within its spread"
pub fn odds(chance: Chance) -> String {
    format!(
        "Sound in {} welds drawn: model, rig and stud at once, each within its spread",
        count(chance)
    )
}

/// The same where there is little room: "Of 128 welds drawn 107 are sound."
pub fn short(chance: Chance) -> String {
    let Chance { sound, shots } = chance;
    let poor = if chance.is_poor() {
        ": rely on no such setting before test welds"
    } else {
        ""
    };
    format!("Of {shots} welds drawn {sound} are sound{poor}.")
}

/// What is to be said of a setting at which most of them are not.
pub fn poor() -> &'static str {
    "More often not sound than sound: no setting to rely on before test welds have shown otherwise."
}

/// For programs.
pub fn json(chance: Chance) -> Value {
    json!({"sound": chance.sound, "shots": chance.shots})
}
