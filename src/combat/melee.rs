//! A melee before its dice: any number of units against any number, who meets whom and how.
//!
//! [`Melee::join`] finds it out; `round` throws, and the odds reckon with the same parts.

use super::circumstances::{Meeting, Party, steps};
use super::contact::{Attack, Contact, ContactRound};
use super::losses::RoundLosses;
use super::morale::{InMelee, Situation};
use super::{fighting, leaders, morale, strike};
use crate::battle::{Field, Mistake, TwoSides};
use crate::protocol::{ContactAsk, Holder, Scale, Term, Unit};
use crate::rules::{Class, Rules};

/// The most contacts of one melee.
const CONTACTS: usize = 40;

/// A melee ready to be fought: who is in it, and what each throw needs.
#[derive(Debug, Clone)]
pub struct Melee<'a> {
    pub(super) rules: &'a Rules,
    pub(super) scale: Scale,
    pub(super) turn: u32,
    /// Only for people to read: what counts goes by [`ContactRound`].
    pub(super) round: u32,
    /// The asking side, then the other.
    pub sides: [&'a str; 2],
    /// The units: the asking side's first, each in muster order.
    pub combatants: Vec<Combatant<'a>>,
    /// The contacts, in the order asked.
    pub contacts: Vec<Contact>,
    pub(super) parted: Vec<[String; 2]>,
}

/// A unit in a melee.
#[derive(Debug, Clone)]
pub struct Combatant<'a> {
    /// The unit.
    pub unit: &'a Unit,
    /// Its class.
    pub class: &'a Class,
    /// 0 for the asking side, 1 for the other.
    pub side: usize,
    /// In how many contacts it is.
    pub contacts: u32,
    /// What the circumstances of its contacts add to its nerve, each cause once.
    pub nerve: Vec<Term>,
}

/// The unit called `name`, if it can fight.
pub(super) fn able<'a>(field: &'a Field, name: &str) -> Result<&'a Unit, Mistake> {
    let unit = field.unit(name)?;
    if unit.fights() {
        return Ok(unit);
    }
    Err(Mistake::CannotFight { unit: unit.name.clone(), standing: unit.standing })
}

/// The class of a unit.
pub(super) fn class_of<'a>(rules: &'a Rules, unit: &Unit) -> Result<&'a Class, Mistake> {
    rules.class(&unit.class).ok_or_else(|| Mistake::NotInRules {
        kind: "class",
        name: unit.class.clone(),
        known: rules.classes.iter().map(|class| class.name.clone()).collect(),
    })
}

impl<'a> Melee<'a> {
    /// Joins the contacts asked into a melee in its round `round`, from 1.
    pub fn join(
        rules: &'a Rules,
        field: &'a Field,
        asks: &[ContactAsk],
        round: u32,
    ) -> Result<Self, Mistake> {
        if asks.is_empty() || asks.len() > CONTACTS {
            return Err(Mistake::ContactCount);
        }
        let pairs = asks
            .iter()
            .map(|ask| Ok((able(field, &ask.striker)?, able(field, &ask.struck)?)))
            .collect::<Result<Vec<_>, Mistake>>()?;
        let sides = sides(&pairs)?;
        let combatants = combatants(rules, field, &pairs, sides)?;
        let mut melee = Self {
            rules,
            scale: field.scale,
            turn: field.turn,
            round,
            sides,
            combatants,
            contacts: Vec::with_capacity(asks.len()),
            parted: Vec::new(),
        };
        for (ask, (striker, struck)) in asks.iter().zip(pairs) {
            melee.check_charges(field, ask, striker, struck)?;
            melee.add(ask, striker, struck)?;
        }
        melee.parted = melee.ended_by_silence(field);
        Ok(melee)
    }

    /// Figures that fight in a throw while its unit has `figures`.
    pub fn fighting(&self, attack: &Attack, figures: u32) -> u32 {
        let combatant = &self.combatants[attack.by];
        let all = fighting::fighting(self.rules, combatant.unit, figures);
        fighting::share(all, combatant.contacts, attack.place)
    }

    /// Dice of a throw while its unit has `figures`, a leader's included.
    pub fn dice(&self, attack: &Attack, figures: u32) -> u32 {
        let fighting = self.fighting(attack, figures);
        let dice = strike::dice(attack.matchup.rate, fighting, self.rules.dice.minimum);
        dice + if fighting > 0 { attack.leader_dice } else { 0 }
    }

    /// Each side's presence with `figures` left of each combatant.
    pub fn presence(&self, figures: impl Fn(usize) -> u32) -> [u32; 2] {
        let mut presence = [0; 2];
        for (place, combatant) in self.combatants.iter().enumerate() {
            presence[combatant.side] += figures(place) * combatant.class.presence;
        }
        presence
    }

    /// The rules it is fought under.
    pub const fn rules(&self) -> &'a Rules {
        self.rules
    }

    /// The figure scale it is fought at.
    pub const fn scale(&self) -> Scale {
        self.scale
    }

    /// The round of this melee, from 1.
    pub const fn round(&self) -> u32 {
        self.round
    }

    /// The lowest score on which the leader of the combatant in `place` falls when it lost `lost`
    /// of `before` figures; none if it has no leader or he is not at risk.
    pub fn falls_on(&self, place: usize, before: u32, lost: u32) -> Option<u32> {
        self.combatants[place].unit.leader.as_ref()?;
        leaders::falls_on(self.rules, before, lost)
    }

    /// What a round with these `losses` does to the nerve of the combatant in `place`, which has
    /// `left` figures, and a leader or not.
    pub fn situation(
        &self,
        place: usize,
        left: u32,
        leader: bool,
        losses: RoundLosses,
        presence: [u32; 2],
    ) -> Situation<'_> {
        let combatant = &self.combatants[place];
        let (ours, theirs) = (presence[combatant.side], presence[1 - combatant.side]);
        Situation {
            grade: morale::grade(self.rules, combatant.unit),
            leader,
            muster: combatant.unit.muster.figures,
            left,
            melee: Some(InMelee {
                losses,
                outnumbered: morale::outnumbered(self.rules, ours, theirs),
            }),
            circumstances: &combatant.nerve,
        }
    }

    /// Contacts that these units still held and that this melee does not name.
    fn ended_by_silence(&self, field: &Field) -> Vec<[String; 2]> {
        let fights =
            |name: &str| self.combatants.iter().any(|combatant| combatant.unit.name == name);
        let named = |a: &str, b: &str| {
            self.contacts.iter().any(|Contact { ask, .. }| {
                (ask.striker == a && ask.struck == b) || (ask.striker == b && ask.struck == a)
            })
        };
        field
            .engagements
            .iter()
            .flat_map(|engagement| &engagement.contacts)
            .map(|held| &held.ask)
            .filter(|ask| fights(&ask.striker) || fights(&ask.struck))
            .filter(|ask| !named(&ask.striker, &ask.struck))
            .map(|ask| [ask.striker.clone(), ask.struck.clone()])
            .collect()
    }

    fn check_charges(
        &self,
        field: &Field,
        ask: &ContactAsk,
        striker: &Unit,
        struck: &Unit,
    ) -> Result<(), Mistake> {
        for (charges, unit) in [(ask.charge, striker), (ask.countercharge, struck)] {
            if charges && !class_of(self.rules, unit)?.mounted {
                let (unit, class) = (unit.name.clone(), unit.class.clone());
                return Err(Mistake::FootCharge { unit, class });
            }
        }
        // A contact that is fought on keeps the charge that it was asked with.
        let first = ContactRound::of(self.round) == ContactRound::First;
        let asked_now = first && (ask.charge || ask.countercharge);
        let in_contact = || {
            field.engagement_of(&striker.name).is_some_and(|engagement| {
                engagement.contacts.iter().any(|held| held.joins(&striker.name, &struck.name))
            })
        };
        if asked_now && in_contact() {
            return Err(Mistake::LateCharge(striker.name.clone(), struck.name.clone()));
        }
        Ok(())
    }

    fn add(&mut self, ask: &ContactAsk, striker: &Unit, struck: &Unit) -> Result<(), Mistake> {
        let twice = self.contacts.iter().any(|contact| {
            contact.ask.striker == striker.name && contact.ask.struck == struck.name
        });
        if twice {
            return Err(Mistake::ContactTwice(striker.name.clone(), struck.name.clone()));
        }
        let place = |unit: &Unit| {
            let found =
                self.combatants.iter().position(|combatant| combatant.unit.name == unit.name);
            found.expect("every unit of a contact is a combatant")
        };
        let (by, at) = (place(striker), place(struck));
        let contact = self.resolve(ask.clone(), by, at);
        for (attack, nerve) in contact.attacks.iter().zip(&contact.nerve) {
            let combatant = &mut self.combatants[attack.by];
            combatant.contacts += 1;
            morale::gather(&mut combatant.nerve, nerve);
        }
        self.contacts.push(contact);
        Ok(())
    }

    /// Resolves what was asked of the combatants in the places `by` and `at`.
    fn resolve(&self, ask: ContactAsk, by: usize, at: usize) -> Contact {
        let meeting = Meeting { rules: self.rules, ask: &ask, round: ContactRound::of(self.round) };
        let attacks = [
            self.attack(meeting, (by, Holder::Striker), (at, Holder::Struck)),
            self.attack(meeting, (at, Holder::Struck), (by, Holder::Striker)),
        ];
        let nerve = [Holder::Striker, Holder::Struck].map(|role| meeting.of_nerve(role));
        Contact { ask, attacks, nerve }
    }

    fn attack(&self, meeting: Meeting<'_>, by: (usize, Holder), at: (usize, Holder)) -> Attack {
        let party = |(place, role): (usize, Holder)| {
            let combatant = &self.combatants[place];
            Party { unit: combatant.unit, class: combatant.class, role }
        };
        let (us, them) = (party(by), party(at));
        let circumstances = meeting.of_attack(us, them);
        let place = self.combatants[by.0].contacts;
        let led = us.unit.leader.is_some() && place == 0;
        Attack {
            by: by.0,
            at: at.0,
            place,
            matchup: self.rules.matchup(us.class, them.class, steps(&circumstances)),
            circumstances,
            leader_dice: if led { self.rules.dice.leader } else { 0 },
        }
    }
}

/// The asking side and the other, which every contact must agree on.
fn sides<'a>(pairs: &[(&'a Unit, &'a Unit)]) -> Result<[&'a str; 2], Mistake> {
    let (first, first_struck) = pairs[0];
    let parted = |one: &Unit, other: &Unit| {
        TwoSides::new([&one.name, &one.side], [&other.name, &other.side])
    };
    for (striker, struck) in pairs {
        if striker.side != first.side {
            return Err(Mistake::MixedStrikers(parted(first, striker)));
        }
        if struck.side == striker.side {
            return Err(Mistake::SameSide(striker.name.clone(), struck.name.clone()));
        }
        if struck.side != first_struck.side {
            return Err(Mistake::MixedStruck(parted(first_struck, struck)));
        }
    }
    Ok([&first.side, &first_struck.side])
}

/// The units of a melee: the asking side's first, each in muster order.
fn combatants<'a>(
    rules: &'a Rules,
    field: &'a Field,
    pairs: &[(&'a Unit, &'a Unit)],
    sides: [&'a str; 2],
) -> Result<Vec<Combatant<'a>>, Mistake> {
    let mut combatants = Vec::new();
    for (side, name) in sides.into_iter().enumerate() {
        for unit in field.units.iter().filter(|unit| unit.side == name) {
            let is = |other: &Unit| other.name == unit.name;
            if !pairs.iter().any(|(striker, struck)| is(striker) || is(struck)) {
                continue;
            }
            let class = class_of(rules, unit)?;
            combatants.push(Combatant { unit, class, side, contacts: 0, nerve: Vec::new() });
        }
    }
    Ok(combatants)
}
