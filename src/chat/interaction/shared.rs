//! What every task of the front works with.

use super::in_flight::InFlight;
use crate::chat::platform::{Counts, Rest};
use crate::referee::Referee;
use std::sync::Arc;

/// What every task of the front works with.
#[derive(Debug)]
pub struct Shared {
    /// Who rules.
    pub referee: Referee,
    /// The way to the platform.
    pub rest: Rest,
    /// What has happened since the start.
    pub counts: Arc<Counts>,
    /// What is in hand right now.
    pub in_flight: InFlight,
}
