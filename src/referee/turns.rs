//! Turns at what a machine has little of: nobody holds up others by asking for much.
//!
//! Whoever waits is let in by rotation: server after server, and within a server person after
//! person, each in the order in which they asked. So whoever asks for one thing waits for one thing
//! of everybody else at most, however much they asked for. How much may wait is bounded for each
//! person, each server and altogether; what is past a bound is refused at once.

use crate::protocol::Place;
use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::oneshot;

/// Whose work it is: where, and by whom as the front tells people apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Whose {
    server: u64,
    person: u64,
}

impl Whose {
    /// The work of whoever has that id on the place's platform.
    pub fn of(place: &Place, person: u64) -> Self {
        Self { server: place.server().unwrap_or(0), person }
    }
}

/// How much may be in hand at once, what waits and what is being done together.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// Things that are done at the same time.
    pub slots: usize,
    /// Of one person.
    pub person: usize,
    /// Of one server.
    pub server: usize,
    /// Of everybody.
    pub all: usize,
}

/// Whose bound is reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Crowded {
    /// The person has too much in hand.
    #[error(
        "You have {0} requests in hand, the most at a time. Wait for an answer, then ask again."
    )]
    Person(usize),
    /// The server has.
    #[error("This server has {0} requests in hand, the most at a time. Ask again in a minute.")]
    Server(usize),
    /// Everybody together has.
    #[error("The referee has all it can do at the moment. Ask again in a minute.")]
    All,
}

/// Turns, taken and waited for.
#[derive(Debug, Clone)]
pub struct Turns(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    bounds: Bounds,
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// Slots that nobody has.
    free: usize,
    in_hand: HashMap<Whose, usize>,
    of_servers: HashMap<u64, usize>,
    all: usize,
    /// Who waits: servers in rotation, in each the persons in rotation.
    waiting: Rotation<Rotation<VecDeque<oneshot::Sender<Slot>>>>,
}

/// Those who are served one after another, by what they are told apart by.
type Rotation<T> = VecDeque<(u64, T)>;

/// A turn; it ends when it is dropped.
#[derive(Debug)]
pub struct Turn {
    _slot: Slot,
    _counted: Counted,
}

/// A slot that somebody has, or that is on its way to them; none once it was handed on.
#[derive(Debug)]
struct Slot(Option<Turns>);

/// One thing in hand, counted.
#[derive(Debug)]
struct Counted(Turns, Whose);

impl Turns {
    /// Turns within these bounds.
    pub fn within(bounds: Bounds) -> Self {
        let state = State { free: bounds.slots, ..State::default() };
        Self(Arc::new(Shared { bounds, state: Mutex::new(state) }))
    }

    /// Waits for a turn.
    ///
    /// # Errors
    /// At once, if a bound is reached.
    pub async fn take(&self, whose: Whose) -> Result<Turn, Crowded> {
        let counted = self.count(whose)?;
        let awaited = self.queue(whose);
        let slot = match awaited {
            Ok(slot) => slot,
            // Whoever drops a queue that is waited in drops the turns themselves.
            Err(awaited) => awaited.await.map_err(|_| Crowded::All)?,
        };
        Ok(Turn { _slot: slot, _counted: counted })
    }

    fn count(&self, whose: Whose) -> Result<Counted, Crowded> {
        let bounds = self.0.bounds;
        let mut state = self.state();
        let own = state.in_hand.get(&whose).copied().unwrap_or(0);
        let server = state.of_servers.get(&whose.server).copied().unwrap_or(0);
        if own >= bounds.person {
            return Err(Crowded::Person(bounds.person));
        }
        if server >= bounds.server {
            return Err(Crowded::Server(bounds.server));
        }
        if state.all >= bounds.all {
            return Err(Crowded::All);
        }
        state.in_hand.insert(whose, own + 1);
        state.of_servers.insert(whose.server, server + 1);
        state.all += 1;
        Ok(Counted(self.clone(), whose))
    }

    /// A slot at once, or what brings one.
    fn queue(&self, whose: Whose) -> Result<Slot, oneshot::Receiver<Slot>> {
        let mut state = self.state();
        if state.free > 0 {
            state.free -= 1;
            return Ok(Slot(Some(self.clone())));
        }
        let (bring, awaited) = oneshot::channel();
        let asked = entry(entry(&mut state.waiting, whose.server), whose.person);
        // Those who have gone away are forgotten, so that the queue does not grow.
        asked.retain(|bring| !bring.is_closed());
        asked.push_back(bring);
        Err(awaited)
    }

    /// Hands a slot to whoever is next; one that nobody waits for any more is free.
    fn hand_on(&self) {
        loop {
            let next = {
                let mut state = self.state();
                let next = state.next();
                if next.is_none() {
                    state.free += 1;
                }
                next
            };
            let Some(next) = next else { return };
            // If they have gone away the slot goes to the next, and not once more through here.
            match next.send(Slot(Some(self.clone()))) {
                Ok(()) => return,
                Err(mut slot) => drop(slot.0.take()),
            }
        }
    }

    /// None of it is left half-changed by a panic.
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// The next in rotation.
    fn next(&mut self) -> Option<oneshot::Sender<Slot>> {
        let (server, mut persons) = self.waiting.pop_front()?;
        let (person, mut asked) = persons.pop_front()?;
        let next = asked.pop_front();
        if !asked.is_empty() {
            persons.push_back((person, asked));
        }
        if !persons.is_empty() {
            self.waiting.push_back((server, persons));
        }
        next
    }
}

/// The place of somebody in a rotation; a newcomer comes last.
fn entry<T: Default>(rotation: &mut Rotation<T>, key: u64) -> &mut T {
    let at = rotation.iter().position(|(known, _)| *known == key);
    let at = at.unwrap_or_else(|| {
        rotation.push_back((key, T::default()));
        rotation.len() - 1
    });
    &mut rotation[at].1
}

impl Drop for Slot {
    fn drop(&mut self) {
        if let Some(turns) = self.0.take() {
            turns.hand_on();
        }
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        let Self(turns, whose) = self;
        let mut state = turns.state();
        state.all -= 1;
        less_one(&mut state.in_hand, whose);
        less_one(&mut state.of_servers, &whose.server);
    }
}

/// One less; what nobody has is not kept, so that the map does not grow.
fn less_one<K: std::hash::Hash + Eq>(counts: &mut HashMap<K, usize>, key: &K) {
    if let Some(count) = counts.get_mut(key) {
        *count -= 1;
        if *count == 0 {
            counts.remove(key);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    const BOUNDS: Bounds = Bounds { slots: 1, person: 4, server: 6, all: 9 };

    fn whose(server: u64, person: u64) -> Whose {
        Whose { server, person }
    }

    /// Lets everybody ask in this order, and returns who was served in which.
    async fn served(asked: &[(u64, u64)]) -> Vec<(u64, u64)> {
        let turns = Turns::within(BOUNDS);
        let held = turns.take(whose(0, 0)).await.unwrap();
        let order = Arc::new(Mutex::new(Vec::new()));
        let mut tasks = Vec::new();
        for (server, person) in asked.iter().copied() {
            let (turns, order) = (turns.clone(), Arc::clone(&order));
            tasks.push(tokio::spawn(async move {
                let _turn = turns.take(whose(server, person)).await.unwrap();
                order.lock().unwrap().push((server, person));
            }));
            // Each is in the queue before the next one asks.
            tokio::task::yield_now().await;
        }
        drop(held);
        for task in tasks {
            task.await.unwrap();
        }
        let order = order.lock().unwrap();
        order.clone()
    }

    #[tokio::test]
    async fn servers_and_their_people_are_served_in_rotation() {
        // One person of server 1 asks four times, another once; server 2 asks once, last of all.
        let asked = [(1, 1), (1, 1), (1, 1), (1, 1), (1, 2), (2, 1)];
        assert_eq!(
            served(&asked).await,
            [(1, 1), (2, 1), (1, 2), (1, 1), (1, 1), (1, 1)],
            "nobody waits for more than one thing of another's"
        );
    }

    #[tokio::test]
    async fn what_is_past_a_bound_is_refused_at_once() {
        let turns = Turns::within(BOUNDS);
        let held = turns.take(whose(1, 1)).await.unwrap();
        let mut waiting = Vec::new();
        let ask = |server, person| {
            let turns = turns.clone();
            tokio::spawn(async move { turns.take(whose(server, person)).await.map(drop) })
        };
        for _ in 1..BOUNDS.person {
            waiting.push(ask(1, 1));
        }
        tokio::task::yield_now().await;
        assert_eq!(turns.take(whose(1, 1)).await.unwrap_err(), Crowded::Person(4));
        for person in [2, 3] {
            waiting.push(ask(1, person));
        }
        tokio::task::yield_now().await;
        assert_eq!(turns.take(whose(1, 4)).await.unwrap_err(), Crowded::Server(6));
        for server in 2..=4 {
            waiting.push(ask(server, 1));
        }
        tokio::task::yield_now().await;
        assert_eq!(turns.take(whose(5, 1)).await.unwrap_err(), Crowded::All);
        drop(held);
        for task in waiting {
            task.await.unwrap().unwrap();
        }
        // All is given back: the same may be asked again.
        let again = turns.take(whose(1, 1)).await.unwrap();
        let state = turns.state();
        assert_eq!((state.all, state.in_hand.len(), state.of_servers.len()), (1, 1, 1));
        drop(state);
        drop(again);
        let state = turns.state();
        assert_eq!((state.free, state.all, state.waiting.len()), (BOUNDS.slots, 0, 0));
        assert!(state.in_hand.is_empty() && state.of_servers.is_empty());
    }

    #[tokio::test]
    async fn whoever_goes_away_holds_nobody_up() {
        let turns = Turns::within(BOUNDS);
        let held = turns.take(whose(1, 1)).await.unwrap();
        for _ in 0..3 {
            let gone = tokio::time::timeout(Duration::from_millis(5), turns.take(whose(2, 1)));
            assert!(gone.await.is_err());
        }
        let (next, ()) = tokio::join!(turns.take(whose(3, 1)), async {
            tokio::task::yield_now().await;
            drop(held);
        });
        drop(next.unwrap());
        let state = turns.state();
        assert_eq!((state.free, state.all), (BOUNDS.slots, 0));
    }
}
