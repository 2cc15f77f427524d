//! The places that the referee sits at. Those not used for long are forgotten: the record has
//! everything, and a battle is loaded again when its place asks.

use crate::protocol::Place;
use std::collections::HashMap;
use std::sync::{Arc, Mutex as Lock, PoisonError};
use tokio::sync::Mutex;

/// The most places kept in memory.
const MOST: usize = 256;

/// What a place has in memory; whoever holds it rules there alone.
pub(super) type Seat<T> = Arc<Mutex<Option<T>>>;

/// The seats in use, and those used last.
#[derive(Debug)]
pub(super) struct BattleCache<T>(Lock<Room<T>>);

#[derive(Debug)]
struct Room<T> {
    /// Counts uses, so that the longest unused is known.
    uses: u64,
    seats: HashMap<Place, (u64, Seat<T>)>,
}

impl<T> BattleCache<T> {
    pub fn new() -> Self {
        Self(Lock::new(Room { uses: 0, seats: HashMap::new() }))
    }

    /// The seat of a place.
    pub fn of(&self, place: &Place) -> Seat<T> {
        let mut room = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        room.uses += 1;
        let now = room.uses;
        let (used, seat) = room.seats.entry(place.clone()).or_default();
        *used = now;
        let seat = Arc::clone(seat);
        if room.seats.len() > MOST {
            room.forget();
        }
        seat
    }
}

impl<T> Room<T> {
    /// Forgets the longest unused half; a seat that somebody holds stays.
    fn forget(&mut self) {
        let mut uses: Vec<u64> = self.seats.values().map(|(used, _)| *used).collect();
        uses.sort_unstable();
        let middle = uses[uses.len() / 2];
        self.seats.retain(|_, (used, seat)| *used >= middle || Arc::strong_count(seat) > 1);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_unused_are_forgotten_and_a_held_seat_never_is() {
        let place = |n| Place::channel("chat", 1, n);
        let seats: BattleCache<u32> = BattleCache::new();
        let held = seats.of(&Place::table());
        *held.try_lock().unwrap() = Some(7);
        for n in 0..10 * MOST as u64 {
            drop(seats.of(&place(n)));
            assert!(seats.0.lock().unwrap().seats.len() <= MOST);
        }
        assert!(
            Arc::ptr_eq(&held, &seats.of(&Place::table())),
            "two seats for one place would fork it"
        );
        let last = place(10 * MOST as u64 - 1);
        assert!(seats.0.lock().unwrap().seats.contains_key(&last));
    }
}
