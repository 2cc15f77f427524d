//! Shooting.

use super::*;
use crate::protocol::{Abreast, Cause, Cover, Outcome, ShootAsk, ShotRange};

fn archers(figures: u32, target_front: Option<u32>) -> Field {
    let field = field(&[("Bows", "Vale", "levy", figures), ("B", "Grey", "heavy foot", 6)]);
    let field = with(field, "Bows", |unit| unit.weapon = Some("bows".into()));
    with(field, "B", |unit| {
        unit.frontage = target_front.map(|front| Abreast::of(front, field_scale()));
    })
}

#[test]
fn shooting_counts_power_protection_and_steps() {
    let ask = ShootAsk {
        shooters: vec!["Bows".into()],
        target: "B".into(),
        range: ShotRange::Long,
        cover: Some(Cover::Light),
        moved: false,
    };
    // Power -2 less protection 2, cover -1, massed +1: held at -3, 1 for 4.
    let mut dice = Laid::new([("Bows>B", &[6, 1][..]), ("B", &[2, 2])]);
    let field = archers(8, Some(2));
    let ruling = shoot(&rules(), &field, &ask, &mut dice).unwrap();
    assert_eq!(ruling.shots[0].strike.matchup.rung, Some(-3));
    let steps: Vec<_> = ruling.shots[0]
        .strike
        .circumstances
        .iter()
        .map(|it| (it.cause.clone(), it.step()))
        .collect();
    assert_eq!(steps, [(Cause::LightCover, -1), (Cause::Massed, 1)]);
    let morale = ruling.morale.unwrap();
    assert_eq!((morale.nerve.score, morale.outcome), (5, Outcome::FallsBack), "4 and trained +1");
    assert_eq!(ruling.target.lost, 1);
}

#[test]
fn shooting_without_loss_tests_no_nerve_and_slings_do_not_reach_far() {
    let mut ask = ShootAsk {
        shooters: vec!["Bows".into()],
        target: "B".into(),
        range: ShotRange::Short,
        cover: None,
        moved: false,
    };
    let mut dice = Laid::new([("Bows>B", &[5, 5][..])]);
    let ruling = shoot(&rules(), &archers(8, None), &ask, &mut dice).unwrap();
    assert_eq!((ruling.target.lost, ruling.morale), (0, None), "8 at 1 for 4 are 2 dice");
    ask.range = ShotRange::Long;
    let slings = with(archers(8, None), "Bows", |unit| unit.weapon = Some("slings".into()));
    let refused = shoot(&rules(), &slings, &ask, &mut Laid::new([])).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "slings do not reach long range. Shoot at short range, or not at all."
    );
}
