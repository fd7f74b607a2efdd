//! Who is there: a place for each phone, and no more than there are places.

use std::sync::Arc;
use std::time::{Duration, Instant};

use tokio::sync::Semaphore;

use super::pace::Bucket;
use super::random::alike;
use super::{Refusal, Turn};

/// Most phones.
pub const MOST: usize = 60;

/// Time without a word after which a phone's place may be given to another.
pub const AWAY: Duration = Duration::from_secs(60);

/// Requests of a phone a second, and at once.
const ASKS: (f64, f64) = (20.0, 40.0);

/// Welds of a phone a second, and at once: its own, and the trainer's.
const SHOTS: (f64, f64) = (5.0, 5.0);

/// A phone's ways to be told at once: an old one may still be open after its page was read anew.
const FOLLOWS: usize = 2;

/// A phone that has given the code.
#[derive(Debug)]
pub struct Phone {
    token: String,
    heard: Instant,
    pub asks: Bucket,
    shots: Bucket,
    following: Arc<Semaphore>,
    trying: Arc<Semaphore>,
    /// Its choice in the lesson that is open.
    pub vote: Option<usize>,
}

impl Phone {
    fn new(token: String, now: Instant) -> Phone {
        Phone {
            token,
            heard: now,
            asks: Bucket::new(ASKS, now),
            shots: Bucket::new(SHOTS, now),
            following: Arc::new(Semaphore::new(FOLLOWS)),
            trying: Arc::new(Semaphore::new(1)),
            vote: None,
        }
    }

    /// Its turn to wait for news.
    pub fn follows(&self) -> Result<Turn, Refusal> {
        turn(&self.following)
    }

    /// Its turn to have a value tried.
    pub fn tries(&self) -> Result<Turn, Refusal> {
        turn(&self.trying)
    }

    /// Whether it may have one more weld now.
    pub fn may_fire(&mut self) -> Result<(), Refusal> {
        match self.shots.take(self.heard) {
            true => Ok(()),
            false => Err(Refusal::TooMany),
        }
    }
}

fn turn(turns: &Arc<Semaphore>) -> Result<Turn, Refusal> {
    let permit = turns.clone().try_acquire_owned();
    permit.map(Turn).map_err(|_| Refusal::TooMany)
}

/// The phones of a class.
#[derive(Debug, Default)]
pub struct Roll(Vec<Phone>);

impl Roll {
    /// Gives a place, if need be that of the phone not heard of for longest; none where all are there.
    pub fn join(&mut self, token: String, now: Instant) -> Option<String> {
        if self.0.len() >= MOST {
            let (k, oldest) = self.0.iter().enumerate().min_by_key(|(_, p)| p.heard)?;
            if now.saturating_duration_since(oldest.heard) < AWAY {
                return None;
            }
            self.0.swap_remove(k);
        }
        self.0.push(Phone::new(token.clone(), now));
        Some(token)
    }

    /// The phone of a place, which is heard of by this.
    pub fn find(&mut self, token: &str, now: Instant) -> Option<&mut Phone> {
        let phone = self.0.iter_mut().find(|p| alike(&p.token, token))?;
        phone.heard = now;
        Some(phone)
    }

    /// Phones heard of lately.
    pub fn present(&self, now: Instant) -> usize {
        let there = |p: &&Phone| now.saturating_duration_since(p.heard) < AWAY;
        self.0.iter().filter(there).count()
    }

    /// How many chose each of so many choices.
    pub fn votes(&self, choices: usize) -> Vec<usize> {
        let of = |k| self.0.iter().filter(|p| p.vote == Some(k)).count();
        (0..choices).map(of).collect()
    }

    /// For another lesson.
    pub fn clear_votes(&mut self) {
        self.0.iter_mut().for_each(|p| p.vote = None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_61st_has_no_place_until_another_is_away() {
        let start = Instant::now();
        let mut roll = Roll::default();
        for k in 0..MOST {
            assert!(roll.join(format!("{k}"), start).is_some());
        }
        let soon = start + AWAY / 2;
        assert!(roll.join("more".into(), soon).is_none());
        for k in 1..MOST {
            assert!(roll.find(&format!("{k}"), soon).is_some());
        }
        let later = start + AWAY;
        assert_eq!(roll.present(later), MOST - 1);
        assert!(roll.join("more".into(), later).is_some());
        assert!(roll.find("0", later).is_none() && roll.find("1", later).is_some());
        assert!(roll.join("another".into(), later).is_none());
    }

    #[test]
    fn a_phone_has_one_vote_which_it_may_change() {
        let now = Instant::now();
        let mut roll = Roll::default();
        for token in ["a", "b"] {
            roll.join(token.into(), now).unwrap();
        }
        roll.find("a", now).unwrap().vote = Some(0);
        roll.find("b", now).unwrap().vote = Some(2);
        roll.find("a", now).unwrap().vote = Some(2);
        assert_eq!(roll.votes(3), [0, 0, 2]);
        roll.clear_votes();
        assert_eq!(roll.votes(3), [0, 0, 0]);
    }

    #[test]
    fn a_phone_has_five_welds_a_second_one_at_a_time() {
        let now = Instant::now();
        let mut roll = Roll::default();
        roll.join("a".into(), now).unwrap();
        let phone = roll.find("a", now).unwrap();
        let fired = (0..20).filter(|_| phone.may_fire().is_ok()).count();
        assert_eq!(fired, 5);
        let later = roll.find("a", now + Duration::from_millis(1001)).unwrap();
        assert_eq!((0..20).filter(|_| later.may_fire().is_ok()).count(), 5);
        let held = later.tries().unwrap();
        assert_eq!(later.tries().unwrap_err(), Refusal::TooMany);
        drop(held);
        assert!(later.tries().is_ok());
    }
}
