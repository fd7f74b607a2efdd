//! The lumped numbers and the mesh, from the file that benches/peers/run writes.

use std::collections::HashMap;

/// `name value value ...` lines, SI.
pub struct Numbers(HashMap<String, Vec<f64>>);

impl Numbers {
    pub fn read(path: &str) -> Self {
        let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{path}: {e}"));
        Self(
            text.lines()
                .map(|line| {
                    let mut words = line.split_whitespace();
                    let name = words.next().unwrap_or_default().to_string();
                    (name, words.map(|w| w.parse().expect("a number")).collect())
                })
                .collect(),
        )
    }

    pub fn all(&self, name: &str) -> &[f64] {
        self.0.get(name).unwrap_or_else(|| panic!("no {name}"))
    }

    pub fn one(&self, name: &str) -> f64 {
        self.all(name)[0]
    }

    pub fn two(&self, name: &str) -> [f64; 2] {
        [self.all(name)[0], self.all(name)[1]]
    }
}
