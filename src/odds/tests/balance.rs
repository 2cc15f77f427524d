//! What must hold of the rules that ship, over exact odds: docs/rules.md says how good they are.

use super::{ask, field, front, pair, unit};
use crate::odds::{Kind, finish};
use crate::protocol::{ContactAsk, Facing, Ground, Holder, Standing, Unit};
use crate::rules::{OPEN_FIELD, Rules};

fn shipped() -> Rules {
    Rules::load("open-field.toml", OPEN_FIELD).unwrap()
}

/// The chance that the first alone stands, less the chance that the second alone does.
fn lead(units: [Unit; 2], ask: ContactAsk) -> f64 {
    let odds = finish(&shipped(), &field(units), &[ask], 1).unwrap();
    assert_eq!(odds.kind, Kind::Exact);
    odds.standing.first_alone - odds.standing.second_alone
}

fn classes(first: (&str, u32), second: (&str, u32)) -> f64 {
    lead(pair(first, second), ask())
}

/// Two classes a step of weight apart, at equal figures.
#[test]
fn a_step_of_weight_is_an_edge_and_no_verdict() {
    for (heavier, lighter) in
        [("skirmishers", "levy"), ("line foot", "skirmishers"), ("shock foot", "line foot")]
    {
        for figures in [5, 10, 16, 20] {
            let lead = classes((heavier, figures), (lighter, figures));
            assert!((0.25..=0.55).contains(&lead), "{figures} {heavier} against {lighter}: {lead}");
        }
    }
}

/// Foot against horse, and beasts against foot, with the same presence on both sides.
#[test]
fn equal_presence_is_nearly_even() {
    for (first, second) in [
        (("line foot", 8), ("riders", 4)),
        (("line foot", 20), ("riders", 10)),
        (("levy", 8), ("outriders", 4)),
        (("levy", 20), ("outriders", 10)),
        (("great beasts", 2), ("line foot", 8)),
        (("great beasts", 5), ("line foot", 20)),
    ] {
        let lead = classes(first, second);
        assert!(lead.abs() < 0.15, "{first:?} against {second:?}: {lead}");
    }
}

#[test]
fn steady_long_spears_stop_charging_riders() {
    for class in ["line foot", "shock foot"] {
        let mut units = pair(("riders", 5), (class, 8));
        units[1].long_spears = true;
        let charge = ContactAsk { charge: true, ..ask() };
        let odds = finish(&shipped(), &field(units), &[charge], 1).unwrap();
        assert!(odds.standing.second_alone >= 2.0 / 3.0, "{class}: {:?}", odds.standing);
    }
}

/// Whatever a unit may have, and however it may come in, is worth something.
#[test]
fn every_step_grade_and_leader_is_worth_something() {
    let even = || pair(("line foot", 10), ("line foot", 10));
    let plain = lead(even(), ask());
    let mut better: Vec<(&str, f64)> = Vec::new();
    for (name, how) in [
        ("flank", ContactAsk { facing: Facing::Flank, ..ask() }),
        ("higher ground", ContactAsk { ground: Some(Ground::Striker), ..ask() }),
        ("obstacle", ContactAsk { obstacle: Some(Holder::Striker), ..ask() }),
        ("by hand", ContactAsk { ours: 1, why: Some("reeds".into()), ..ask() }),
    ] {
        better.push((name, lead(even(), how)));
    }
    let mut with = |name, change: fn(&mut Unit)| {
        let mut units = even();
        change(&mut units[0]);
        better.push((name, lead(units, ask())));
    };
    with("a leader", |unit| unit.leader = Some("Ida".into()));
    with("seasoned", |unit| unit.grade = "seasoned".into());
    for (name, lead) in better {
        assert!(lead > plain + 0.01, "{name}: {lead} after {plain}");
    }
    let rear = lead(even(), ContactAsk { facing: Facing::Rear, ..ask() });
    let flank = lead(even(), ContactAsk { facing: Facing::Flank, ..ask() });
    assert!(rear > flank, "the rear is worth {rear}, the flank {flank}");
    let mut shaken = even();
    shaken[0].standing = Standing::Shaken;
    assert!(lead(shaken, ask()) < plain - 0.01);
    let grades = ["raw", "trained", "seasoned", "guard"].map(|grade| {
        let mut units = even();
        units[0].grade = grade.into();
        lead(units, ask())
    });
    assert!(grades.is_sorted(), "{grades:?}");
    let riders = || pair(("riders", 6), ("line foot", 10));
    let charged = lead(riders(), ContactAsk { charge: true, ..ask() });
    assert!(charged > lead(riders(), ask()) + 0.01, "a charge");
}

/// Under the first edition the defenders of a gate did worse there than in the open.
#[test]
fn the_few_can_hold_a_gate() {
    let few = || {
        let mut units = pair(("levy", 40), ("line foot", 12));
        units[1].grade = "seasoned".into();
        units
    };
    let open = lead(few(), ask());
    let gate = lead(few(), ContactAsk { width: Some(4), ..ask() });
    let walled =
        lead(few(), ContactAsk { width: Some(4), obstacle: Some(Holder::Struck), ..ask() });
    assert!(open > 0.0 && gate < open - 0.5 && walled < gate, "{open}, {gate}, {walled}");
}

/// Under the first edition a unit in tens beat itself whole by 99.8 to 0.1, and ten levies of one
/// figure each beat a hundred mounted by 57 to 38. One figure has one die now, and no die is given
/// to each contact, so that both are near what they are as one unit.
#[test]
fn a_unit_in_pieces_gains_little() {
    let rules = shipped();
    let lead = |pieces: u32, each: u32, class: &str, against: (&str, u32)| {
        let mut units: Vec<Unit> =
            (0..pieces).map(|n| unit(&format!("Piece {n}"), "Vale", class, each)).collect();
        let asks: Vec<ContactAsk> =
            units.iter().map(|unit| ContactAsk::new(&unit.name, "Whole")).collect();
        units.push(unit("Whole", "Grey Banner", against.0, against.1));
        let odds = finish(&rules, &field(units), &asks, 1).unwrap();
        odds.standing.first_alone - odds.standing.second_alone
    };
    let whole = lead(1, 20, "line foot", ("line foot", 20));
    let tens = lead(10, 2, "line foot", ("line foot", 20));
    assert!(tens < whole + 0.5, "in tens {tens}, whole {whole}");
    let levies = lead(5, 2, "levy", ("lancers", 5));
    let levy = lead(1, 10, "levy", ("lancers", 5));
    assert!(levies < levy + 0.25, "in pairs {levies}, whole {levy}");
}

/// A front that is narrower than what it meets holds the others out.
#[test]
fn a_front_holds_what_reaches_it() {
    let mut units = pair(("line foot", 12), ("line foot", 12));
    units[0].frontage = Some(front(4));
    let odds = finish(&shipped(), &field(units), &[ask()], 1).unwrap();
    let [ours, theirs] = [0, 1].map(|n: usize| odds.units[n].losses.expected);
    assert!((ours - theirs).abs() < 1e-9, "four of each fight: {ours} and {theirs}");
}
