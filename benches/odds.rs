//! How long odds take, and how long a simulation of the same accuracy would.
//!
//! Three decimals at 99 % confidence: a chance near one half counted over n samples is off by at
//! most 2.5758 × 0.5 / √n in 99 of 100 cases, so n = (2.5758 × 0.5 / 0.0005)² = 6,634,896 fights.
//! The benchmark counts [`COUNTED`] of them and the time for all follows by proportion: it is
//! printed first, beside that of the exact odds, and both are the same call but for the method.

use criterion::{Criterion, criterion_group, criterion_main};
use drumhead::battle::Field;
use drumhead::odds;
use drumhead::protocol::{Abreast, ContactAsk, Protocol, Scale, Standing, Strength, Unit};
use drumhead::rules::{OPEN_FIELD, Rules};
use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Fights that the benchmark counts of those that three decimals need.
const COUNTED: u32 = 2_000;
/// The 99.5 % point of the standard normal distribution: a handbook value.
const NORMAL_995: f64 = 2.575_829;

fn unit(name: &str, side: &str, class: &str, figures: u32, frontage: Option<u32>) -> Arc<Unit> {
    let strength = Strength { men: figures * 20, figures };
    Arc::new(Unit {
        name: name.into(),
        side: side.into(),
        class: class.into(),
        grade: "trained".into(),
        long_spears: false,
        weapon: None,
        frontage: frontage.map(|front| Abreast::of(front, Scale::new(20).unwrap())),
        leader: None,
        muster: strength,
        now: strength,
        standing: Standing::Steady,
        rallied: false,
        shot_at: false,
        single: false,
    })
}

/// Line foot of the Vale against line foot of the Grey Banner.
fn field(figures: u32, frontage: Option<u32>) -> Field {
    Field {
        units: Arc::new(vec![
            unit("Ford Wardens", "Vale", "line foot", figures, frontage),
            unit("Banner Spears", "Grey Banner", "line foot", figures, frontage),
        ]),
        ..Field::new(Protocol::LATEST, Scale::new(20).expect("20 is a scale"))
    }
}

fn led(mut field: Field) -> Field {
    for (unit, leader) in Arc::make_mut(&mut field.units).iter_mut().zip(["Ida", "Orm"]) {
        Arc::make_mut(unit).leader = Some(leader.into());
    }
    field
}

/// Eight units a side, as a referee might muster them.
fn armies() -> Field {
    let side = |side: &'static str, first: u32| {
        (0..8).map(move |n| {
            let class = ["line foot", "skirmishers", "lancers", "levy"][n % 4];
            let figures = first + u32::try_from(n).expect("few units");
            unit(&format!("{side} {n}"), side, class, figures, None)
        })
    };
    let units = side("Vale", 4).chain(side("Grey Banner", 8)).collect();
    let sides = Arc::new(vec!["Vale".to_owned(), "Grey Banner".to_owned()]);
    Field { units: Arc::new(units), sides, ..field(1, None) }
}

fn time(mut run: impl FnMut()) -> Duration {
    let start = Instant::now();
    run();
    start.elapsed()
}

fn compare(rules: &Rules, asks: &[ContactAsk]) {
    let needed = (NORMAL_995 * 0.5 / 0.0005).powi(2).ceil();
    for figures in [12, 60] {
        let field = field(figures, None);
        let exact = time(|| {
            for _ in 0..10 {
                black_box(odds::finish(rules, &field, asks, 1)).expect("the fight has odds");
            }
        }) / 10;
        let counted = time(|| {
            let sampled = odds::sample_finish(rules, &field, asks, 1, COUNTED, odds::SEED);
            black_box(sampled).expect("the fight has odds");
        });
        let simulated = counted.mul_f64(needed / f64::from(COUNTED));
        println!(
            "{figures} against {figures} to the finish: exact {exact:.1?}, {needed} simulated \
             fights {simulated:.1?}, {:.0} times as long",
            simulated.as_secs_f64() / exact.as_secs_f64()
        );
    }
}

fn odds_of(c: &mut Criterion) {
    let rules = Rules::load("open-field.toml", OPEN_FIELD).expect("the rules load");
    let asks = [ContactAsk::new("Ford Wardens", "Banner Spears")];
    compare(&rules, &asks);
    c.bench_function("one round, 60 against 60", |b| {
        let field = field(60, None);
        b.iter(|| odds::round(&rules, black_box(&field), &asks, 1));
    });
    c.bench_function("to the finish, 60 against 60 in frontage 10", |b| {
        let field = field(60, Some(10));
        b.iter(|| odds::finish(&rules, black_box(&field), &asks, 1));
    });
    c.bench_function("the same, under leaders of three wounds", |b| {
        let mut field = led(field(60, Some(10)));
        for unit in Arc::make_mut(&mut field.units) {
            if let Some(leader) = &mut Arc::make_mut(unit).leader {
                leader.wounds = 3;
            }
        }
        b.iter(|| odds::finish(&rules, black_box(&field), &asks, 1));
    });
    let mut slow = c.benchmark_group("to the finish, 200 against 200");
    slow.sample_size(10);
    slow.bench_function("no leaders", |b| {
        let field = field(200, None);
        b.iter(|| odds::finish(&rules, black_box(&field), &asks, 1));
    });
    slow.bench_function("two leaders", |b| {
        let field = led(field(200, None));
        b.iter(|| odds::finish(&rules, black_box(&field), &asks, 1));
    });
    slow.finish();
    let mut scales = c.benchmark_group("scale");
    scales.sample_size(10);
    scales.bench_function("six scales, eight units of 80 to 300 men a side", |b| {
        let field = armies();
        let at = [1, 5, 10, 20, 50, 100].map(|men| Scale::new(men).expect("a scale"));
        b.iter(|| {
            let scales = odds::scales(&rules, black_box(&field), None, &at, 0.1);
            assert_eq!(scales.expect("the armies have odds").rows.len(), at.len());
        });
    });
    scales.finish();
    c.bench_function("2,000 simulated fights, 12 against 12", |b| {
        let field = field(12, None);
        b.iter(|| odds::sample_finish(&rules, black_box(&field), &asks, 1, COUNTED, odds::SEED));
    });
}

criterion_group!(benches, odds_of);
criterion_main!(benches);
