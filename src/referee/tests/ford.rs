//! The battle at the ford, to which one request comes after another.

use crate::battle::{Battle, Engagement, Held, Mistake};
use crate::digest::Digest;
use crate::fair::check::{Checker, Holds};
use crate::fair::{Chain, Receipt, Secret};
use crate::protocol::{
    Amount, Appointee, Body, Change, ContactAsk, Described, DiceAsk, Event, MeleeAsk, Muster,
    Office, Open, Protocol, Recorded, Request, RequestId, Ruling, Scale, ShootAsk, ShotRange, Who,
};
use crate::referee::Refusal;
use crate::referee::decide::{decide, opening};
use crate::referee::decision::{Decision, Occasion};
use crate::referee::roll::Draw;
use crate::rules::{Rules, SIX_SIDED};
use std::sync::Arc;

/// Who opened the battle.
pub const OPENER: Who = Who::Person(1);
/// Links in each of its chains.
pub const LINKS: u32 = 2;

/// A battle with its rules and its chains.
pub struct Ford {
    pub battle: Battle,
    pub rules: Rules,
    /// How many chains have come to their end.
    pub ended: u8,
}

/// The battle's `n`th chain, from 1.
pub fn chain(n: u8) -> Chain {
    Chain::new(Secret::from_bytes([n; 32]), LINKS)
}

pub fn rules() -> Rules {
    Rules::load("six-sided.toml", SIX_SIDED).unwrap()
}

/// The opening of a battle of the Vale against the Grey Banner, at 1:20.
pub fn open() -> Open {
    Open {
        name: "Harrow Ford".into(),
        scale: Scale::new(20).unwrap(),
        rules: None,
        sides: vec!["Vale".into(), "Grey Banner".into()],
        casts: false,
    }
}

impl Ford {
    /// A battle just opened.
    pub fn opened(open: Open) -> Self {
        let rules = rules();
        let anchors = [chain(1).anchor(), chain(2).anchor()];
        let body = opening(Protocol::LATEST, &open, &rules, anchors, LINKS).unwrap();
        let event = Event {
            battle: anchors[0].short(),
            seq: 1,
            at: "2026-01-01T00:00:00Z".into(),
            by: OPENER,
            office: Office::Referee,
            asked: "table:1".parse().unwrap(),
            prev: Digest::ZERO,
            request: Request::Open(open),
            body,
            roll: None,
        };
        let battle = Battle::begin(&Recorded::write(event)).unwrap();
        Self { battle, rules, ended: 0 }
    }

    /// A battle with two units of each side: foot under a leader, and bows or horse without one.
    pub fn mustered(open: Open) -> Self {
        let mut ford = Self::opened(open);
        for (unit, side, class, men, leader) in [
            ("Ford Wardens", "Vale", "heavy foot", 160, Some("Ida")),
            ("Vale Bows", "Vale", "light foot", 100, None),
            ("Banner Spears", "Grey Banner", "light foot", 200, Some("Orm")),
            ("Banner Horse", "Grey Banner", "medium horse", 60, None),
        ] {
            let weapon = unit.ends_with("Bows").then(|| "bows".to_owned());
            let leader = leader.map(str::to_owned);
            ford.ask(Request::Muster(Muster {
                weapon,
                leader,
                ..Muster::new(unit, side, class, men)
            }));
        }
        ford
    }

    /// The same, with these offices given.
    pub fn with_offices(offices: &[(Appointee, Option<&str>)]) -> Self {
        let mut ford = Self::mustered(open());
        for (who, side) in offices {
            ford.ask(Request::Appoint { who: *who, side: side.map(str::to_owned) });
        }
        ford
    }

    /// The same, with a contact that has stood for so many rounds.
    pub fn engaged(mut self, ask: ContactAsk, rounds: u32) -> Self {
        let contacts = vec![Held { ask, width: None, rounds, made: 1 }];
        self.battle.field.engagements = Arc::new(vec![Engagement {
            asking: "Grey Banner".into(),
            rounds,
            this_turn: rounds,
            contacts,
            fled: Vec::new(),
        }]);
        self
    }

    /// The chain in use.
    pub fn chain(&self) -> Chain {
        chain(self.ended + 1)
    }

    /// The id of the next request.
    pub fn asked(&self) -> RequestId {
        format!("table:{}", self.battle.seq + 1).parse().unwrap()
    }

    /// What a request of the opener's comes to; nothing is written down.
    pub fn decide(&self, request: &Request) -> Result<Decision, Refusal> {
        self.decide_as(OPENER, &Office::Referee, request)
    }

    /// What a request comes to in that office; nothing is written down.
    pub fn decide_as(
        &self,
        by: Who,
        office: &Office,
        request: &Request,
    ) -> Result<Decision, Refusal> {
        let (asked, chain, mut following) = (self.asked(), self.chain(), None);
        let secret = |_| Ok(Secret::from_bytes([self.ended + 3; 32]));
        let draw = Draw::from_chain(&self.battle, Some(&chain), &mut following, secret);
        let occasion = Occasion { asked: &asked, by, office };
        decide(&self.battle, &self.rules, request, occasion, draw)
    }

    /// What a request of the opener's comes to with the link that `draw` gives.
    pub fn decide_drawn(&self, request: &Request, draw: Draw<'_>) -> Result<Decision, Refusal> {
        let asked = self.asked();
        let occasion = Occasion { asked: &asked, by: OPENER, office: &Office::Referee };
        decide(&self.battle, &self.rules, request, occasion, draw)
    }

    /// The mistake that a request of the opener's is.
    pub fn mistake(&self, request: &Request) -> Mistake {
        match self.decide(request) {
            Err(Refusal::Mistake(mistake)) => mistake,
            other => panic!("{request:?} is no mistake: {other:?}"),
        }
    }

    /// Decides a request of the opener's and writes down what it came to.
    pub fn ask(&mut self, request: Request) -> Decision {
        self.ask_as(OPENER, request)
    }

    /// The same, of somebody else's in a referee's office.
    pub fn ask_as(&mut self, by: Who, request: Request) -> Decision {
        let decision = self.decide_as(by, &Office::Referee, &request).unwrap();
        let ends = decision.roll.as_ref().is_some_and(|roll| roll.next_anchor.is_some());
        let event = Event {
            battle: self.battle.id.clone(),
            seq: self.battle.seq + 1,
            at: self.battle.latest.clone(),
            by,
            office: Office::Referee,
            asked: self.asked(),
            prev: self.battle.head,
            request,
            body: decision.body.clone(),
            roll: decision.roll.clone(),
        };
        self.battle.apply(&Recorded::write(event)).unwrap();
        self.ended += u8::from(ends);
        decision
    }

    /// What a request of the opener's is ruled, and the receipt of its roll, which holds.
    pub fn ruled(&self, request: &Request) -> (Ruling, Receipt) {
        let decision = self.decide(request).unwrap();
        let Body::Ruled { ruling } = decision.body else { panic!("{:?}", decision.body) };
        let receipt = decision.roll.unwrap().receipt;
        let mut checker = Checker::from_anchor(&self.battle.id, self.battle.chain.anchor);
        let holds = Holds { roll: 1, link: 1, before: 0, taken_back: false };
        assert_eq!(checker.check(&receipt), Ok(holds), "{request:?}");
        (ruling, receipt)
    }

    /// What a request of the opener's comes to, where no die is thrown for it.
    pub fn body(&self, request: &Request) -> Body {
        let decision = self.decide(request).unwrap();
        assert_eq!(decision.roll, None, "{request:?}");
        decision.body
    }
}

pub fn change(unit: &str) -> Change {
    Change { unit: unit.into(), ..Change::default() }
}

pub fn melee(striker: &str, struck: &str) -> Request {
    let contacts = vec![ContactAsk::new(striker, struck)];
    Request::Melee(MeleeAsk { contacts, cast: false })
}

/// A melee of horse that charges.
pub fn charge() -> ContactAsk {
    ContactAsk { charge: true, ..ContactAsk::new("Banner Horse", "Ford Wardens") }
}

pub fn again(unit: Option<&str>) -> Request {
    Request::Again { unit: unit.map(str::to_owned) }
}

pub fn shoot(shooter: &str, target: &str) -> ShootAsk {
    ShootAsk {
        shooters: vec![shooter.into()],
        target: target.into(),
        range: ShotRange::Short,
        cover: None,
        moved: false,
    }
}

pub fn undo(reason: &str) -> Request {
    Request::Undo { reason: reason.into() }
}

pub fn throw(dice: &[DiceAsk], purpose: Option<&str>) -> Request {
    Request::Throw { dice: dice.to_vec(), purpose: purpose.map(str::to_owned) }
}

pub fn described(figures: u32, class: &str) -> Described {
    Described {
        strength: Amount::Figures(figures),
        class: class.into(),
        grade: None,
        spears: false,
        shaken: false,
        led: false,
        frontage: None,
    }
}
