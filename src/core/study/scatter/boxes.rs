//! How many welds of a box of studs are not sound, box by box.

use std::collections::BTreeMap;

/// Full boxes by the number of welds in them that are not sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Boxes {
    /// Studs in a box.
    pub size: usize,
    counts: BTreeMap<u32, u64>,
    /// Studs of the box begun, and how many of them are not sound.
    begun: (usize, u32),
}

impl Boxes {
    /// Boxes of `size` studs, none of them full yet.
    pub fn new(size: usize) -> Self {
        Boxes {
            size,
            counts: BTreeMap::new(),
            begun: (0, 0),
        }
    }

    /// Takes the next stud.
    pub fn take(&mut self, sound: bool) {
        self.begun.0 += 1;
        self.begun.1 += u32::from(!sound);
        if self.begun.0 == self.size {
            *self.counts.entry(self.begun.1).or_default() += 1;
            self.begun = (0, 0);
        }
    }

    /// Full boxes.
    pub fn count(&self) -> u64 {
        self.counts.values().sum()
    }

    /// The least number of welds not sound that `share` of the boxes do not exceed; `None` without a full box.
    pub fn quantile(&self, share: f64) -> Option<u32> {
        let wanted = share * self.count() as f64;
        let mut boxes = 0;
        let mut found = self.counts.iter().map(|(bad, count)| {
            boxes += count;
            (*bad, boxes)
        });
        found
            .find(|(_, boxes)| *boxes as f64 >= wanted)
            .map(|(bad, _)| bad)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_are_counted_when_they_are_full() {
        let mut boxes = Boxes::new(4);
        assert_eq!(boxes.quantile(0.5), None);
        // Boxes with 0, 1, 4 and 1 bad studs, and two studs of the next.
        let bad = [0, 0, 0, 0, 0, 1, 0, 0, 1, 1, 1, 1, 0, 0, 0, 1, 1, 1];
        bad.iter().for_each(|bad| boxes.take(*bad == 0));
        assert_eq!(boxes.count(), 4);
        let quantiles = [0.25, 0.5, 0.75, 0.95, 1.0].map(|share| boxes.quantile(share));
        assert_eq!(quantiles, [0, 1, 1, 4, 4].map(Some));
    }
}
