//! One request in, one ruling out: where battle, combat, fair and the record meet.
//!
//! [`Referee::ask`] answers what changes a battle; [`Referee::look`] what does not.
//! What a request comes to is decided in `decide`, which is pure: the audit decides again with it.

pub mod audit;
mod decide;
pub mod export;
mod look;
mod refusal;
mod roll;
mod seats;
mod shelf;

pub use look::Look;
pub use refusal::{Fault, Refusal};
pub use shelf::Shelf;

use crate::battle::{
    Battle, Body, Event, FORM, Mistake, Open, Recorded, Request, Scale, same_name,
};
use crate::digest::Digest;
use crate::fair::{Chain, Secret};
use crate::record::{Append, AppendError, Founding, Head, Record};
use crate::rules::Rules;
use seats::Seats;
use std::sync::Arc;

/// What the dice of a demonstration hang from.
const DEMONSTRATION: &[u8] = b"the ford at Harrow, take 1";
/// What its dice after those hang from.
const DEMONSTRATION_AFTER: &[u8] = b"the ford at Harrow, the second day";
/// The name of the record that holds a place's quick rulings.
const QUICK: &str = "Quick rulings";
/// Events read at once when a battle is loaded.
const READING: u32 = 1000;

/// The referee of every battle in one record.
#[derive(Debug)]
pub struct Referee {
    record: Record,
    shelf: Shelf,
    chain_length: u32,
    demonstration: bool,
    seats: Seats<Loaded>,
}

/// One request, with where, how and by whom it came.
#[derive(Debug, Clone)]
pub struct Ask {
    /// The place whose battle it concerns.
    pub place: String,
    /// Where it was asked and its id there, as `where:id`; the same id never throws twice.
    pub asked: String,
    /// Who asked, as the record names them.
    pub by: String,
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
    /// The opening that this request needed first; its post comes first too.
    pub opened: Option<Recorded>,
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
    /// A referee over a record, with rules files on a shelf.
    pub fn new(record: Record, shelf: Shelf) -> Self {
        Self {
            record,
            shelf,
            chain_length: Chain::LENGTH,
            demonstration: false,
            seats: Seats::new(),
        }
    }

    /// A referee whose dice and clock are the same at every run, because everyone can know them.
    ///
    /// It is for showing how a battle goes, and never for a battle that matters.
    pub fn demonstration(record: Record, shelf: Shelf) -> Self {
        Self { demonstration: true, ..Self::new(record, shelf) }
    }

    /// Sets how many links the chains of battles opened from now on have, at least 1.
    #[must_use]
    pub fn with_chain_length(mut self, links: u32) -> Self {
        self.chain_length = links.max(1);
        self
    }

    /// The record it keeps.
    pub const fn record(&self) -> &Record {
        &self.record
    }

    /// Answers a request: once it returns, the event is on the disk and its post is owed.
    ///
    /// On any refusal nothing has changed and no die was thrown.
    pub async fn ask(&self, ask: &Ask) -> Result<Answer, Refusal> {
        self.ask_via(ask, None).await
    }

    /// Answers a request, and keeps with the owed posts how the front wants them to go.
    pub async fn ask_via(&self, ask: &Ask, via: Option<&str>) -> Result<Answer, Refusal> {
        if ask.request.is_quick() && self.belongs_to_quick(ask).await? {
            return self.ask_quick(ask, via).await;
        }
        self.ask_here(ask, via).await
    }

    /// Whether a quick ruling has no battle to go into, or was answered before there was one.
    async fn belongs_to_quick(&self, ask: &Ask) -> Result<bool, Refusal> {
        if self.record.open_battle(&ask.place).await?.is_none() {
            return Ok(true);
        }
        let Some(quick) = self.record.open_battle(&quick_place(&ask.place)).await? else {
            return Ok(false);
        };
        Ok(self.record.answered(&quick.battle, &ask.asked).await?.is_some())
    }

    /// The events whose posts `place` is still owed, oldest first.
    pub async fn owed(&self, place: &str) -> Result<Vec<Recorded>, Refusal> {
        let mut owed = self.record.owed(place).await?;
        owed.extend(self.record.owed(&quick_place(place)).await?);
        Ok(owed)
    }

    /// Answers what needs no battle from a record of its own, which is opened when first needed.
    async fn ask_quick(&self, ask: &Ask, via: Option<&str>) -> Result<Answer, Refusal> {
        let place = quick_place(&ask.place);
        let opened = match self.record.open_battle(&place).await? {
            Some(_) => None,
            None => Some(self.open_quick(ask, via, &place).await?),
        };
        let answer = self.ask_here(&Ask { place, ..ask.clone() }, via).await?;
        Ok(Answer { opened, ..answer })
    }

    /// Opens the record of a place's quick rulings; its anchor is posted before the first throw.
    async fn open_quick(
        &self,
        ask: &Ask,
        via: Option<&str>,
        place: &str,
    ) -> Result<Recorded, Refusal> {
        let scale = Scale::new(1).expect("1:1 is a figure scale");
        let open = Open { name: QUICK.to_owned(), scale, rules: None, sides: vec![] };
        let opening = Ask {
            place: place.to_owned(),
            asked: format!("{}/opening", ask.asked),
            by: ask.by.clone(),
            request: Request::Open(open),
        };
        Ok(self.ask_here(&opening, via).await?.event)
    }

    async fn ask_here(&self, ask: &Ask, via: Option<&str>) -> Result<Answer, Refusal> {
        let seat = self.seats.of(&ask.place);
        let mut seat = seat.lock().await;
        let answer = match &ask.request {
            Request::Open(open) => self.open(ask, via, open, &mut seat).await,
            Request::Reopen { battle } => self.reopen(ask, via, battle, &mut seat).await,
            _ => self.go_on(ask, via, &mut seat).await,
        };
        match answer {
            Ok(event) => Ok(Answer { event, again: false, taken_back: false, opened: None }),
            // A request that was answered before cannot be answered anew, so it comes here: the
            // earlier answer is the answer, whatever the battle has become since.
            Err(refusal) => match self.answered(ask).await? {
                Some(event) => self.again(event, ask).await,
                None => Err(refusal),
            },
        }
    }

    /// The earlier answer to a request: in the battle that is open here, or else in the latest.
    async fn answered(&self, ask: &Ask) -> Result<Option<Recorded>, Refusal> {
        let open = self.record.open_battle(&ask.place).await?;
        let battle = match open {
            Some(head) => Some(head),
            None => self.record.battles(Some(&ask.place)).await?.pop(),
        };
        let Some(head) = battle else { return Ok(None) };
        Ok(self.record.answered(&head.battle, &ask.asked).await?)
    }

    /// The answer to a request that was answered before.
    async fn again(&self, event: Recorded, ask: &Ask) -> Result<Answer, Refusal> {
        if event.event.request != ask.request {
            return Err(Refusal::OtherRequest(ask.asked.clone()));
        }
        let mut taken_back = false;
        let mut after = event.event.seq;
        while !taken_back {
            let later = self.record.events_after(&event.event.battle, after, READING).await?;
            let Some(last) = later.last() else { break };
            after = last.event.seq;
            taken_back = later.iter().any(|later| {
                matches!(later.event.body, Body::Undone { seq, .. } if seq == event.event.seq)
            });
        }
        Ok(Answer { event, again: true, taken_back, opened: None })
    }

    /// Answers a request in the battle that is open.
    async fn go_on(
        &self,
        ask: &Ask,
        via: Option<&str>,
        seat: &mut Option<Loaded>,
    ) -> Result<Recorded, Refusal> {
        let loaded = self.refresh(&ask.place, seat).await?;
        let mut next_chain = None;
        let body = {
            let Loaded { battle, rules, chain } = &*loaded;
            let draw = roll::Draw::from_chain(battle, chain.as_ref(), &mut next_chain);
            decide::decide(battle, rules, &ask.request, &ask.asked, draw)?
        };
        self.append(ask, via, loaded, body, next_chain).await
    }

    /// Writes what was decided, then takes it into memory.
    async fn append(
        &self,
        ask: &Ask,
        via: Option<&str>,
        loaded: &mut Loaded,
        body: Body,
        next_chain: Option<Chain>,
    ) -> Result<Recorded, Refusal> {
        let battle = &loaded.battle;
        let event = self.write(ask, &battle.id, battle.seq + 1, battle.head, body);
        let append = Append {
            place: &ask.place,
            via,
            event: &event,
            founding: None,
            next_chain: next_chain.as_ref(),
        };
        // The chain that begins with this event was drawn when the one before it began. It is read
        // first, so that memory follows the record at once, whatever fails or is dropped.
        let beginning = match next_chain {
            Some(_) => self.record.chain(battle.chain.next).await?,
            None => None,
        };
        self.record.append(&append).await?;
        loaded.battle.apply(&event).map_err(Fault::from)?;
        if beginning.is_some() {
            loaded.chain = beginning;
        }
        Ok(event)
    }

    async fn open(
        &self,
        ask: &Ask,
        via: Option<&str>,
        open: &Open,
        seat: &mut Option<Loaded>,
    ) -> Result<Recorded, Refusal> {
        if let Some(head) = self.record.open_battle(&ask.place).await? {
            return Err(Mistake::AlreadyOpen(head.name).into());
        }
        let known = self.record.battles(Some(&ask.place)).await?;
        if let Some(head) = known.iter().find(|head| same_name(&head.name, &open.name)) {
            return Err(Mistake::BattleNameTaken(head.name.clone()).into());
        }
        let rules = self.shelf.find(open.rules.as_deref())?;
        // A demonstration's quick rulings have a chain of their own.
        let of_place = |seed: &[u8]| match ask.place.split_once('#') {
            Some((_, part)) => [seed, part.as_bytes()].concat(),
            None => seed.to_vec(),
        };
        let chain = Chain::new(self.secret(&of_place(DEMONSTRATION))?, self.chain_length);
        let next_chain =
            Chain::new(self.secret(&of_place(DEMONSTRATION_AFTER))?, self.chain_length);
        let anchors = [chain.anchor(), next_chain.anchor()];
        let body = decide::opening(open, &rules, anchors, chain.length())?;
        let Body::Opened { name, .. } = &body else { unreachable!("an opening opens") };
        let name = name.clone();
        let event = self.write(ask, &chain.anchor().short(), 1, Digest::ZERO, body);
        let founding = Founding {
            name: &name,
            chain: Some(&chain),
            rules: (&rules.name, rules.sha256, &rules.text),
        };
        let append = Append {
            place: &ask.place,
            via,
            event: &event,
            founding: Some(founding),
            next_chain: Some(&next_chain),
        };
        self.record.append(&append).await?;
        let battle = Battle::begin(&event).map_err(Fault::from)?;
        *seat = Some(Loaded { battle, rules, chain: Some(chain) });
        Ok(event)
    }

    async fn reopen(
        &self,
        ask: &Ask,
        via: Option<&str>,
        name: &str,
        seat: &mut Option<Loaded>,
    ) -> Result<Recorded, Refusal> {
        if let Some(head) = self.record.open_battle(&ask.place).await? {
            let same = same_name(&head.name, name);
            let mistake = if same { Mistake::NotClosed } else { Mistake::AlreadyOpen };
            return Err(mistake(head.name).into());
        }
        let head = self.battle_called(&ask.place, name).await?;
        let mut loaded = self.load(&head).await?;
        let event = self.append(ask, via, &mut loaded, Body::Reopened, None).await?;
        *seat = Some(loaded);
        Ok(event)
    }

    /// The battle of a place called `name`, open or closed.
    async fn battle_called(&self, place: &str, name: &str) -> Result<Head, Refusal> {
        let known = self.record.battles(Some(place)).await?;
        crate::battle::find(name, known.iter(), |head| &head.name).cloned().map_err(|meant| {
            let meant = meant.map(|head| head.name.clone());
            Mistake::NoSuchBattle { name: name.to_owned(), meant }.into()
        })
    }

    /// The battle open in `place`, up to date with the record.
    async fn refresh<'s>(
        &self,
        place: &str,
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
        loaded.chain = self.record.chain(loaded.battle.chain.anchor).await?;
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

    async fn load(&self, head: &Head) -> Result<Loaded, Refusal> {
        let first = self.record.events_after(&head.battle, 0, 1).await?;
        let first = first.first().ok_or_else(|| Fault::Missing(head.battle.clone()))?;
        let mut battle = Battle::begin(first).map_err(Fault::from)?;
        self.read_on(&mut battle).await?;
        let (name, text) = self
            .record
            .rules(battle.rules)
            .await?
            .ok_or_else(|| Fault::Missing(battle.rules.to_string()))?;
        let rules = Rules::load(&name, &text).map_err(Fault::from)?;
        let chain = self.record.chain(battle.chain.anchor).await?;
        Ok(Loaded { battle, rules: Arc::new(rules), chain })
    }

    fn secret(&self, demonstration: &[u8]) -> Result<Secret, Fault> {
        if self.demonstration {
            return Ok(Secret::from_bytes(*Digest::of(demonstration).bytes()));
        }
        Secret::draw().map_err(|error| Fault::Random(error.to_string()))
    }

    fn now(&self) -> String {
        let now =
            if self.demonstration { jiff::Timestamp::UNIX_EPOCH } else { jiff::Timestamp::now() };
        now.strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
    }

    fn write(&self, ask: &Ask, battle: &str, seq: u64, prev: Digest, body: Body) -> Recorded {
        Recorded::write(Event {
            form: FORM,
            battle: battle.to_owned(),
            seq,
            at: self.now(),
            by: ask.by.clone(),
            asked: ask.asked.clone(),
            prev,
            request: ask.request.clone(),
            body,
        })
    }
}

/// Where a place's quick rulings are kept, beside its battles.
pub(crate) fn quick_place(place: &str) -> String {
    format!("{place}#quick")
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
