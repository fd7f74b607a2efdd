//! The code that lets a phone in: short enough to type, new at each start.

use std::io;

use super::random::{alike, bytes};

/// Digits and letters that are not taken for one another: no 0 and O, no 1, I and L.
const LETTERS: &[u8; 31] = b"23456789ABCDEFGHJKMNPQRSTUVWXYZ";

/// Letters of a code: 31⁶ are some 900 million codes.
const LONG: usize = 6;

#[derive(Debug)]
pub struct Code(String);

impl Code {
    /// A new one.
    ///
    /// # Errors
    /// When the system has no random numbers.
    pub fn new() -> io::Result<Code> {
        let mut code = String::new();
        while code.len() < LONG {
            // Of 32 equal numbers the last is drawn again, so that each letter is as likely as another.
            let drawn = usize::from(bytes::<1>()?[0] % 32);
            if let Some(letter) = LETTERS.get(drawn) {
                code.push(char::from(*letter));
            }
        }
        Ok(Code(code))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether somebody said it, in letters of either case.
    pub fn is(&self, said: &str) -> bool {
        alike(&self.0, &said.trim().to_ascii_uppercase())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_six_letters_that_nobody_mistakes() {
        let mut used = std::collections::BTreeSet::new();
        for _ in 0..500 {
            let code = Code::new().unwrap();
            assert_eq!(code.as_str().len(), 6);
            used.extend(code.as_str().bytes());
        }
        assert!(used.iter().all(|letter| !b"01OIL".contains(letter)));
        // 3000 draws of 31 letters: that one is missing has a chance of 10⁻⁴¹.
        assert_eq!(used.len(), LETTERS.len());
    }

    #[test]
    fn only_the_code_itself_is_right() {
        let code = Code("K7P3QX".into());
        for said in ["K7P3QX", "k7p3qx", " K7P3QX "] {
            assert!(code.is(said), "{said}");
        }
        for said in ["", "K7P3Q", "K7P3QXX", "K7P3QY", "K7 P3QX"] {
            assert!(!code.is(said), "{said}");
        }
    }
}
