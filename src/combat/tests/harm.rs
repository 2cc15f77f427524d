//! Harm from elsewhere, and a test of nerve on demand.

use super::conditions::set;
use super::*;
use crate::battle::Mistake;
use crate::protocol::{
    Abreast, DiceAsk, Effects, HarmAsk, HarmHow, HarmRuling, MoraleCause, Outcome, Reach, Standing,
    Strength, Term,
};
use crate::rules::OPEN_FIELD;

fn ask(how: HarmHow) -> HarmAsk {
    HarmAsk { unit: "B".into(), how, reason: "a burning cart".into() }
}

fn harmed(field: &Field, how: HarmHow, mut dice: Laid) -> HarmRuling {
    harm(&open_field(), field, &ask(how), &mut dice).unwrap()
}

fn open_field() -> Rules {
    Rules::load("open-field.toml", OPEN_FIELD).unwrap()
}

/// One unit that has so many men and figures left of all that it mustered.
fn one(men: u32, figures: u32) -> Field {
    with(foot(&[("B", "Grey", figures)]), "B", |unit| {
        unit.now = Strength { men, figures };
        unit.muster = unit.now;
    })
}

fn none() -> Effects {
    Effects::default()
}

fn three_dice() -> HarmHow {
    HarmHow::MenThrown(vec![DiceAsk { count: 3, sides: 6 }])
}

#[test]
fn dice_kill_figures_and_nerve_is_tested_as_after_shooting() {
    let field = with(one(240, 12), "B", |unit| unit.leader = Some("Sela".into()));
    let how = HarmHow::Dice { dice: 6, kills_on: 15 };
    let dice = Laid::new([("B", &[15, 20, 14, 1, 15, 2][..]), ("B", &[2, 2])]);
    let ruling = harmed(&field, how, dice);
    assert_eq!(ruling.thrown[0].sides, 20, "the rules' own dice");
    assert_eq!((ruling.target.lost, ruling.target.excess), (3, 0));
    assert_eq!(ruling.target.after, Strength { men: 180, figures: 9 });
    let test = ruling.morale.unwrap();
    let term = |cause, by| Term { cause, by };
    let terms = [
        term(MoraleCause::Grade, 1),
        term(MoraleCause::Leader, 1),
        term(MoraleCause::Quarters(1), -1),
    ];
    assert_eq!(test.nerve.terms, terms, "neither what it killed nor who stands by counts");
    assert_eq!((test.nerve.score, test.outcome), (5, Outcome::FallsBack));
    assert_eq!(ruling.target.standing, Standing::Shaken);
}

#[test]
fn kills_past_the_strength_are_excess() {
    let how = HarmHow::Dice { dice: 4, kills_on: 1 };
    let ruling = harmed(&one(65, 3), how, Laid::new([("B", &[1, 2, 3, 4][..])]));
    assert_eq!((ruling.target.lost, ruling.target.excess), (3, 1));
    assert_eq!((ruling.target.outcome, ruling.morale), (Outcome::Destroyed, None));
    let ruling = harmed(&one(65, 3), HarmHow::Figures(5), Laid::new([]));
    assert_eq!((ruling.target.lost, ruling.target.excess), (3, 2));
}

/// 65 men at 1:20 are 3 figures, and so are 50; 49 are 2.
#[test]
fn men_fall_and_figures_follow_from_those_left() {
    let field = one(65, 3);
    let ruling = harmed(&field, three_dice(), Laid::new([("B", &[5, 5, 5][..])]));
    assert_eq!((ruling.thrown[0].sides, ruling.thrown[0].total()), (6, 15));
    assert_eq!(ruling.target.after, Strength { men: 50, figures: 3 });
    assert_eq!((ruling.target.lost, ruling.morale), (0, None), "no figure, no test");
    let dice = Laid::new([("B", &[5, 5, 6][..]), ("B", &[6, 6])]);
    let ruling = harmed(&field, three_dice(), dice);
    assert_eq!(ruling.target.after, Strength { men: 49, figures: 2 });
    assert_eq!(ruling.target.outcome, Outcome::Stands);
    // Several kinds of dice are thrown one after the other, and added up.
    let kinds = [(1, 20), (2, 4)].map(|(count, sides)| DiceAsk { count, sides });
    let dice = Laid::new([("B", &[9][..]), ("B", &[4, 2])]);
    let ruling = harmed(&field, HarmHow::MenThrown(kinds.to_vec()), dice);
    assert_eq!(ruling.target.after.men, 50);
}

#[test]
fn a_unit_with_men_left_keeps_one_figure() {
    for (men, after) in [(1, 19), (19, 1)] {
        let ruling = harmed(&one(20, 1), HarmHow::Men(men), Laid::new([]));
        assert_eq!(ruling.target.after, Strength { men: after, figures: 1 });
        assert_eq!((ruling.target.lost, ruling.morale), (0, None));
    }
    for men in [20, 21, 100_000] {
        let ruling = harmed(&one(20, 1), HarmHow::Men(men), Laid::new([]));
        assert_eq!(ruling.target.after, Strength { men: 0, figures: 0 });
        assert_eq!((ruling.target.outcome, ruling.morale), (Outcome::Destroyed, None));
    }
}

/// The definition itself: the nearest whole number, halves upward, but one while there are men.
#[test]
fn every_small_loss_of_men_leaves_the_nearest_figures() {
    for (men, figures) in [(65, 3), (70, 4), (160, 8)] {
        for fallen in 1..=men {
            let field = one(men, figures);
            let ruling = harm(&rules(), &field, &ask(HarmHow::Men(fallen)), &mut Always(6));
            let after = ruling.unwrap().target.after;
            let left = men - fallen;
            let nearest = (f64::from(left) / 20.0 + 0.5).floor();
            let nearest = if left > 0 { nearest.max(1.0) } else { 0.0 };
            assert_eq!((after.men, f64::from(after.figures)), (left, nearest), "{men} - {fallen}");
        }
    }
}

/// Dice that show one face.
struct Always(u32);

impl Dice for Always {
    fn throw(&mut self, _: ThrowPurpose<'_>, dice: u32, _: u32) -> Vec<u32> {
        vec![self.0; dice as usize]
    }
}

/// 70 and 75 men of a class are 7 figures at 1:20, 4 and 3 of them; 70 and 59 are 6.
#[test]
fn figures_left_are_counted_beside_the_others_of_the_class() {
    let mut field = Field::new(Protocol::LATEST, field_scale());
    for (name, men) in [("A", 70), ("B", 75)] {
        let ask = Muster::new(name, "Grey", "levy", men);
        field.enter(muster::muster(&rules(), &field, &ask).unwrap());
    }
    assert_eq!(field.unit("B").unwrap().now.figures, 3);
    for (fallen, figures) in [(2, 3), (6, 3), (16, 2)] {
        let dice = Laid::new((figures == 2).then_some(("B", &[6, 6][..])));
        let ruling = harmed(&field, HarmHow::Men(fallen), dice);
        assert_eq!(ruling.target.after, Strength { men: 75 - fallen, figures });
    }
}

#[test]
fn a_tenth_of_its_figures_tries_its_nerve_whatever_was_shot_at_it() {
    let shot_at = with(one(400, 20), "B", |unit| unit.shot_at = true);
    let ruling = harmed(&shot_at, HarmHow::Figures(1), Laid::new([]));
    assert_eq!(ruling.morale, None, "1 of 20 is less than a tenth");
    assert_eq!(ruling.target.outcome, Outcome::Stands);
    let ruling = harmed(&shot_at, HarmHow::Figures(2), Laid::new([("B", &[1, 1][..])]));
    assert_eq!(ruling.morale.unwrap().nerve.score, 3);
    assert_eq!(ruling.target.standing, Standing::Routing);
    let routing = with(one(400, 20), "B", |unit| unit.standing = Standing::Routing);
    let ruling = harmed(&routing, HarmHow::Figures(5), Laid::new([]));
    assert_eq!((ruling.target.lost, ruling.morale), (5, None), "it has no nerve left");
    assert_eq!(ruling.target.standing, Standing::Routing);
}

#[test]
fn a_single_loses_hits() {
    let mut field = Field::new(Protocol::LATEST, field_scale());
    let engine = Muster { hits: Some(12), ..Muster::new("B", "Grey", "levy", 0) };
    field.enter(muster::muster(&rules(), &field, &engine).unwrap());
    let ruling = harmed(&field, HarmHow::Figures(2), Laid::new([("B", &[6, 6][..])]));
    assert_eq!(ruling.target.after, Strength { men: 0, figures: 10 });
    let refused = |how| harm(&rules(), &field, &ask(how), &mut Laid::new([]));
    for how in [three_dice(), HarmHow::Men(20)] {
        assert_eq!(refused(how).unwrap_err(), Mistake::NoMenToHarm("B".into()));
    }
}

#[test]
fn what_cannot_be_done_is_told() {
    let field = one(65, 3);
    let told = |how| harm(&open_field(), &field, &ask(how), &mut Laid::new([])).unwrap_err();
    for (how, mistake) in [
        (HarmHow::Dice { dice: 0, kills_on: 5 }, Mistake::HarmRange),
        (HarmHow::Dice { dice: 201, kills_on: 5 }, Mistake::HarmRange),
        (HarmHow::Dice { dice: 1, kills_on: 0 }, Mistake::HarmKillsOn { kills_on: 0, sides: 20 }),
        (HarmHow::Dice { dice: 1, kills_on: 21 }, Mistake::HarmKillsOn { kills_on: 21, sides: 20 }),
        (HarmHow::Men(0), Mistake::HarmRange),
        (HarmHow::Men(100_001), Mistake::HarmRange),
        (HarmHow::Figures(0), Mistake::HarmRange),
        (HarmHow::Figures(1001), Mistake::HarmRange),
        (HarmHow::MenThrown(vec![]), Mistake::DiceCount),
        (HarmHow::MenThrown(vec![DiceAsk { count: 1, sides: 1 }]), Mistake::BadDice("1d1".into())),
    ] {
        assert_eq!(told(how), mistake);
    }
    for standing in [Standing::Left, Standing::Destroyed] {
        let gone = with(one(65, 3), "B", |unit| unit.standing = standing);
        let refused = harm(&open_field(), &gone, &ask(HarmHow::Men(1)), &mut Laid::new([]));
        assert_eq!(refused.unwrap_err(), Mistake::CannotHarm { unit: "B".into(), standing });
    }
}

#[test]
fn nerve_on_demand_knows_grade_leader_quarters_and_depth() {
    let field = with(one(120, 6), "B", |unit| {
        unit.muster = Strength { men: 240, figures: 12 };
        unit.leader = Some("Sela".into());
        unit.frontage = Some(Abreast::of(2, field_scale()));
    });
    let mut dice = Laid::new([("B", &[2, 3][..])]);
    let ruling = nerve(&open_field(), &field, "B", "a great beast", &mut dice).unwrap();
    let by: Vec<i32> = ruling.morale.nerve.terms.iter().map(|term| term.by).collect();
    assert_eq!(by, [1, 1, -2, 1], "trained, led, two quarters lost, three ranks deep");
    assert_eq!((ruling.morale.nerve.score, ruling.morale.outcome), (6, Outcome::Stands));
    assert_eq!((ruling.turn, ruling.reason.as_str()), (1, "a great beast"));
    // So do conditions, of its own and of the battle, after harm too.
    let field = set(field, "dismayed", Reach::Unit("B".into()), Effects { nerve: -1, ..none() });
    let field = set(field, "night", Reach::Battle, Effects { nerve: -1, shot: -2, ..none() });
    let mut dice = Laid::new([("B", &[2, 3][..])]);
    let ruling = nerve(&open_field(), &field, "B", "a great beast", &mut dice).unwrap();
    assert_eq!((ruling.morale.nerve.score, ruling.morale.outcome), (4, Outcome::FallsBack));
    let ruling = harmed(&field, HarmHow::Figures(1), Laid::new([("B", &[2, 3][..])]));
    let by: Vec<i32> = ruling.morale.unwrap().nerve.terms.iter().map(|term| term.by).collect();
    assert_eq!(by, [1, 1, -2, -1, -1], "five figures are no third rank");
    for standing in [Standing::Routing, Standing::Left, Standing::Destroyed] {
        let gone = with(one(65, 3), "B", |unit| unit.standing = standing);
        let refused = nerve(&rules(), &gone, "B", "dusk", &mut Laid::new([]));
        assert_eq!(refused.unwrap_err(), Mistake::NoNerve { unit: "B".into(), standing });
    }
}
