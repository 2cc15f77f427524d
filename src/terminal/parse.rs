//! What a line spells, turned into the request or the look it means.

use super::grammar::{
    ChangeWords, ContactWords, CoverWord, FormWords, Higher, MatchArgs, MeleeArgs, MusterWords,
    OddsArgs, OpenWords, RulingArgs, ScaleArgs, ShootWords, Spelled, StandingWord, Whose,
};
use super::line::Line;
use crate::protocol::{
    Change, ContactAsk, Cover, Facing, Ground, Holder, MeleeAsk, Muster, Open, QuickAsk, Request,
    Setting, ShootAsk, ShotRange, Standing,
};
use crate::referee::Look;

impl FormWords {
    fn of(self, look: Look) -> Line {
        match self.svg {
            Some(file) => Line::Drawn(look, file),
            None if self.json => Line::Data(look),
            None => Line::Look(look),
        }
    }
}

impl Spelled {
    pub fn into_line(self) -> Line {
        let request = match self {
            Self::Open(OpenWords { name, scale, rules, sides, casts }) => {
                Request::Open(Open { name, scale, rules, sides, casts })
            }
            Self::Side { name } => Request::Side { name },
            Self::Muster(words) => Request::Muster(words.into()),
            Self::Change(words) => Request::Change(words.into()),
            Self::Dismiss { unit } => Request::Dismiss { unit },
            Self::Attach { leader, unit } => Request::Attach { leader, unit },
            Self::Rescale { scale } => Request::Rescale { scale },
            Self::Melee(MeleeArgs { contact, cast }) => {
                Request::Melee(MeleeAsk { contacts: vec![contact.into()], cast })
            }
            Self::Again { unit } => Request::Again { unit },
            Self::Cast { text } => Request::Cast { text },
            Self::Shoot(words) => Request::Shoot(words.into()),
            Self::Rally { unit } => Request::Rally { unit },
            Self::Ruling(RulingArgs { striker, struck, scale, how, odds, json, svg }) => {
                // The names come with the field that is made for the two descriptions.
                let (unnamed, too) = (String::new(), String::new());
                let how = ContactWords { striker: unnamed, struck: too, how }.into();
                let ask = QuickAsk { scale, striker, struck, how };
                if odds {
                    return FormWords { json, svg }.of(Look::Quick(ask));
                }
                Request::Quick(ask)
            }
            Self::Throw { dice, purpose } => Request::Throw { dice, purpose },
            Self::Turn => Request::Turn,
            Self::Word { name, text } => Request::Word { name, text },
            Self::Undo { reason } => Request::Undo { reason: reason.join(" ") },
            Self::Close => Request::Close,
            Self::Reopen { battle } => Request::Reopen { battle },
            Self::Odds(OddsArgs { striker, struck, how, form }) => {
                let both = striker.zip(struck);
                let contact = both.map(|(striker, struck)| ContactWords { striker, struck, how });
                let contacts = contact.into_iter().map(Into::into).collect();
                let look = Look::Odds { contacts };
                return form.of(look);
            }
            Self::Scale(ScaleArgs { unit, other, at, share, form }) => {
                let units = unit.zip(other).map(|(unit, other)| [unit, other]);
                let look = Look::Scales { units, scales: at, percent: share };
                return form.of(look);
            }
            Self::Match(words) => {
                let MatchArgs { unit, class, grade, spears, frontage, form } = words;
                let look = Look::Match { unit, class, grade, spears, frontage };
                return form.of(look);
            }
            Self::Show { unit } => return Line::Look(Look::Show { unit }),
            Self::Battles => return Line::Look(Look::Battles),
            Self::Log { all } => return Line::Look(Look::Log { all }),
            Self::Proof { roll } => return Line::Look(Look::Proof { roll }),
            Self::Rules => return Line::Look(Look::Rules),
            Self::Help { request } => return Line::Help(request),
            Self::Quit => return Line::Quit,
        };
        Line::Request(request, None)
    }
}

impl From<MusterWords> for Muster {
    fn from(words: MusterWords) -> Self {
        let MusterWords { unit, side, class, men, grade, spears, weapon, frontage, leader } = words;
        Self { unit, side, class, men, grade, spears, weapon, frontage, leader }
    }
}

impl From<ChangeWords> for Change {
    fn from(words: ChangeWords) -> Self {
        let setting = |text: String| match text.to_lowercase().as_str() {
            "none" => Setting::None,
            _ => Setting::To(text),
        };
        Self {
            unit: words.unit,
            rename: words.rename,
            side: words.side,
            class: words.class,
            men: words.men,
            grade: words.grade,
            spears: words.spears,
            weapon: words.weapon.map(setting),
            frontage: words.frontage,
            leader: words.leader.map(setting),
            standing: words.standing.map(Into::into),
            apart: words.apart,
        }
    }
}

impl From<ContactWords> for ContactAsk {
    fn from(ContactWords { striker, struck, how }: ContactWords) -> Self {
        let facing = match (how.flank, how.rear) {
            (true, _) => Facing::Flank,
            (_, true) => Facing::Rear,
            _ => Facing::Front,
        };
        Self {
            striker,
            struck,
            charge: how.charge,
            countercharge: how.countercharge,
            facing,
            ground: how.higher.map(Into::into),
            obstacle: how.obstacle.map(Into::into),
        }
    }
}

impl From<ShootWords> for ShootAsk {
    fn from(words: ShootWords) -> Self {
        Self {
            shooter: words.shooter,
            target: words.target,
            range: if words.long { ShotRange::Long } else { ShotRange::Short },
            cover: words.cover.map(|cover| match cover {
                CoverWord::Light => Cover::Light,
                CoverWord::Works => Cover::Works,
            }),
        }
    }
}

impl From<Whose> for Holder {
    fn from(whose: Whose) -> Self {
        match whose {
            Whose::Ours => Self::Striker,
            Whose::Theirs => Self::Struck,
        }
    }
}

impl From<Higher> for Ground {
    fn from(higher: Higher) -> Self {
        match higher {
            Higher::Ours => Self::Striker,
            Higher::Theirs => Self::Struck,
            Higher::Both => Self::Both,
        }
    }
}

impl From<StandingWord> for Standing {
    fn from(word: StandingWord) -> Self {
        match word {
            StandingWord::Steady => Self::Steady,
            StandingWord::Shaken => Self::Shaken,
            StandingWord::Routing => Self::Routing,
            StandingWord::Left => Self::Left,
            StandingWord::Destroyed => Self::Destroyed,
        }
    }
}
