//! How often a weld is sound, in words.

use serde_json::{Value, json};

use arcplunge_core::study::chance::Chance;

/// "Sound in 107 of 128 welds drawn: model, rig and stud at once, each within its spread"
pub fn odds(chance: Chance) -> String {
    let Chance { sound, shots } = chance;
    format!(
        "Sound in {sound} of {shots} welds drawn: model, rig and stud at once, each within its spread"
    )
}

/// What is to be said of a setting at which most of them are not.
pub fn poor() -> &'static str {
    "More often not sound than sound: no setting to rely on before test welds have shown otherwise."
}

/// For programs.
pub fn json(chance: Chance) -> Value {
    json!({"sound": chance.sound, "shots": chance.shots})
}
