//! What is in hand: so that nothing is done twice at the same time, and all of it can be finished.

use crate::protocol::Recorded;
use crate::referee::{Bounds, Turns};
use std::collections::{HashMap, HashSet, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::{OwnedMutexGuard, RwLock};

/// How many of the latest interactions are remembered.
const SEEN: usize = 1024;

/// How much may be in hand at once: more than anybody asks who waits for answers, and little enough
/// that nobody can fill the memory or keep others waiting.
const REQUESTS: Bounds = Bounds { slots: 1_000, person: 12, server: 120, all: 1_000 };
/// The same of names that are offered while somebody types.
const TYPING: Bounds = Bounds { slots: 200, person: 3, server: 60, all: 200 };

/// What is in hand right now.
#[derive(Debug)]
pub struct InFlight {
    /// Requests, counted; there is a slot for each that may be in hand.
    pub requests: Turns,
    /// Names that are being offered, counted.
    pub typing: Turns,
    places: Mutex<HashMap<String, Arc<tokio::sync::Mutex<()>>>>,
    /// Posts that are on their way in this process.
    under_way: Mutex<HashSet<(String, u64)>>,
    /// Places whose board somebody is about to bring up to date.
    boards: Mutex<HashSet<String>>,
    /// The latest interactions, so that one delivered twice is dealt with once.
    seen: Mutex<VecDeque<u64>>,
    /// Held for reading by everything in hand: the shutdown waits until it can write.
    pub in_hand: RwLock<()>,
}

impl Default for InFlight {
    fn default() -> Self {
        Self {
            requests: Turns::within(REQUESTS),
            typing: Turns::within(TYPING),
            places: Mutex::default(),
            under_way: Mutex::default(),
            boards: Mutex::default(),
            seen: Mutex::default(),
            in_hand: RwLock::default(),
        }
    }
}

impl InFlight {
    /// Whether an interaction comes for the first time.
    pub fn is_new(&self, interaction: u64) -> bool {
        let mut seen = held(&self.seen);
        if seen.contains(&interaction) {
            return false;
        }
        if seen.len() == SEEN {
            seen.pop_front();
        }
        seen.push_back(interaction);
        true
    }

    /// Deals with a place alone.
    pub async fn alone(&self, place: &str) -> OwnedMutexGuard<()> {
        let lock = {
            let mut places = held(&self.places);
            // Places that nobody deals with are let go, so that the map does not grow.
            places.retain(|_, lock| Arc::strong_count(lock) > 1);
            Arc::clone(places.entry(place.to_owned()).or_default())
        };
        lock.lock_owned().await
    }

    /// Says that a place's board is to be brought up to date; false if somebody will already.
    pub fn queue_for_board(&self, place: &str) -> bool {
        let mut boards = held(&self.boards);
        boards.insert(place.to_owned())
    }

    /// Says that the board is being drawn now: what is done from here on needs another drawing.
    pub fn leave_board_queue(&self, place: &str) {
        held(&self.boards).remove(place);
    }

    /// Takes a post into hand; false if it is on its way already.
    pub fn claim(&self, event: &Recorded) -> bool {
        let key = (event.event.battle.clone(), event.event.seq);
        held(&self.under_way).insert(key)
    }

    /// Lets a post go.
    pub fn put_down(&self, event: &Recorded) {
        let key = (event.event.battle.clone(), event.event.seq);
        held(&self.under_way).remove(&key);
    }
}

/// None of these is left half-changed by a panic.
fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
