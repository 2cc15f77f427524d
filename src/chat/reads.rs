//! What the front reads besides what the referee gives it yet, by the names that it will have there.

use crate::protocol::{Recorded, RequestId};
use crate::referee::export::TransferError;
use crate::referee::{BattleSummary, Fault, Referee, Refusal};

/// Further reads of battles.
pub(super) trait Reads {
    /// The event that answered the request with that id, if a battle holds one.
    async fn answered(&self, battle: &str, asked: &RequestId) -> Result<Option<Recorded>, Refusal>;
    /// The battles of a server, in the order in which they were opened.
    async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal>;
}

impl Reads for Referee {
    async fn answered(&self, battle: &str, asked: &RequestId) -> Result<Option<Recorded>, Refusal> {
        Ok(self.record().answered(battle, asked).await?)
    }

    async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal> {
        let all = self.all_battles().await?.into_iter();
        Ok(all.filter(|head| head.place.server() == Some(server)).collect())
    }
}

/// What was written, or why it was not.
pub(super) fn written<T>(written: Result<T, TransferError>) -> Result<T, Refusal> {
    written.map_err(|error| match error {
        TransferError::Refused(refusal) => refusal,
        error => Fault::Missing(error.to_string()).into(),
    })
}
