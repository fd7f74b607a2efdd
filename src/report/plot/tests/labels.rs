//! Labels in a row never touch.

use proptest::collection::vec;
use proptest::prelude::*;

use crate::event_words::words;
use crate::plot::axis::{Scale, Unit};
use crate::plot::events::{Label, place};
use crate::plot::geometry::Rect;
use crate::plot::panel::Frame;
use crate::plot::spread::{room, spread};
use arcplunge_core::simulation::events::{Event, EventName};

fn frame(width: f64, end: f64) -> Frame {
    Frame {
        rect: Rect {
            left: 58.0,
            top: 100.0,
            right: width - 58.0,
            bottom: 400.0,
        },
        x: (0.0, end),
        hairs: Vec::new(),
    }
}

fn squares(found: &[f64], wanted: &[f64]) -> f64 {
    found.iter().zip(wanted).map(|(a, b)| (a - b).powi(2)).sum()
}

proptest! {
    #[test]
    fn event_labels_never_touch(
        mut times in vec(0.0..1.0f64, 10),
        bunch in 0usize..10,
        scale in -9.0..1.0f64,
        shown in 0.2..1.2f64,
        width in 720.0..3000.0f64,
    ) {
        // Some of them at one moment.
        for k in 0..bunch {
            times[k] = times[0];
        }
        times.sort_by(f64::total_cmp);
        let size = 10f64.powf(scale);
        let labels: Vec<Label> = times
            .iter()
            .zip(EventName::ALL)
            .map(|(t, event)| Label { at: t * size, name: words(&Event::new(event, *t)) })
            .collect();
        let second = Unit { symbol: "s", usual: -3 };
        let frame = frame(width, shown * size);
        let axis = Scale::along(second, 0.0, shown * size, 8);
        let (placed, _) = place(&labels, &frame, &axis, 10.0, width - 10.0);
        prop_assert_eq!(placed.len(), labels.len());
        for pair in placed.windows(2) {
            let space = pair[1].middle - pair[0].middle - 0.5 * (pair[0].width + pair[1].width);
            prop_assert!(space > 4.0, "{:?} and {:?}: {space}", pair[0].lines, pair[1].lines);
        }
        for p in &placed {
            prop_assert!(p.middle - 0.5 * p.width > 9.0);
            prop_assert!(p.middle + 0.5 * p.width < width - 9.0);
            prop_assert!((frame.rect.left..=frame.rect.right).contains(&p.anchor));
        }
    }

    #[test]
    fn a_row_is_as_near_as_any_other_allowed_one(
        mut wanted in vec(0.0..1000.0f64, 6),
        widths in vec(5.0..90.0f64, 6),
        other in vec(0.0..1.0f64, 7),
    ) {
        wanted.sort_by(f64::total_cmp);
        let (space, low, high) = (10.0, -50.0, 1050.0);
        let found = spread(&wanted, &widths, space, low, high);
        // Any other row that keeps the distances: the spare room shared out at will.
        let spare = high - low - room(&widths, space);
        let shares: f64 = other.iter().sum::<f64>().max(1e-9);
        let mut x = low;
        let mut rival = Vec::new();
        for (w, share) in widths.iter().zip(&other) {
            x += spare * share / shares;
            rival.push(x + 0.5 * w);
            x += w + space;
        }
        let best = squares(&found, &wanted);
        prop_assert!(best <= squares(&rival, &wanted) * (1.0 + 1e-9) + 1e-9);
        // On the way to the rival every row is allowed, so the found one must rise towards it.
        let near: Vec<f64> = found.iter().zip(&rival).map(|(a, b)| a + 1e-3 * (b - a)).collect();
        prop_assert!(best <= squares(&near, &wanted) * (1.0 + 1e-9) + 1e-9);
    }
}

#[test]
fn labels_with_room_stay_where_they_belong() {
    let found = spread(&[100.0, 300.0, 500.0], &[80.0; 3], 10.0, 0.0, 600.0);
    assert_eq!(found, [100.0, 300.0, 500.0]);
    assert!(spread(&[], &[], 10.0, 0.0, 600.0).is_empty());
}

#[test]
fn an_event_beyond_the_axis_says_so() {
    let second = Unit {
        symbol: "s",
        usual: -3,
    };
    let label = |at: f64, name: &str| Label {
        at,
        name: name.into(),
    };
    let labels = [label(1e-3, "touchdown"), label(17.3e-3, "current ends")];
    let axis = Scale::along(second, 0.0, 4e-3, 8);
    let (placed, _) = place(&labels, &frame(1000.0, 4e-3), &axis, 10.0, 990.0);
    assert_eq!(placed[0].lines, ["touchdown", "1.00 ms"]);
    assert_eq!(placed[1].lines, ["current ends", "17.3 ms →"]);
    assert!(placed[1].beyond && !placed[0].beyond);
}
