//! `completions`, `manual` and `case schema`.

use serde_json::Value;

use crate::tool::Bench;

#[test]
fn completions_know_every_command() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let text = Bench::new().run(&["completions", shell]).done();
        for word in ["chart", "compare", "spring", "completions"] {
            assert!(text.contains(word), "{shell}: {word}");
        }
    }
    Bench::new().run(&["completions", "basic"]).failed(2);
}

#[test]
fn manual_pages_are_of_the_program_or_of_a_command() {
    let whole = Bench::new().run(&["manual"]).done();
    assert!(whole.contains(".TH arcplunge 1"), "{whole}");
    assert!(whole.contains("arcplunge\\-chart(1)"), "{whole}");
    let one = Bench::new().run(&["manual", "chart"]).done();
    for word in [".TH arcplunge-chart 1", "\\-\\-voltage", "Ctrl\\-C"] {
        assert!(one.contains(word), "{word}: {one}");
    }
    let said = Bench::new().run(&["manual", "chrt"]).failed(2);
    assert!(said.contains("did you mean chart?"), "{said}");
}

#[test]
fn the_schema_is_json_and_names_every_section() {
    let text = Bench::new().run(&["case", "schema"]).done();
    let schema: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    for section in ["bank", "lead", "earth", "tool", "metal", "model"] {
        assert!(schema["properties"][section].is_object(), "{section}");
    }
    assert_eq!(
        schema["properties"]["bank"]["properties"]["voltage"]["default"],
        "112 V"
    );
    assert_eq!(schema["additionalProperties"], false);
}
