//! Codes tried: wrong ones are counted, and from an address that gave one the next is looked at later.

use std::net::IpAddr;
use std::time::{Duration, Instant};

use super::pace::Bucket;

/// Addresses remembered; the one quiet for longest is forgotten first.
const KEPT: usize = 256;

/// Codes of everybody looked at a second, and at once. It would take two years to try a third of them.
const ALL: (f64, f64) = (4.0, 120.0);

/// Wait after a first wrong code; it doubles with each further one.
const FIRST: Duration = Duration::from_millis(500);

/// Longest wait.
const LONGEST: Duration = Duration::from_secs(8);

/// Time without a try after which an address is as good as new.
const FORGOTTEN: Duration = Duration::from_secs(300);

/// What is known of an address.
#[derive(Debug)]
struct Known {
    from: IpAddr,
    wrong: u32,
    last: Instant,
    /// A code of it is waiting.
    busy: bool,
}

#[derive(Debug)]
pub struct Tries {
    wrong: u64,
    all: Bucket,
    known: Vec<Known>,
}

impl Tries {
    pub fn new(now: Instant) -> Tries {
        Tries {
            wrong: 0,
            all: Bucket::new(ALL, now),
            known: Vec::new(),
        }
    }

    /// Wrong codes so far.
    pub fn wrong(&self) -> u64 {
        self.wrong
    }

    /// How long a code from this address waits before it is looked at; none where it is not looked at now, for
    /// another one from there waits, or everybody together tries too many.
    pub fn begin(&mut self, from: IpAddr, now: Instant) -> Option<Duration> {
        let known = self.known(from, now)?;
        if known.busy {
            return None;
        }
        let wait = wait(known.wrong);
        if !self.all.take(now) {
            return None;
        }
        self.known(from, now)?.busy = true;
        Some(wait)
    }

    /// Notes what came of it.
    pub fn note(&mut self, from: IpAddr, right: bool, now: Instant) {
        self.wrong += u64::from(!right);
        if let Some(known) = self.known.iter_mut().find(|k| k.from == from) {
            known.wrong = if right { 0 } else { known.wrong + 1 };
            known.last = now;
        }
    }

    /// The next one from this address may come.
    pub fn end(&mut self, from: IpAddr) {
        if let Some(known) = self.known.iter_mut().find(|k| k.from == from) {
            known.busy = false;
        }
    }

    /// What is known of an address; none where nothing can be forgotten to remember it.
    fn known(&mut self, from: IpAddr, now: Instant) -> Option<&mut Known> {
        let since = |k: &Known| now.saturating_duration_since(k.last);
        self.known.retain(|k| k.busy || since(k) < FORGOTTEN);
        if let Some(at) = self.known.iter().position(|k| k.from == from) {
            return self.known.get_mut(at);
        }
        if self.known.len() >= KEPT {
            let idle = self.known.iter().enumerate().filter(|(_, k)| !k.busy);
            let (oldest, _) = idle.min_by_key(|(_, k)| k.last)?;
            self.known.swap_remove(oldest);
        }
        self.known.push(Known {
            from,
            wrong: 0,
            last: now,
            busy: false,
        });
        self.known.last_mut()
    }
}

/// The wait after so many wrong codes in a row.
fn wait(wrong: u32) -> Duration {
    match wrong.checked_sub(1) {
        None => Duration::ZERO,
        Some(further) => (FIRST * 2_u32.pow(further.min(10))).min(LONGEST),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(last: u8) -> IpAddr {
        IpAddr::from([192, 168, 1, last])
    }

    #[test]
    fn wrong_codes_are_counted_and_wait_longer_each_time() {
        let now = Instant::now();
        let mut tries = Tries::new(now);
        let mut waits = Vec::new();
        for _ in 0..7 {
            waits.push(tries.begin(address(1), now).unwrap().as_millis());
            tries.note(address(1), false, now);
            tries.end(address(1));
        }
        assert_eq!(waits, [0, 500, 1000, 2000, 4000, 8000, 8000]);
        assert_eq!(tries.wrong(), 7);
        // Another address does not wait, nor does the same one much later, or after the right code.
        assert_eq!(tries.begin(address(2), now), Some(Duration::ZERO));
        tries.note(address(1), true, now);
        assert_eq!(tries.begin(address(1), now), Some(Duration::ZERO));
        tries.note(address(1), false, now);
        tries.end(address(1));
        assert_eq!(
            tries.begin(address(1), now + FORGOTTEN),
            Some(Duration::ZERO)
        );
        assert_eq!(tries.wrong(), 8);
    }

    #[test]
    fn an_address_has_one_code_looked_at_at_a_time() {
        let now = Instant::now();
        let mut tries = Tries::new(now);
        assert!(tries.begin(address(1), now).is_some());
        assert!(tries.begin(address(1), now).is_none());
        tries.end(address(1));
        assert!(tries.begin(address(1), now).is_some());
    }

    #[test]
    fn many_addresses_try_no_more_codes_and_take_no_more_memory() {
        let now = Instant::now();
        let mut tries = Tries::new(now);
        let mut looked = 0;
        for k in 0..10_000_u32 {
            let from = IpAddr::from(k.to_be_bytes());
            if tries.begin(from, now).is_some() {
                looked += 1;
                tries.note(from, false, now);
                tries.end(from);
            }
        }
        assert_eq!(looked, 120);
        assert!(tries.known.len() <= KEPT);
    }
}
