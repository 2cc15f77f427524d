//! What the front reads besides what the referee gives it yet, by the names that it will have there.
//!
//! No other file of the front knows the record.

use crate::protocol::{Recorded, RequestId};
use crate::record::BattleSummary;
use crate::referee::export::{self, TransferError};
use crate::referee::{Fault, Referee, Refusal};
use crate::report::Report;

/// Further reads of battles.
pub(super) trait Reads {
    /// The event that answered the request with that id, if a battle holds one.
    async fn answered(&self, battle: &str, asked: &RequestId) -> Result<Option<Recorded>, Refusal>;
    /// The battles of a server, in the order in which they were opened.
    async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal>;
    /// Writes a whole battle in the form that can be checked and imported.
    async fn export_to(&self, head: &BattleSummary, out: &mut Vec<u8>) -> Result<(), Refusal>;
    /// The report of a battle.
    async fn report_of(&self, head: &BattleSummary) -> Result<Report, Refusal>;
}

impl Reads for Referee {
    async fn answered(&self, battle: &str, asked: &RequestId) -> Result<Option<Recorded>, Refusal> {
        Ok(self.record().answered(battle, asked).await?)
    }

    async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal> {
        let all = self.all_battles().await?.into_iter();
        Ok(all.filter(|head| head.place.server() == Some(server)).collect())
    }

    async fn export_to(&self, head: &BattleSummary, out: &mut Vec<u8>) -> Result<(), Refusal> {
        written(export::export(self.record(), head, out).await)
    }

    async fn report_of(&self, head: &BattleSummary) -> Result<Report, Refusal> {
        written(export::report(self.record(), head).await)
    }
}

/// What was written, or why it was not.
fn written<T>(written: Result<T, TransferError>) -> Result<T, Refusal> {
    written.map_err(|error| match error {
        TransferError::Refused(refusal) => refusal,
        error => Fault::Missing(error.to_string()).into(),
    })
}
