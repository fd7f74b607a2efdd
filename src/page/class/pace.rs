//! How often something may be done.

use std::time::Instant;

/// Fills with time, and each time takes from it.
#[derive(Debug)]
pub struct Bucket {
    /// Times a second.
    rate: f64,
    /// Times at once.
    most: f64,
    left: f64,
    last: Instant,
}

impl Bucket {
    /// A full one, for so many times a second and at once.
    pub fn new((rate, most): (f64, f64), now: Instant) -> Bucket {
        Bucket {
            rate,
            most,
            left: most,
            last: now,
        }
    }

    /// Whether it may be done once more now.
    pub fn take(&mut self, now: Instant) -> bool {
        let passed = now.saturating_duration_since(self.last).as_secs_f64();
        self.left = (self.left + self.rate * passed).min(self.most);
        self.last = now;
        let may = self.left >= 1.0;
        self.left -= f64::from(u8::from(may));
        may
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn so_many_at_once_and_so_many_a_second() {
        let start = Instant::now();
        let mut bucket = Bucket::new((5.0, 8.0), start);
        let count = |bucket: &mut Bucket, at: f64| {
            let now = start + Duration::from_secs_f64(at);
            (0..100).filter(|_| bucket.take(now)).count()
        };
        assert_eq!(count(&mut bucket, 0.0), 8);
        assert_eq!(count(&mut bucket, 0.0), 0);
        assert_eq!(count(&mut bucket, 1.01), 5);
        // A rest saves no more than the burst.
        assert_eq!(count(&mut bucket, 1000.0), 8);
    }
}
