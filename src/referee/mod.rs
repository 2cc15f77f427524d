//! One request in, one ruling out: where battle, combat, fair and the record meet.
//!
//! [`Referee::ask`] answers what changes a battle; [`Referee::look`] what does not; a [`BattleSession`]
//! holds a battle while a front weighs what is asked of it.
//! What a request comes to is decided in `decide`, and what throws in `throws`, both pure: the audit
//! decides again with them.

pub mod audit;
mod cache;
mod compare;
mod decide;
mod decision;
pub mod export;
pub mod form;
mod led;
mod library;
mod lines;
mod look;
pub mod policy;
mod reads;
mod refusal;
mod roll;
mod session;
mod throws;
mod turns;

pub use library::RulesLibrary;
pub use look::Look;
pub use policy::{Asker, Needs};
pub use refusal::{Fault, Refusal};
pub use session::BattleSession;
pub use turns::{Bounds, Crowded, Turn, Turns, Whose};

pub use crate::record::{
    Alone, BattleSummary, CopyError, Left, Owed, RecordError, ServerDefaults, Trace, Waiting,
};

use crate::battle::{Battle, Mistake};
use crate::digest::Digest;
use crate::fair::{Chain, Secret};
use crate::protocol::{Event, Place, Recorded, Request, RequestId};
use crate::record::{Append, AppendError, Record};
use crate::rules::Rules;
use cache::BattleCache;
use decision::{Decided, Decision};
use session::Incoming;
use std::path::Path;
use std::sync::Arc;

/// The take whose dice the demonstration shows: a test finds another one when the rules, the script
/// or the protocol have changed so that it no longer shows a rout and a rally.
pub const TAKE: u32 = 30;
/// What the dice of a demonstration hang from.
const DEMONSTRATION: &[u8] = b"the ford at Harrow";
/// What its dice after those hang from.
const DEMONSTRATION_AFTER: &[u8] = b"the ford at Harrow, the second day";
/// The name of the record that holds a place's quick rulings.
const QUICK: &str = "Quick rulings";
/// What may be worked out at once that takes long; the slots are those that the machine has.
const LONG_WORK: Bounds = Bounds { slots: 1, person: 3, server: 12, all: 100 };
/// What may be ruled at once. Fronts bound it for each person and server before.
const SHORT_WORK: Bounds = Bounds { slots: 4, person: 1_000, server: 1_000, all: 10_000 };
/// Events read at once when a battle is loaded.
const READING: u32 = 1000;

/// The referee of every battle in one record.
#[derive(Debug)]
pub struct Referee {
    record: Record,
    rules_library: RulesLibrary,
    chain_length: u32,
    /// Which of the demonstration's dice are thrown; none for dice that nobody can know.
    demonstration: Option<u32>,
    seats: BattleCache<Loaded>,
    /// Turns at what takes long: one processor stays free for rulings.
    long: Turns,
    /// Turns at ruling: those of one server do not hold up those of another.
    short: Turns,
}

/// One request, with where, how and by whom it came.
#[derive(Debug, Clone)]
pub struct Ask {
    /// The place whose battle it concerns.
    pub place: Place,
    /// Its id; the same id never throws twice.
    pub asked: RequestId,
    /// Who asks, with what a front knows of them.
    pub asker: Asker,
    /// What is asked.
    pub request: Request,
}

/// What the referee answered.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The event, whose words are the answer.
    pub event: Recorded,
    /// Whether this very request had been answered before.
    pub again: bool,
    /// Whether that answer has been taken back since.
    pub taken_back: bool,
    /// What this request needed first, an opening or the taking back of an announced roll; its post
    /// comes first too.
    pub first: Option<Recorded>,
}

/// A battle in memory, with what is needed to rule in it.
#[derive(Debug, Clone)]
struct Loaded {
    battle: Battle,
    rules: Arc<Rules>,
    /// None in a record that was imported.
    chain: Option<Chain>,
}

impl Referee {
    /// A referee over a record, with rules files on a library.
    pub fn new(record: Record, library: RulesLibrary) -> Self {
        let processors = std::thread::available_parallelism().map_or(1, usize::from);
        Self {
            record,
            rules_library: library,
            chain_length: Chain::LENGTH,
            demonstration: None,
            seats: BattleCache::new(),
            long: Turns::within(Bounds { slots: processors.saturating_sub(1).max(1), ..LONG_WORK }),
            short: Turns::within(SHORT_WORK),
        }
    }

    /// A referee whose dice and clock are the same at every run, because everyone can know them.
    ///
    /// It is for showing how a battle goes, and never for a battle that matters.
    pub fn demonstration(record: Record, library: RulesLibrary) -> Self {
        Self::new(record, library).as_demonstration(TAKE)
    }

    /// Sets how many links the chains of battles opened from now on have, at least 1.
    #[must_use]
    pub fn with_chain_length(mut self, links: u32) -> Self {
        self.chain_length = links.max(1);
        self
    }

    /// A referee over the record in `file`, which begins there if there is none.
    ///
    /// # Errors
    /// If the record cannot be opened.
    pub async fn open(file: &Path, library: RulesLibrary) -> Result<Self, RecordError> {
        Ok(Self::new(Record::open(file).await?, library))
    }

    /// A referee over a record that is there already, which is not changed in any way.
    ///
    /// # Errors
    /// If the record cannot be opened.
    pub async fn open_to_read(file: &Path) -> Result<Self, RecordError> {
        Ok(Self::new(Record::open_to_read(file).await?, RulesLibrary::shipped()))
    }

    /// A referee over a record in memory, which goes with it.
    ///
    /// # Errors
    /// If there is no memory for it.
    pub async fn in_memory(library: RulesLibrary) -> Result<Self, RecordError> {
        Ok(Self::new(Record::throwaway().await?, library))
    }

    /// The same referee, whose dice and clock are the same at every run, because everyone can know
    /// them.
    ///
    /// It is for showing how a battle goes, and never for a battle that matters. `take` chooses
    /// among the dice that it could show; [`TAKE`] is the one that ships.
    #[must_use]
    pub fn as_demonstration(self, take: u32) -> Self {
        Self { demonstration: Some(take), ..self }
    }

    /// Writes a whole and consistent copy of the record to a new file, while others go on writing.
    ///
    /// # Errors
    /// If the copy cannot be written.
    pub async fn back_up(&self, file: &Path) -> Result<(), CopyError> {
        self.record.back_up(file).await
    }

    /// Puts a copy of a record where none is, once it has been found whole and sound.
    ///
    /// # Errors
    /// If it is not, or if something is there.
    pub async fn restore(copy: &Path, record: &Path) -> Result<(), CopyError> {
        crate::record::restore(copy, record).await
    }

    /// Waits for somebody's turn at something that takes a processor for long.
    ///
    /// # Errors
    /// At once, if too much is in hand.
    pub async fn long_work(&self, whose: Whose) -> Result<Turn, Refusal> {
        Ok(self.long.take(whose).await?)
    }

    /// Waits for somebody's turn at being ruled.
    ///
    /// # Errors
    /// At once, if too much is in hand.
    pub async fn short_work(&self, whose: Whose) -> Result<Turn, Refusal> {
        Ok(self.short.take(whose).await?)
    }

    /// Closes the record.
    pub async fn close(&self) {
        self.record.close().await;
    }

    /// Answers a request: once it returns, the event is on the disk and its post is owed.
    ///
    /// On any refusal nothing has changed and no die was thrown.
    pub async fn ask(&self, ask: &Ask) -> Result<Answer, Refusal> {
        self.session_as_held(&ask.place).await?.ask(ask, None).await
    }

    /// Holds a place, and reads the battle that is open there up to its latest event.
    pub async fn session(&self, place: &Place) -> Result<BattleSession<'_>, Refusal> {
        let mut seat = self.seats.of(place).lock_owned().await;
        self.read_up(place, &mut seat).await?;
        Ok(BattleSession { referee: self, seat, read: true })
    }

    /// Holds a place with the battle that is in memory for it, if one is: another program may have
    /// gone on with it since, which is found out when something is asked of it.
    ///
    /// It saves a turn with the database; whoever weighs the battle itself asks for
    /// [`Self::session`].
    pub async fn session_as_held(&self, place: &Place) -> Result<BattleSession<'_>, Refusal> {
        let mut seat = self.seats.of(place).lock_owned().await;
        let read = seat.as_ref().is_none_or(|loaded| !loaded.battle.open);
        if read {
            self.read_up(place, &mut seat).await?;
        }
        Ok(BattleSession { referee: self, seat, read })
    }

    /// Reads the battle that is open in a place up to its latest event; none if none is open.
    async fn read_up(&self, place: &Place, seat: &mut Option<Loaded>) -> Result<(), Refusal> {
        match self.refresh(place, seat).await {
            Ok(_) => Ok(()),
            Err(Refusal::Mistake(Mistake::NoBattle)) => {
                *seat = None;
                Ok(())
            }
            Err(refusal) => Err(refusal),
        }
    }

    /// Writes what was decided, then takes it into memory.
    async fn append(
        &self,
        Incoming { ask, via }: Incoming<'_>,
        loaded: &mut Loaded,
        decided: Decided,
        next_chain: Option<Chain>,
    ) -> Result<Recorded, Refusal> {
        let battle = &loaded.battle;
        let event =
            self.write(ask, (&battle.id, battle.seq + 1, battle.head), &battle.latest, decided);
        let append = Append {
            place: &ask.place,
            via,
            event: &event,
            asked_sha256: asked_sha256(&ask.request),
            new_battle: None,
            next_chain: next_chain.as_ref(),
        };
        // The chain that begins with this event was drawn when the one before it began. It is read
        // first, so that memory follows the record at once, whatever fails or is dropped.
        let beginning = match next_chain {
            Some(_) => self.record.chain(&battle.id, battle.chain.next).await?,
            None => None,
        };
        self.record.append(&append).await?;
        loaded.battle.apply(&event).map_err(Fault::from)?;
        if beginning.is_some() {
            loaded.chain = beginning;
        }
        Ok(event)
    }

    /// The battle of a place called `name`, open or closed.
    pub async fn battle_called(&self, place: &Place, name: &str) -> Result<BattleSummary, Refusal> {
        let known = self.record.battles(Some(place)).await?;
        crate::battle::find(name, known.iter(), |head| &head.name).cloned().map_err(|meant| {
            let meant = meant.map(|head| head.name.clone());
            Mistake::NoSuchBattle { name: name.to_owned(), meant }.into()
        })
    }

    /// The battle open in `place`, up to date with the record.
    async fn refresh<'s>(
        &self,
        place: &Place,
        seat: &'s mut Option<Loaded>,
    ) -> Result<&'s mut Loaded, Refusal> {
        let head = self.record.open_battle(place).await?.ok_or(Mistake::NoBattle)?;
        let current =
            seat.take().filter(|loaded| loaded.battle.id == head.battle && loaded.battle.open);
        let loaded = match current {
            Some(loaded) if loaded.battle.seq == head.seq => loaded,
            Some(loaded) => self.catch_up(loaded).await?,
            None => self.load(&head).await?,
        };
        Ok(seat.insert(loaded))
    }

    /// Reads what another program has added since.
    async fn catch_up(&self, mut loaded: Loaded) -> Result<Loaded, Refusal> {
        self.read_on(&mut loaded.battle).await?;
        let battle = &loaded.battle;
        loaded.chain = self.record.chain(&battle.id, battle.chain.anchor).await?;
        Ok(loaded)
    }

    /// Folds the rest of a battle's events, a part at a time.
    async fn read_on(&self, battle: &mut Battle) -> Result<(), Refusal> {
        loop {
            let events = self.record.events_after(&battle.id, battle.seq, READING).await?;
            if events.is_empty() {
                return Ok(());
            }
            for event in &events {
                battle.apply(event).map_err(Fault::from)?;
            }
        }
    }

    async fn load(&self, head: &BattleSummary) -> Result<Loaded, Refusal> {
        let first = self.record.events_after(&head.battle, 0, 1).await?;
        let first = first.first().ok_or_else(|| Fault::Missing(head.battle.clone()))?;
        let mut battle = Battle::begin(first).map_err(Fault::from)?;
        self.read_on(&mut battle).await?;
        let rules = self.rules_of(&battle).await?;
        let chain = self.record.chain(&battle.id, battle.chain.anchor).await?;
        Ok(Loaded { battle, rules, chain })
    }

    /// The rules a battle was opened under: those on the library if they are the very same, else
    /// those that the record keeps.
    async fn rules_of(&self, battle: &Battle) -> Result<Arc<Rules>, Refusal> {
        if let Some(rules) = self.rules_library.same(battle.rules) {
            return Ok(rules);
        }
        let kept = self.record.rules(battle.rules).await?;
        let (name, text) = kept.ok_or_else(|| Fault::Missing(battle.rules.to_string()))?;
        Ok(Arc::new(Rules::load(&name, &text).map_err(Fault::from)?))
    }

    fn secret(&self, demonstration: &[u8]) -> Result<Secret, Fault> {
        if let Some(take) = self.demonstration {
            let seed = [demonstration, &take.to_be_bytes()].concat();
            return Ok(Secret::from_bytes(*Digest::of(&seed).bytes()));
        }
        Secret::draw().map_err(|error| Fault::Random(error.to_string()))
    }

    /// The time now, but never before `latest`, whatever the clock does.
    fn now(&self, latest: &str) -> String {
        let now = if self.demonstration.is_some() {
            jiff::Timestamp::UNIX_EPOCH
        } else {
            jiff::Timestamp::now()
        };
        // Times of one form compare as texts.
        now.strftime("%Y-%m-%dT%H:%M:%SZ").to_string().max(latest.to_owned())
    }

    /// Writes down what was decided as event `seq` of a battle, after the one with hash `prev`, which
    /// was written at `latest`.
    fn write(
        &self,
        ask: &Ask,
        (battle, seq, prev): (&str, u64, Digest),
        latest: &str,
        decided: Decided,
    ) -> Recorded {
        let Decided { office, request, decision: Decision { body, roll } } = decided;
        Recorded::write(Event {
            battle: battle.to_owned(),
            seq,
            at: self.now(latest),
            by: ask.asker.who,
            office,
            asked: ask.asked.clone(),
            prev,
            request,
            body,
            roll,
        })
    }
}

/// The SHA-256 by which a request is known when it is asked again.
fn asked_sha256(request: &Request) -> Digest {
    Digest::of(&serde_json::to_vec(request).expect("a request has only text keys"))
}

impl From<AppendError> for Refusal {
    fn from(error: AppendError) -> Self {
        match error {
            AppendError::Overtaken | AppendError::PlaceTaken | AppendError::Answered => {
                Self::Overtaken
            }
            AppendError::Record(error) => error.into(),
        }
    }
}

#[cfg(test)]
mod tests;
