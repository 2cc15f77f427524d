//! What odds take, foreseen and then counted: never timed.

use super::{ask, field, front, pair, rules, unit};
use crate::battle::Field;
use crate::combat::Clash;
use crate::odds::finish::{TESTS, foreseen};
use crate::odds::grid::counting::counted;
use crate::odds::{MOST_SCALES, OddsError, SCALE_WORK, scales};
use crate::protocol::{ContactAsk, Scale, Unit};

/// Two units of so many figures, with as many leaders.
fn armed(figures: [u32; 2], leaders: usize, frontage: Option<u32>) -> Field {
    let [mut first, mut second] = pair(("heavy foot", figures[0]), ("levy", figures[1]));
    for (n, unit) in [&mut first, &mut second].into_iter().enumerate() {
        unit.leader = (n < leaders).then(|| ["Ida", "Orm"][n].into());
        unit.frontage = frontage.map(front);
    }
    field([first, second])
}

/// The work that was foreseen for a fight, and what following it came to, step by step and state by
/// state.
fn foreseen_and_done(field: &Field) -> (u64, u64) {
    let rules = rules();
    let foreseen =
        foreseen(&rules, field, &Clash::new(&[ask()], 1)).unwrap().expect("it is not sampled");
    let (steps, tested) =
        counted(|| drop(crate::odds::finish(&rules, field, &[ask()], 1).unwrap()));
    (foreseen, steps + TESTS * tested)
}

#[test]
fn work_is_foreseen_as_a_bound_that_is_not_far_off() {
    for (figures, leaders, frontage) in [
        ([1, 1], 0, None),
        ([12, 12], 0, None),
        ([12, 12], 2, None),
        ([60, 60], 0, None),
        ([60, 60], 1, None),
        ([60, 60], 0, Some(10)),
        ([5, 100], 0, None),
        ([120, 90], 0, None),
    ] {
        let (foreseen, done) = foreseen_and_done(&armed(figures, leaders, frontage));
        let what = format!("{figures:?}, {leaders} leaders, frontage {frontage:?}");
        assert!(done <= foreseen, "{what}: {done} done, {foreseen} foreseen");
        // What cannot happen by the rules, or hardly ever happens, is foreseen too.
        assert!(foreseen <= 20 * done.max(1_000), "{what}: {done} done, {foreseen} foreseen");
    }
    // A fight that is over soon takes far less than it might.
    let (foreseen, done) = foreseen_and_done(&armed([100, 5], 2, None));
    assert!(done <= foreseen, "{done} done, {foreseen} foreseen");
}

/// The battle of the most units: 100 a side of 300 men each.
fn two_hundred_units() -> Field {
    let side = |side: &'static str| {
        (0..100).map(move |n| Unit {
            leader: (n % 3 == 0).then(|| format!("Leader {n} of {side}").into()),
            ..unit(&format!("{side} {n}"), side, ["heavy foot", "levy"][n % 2], 15)
        })
    };
    field(side("Vale").chain(side("Grey Banner")))
}

fn at(men: &[u32]) -> Vec<Scale> {
    men.iter().map(|men| Scale::new(*men).unwrap()).collect()
}

/// Two hundred units at several scales: the finer ones are too much and left out before anything is
/// worked out, and what is worked out stays within its bound.
#[test]
fn two_hundred_units_are_compared_within_the_bound() {
    let (rules, field) = (rules(), two_hundred_units());
    let wanted = at(&[1, 2, 20, 50, 100]);
    let found = scales(&rules, &field, None, &wanted, 0.1).unwrap();
    let rows: Vec<u32> = found.rows.iter().map(|row| row.scale.men()).collect();
    let left_out: Vec<u32> = found.left_out.iter().map(|scale| scale.men()).collect();
    assert_eq!((left_out.as_slice(), rows.as_slice()), (&[1, 2][..], &[20, 50, 100][..]));
    let work = |men: u32| -> u64 {
        let mut field = field.clone();
        field.rescale(Scale::new(men).unwrap());
        let work = |[one, other]: &[String; 2]| {
            foreseen(&rules, &field, &Clash::new(&[ContactAsk::new(one, other)], 1))
                .unwrap()
                .unwrap()
        };
        found.pairs.iter().map(work).sum()
    };
    let all: u64 = rows.iter().map(|men| work(*men)).sum();
    assert!(all <= SCALE_WORK, "{all}");
    assert!(all + work(*left_out.last().unwrap()) > SCALE_WORK, "no more is left out than must be");
    // At 1:1 alone nothing is worked out at all.
    let refused = scales(&rules, &field, None, &at(&[1]), 0.1).unwrap_err();
    assert!(matches!(refused, OddsError::NoScale { .. }), "{refused:?}");
}

#[test]
fn so_many_scales_are_compared_and_no_more() {
    let field = armed([15, 15], 0, None);
    let wanted = at(&(10..=30).collect::<Vec<_>>());
    let found = scales(&rules(), &field, None, &wanted, 0.1).unwrap();
    assert_eq!((found.rows.len(), found.left_out.len()), (MOST_SCALES, 21 - MOST_SCALES));
}
