//! A session at a place: its battle is held, weighed and gone on with, and nobody else changes it
//! in this program meanwhile. Another program may; then the record refuses, and nothing is forked.

use super::decide;
use super::decision::{Decided, Occasion};
use super::{
    Answer, Ask, Asker, DEMONSTRATION, DEMONSTRATION_AFTER, Fault, Loaded, QUICK, READING, Referee,
    Refusal, asked_sha256, roll, throws,
};
use crate::battle::{Battle, Mistake, gate, same_name};
use crate::digest::Digest;
use crate::fair::Chain;
use crate::protocol::{Body, Office, Open, Place, Protocol, Recorded, Request, Scale};
use crate::record::{Answered, Append, NewBattle};
use crate::rules::Rules;
use std::sync::Arc;
use tokio::sync::OwnedMutexGuard;

/// The referee session at one place.
#[derive(Debug)]
pub struct BattleSession<'r> {
    pub(super) referee: &'r Referee,
    pub(super) seat: OwnedMutexGuard<Option<Loaded>>,
    /// Whether the battle has been read up to its latest event. If it has not, another program may
    /// have gone on with it; then whatever is asked of it is asked once more when it has been read.
    pub(super) read: bool,
}

/// A request on its way to the record.
#[derive(Debug, Clone, Copy)]
pub(super) struct Incoming<'a> {
    /// The request.
    pub ask: &'a Ask,
    /// How the front wants the post to go, in its own words.
    pub via: Option<&'a str>,
}

impl BattleSession<'_> {
    /// The battle that is open here.
    pub fn battle(&self) -> Option<&Battle> {
        self.seat.as_ref().map(|loaded| &loaded.battle).filter(|battle| battle.open)
    }

    /// Answers a request of this place, and keeps with the owed posts how the front wants them to
    /// go. On any refusal nothing has changed and no die was thrown.
    ///
    /// An id is answered once at its place, across all battles: the record itself refuses a second
    /// event for it. So it is looked for beforehand only where something else would be written
    /// before that event.
    pub async fn ask(&mut self, ask: &Ask, via: Option<&str>) -> Result<Answer, Refusal> {
        if self.needs_another_first(&ask.request)
            && let Some(answered) = self.answered(ask).await?
        {
            return self.again(answered, ask).await;
        }
        match self.ask_once(ask, via).await {
            Err(refusal) => self.ask_after(refusal, ask, via).await,
            answer => answer,
        }
    }

    /// Answers what was refused, if it has been answered before or if the battle has moved on since
    /// it was read.
    async fn ask_after(
        &mut self,
        refusal: Refusal,
        ask: &Ask,
        via: Option<&str>,
    ) -> Result<Answer, Refusal> {
        if let Some(answered) = self.answered(ask).await? {
            return self.again(answered, ask).await;
        }
        if self.read {
            return Err(refusal);
        }
        let before = self.stands();
        self.referee.read_up(&ask.place, &mut self.seat).await?;
        self.read = true;
        if self.stands() == before && !matches!(refusal, Refusal::Overtaken) {
            return Err(refusal);
        }
        self.ask_once(ask, via).await
    }

    /// The battle that is held and its latest event.
    fn stands(&self) -> Option<Digest> {
        self.seat.as_ref().map(|loaded| loaded.battle.head)
    }

    /// Whether a request may write another event before its own.
    fn needs_another_first(&self, request: &Request) -> bool {
        let waits = self.battle().is_some_and(|battle| battle.field.pending.is_some());
        waits || (request.is_quick() && self.belongs_to_quick())
    }

    async fn ask_once(&mut self, ask: &Ask, via: Option<&str>) -> Result<Answer, Refusal> {
        if ask.request.is_quick() && self.belongs_to_quick() {
            return self.ask_quick(Incoming { ask, via }).await;
        }
        self.ask_here(Incoming { ask, via }).await
    }

    /// Whether a quick ruling has no battle to go into: while a roll waits for its cast nothing else
    /// is recorded there.
    fn belongs_to_quick(&self) -> bool {
        self.battle().is_none_or(|battle| battle.field.pending.is_some())
    }

    /// Answers what needs no battle from a record of its own, which is opened when first needed.
    async fn ask_quick(&self, incoming: Incoming<'_>) -> Result<Answer, Refusal> {
        let ask = incoming.ask;
        let place = ask.place.quick();
        let mut quick = self.referee.session(&place).await?;
        let mut opened = None;
        if quick.battle().is_none() {
            self.quick_mistake(&ask.request)?;
            opened = Some(quick.open_quick(incoming, &place).await?);
        }
        let ask = Ask { place, ..ask.clone() };
        let answer = quick.ask_here(Incoming { ask: &ask, ..incoming }).await?;
        Ok(Answer { first: opened, ..answer })
    }

    /// Opens the record of a place's quick rulings; its anchor is posted before the first throw.
    async fn open_quick(
        &mut self,
        incoming: Incoming<'_>,
        place: &Place,
    ) -> Result<Recorded, Refusal> {
        let scale = Scale::new(1).expect("1:1 is a figure scale");
        let open = Open { name: QUICK.to_owned(), scale, rules: None, sides: vec![], casts: false };
        let opening = Ask {
            place: place.clone(),
            asked: incoming.ask.asked.part("opening"),
            asker: incoming.ask.asker.clone(),
            request: Request::Open(open),
        };
        Ok(self.ask_here(Incoming { ask: &opening, ..incoming }).await?.event)
    }

    async fn ask_here(&mut self, incoming: Incoming<'_>) -> Result<Answer, Refusal> {
        let mut first = None;
        let event = match &incoming.ask.request {
            Request::Open(open) => self.open(incoming, open).await?,
            Request::Reopen { battle } => self.reopen(incoming, battle).await?,
            Request::Close | Request::Appoint { .. } | Request::Relieve { .. } => {
                first = self.take_back_first(incoming).await?;
                self.go_on(incoming).await?
            }
            _ => self.go_on(incoming).await?,
        };
        Ok(Answer { event, again: false, taken_back: false, first })
    }

    /// The earlier answer to a request, in whatever battle of its place.
    async fn answered(&self, ask: &Ask) -> Result<Option<Answered>, Refusal> {
        Ok(self.referee.record.answered(&ask.place, &ask.asked).await?)
    }

    /// The answer to a request that was answered before.
    async fn again(&self, answered: Answered, ask: &Ask) -> Result<Answer, Refusal> {
        // The event holds the request as the gate let it in; what was asked is known by its digest.
        if answered.asked_sha256 != asked_sha256(&ask.request) {
            return Err(Refusal::OtherRequest(ask.asked.to_string()));
        }
        let event = answered.event;
        let record = &self.referee.record;
        let mut taken_back = false;
        let mut after = event.event.seq;
        while !taken_back {
            let later = record.events_after(&event.event.battle, after, READING).await?;
            let Some(last) = later.last() else { break };
            after = last.event.seq;
            taken_back = later.iter().any(|later| {
                matches!(later.event.body, Body::Undone { seq, .. } if seq == event.event.seq)
            });
        }
        Ok(Answer { event, again: true, taken_back, first: None })
    }

    /// Takes an announced roll back before what would leave it behind: its link is disclosed.
    ///
    /// What would be refused afterwards is refused first, so that a refusal spends no roll.
    async fn take_back_first(
        &mut self,
        incoming: Incoming<'_>,
    ) -> Result<Option<Recorded>, Refusal> {
        let ask = incoming.ask;
        let open = self.seat.as_ref().filter(|loaded| loaded.battle.open);
        let Some(loaded) = open.filter(|loaded| loaded.battle.field.pending.is_some()) else {
            return Ok(None);
        };
        let mut afterwards = loaded.battle.clone();
        afterwards.field.pending = None;
        decided(&afterwards, &loaded.rules, ask, roll::Draw::disclosed(None))?;
        let request = Request::Undo { reason: "what came next left no room for it".to_owned() };
        let first = Ask { asked: ask.asked.part("taken-back"), request, ..ask.clone() };
        self.go_on(Incoming { ask: &first, ..incoming }).await.map(Some)
    }

    /// The rules of the battle that is open here.
    pub fn rules(&self) -> Option<Arc<Rules>> {
        let open = self.seat.as_ref().filter(|loaded| loaded.battle.open);
        open.map(|loaded| Arc::clone(&loaded.rules))
    }

    /// What is wrong with a request that needs no battle, before anything is opened for it.
    fn quick_mistake(&self, request: &Request) -> Result<(), Refusal> {
        let rules = self.referee.rules_library.find(None)?;
        match request {
            Request::Quick(ask) => {
                let ask = gate::quick(&rules, ask)?;
                Ok(throws::quick_mistake(&rules, &Request::Quick(ask))?)
            }
            request => Ok(throws::quick_mistake(&rules, request)?),
        }
    }

    /// Answers a request in the battle that is open.
    async fn go_on(&mut self, incoming: Incoming<'_>) -> Result<Recorded, Refusal> {
        let ask = incoming.ask;
        let loaded = self.seat.as_mut().filter(|loaded| loaded.battle.open);
        let loaded = loaded.ok_or(Mistake::NoBattle)?;
        if loaded.chain.is_none() {
            return Err(Mistake::NoChain.into());
        }
        let mut next_chain = None;
        let decided = {
            let Loaded { battle, rules, chain } = &*loaded;
            let draw = roll::Draw::from_chain(battle, chain.as_ref(), &mut next_chain, |ended| {
                self.referee.secret(&[DEMONSTRATION_AFTER, ended.bytes()].concat())
            });
            decided(battle, rules, ask, draw)?
        };
        self.referee.append(incoming, loaded, decided, next_chain).await
    }

    async fn open(&mut self, incoming: Incoming<'_>, open: &Open) -> Result<Recorded, Refusal> {
        let Incoming { ask, via } = incoming;
        if let Some(battle) = self.battle() {
            return Err(Mistake::AlreadyOpen(battle.name.clone()).into());
        }
        let referee = self.referee;
        let known = referee.record.battles(Some(&ask.place)).await?;
        gate::battle_s_name(&open.name, known.iter().map(|head| head.name.as_str()))?;
        let rules = referee.rules_library.find(open.rules.as_deref())?;
        // A demonstration's quick rulings have a chain of their own.
        let of_place = |seed: &[u8]| {
            if ask.place.is_quick() { [seed, b"quick"].concat() } else { seed.to_vec() }
        };
        let chain = Chain::new(referee.secret(&of_place(DEMONSTRATION))?, referee.chain_length);
        let next_chain =
            Chain::new(referee.secret(&of_place(DEMONSTRATION_AFTER))?, referee.chain_length);
        let anchors = [chain.anchor(), next_chain.anchor()];
        // The event holds the rules' own name, however it was typed.
        let named = open.rules.as_ref().map(|_| rules.name.clone());
        let open = Open { rules: named, ..gate::opening(open)? };
        let body = decide::opening(Protocol::LATEST, &open, &rules, anchors, chain.length())?;
        let name = open.name.clone();
        let decided = Decided {
            office: Office::Referee,
            request: Request::Open(open),
            decision: body.into(),
        };
        let event = referee.write(ask, (&chain.anchor().short(), 1, Digest::ZERO), "", decided);
        let new_battle = NewBattle {
            name: &name,
            chain: Some(&chain),
            rules: (&rules.name, rules.sha256, &rules.text),
        };
        let append = Append {
            place: &ask.place,
            via,
            event: &event,
            asked_sha256: asked_sha256(&ask.request),
            new_battle: Some(new_battle),
            next_chain: Some(&next_chain),
        };
        referee.record.append(&append).await?;
        let battle = Battle::begin(&event).map_err(Fault::from)?;
        *self.seat = Some(Loaded { battle, rules, chain: Some(chain) });
        Ok(event)
    }

    async fn reopen(&mut self, incoming: Incoming<'_>, name: &str) -> Result<Recorded, Refusal> {
        let ask = incoming.ask;
        if let Some(battle) = self.battle() {
            let same = same_name(&battle.name, name);
            let mistake = if same { Mistake::NotClosed } else { Mistake::AlreadyOpen };
            return Err(mistake(battle.name.clone()).into());
        }
        let referee = self.referee;
        let head = referee.battle_called(&ask.place, name).await?;
        let mut loaded = referee.load(&head).await?;
        // To reopen it here would be an event that its own record knows nothing of.
        if loaded.chain.is_none() {
            return Err(Mistake::NoChain.into());
        }
        let request = Request::Reopen { battle: loaded.battle.name.clone() };
        let office = office(&ask.asker, &loaded.battle, &request)?;
        let decided = Decided { office, request, decision: Body::Reopened.into() };
        let event = referee.append(incoming, &mut loaded, decided, None).await?;
        *self.seat = Some(loaded);
        Ok(event)
    }
}

/// What a request comes to in a battle that is open, as the gate lets it in.
fn decided(
    battle: &Battle,
    rules: &Rules,
    ask: &Ask,
    draw: roll::Draw<'_>,
) -> Result<Decided, Refusal> {
    let request = gate::admit(battle, rules, ask.asker.who, &ask.request)?;
    let office = office(&ask.asker, battle, &request)?;
    let occasion = Occasion { asked: &ask.asked, by: ask.asker.who, office: &office };
    let decision = decide::decide(battle, rules, &request, occasion, draw)?;
    Ok(Decided { office, request, decision })
}

/// In which office somebody asks; if in none that would do, who would have to be asked.
fn office(asker: &Asker, battle: &Battle, request: &Request) -> Result<Office, Refusal> {
    let ask = vec![battle.opener];
    asker.office(battle, request).map_err(|needs| Refusal::NotYours { needs, ask })
}
