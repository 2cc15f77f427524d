//! Short phrases that more than one post uses.

use crate::protocol::{
    Cause, Circumstance, Effect, Leader, MoraleCause, Nerve, Outcome, RallyOutcome, Scale,
    Standing, Strength, Unit, WhyNot,
};
use crate::rules::Rate;

/// `1 figure`, `2 figures`.
pub(crate) fn count(n: u32, one: &str, many: &str) -> String {
    format!("{} {}", number(n), if n == 1 { one } else { many })
}

/// A whole number with commas between thousands.
pub(crate) fn number(n: u32) -> String {
    let digits = n.to_string();
    let mut text = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

pub(crate) fn figures(n: u32) -> String {
    count(n, "figure", "figures")
}

pub(crate) fn men(n: u32) -> String {
    count(n, "man", "men")
}

/// `8 figures, 160 men`, or the hits of a single.
pub(super) fn strength(strength: Strength) -> String {
    if is_single(strength) {
        return hits(strength.figures);
    }
    format!("{}, {}", figures(strength.figures), men(strength.men))
}

/// `160 men`, or the hits of a single.
pub(super) fn men_or_hits(strength: Strength) -> String {
    if is_single(strength) { hits(strength.figures) } else { men(strength.men) }
}

/// What was lost of a strength: `2 figures, 40 men`, or the hits of a single.
pub(super) fn lost(before: Strength, after: Strength) -> String {
    let lost = before.figures - after.figures;
    if is_single(before) {
        return hits(lost);
    }
    let fallen = men(before.men - after.men);
    if lost == 0 { format!("{fallen}, no figure") } else { format!("{}, {fallen}", figures(lost)) }
}

/// Figures without men are the hits of a single.
const fn is_single(strength: Strength) -> bool {
    strength.men == 0 && strength.figures > 0
}

fn hits(n: u32) -> String {
    count(n, "hit", "hits")
}

/// By how much the men that figures stand for differ from the men there are, if by over a tenth.
pub(super) fn off_by(strength: Strength, scale: Scale) -> Option<String> {
    let stand_for = strength.figures.saturating_mul(scale.men());
    let off = stand_for.abs_diff(strength.men);
    (off * 10 > strength.men && !is_single(strength))
        .then(|| format!("{} stand for {}", figures(strength.figures), men(stand_for)))
}

/// `+1`, `−1`, `0`.
pub(super) fn signed(n: i32) -> String {
    match n {
        0 => "0".to_owned(),
        n if n > 0 => format!("+{n}"),
        n => format!("−{}", n.unsigned_abs()),
    }
}

/// `2 for 1, kills on 5, 6`.
pub(super) fn rate(rate: Rate, sides: u32) -> String {
    format!("{} for {}, {}", rate.dice, rate.figures, kills_on(rate.kills_on, sides))
}

/// `kills on 5, 6`.
pub(super) fn kills_on(least: u32, sides: u32) -> String {
    match sides - least {
        0..=2 => format!("kills on {}", list((least..=sides).map(|face| face.to_string()))),
        _ => format!("kills on {least} or more"),
    }
}

/// The circumstances that count, with the rungs they move a throw by.
pub(super) fn steps(circumstances: &[Circumstance]) -> Option<String> {
    let counting = circumstances.iter().filter(|circumstance| circumstance.counts());
    let said = counting.map(|it| match it.effect {
        Effect::Dice(dice) => format!("{} {}", cause(&it.cause), count(dice, "die", "dice")),
        Effect::Step(_) | Effect::Nerve(_) => {
            format!("{} {}", cause(&it.cause), signed(it.step()))
        }
    });
    Some(list(said)).filter(|said| !said.is_empty())
}

/// That a circumstance does not count, and why: `charge does not count: into long spears`.
pub(super) fn does_not_count(circumstance: &Circumstance) -> Option<String> {
    let why = why_not(circumstance.why_not.as_ref()?);
    let verb = match circumstance.cause {
        Cause::LongSpears => "do",
        _ => "does",
    };
    Some(format!("{} {verb} not count: {why}", cause(&circumstance.cause)))
}

fn why_not(why_not: &WhyNot) -> &str {
    match why_not {
        WhyNot::Shaken => "shaken",
        WhyNot::TakenOnFlank => "taken on the flank",
        WhyNot::TakenFromRear => "taken from the rear",
        WhyNot::IntoLongSpears => "into long spears",
        WhyNot::NotFirstRound => "not the first round",
        WhyNot::AskedForBoth => "asked for both",
        WhyNot::Condition(name) => name,
    }
}

fn cause(cause: &Cause) -> &str {
    match cause {
        Cause::Charge => "charge",
        Cause::LongSpears => "long spears",
        Cause::AgainstLongSpears => "against long spears",
        Cause::Flank => "on the flank",
        Cause::Rear => "from the rear",
        Cause::StruckFlank => "struck on the flank",
        Cause::StruckRear => "struck from the rear",
        Cause::StruckSideOrRear => "struck on the flank or from the rear",
        Cause::HigherGround => "higher ground",
        Cause::Obstacle => "across an obstacle",
        Cause::Shaken => "shaken",
        Cause::LightCover => "light cover",
        Cause::Works => "behind works",
        Cause::Massed => "massed target",
        Cause::Moved => "moved this turn",
        Cause::Asked(why) => why,
        Cause::Condition(name) => name,
        Cause::Held => "held to 3 together",
    }
}

/// Faces and terms added up: `3 + 4, grade +1 = 8`.
pub(super) fn sum(nerve: &Nerve) -> String {
    let Nerve { faces, terms, score } = nerve;
    let thrown = faces.iter().map(u32::to_string).collect::<Vec<_>>().join(" + ");
    let parts = std::iter::once(format!("thrown {thrown}")).chain(
        terms.iter().map(|term| format!("{} {}", morale_cause(&term.cause), signed(term.by))),
    );
    let score = if *score < 0 { signed(*score) } else { score.to_string() };
    format!("{} = {score}", list(parts))
}

fn morale_cause(of: &MoraleCause) -> String {
    match of {
        MoraleCause::Grade => "grade".to_owned(),
        MoraleCause::Leader => "leader".to_owned(),
        MoraleCause::Quarters(quarters) => {
            format!("{} lost", count(*quarters, "quarter", "quarters"))
        }
        MoraleCause::LostMore => "lost more than it killed".to_owned(),
        MoraleCause::Outnumbered { theirs, ours } => format!("outnumbered {theirs}:{ours}"),
        MoraleCause::Comrade => "comrades gone".to_owned(),
        MoraleCause::Deep => "deep".to_owned(),
        MoraleCause::Duel => "leader fell in single combat".to_owned(),
        MoraleCause::Circumstance(circumstance) => cause(circumstance).to_owned(),
    }
}

/// What a unit did, and how it stands if that needs saying.
pub(super) const fn outcome(outcome: Outcome, standing: Standing) -> &'static str {
    match (outcome, standing) {
        (Outcome::Stands, Standing::Shaken) => "stands, still shaken",
        (Outcome::Stands, Standing::Routing) => "still routing",
        (Outcome::Stands, _) => "stands",
        (Outcome::FallsBack, _) => "falls back, shaken",
        (Outcome::Routs, _) => "routs",
        (Outcome::Destroyed, _) => "destroyed",
    }
}

pub(super) const fn rally_outcome(outcome: RallyOutcome) -> &'static str {
    match outcome {
        RallyOutcome::Steady => "rallies, steady again",
        RallyOutcome::StaysShaken => "does not rally, still shaken",
        RallyOutcome::Shaken => "rallies, shaken",
        RallyOutcome::Leaves => "does not rally and leaves the field",
    }
}

pub(crate) const fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Steady => "steady",
        Standing::Shaken => "shaken",
        Standing::Routing => "routing",
        Standing::Left => "left the field",
        Standing::Destroyed => "destroyed",
    }
}

/// What a unit is, without its strength: class, grade and what it carries.
pub(super) fn kind(unit: &Unit, scale: Scale) -> String {
    let spears = unit.long_spears.then(|| "long spears".to_owned());
    let frontage = unit.front(scale).map(|front| format!("frontage {}", figures(front)));
    let leader = unit.leader.as_ref().map(|leader| format!("leader {}", self::leader(leader)));
    list(
        [Some(unit.class.clone()), Some(unit.grade.clone()), spears, unit.weapon.clone()]
            .into_iter()
            .chain([frontage, leader])
            .flatten(),
    )
}

/// A leader, and what is not as usual about him: `Ida (general, might 2, 3 wounds)`.
pub(super) fn leader(leader: &Leader) -> String {
    let wounds = match (leader.wounds, leader.taken) {
        (1, _) => None,
        (wounds, 0) => Some(self::wounds(wounds)),
        (wounds, _) => Some(format!("{} of {} left", leader.left(), self::wounds(wounds))),
    };
    let about = list(
        [
            leader.general.then(|| "general".to_owned()),
            leader.might.filter(|might| *might != 1).map(|might| format!("might {might}")),
            wounds,
            leader.back.then(|| "holds back".to_owned()),
            leader.spared.then(|| "spared".to_owned()),
        ]
        .into_iter()
        .flatten(),
    );
    if about.is_empty() { leader.name.clone() } else { format!("{} ({about})", leader.name) }
}

/// `1 wound`, `2 wounds`.
pub(super) fn wounds(n: u32) -> String {
    count(n, "wound", "wounds")
}

pub(super) fn list(parts: impl IntoIterator<Item = String>) -> String {
    parts.into_iter().collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::protocol::Source;

    #[test]
    fn numbers_read_well() {
        assert_eq!([0, 999, 1000, 100_000].map(number), ["0", "999", "1,000", "100,000"]);
        assert_eq!([-2, 0, 3].map(signed), ["−2", "0", "+3"]);
        assert_eq!(men(1), "1 man");
        let at = |kills_on| rate(Rate { dice: 1, figures: 2, kills_on }, 6);
        assert_eq!(at(6), "1 for 2, kills on 6");
        assert_eq!(at(4), "1 for 2, kills on 4, 5, 6");
        assert_eq!(at(3), "1 for 2, kills on 3 or more");
    }
    #[test]
    fn what_does_not_count_says_why() {
        let said = |cause, why_not| {
            let (source, effect) = (Source::Options, Effect::Step(1));
            does_not_count(&Circumstance { cause, source, effect, why_not })
        };
        assert_eq!(said(Cause::Charge, None), None);
        for (cause, why, words) in [
            (Cause::Charge, WhyNot::NotFirstRound, "charge does not count: not the first round"),
            (Cause::Charge, WhyNot::IntoLongSpears, "charge does not count: into long spears"),
            (Cause::LongSpears, WhyNot::Shaken, "long spears do not count: shaken"),
            (
                Cause::LongSpears,
                WhyNot::TakenOnFlank,
                "long spears do not count: taken on the flank",
            ),
            (
                Cause::LongSpears,
                WhyNot::TakenFromRear,
                "long spears do not count: taken from the rear",
            ),
            (
                Cause::HigherGround,
                WhyNot::AskedForBoth,
                "higher ground does not count: asked for both",
            ),
        ] {
            assert_eq!(said(cause, Some(why)).as_deref(), Some(words));
        }
    }
}
