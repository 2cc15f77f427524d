//! What has happened since the start, counted.

use std::fmt::Write as _;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

/// What has happened since the start.
#[derive(Debug, Default)]
pub struct Counts {
    granted: AtomicU64,
    refused: AtomicU64,
    faults: AtomicU64,
    posted: AtomicU64,
    given_up: AtomicU64,
    tries_again: AtomicU64,
    limits: AtomicU64,
    acknowledged: AtomicU64,
    acknowledged_us: AtomicU64,
    answered: AtomicU64,
    answered_us: AtomicU64,
}

fn count(counter: &AtomicU64) {
    counter.fetch_add(1, Ordering::Relaxed);
}

fn add(counter: &AtomicU64, sum: &AtomicU64, time: Duration) {
    count(counter);
    sum.fetch_add(u64::try_from(time.as_micros()).unwrap_or(u64::MAX), Ordering::Relaxed);
}

impl Counts {
    /// A request became an event.
    pub fn granted(&self) {
        count(&self.granted);
    }

    /// A request did not become one.
    pub fn refused(&self) {
        count(&self.refused);
    }

    /// Something was wrong with the program or the machine.
    pub fn fault(&self) {
        count(&self.faults);
    }

    /// The platform took a post.
    pub fn posted(&self) {
        count(&self.posted);
    }

    /// The platform will never take a post.
    pub fn gave_up(&self) {
        count(&self.given_up);
    }

    /// A call is tried again.
    pub fn tried_again(&self) {
        count(&self.tries_again);
    }

    /// The platform asked to wait.
    pub fn limited(&self) {
        count(&self.limits);
    }

    /// An acknowledgement was taken, so long after the interaction came.
    pub fn acknowledged(&self, after: Duration) {
        add(&self.acknowledged, &self.acknowledged_us, after);
    }

    /// A request's post was taken, so long after the interaction came.
    pub fn answered(&self, after: Duration) {
        add(&self.answered, &self.answered_us, after);
    }

    /// Everything in the text form that measuring programs read, one name and one number a line.
    pub fn text(&self, connected: bool) -> String {
        let mut text = format!("drumhead_connected {}\n", u8::from(connected));
        for (name, counter) in [
            ("requests_granted_total", &self.granted),
            ("requests_refused_total", &self.refused),
            ("faults_total", &self.faults),
            ("posts_total", &self.posted),
            ("posts_given_up_total", &self.given_up),
            ("tries_again_total", &self.tries_again),
            ("limits_total", &self.limits),
            ("acknowledge_microseconds_count", &self.acknowledged),
            ("acknowledge_microseconds_sum", &self.acknowledged_us),
            ("answer_microseconds_count", &self.answered),
            ("answer_microseconds_sum", &self.answered_us),
        ] {
            let value = counter.load(Ordering::Relaxed);
            writeln!(text, "drumhead_{name} {value}").expect("a String takes all");
        }
        text
    }
}
