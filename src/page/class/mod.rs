//! A class: pupils' phones follow the page's weld, vote, and try one slider on a copy of their own.
//!
//! What a phone can do is all here: give the `code` and get a place on the `roll`, be `told` what the trainer's page
//! shows (its `lead`), vote, and have one value tried (`copy`). Nothing here can change a weld of the page, and
//! nothing grows with what phones send: places, addresses and rates are bounded.

mod code;
mod copy;
mod lead;
mod pace;
mod qr;
mod random;
mod roll;
mod told;
mod tries;

use std::io;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use serde::Serialize;
use tokio::sync::{OwnedSemaphorePermit, watch};

use super::lessons::Lesson;
use super::request::Weld;
use super::spread::Spread;
use code::Code;
use lead::Lead;
use pace::Bucket;
use qr::Picture;
use roll::{Phone, Roll};
use tries::Tries;

pub(super) use copy::overrides;
pub(super) use lead::{Made, Shown};
pub(super) use told::Told;

/// Requests without a place a second, and at once: three for each phone of a class that comes in together.
const STRANGERS: (f64, f64) = (100.0, 400.0);

/// From where a class can be reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Reach {
    /// From this machine alone: it listens on a loopback address.
    Machine,
    /// From the network.
    Network,
}

impl Reach {
    /// Of a class that listens on `ip`.
    pub fn of(ip: IpAddr) -> Reach {
        match ip.to_canonical().is_loopback() {
            true => Reach::Machine,
            false => Reach::Network,
        }
    }
}

/// A class that is held beside the page.
#[derive(Debug, Clone)]
pub struct Class(Arc<Held>);

#[derive(Debug)]
struct Held {
    code: Code,
    link: String,
    reach: Reach,
    room: Mutex<Room>,
    /// Number of the last change of what phones are told.
    changed: watch::Sender<u64>,
}

#[derive(Debug)]
struct Room {
    lead: Lead,
    /// When the lead was given: its replay goes on since.
    since: Instant,
    shown: Arc<Shown>,
    /// The weld whose band was asked for last, and what that makes of it.
    band: Option<(Weld, Option<Spread>)>,
    roll: Roll,
    tries: Tries,
    strangers: Bucket,
}

/// How to come in, for the projector.
#[derive(Debug, Serialize)]
pub(super) struct Invitation {
    link: String,
    reach: Reach,
    code: String,
    qr: Picture,
}

/// What the trainer sees of a class.
#[derive(Debug, Serialize)]
pub(super) struct Seen {
    phones: usize,
    most: usize,
    /// Wrong codes so far.
    wrong: u64,
    /// The lesson that phones are asked, from 0.
    lesson: Option<usize>,
    /// Votes for each choice of it; none where no lesson is open.
    votes: Option<Vec<usize>>,
}

/// Why a phone is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Refusal {
    /// No place, or one that has been given to another.
    Unknown,
    /// The code is not that of this class.
    WrongCode,
    /// Every place is taken.
    Full,
    /// More than its share, or a second request of a kind beside the first.
    TooMany,
    /// It does not fit what the trainer's page shows now.
    Late,
}

/// A phone's request under way: it holds its turn until it is dropped.
#[derive(Debug)]
pub(super) struct Turn(#[expect(dead_code, reason = "held, not read")] OwnedSemaphorePermit);

/// What a phone tries: on which weld, by which control.
#[derive(Debug)]
pub(super) struct Trial {
    /// The weld of the trainer's page.
    pub shown: Arc<Shown>,
    /// Key of the control offered.
    pub key: String,
    /// Held while it is tried.
    pub turn: Turn,
}

impl Class {
    /// A class with a new code; phones within its reach find it at `address`, "http://192.168.1.5:7412/".
    ///
    /// # Errors
    /// When the system has no random numbers.
    pub fn new(address: &str, reach: Reach) -> io::Result<Class> {
        let now = Instant::now();
        let room = Room {
            lead: Lead::default(),
            since: now,
            shown: Arc::default(),
            band: None,
            roll: Roll::default(),
            tries: Tries::new(now),
            strangers: Bucket::new(STRANGERS, now),
        };
        Ok(Class(Arc::new(Held {
            code: Code::new()?,
            link: address.to_string(),
            reach,
            room: Mutex::new(room),
            changed: watch::Sender::new(1),
        })))
    }

    /// From where it can be reached.
    pub fn reach(&self) -> Reach {
        self.0.reach
    }

    /// The code that lets a phone in.
    pub fn code(&self) -> &str {
        self.0.code.as_str()
    }

    /// Where phones find the class, without the code.
    pub fn link(&self) -> &str {
        &self.0.link
    }

    fn room(&self) -> MutexGuard<'_, Room> {
        self.0.room.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How to come in. The code stands behind `#`, which a browser sends to nobody.
    pub(super) fn invitation(&self) -> Invitation {
        Invitation {
            link: self.0.link.clone(),
            reach: self.0.reach,
            code: self.code().to_string(),
            qr: qr::picture(&format!("{}#{}", self.0.link, self.code())),
        }
    }

    /// Takes what the trainer's page shows now, as the pairs of an address.
    ///
    /// # Errors
    /// In words, when the pairs cannot be read.
    pub(super) fn publish(&self, pairs: &str, lessons: &[Lesson]) -> Result<(), String> {
        let lead = lead::read(pairs, lessons)?;
        let mut room = self.room();
        if room.shown.asked != lead.weld {
            room.shown = Arc::new(room.shown.next(lead.weld.clone()));
        }
        if room.lead.lesson != lead.lesson {
            room.roll.clear_votes();
        }
        room.lead = lead;
        room.since = Instant::now();
        drop(room);
        self.0.changed.send_modify(|version| *version += 1);
        Ok(())
    }

    /// Takes what the trainer's page was told of a weld's band, which may come before the weld itself or after it.
    pub(super) fn know(&self, weld: &Weld, spread: Option<Spread>) {
        self.room().band = Some((weld.clone(), spread));
        self.0.changed.send_modify(|version| *version += 1);
    }

    /// What the trainer sees of the class.
    pub(super) fn seen(&self, lessons: &[Lesson]) -> Seen {
        let room = self.room();
        let open = room.lead.lesson.and_then(|at| lessons.get(at));
        Seen {
            phones: room.roll.present(Instant::now()),
            most: roll::MOST,
            wrong: room.tries.wrong(),
            lesson: room.lead.lesson,
            votes: open.map(|lesson| room.roll.votes(lesson.choices.len())),
        }
    }

    /// Whether somebody without a place may ask for anything now.
    pub(super) fn admits_stranger(&self) -> bool {
        self.room().strangers.take(Instant::now())
    }

    /// Gives a place to who has the code, after a wait that grows with the wrong codes from that address.
    pub(super) async fn join(&self, said: &str, from: IpAddr) -> Result<String, Refusal> {
        let wait = self.room().tries.begin(from, Instant::now());
        let wait = wait.ok_or(Refusal::TooMany)?;
        let trying = Trying { class: self, from };
        if wait > Duration::ZERO {
            tokio::time::sleep(wait).await;
        }
        let right = self.0.code.is(said);
        let now = Instant::now();
        let mut room = self.room();
        room.tries.note(from, right, now);
        let place = match right {
            true => random::token()
                .map_err(|_| Refusal::Full)
                .and_then(|token| room.roll.join(token, now).ok_or(Refusal::Full)),
            false => Err(Refusal::WrongCode),
        };
        drop(room);
        drop(trying);
        place
    }

    /// Does something with the phone that has this place, at its share of requests.
    fn with_phone<T>(
        &self,
        token: &str,
        act: impl FnOnce(&mut Phone, &Lead, &Arc<Shown>) -> Result<T, Refusal>,
    ) -> Result<T, Refusal> {
        let now = Instant::now();
        let mut room = self.room();
        let Room {
            roll, lead, shown, ..
        } = &mut *room;
        let phone = roll.find(token, now).ok_or(Refusal::Unknown)?;
        if !phone.asks.take(now) {
            return Err(Refusal::TooMany);
        }
        act(phone, lead, shown)
    }

    /// Waits until there is something newer than version `after`, or for `most`.
    pub(super) async fn follow(
        &self,
        token: &str,
        after: u64,
        most: Duration,
        lessons: &[Lesson],
    ) -> Result<serde_json::Value, Refusal> {
        let _turn = self.with_phone(token, |phone, _, _| phone.follows())?;
        let mut changed = self.0.changed.subscribe();
        let newer = changed.wait_for(|version| *version > after);
        let _ = tokio::time::timeout(most, newer).await;
        let version = *self.0.changed.borrow();
        let now = Instant::now();
        let mut room = self.room();
        let since = now - room.since;
        let Room {
            roll,
            lead,
            shown,
            band,
            ..
        } = &mut *room;
        let vote = roll.find(token, now).ok_or(Refusal::Unknown)?.vote;
        let told = Told::of(lead, lessons, since, vote);
        let band = band.as_ref().filter(|(of, _)| *of == shown.asked.weld);
        let spread = band.and_then(|(_, spread)| spread.as_ref());
        Ok(told.json(version, shown.number, spread))
    }

    /// The weld that the trainer's page shows.
    pub(super) fn shown(&self, token: &str) -> Result<Arc<Shown>, Refusal> {
        self.with_phone(token, |phone, _, shown| {
            phone.may_fire()?;
            Ok(shown.clone())
        })
    }

    /// Votes for a choice of the lesson that is open.
    pub(super) fn vote(
        &self,
        token: &str,
        at: usize,
        choice: usize,
        lessons: &[Lesson],
    ) -> Result<(), Refusal> {
        self.with_phone(token, |phone, lead, _| {
            let open = lead.lesson == Some(at) && lead.chosen.is_none();
            let choices = lessons.get(at).map_or(0, |lesson| lesson.choices.len());
            if !open || choice >= choices {
                return Err(Refusal::Late);
            }
            phone.vote = Some(choice);
            Ok(())
        })
    }

    /// Begins to try a value of the control named `key`, which must be the one offered.
    pub(super) fn begin_trial(&self, token: &str, key: &str) -> Result<Trial, Refusal> {
        self.with_phone(token, |phone, lead, shown| {
            let offered = lead.offered().filter(|offered| *offered == key);
            let key = offered.ok_or(Refusal::Late)?.to_string();
            phone.may_fire()?;
            let turn = phone.tries()?;
            let shown = shown.clone();
            Ok(Trial { shown, key, turn })
        })
    }
}

/// A code that is being looked at; one at a time from an address.
struct Trying<'a> {
    class: &'a Class,
    from: IpAddr,
}

impl Drop for Trying<'_> {
    fn drop(&mut self) {
        self.class.room().tries.end(self.from);
    }
}

#[cfg(test)]
mod tests;
