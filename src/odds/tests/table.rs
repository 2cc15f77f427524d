//! Fights to the finish against the table of the rules, section 12, whose values were computed
//! independently of this program; so were those of the table for six-sided dice.

use super::{ask, field, front, near, pair, rules, worth};
use crate::odds::{Kind, finish};
use crate::protocol::{ContactAsk, Facing, Holder, Unit};
use crate::rules::{OPEN_FIELD, Rules};

/// Fights of the rules with six-sided dice, with their values in the order of its columns, one fight a line.
const SIX_SIDED: &str = "\
heavy foot    3 | heavy foot    3 | 0.474592229 0.474592229 0.050815543 2.168023414 0.989273096 0.989273096
heavy foot   12 | heavy foot   12 | 0.433255251 0.433255251 0.133489498 1.983675720 3.530829906 3.530829906
heavy foot   10 | light foot   10 | 0.835637754 0.080606690 0.083755556 1.600596904 1.152347639 5.115573880
heavy foot    8 | medium horse  3 | 0.167513202 0.753755265 0.078731533 1.836031816 3.491568572 0.553548035
light foot    8 | light foot    8 | 0.444119036 0.444119036 0.111761928 2.026549993 2.416263435 2.416263435
heavy horse   4 | heavy foot   12 | 0.771135643 0.124605004 0.104259353 1.613950458 0.658711962 6.177778715
levy         24 | heavy foot    8 | 0.468401897 0.267988714 0.263609389 1.401192639 7.152810246 1.694286920
great beasts  2 | heavy foot   12 | 0.456903098 0.388980827 0.154116076 1.743114849 0.724353267 3.364700437";

/// A class and its figures, as a cell of the table has them.
fn unit(cell: &str) -> (&str, u32) {
    let (class, figures) = cell.trim().rsplit_once(' ').unwrap();
    (class.trim(), figures.parse().unwrap())
}

#[test]
fn every_row_for_six_sided_dice_holds() {
    for line in SIX_SIDED.lines() {
        let cells: Vec<&str> = line.split('|').collect();
        let [first, second, row] = cells.try_into().unwrap();
        holds(&rules(), pair(unit(first), unit(second)), ask(), row);
    }
}

/// Whether a fight comes to the six values of its row.
fn holds(rules: &Rules, units: [Unit; 2], ask: ContactAsk, row: &str) {
    let values: Vec<f64> = row.split_whitespace().map(|value| value.parse().unwrap()).collect();
    let odds = finish(rules, &field(units), &[ask], 1).unwrap();
    assert_eq!(values.len(), 6, "{row}");
    assert_eq!(odds.kind, Kind::Exact);
    for (found, expected) in worth(&odds).into_iter().zip(values) {
        near(found, expected, 1e-8);
    }
    near(odds.standing.both, 0.0, 0.0);
}

fn plain(first: (&str, u32), second: (&str, u32)) -> ([Unit; 2], ContactAsk) {
    (pair(first, second), ask())
}

/// The same with a front of so many figures for each, where there is one.
fn fronts(fight: ([Unit; 2], ContactAsk), fronts: [Option<u32>; 2]) -> ([Unit; 2], ContactAsk) {
    let (mut units, ask) = fight;
    for (unit, figures) in units.iter_mut().zip(fronts) {
        unit.frontage = figures.map(front);
    }
    (units, ask)
}

/// The same, the first charging into long spears.
fn into_spears(fight: ([Unit; 2], ContactAsk)) -> ([Unit; 2], ContactAsk) {
    let (mut units, ask) = fight;
    units[1].long_spears = true;
    (units, ContactAsk { charge: true, ..ask })
}

#[test]
fn every_row_of_the_table_holds() {
    let foot = |figures| ("line foot", figures);
    let flank = ContactAsk { facing: Facing::Flank, ..ask() };
    let mut seasoned = pair(("levy", 40), foot(12));
    seasoned[1].grade = "seasoned".into();
    let gate = ContactAsk { obstacle: Some(Holder::Struck), width: Some(4), ..ask() };
    let rules = Rules::load("open-field.toml", OPEN_FIELD).unwrap();
    for ((units, ask), row) in [
        (
            plain(foot(3), foot(3)),
            "0.467308128 0.467308128 0.065383744 1.951795391 1.063788389 1.063788389",
        ),
        (
            plain(foot(12), foot(12)),
            "0.432650233 0.432650233 0.134699534 1.912465040 4.050524464 4.050524464",
        ),
        (
            plain(foot(10), ("skirmishers", 10)),
            "0.628091156 0.245729758 0.126179087 1.829446873 2.397378129 4.170467919",
        ),
        (
            plain(foot(8), ("riders", 3)),
            "0.624198974 0.273787522 0.102013504 1.859427125 1.557565143 1.356053330",
        ),
        (
            fronts(plain(foot(60), foot(60)), [Some(10); 2]),
            "0.499027713 0.499027713 0.001944573 6.231079201 12.462158014 12.462158014",
        ),
        (
            plain(("lancers", 4), ("shock foot", 12)),
            "0.158416757 0.757644420 0.083938823 1.598499193 1.797848964 1.791199460",
        ),
        (
            into_spears(plain(("lancers", 5), foot(8))),
            "0.340998360 0.565674721 0.093326919 2.036745034 2.241134478 1.771559378",
        ),
        (
            fronts(into_spears(plain(("riders", 5), foot(12))), [None, Some(4)]),
            "0.059717895 0.913262149 0.027019955 1.711158287 2.703203768 0.982832733",
        ),
        (
            fronts(plain(foot(12), foot(12)), [Some(4), None]),
            "0.476037939 0.476037939 0.047924121 3.442264589 2.753681032 2.753681032",
        ),
        (
            plain(("levy", 24), foot(8)),
            "0.822671008 0.060858284 0.116470708 1.262186767 2.879983363 2.949844794",
        ),
        (
            (pair(("skirmishers", 4), foot(8)), flank),
            "0.115982151 0.643242605 0.240775244 1.191800757 1.856561105 0.923168572",
        ),
        (
            (seasoned, gate),
            "0.062392969 0.934482702 0.003124328 4.648213023 5.577853023 0.929642603",
        ),
        (
            plain(("great beasts", 2), foot(12)),
            "0.245837583 0.687350720 0.066811696 1.803543384 0.970152024 1.735782966",
        ),
    ] {
        holds(&rules, units, ask, row);
    }
}
