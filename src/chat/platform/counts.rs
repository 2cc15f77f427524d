//! What has happened since the start, counted.

use std::fmt::Write as _;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happened {
    /// A request became an event.
    Granted,
    /// A request did not become one.
    Refused,
    /// Something was wrong with the program or the machine.
    Fault,
    /// The platform took a post.
    Posted,
    /// The platform will never take a post.
    GaveUp,
    /// A call is tried again.
    TriedAgain,
    /// The platform asked to wait.
    Limited,
}

/// What is counted with how long it took since the interaction came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Timed {
    /// An acknowledgement was taken.
    Acknowledged,
    /// A request's post was taken.
    Answered,
}

/// Everything that is counted, in the order of [`Happened`], by the name that measuring programs
/// know it by.
const NAMES: [&str; 7] = [
    "requests_granted_total",
    "requests_refused_total",
    "faults_total",
    "posts_total",
    "posts_given_up_total",
    "tries_again_total",
    "limits_total",
];
/// The same for [`Timed`].
const TIMED: [&str; 2] = ["acknowledge_microseconds", "answer_microseconds"];

/// What has happened since the start.
#[derive(Debug, Default)]
pub struct Counts {
    happened: [AtomicU64; NAMES.len()],
    /// How often, and microseconds in all.
    timed: [(AtomicU64, AtomicU64); TIMED.len()],
}

impl Counts {
    /// Something happened.
    pub fn count(&self, what: Happened) {
        add(&self.happened[what as usize], 1);
    }

    /// Something happened so long after the interaction came.
    pub fn time(&self, what: Timed, after: Duration) {
        let (times, microseconds) = &self.timed[what as usize];
        add(times, 1);
        add(microseconds, u64::try_from(after.as_micros()).unwrap_or(u64::MAX));
    }

    /// Everything in the text form that measuring programs read, one name and one number a line.
    pub fn text(&self, connected: bool) -> String {
        let mut text = String::new();
        let mut line = |name: &str, value: u64| {
            writeln!(text, "drumhead_{name} {value}").expect("a String takes all");
        };
        line("connected", u64::from(connected));
        for (name, counter) in NAMES.iter().zip(&self.happened) {
            line(name, counter.load(Ordering::Relaxed));
        }
        for (name, (times, microseconds)) in TIMED.iter().zip(&self.timed) {
            line(&format!("{name}_count"), times.load(Ordering::Relaxed));
            line(&format!("{name}_sum"), microseconds.load(Ordering::Relaxed));
        }
        text
    }
}

fn add(counter: &AtomicU64, n: u64) {
    counter.fetch_add(n, Ordering::Relaxed);
}
