//! Measuring in pairs: the work and a named baseline, turn about in one run.

use std::future::Future;
use std::time::{Duration, Instant};

/// How often each of a pair is measured.
const TURNS: usize = 15;

/// Prints the median of both, and the ratio of the medians.
///
/// Each closure does its work `times` times and is measured as a whole.
pub fn pair(
    work: &str,
    baseline: &str,
    times: u32,
    mut one: impl FnMut(u32),
    mut other: impl FnMut(u32),
) -> f64 {
    let mut measured = [Vec::new(), Vec::new()];
    for _ in 0..TURNS {
        measured[0].push(clock(|| one(times)) / times);
        measured[1].push(clock(|| other(times)) / times);
    }
    let [work_took, baseline_took] = measured.map(median);
    report(work, baseline, work_took, baseline_took)
}

/// The same for work that waits.
#[allow(dead_code, reason = "not every bench waits")]
pub async fn pair_async<A: Future<Output = ()>, B: Future<Output = ()>>(
    work: &str,
    baseline: &str,
    times: u32,
    mut one: impl FnMut(u32) -> A,
    mut other: impl FnMut(u32) -> B,
) -> f64 {
    let mut measured = [Vec::new(), Vec::new()];
    for _ in 0..TURNS {
        let begun = Instant::now();
        one(times).await;
        measured[0].push(begun.elapsed() / times);
        let begun = Instant::now();
        other(times).await;
        measured[1].push(begun.elapsed() / times);
    }
    let [work_took, baseline_took] = measured.map(median);
    report(work, baseline, work_took, baseline_took)
}

fn report(work: &str, baseline: &str, work_took: Duration, baseline_took: Duration) -> f64 {
    let ratio = work_took.as_secs_f64() / baseline_took.as_secs_f64();
    println!("{work}: {work_took:?}");
    println!("  baseline, {baseline}: {baseline_took:?}; time ratio {ratio:.3}");
    ratio
}

fn clock(work: impl FnOnce()) -> Duration {
    let begun = Instant::now();
    work();
    begun.elapsed()
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}
