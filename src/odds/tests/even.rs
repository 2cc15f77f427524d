//! The search for an even fight against trying every strength.

use super::{ask, field, front, near, pair, rules};
use crate::odds::{OddsError, even, finish};
use crate::protocol::Strength;

#[test]
fn like_against_like_is_even_at_like_strength() {
    let field = field(pair(("heavy foot", 3), ("heavy foot", 12)));
    let even = even(&rules(), &field, &ask(), "Ford Wardens").unwrap();
    assert_eq!(even.unit, "Ford Wardens");
    assert_eq!(even.strength, Strength { men: 240, figures: 12 });
    near(even.lead, 0.0, 1e-12);
}

#[test]
fn the_search_finds_what_trying_every_strength_finds() {
    let rules = rules();
    for (first, second) in [
        (("levy", 1), ("heavy foot", 6)),
        (("light horse", 1), ("heavy foot", 9)),
        (("heavy foot", 1), ("great beasts", 2)),
    ] {
        let start = field(pair(first, second));
        let found = even(&rules, &start, &ask(), "Ford Wardens").unwrap();
        let lead = |figures| {
            let field = field(pair((first.0, figures), second));
            let sides = finish(&rules, &field, &[ask()], 1).unwrap().standing;
            sides.first_alone - sides.second_alone
        };
        let nearest = (1..=60).min_by(|a, b| lead(*a).abs().total_cmp(&lead(*b).abs())).unwrap();
        assert_eq!(found.strength.figures, nearest, "{first:?} against {second:?}");
        near(found.lead, lead(nearest), 1e-12);
    }
}

#[test]
fn the_struck_unit_can_be_sought_too() {
    let rules = rules();
    let field = field(pair(("heavy foot", 6), ("levy", 1)));
    let found = even(&rules, &field, &ask(), "Banner Spears").unwrap();
    let sides = found.odds.standing;
    near(found.lead, sides.second_alone - sides.first_alone, 0.0);
}

#[test]
fn a_strength_that_no_number_reaches_is_refused() {
    let mut units = pair(("levy", 1), ("great beasts", 2));
    units[0].frontage = Some(front(1));
    units[0].grade = "raw".into();
    units[1].grade = "guard".into();
    units[1].leader = Some("Orm".into());
    let error = even(&rules(), &field(units), &ask(), "Ford Wardens").unwrap_err();
    assert_eq!(
        error.to_string(),
        "No even fight was found: with 1000 figures, the most that could be tried, Ford Wardens is still more likely to lose than to win. Ask at a coarser figure scale, or for a stronger class."
    );
}

#[test]
fn the_unit_sought_must_be_in_the_contact() {
    let [first, second] = pair(("levy", 1), ("levy", 1));
    let mut third = first.clone();
    third.name = "Vale Riders".into();
    let error = even(&rules(), &field([first, second, third]), &ask(), "Vale Riders");
    assert_eq!(error.unwrap_err(), OddsError::NotInContact("Vale Riders".into()));
}
