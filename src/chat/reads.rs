//! What the front reads of the record, by the names that the referee will give it.
//!
//! No other file of the front knows the record.

use crate::battle::Battle;
use crate::protocol::{Place, Recorded, RequestId, Who};
use crate::record::{BattleSummary, Officer, Owed, Record, ServerDefaults, Trace};
use crate::referee::export::{self, TransferError};
use crate::referee::{Fault, Look, Referee, Refusal, RulesLibrary};
use crate::report::Report;
use crate::rules::Rules;
use crate::words::Shown;
use std::path::Path;
use std::sync::Arc;

/// The referee of the record in `file`.
pub(super) async fn open(file: &Path, library: RulesLibrary) -> Result<Referee, super::StartError> {
    Ok(Referee::new(Record::open(file).await?, library))
}

/// Reads of people, posts and battles.
pub(super) trait Reads {
    async fn person(&self, id: &str) -> Result<Who, Refusal>;
    async fn known_person(&self, id: &str) -> Result<Option<Who>, Refusal>;
    async fn platform_of(&self, who: Who) -> Result<Option<String>, Refusal>;
    async fn forget_person(&self, id: &str) -> Result<bool, Refusal>;
    async fn traces_of(&self, who: Who) -> Result<Vec<Trace>, Refusal>;
    async fn owed_on(&self, platform: &str) -> Result<Vec<Owed>, Refusal>;
    async fn still_owed(&self, owed: &Owed) -> Result<bool, Refusal>;
    async fn posted(&self, event: &Recorded) -> Result<(), Refusal>;
    async fn board(&self, place: &Place) -> Result<Option<String>, Refusal>;
    async fn set_board(&self, place: &Place, message: &str) -> Result<(), Refusal>;
    async fn take_down_board(&self, place: &Place) -> Result<(), Refusal>;
    async fn boards_on(&self, platform: &str) -> Result<Vec<Place>, Refusal>;
    async fn server_defaults(&self, server: u64) -> Result<ServerDefaults, Refusal>;
    async fn set_server_defaults(&self, server: u64, d: &ServerDefaults) -> Result<(), Refusal>;
    async fn erase_server(&self, platform: &str, server: u64) -> Result<(u64, bool), Refusal>;
    async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal>;
    async fn battles(&self, place: &Place) -> Result<Vec<BattleSummary>, Refusal>;
    async fn battle(&self, place: &Place) -> Result<Option<Box<Battle>>, Refusal>;
    async fn rules(&self, place: &Place) -> Result<Arc<Rules>, Refusal>;
    async fn event(&self, battle: &str, seq: u64) -> Result<Option<Recorded>, Refusal>;
    async fn events(&self, battle: &str, after: u64, n: u32) -> Result<Vec<Recorded>, Refusal>;
    async fn answered(&self, battle: &str, id: &RequestId) -> Result<Option<Recorded>, Refusal>;
    async fn place_of(&self, battle: &str) -> Result<Option<Place>, Refusal>;
    async fn officers(&self, battle: &str) -> Result<Vec<Officer>, Refusal>;
    async fn appoint(&self, battle: &str, officer: &Officer) -> Result<(), Refusal>;
    async fn relieve(&self, battle: &str, officer: &Officer) -> Result<(), Refusal>;
    async fn export_to(&self, head: &BattleSummary, out: &mut Vec<u8>) -> Result<(), Refusal>;
    async fn report_of(&self, head: &BattleSummary) -> Result<Report, Refusal>;
    async fn close(&self);
}

impl Reads for Referee {
    async fn person(&self, id: &str) -> Result<Who, Refusal> {
        Ok(who(self.record().person(id).await?))
    }

    async fn known_person(&self, id: &str) -> Result<Option<Who>, Refusal> {
        Ok(self.record().known_person(id).await?.map(who))
    }

    async fn platform_of(&self, person: Who) -> Result<Option<String>, Refusal> {
        let Who::Person(n) = person else { return Ok(None) };
        Ok(self.record().platform_of(i64::try_from(n).unwrap_or(0)).await?)
    }

    async fn forget_person(&self, id: &str) -> Result<bool, Refusal> {
        Ok(self.record().forget_person(id).await?)
    }

    async fn traces_of(&self, who: Who) -> Result<Vec<Trace>, Refusal> {
        Ok(self.record().traces_of(who).await?)
    }

    async fn owed_on(&self, platform: &str) -> Result<Vec<Owed>, Refusal> {
        Ok(self.record().owed_under(&format!("{platform}:")).await?)
    }

    async fn still_owed(&self, owed: &Owed) -> Result<bool, Refusal> {
        let still = self.record().owed(&owed.place).await?;
        Ok(still.iter().any(|other| other.hash == owed.event.hash))
    }

    async fn posted(&self, event: &Recorded) -> Result<(), Refusal> {
        Ok(self.record().posted(&event.event.battle, event.event.seq).await?)
    }

    async fn board(&self, place: &Place) -> Result<Option<String>, Refusal> {
        Ok(self.record().board(place).await?)
    }

    async fn set_board(&self, place: &Place, message: &str) -> Result<(), Refusal> {
        Ok(self.record().set_board(place, message).await?)
    }

    async fn take_down_board(&self, place: &Place) -> Result<(), Refusal> {
        Ok(self.record().take_down_board(place).await?)
    }

    async fn boards_on(&self, platform: &str) -> Result<Vec<Place>, Refusal> {
        Ok(self.record().boards_under(&format!("{platform}:")).await?)
    }

    async fn server_defaults(&self, server: u64) -> Result<ServerDefaults, Refusal> {
        Ok(self.record().server(&server.to_string()).await?)
    }

    async fn set_server_defaults(&self, server: u64, d: &ServerDefaults) -> Result<(), Refusal> {
        Ok(self.record().set_server(&server.to_string(), d).await?)
    }

    async fn erase_server(&self, platform: &str, server: u64) -> Result<(u64, bool), Refusal> {
        self.record().erase_server(&server.to_string()).await?;
        Ok(self.record().erase_under(&format!("{platform}:{server}/")).await?)
    }

    async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal> {
        let heads = self.record().battles(None).await?.into_iter();
        Ok(heads.filter(|head| head.place.server() == Some(server)).collect())
    }

    async fn battles(&self, place: &Place) -> Result<Vec<BattleSummary>, Refusal> {
        Ok(self.record().battles(Some(place)).await?)
    }

    async fn battle(&self, place: &Place) -> Result<Option<Box<Battle>>, Refusal> {
        match self.look(place, &Look::Show { unit: None }).await {
            Ok(Shown::Battle(battle)) => Ok(Some(battle)),
            Ok(_) | Err(Refusal::Mistake(_)) => Ok(None),
            Err(refusal) => Err(refusal),
        }
    }

    async fn rules(&self, place: &Place) -> Result<Arc<Rules>, Refusal> {
        match self.look(place, &Look::Rules).await? {
            Shown::Rules(rules) => Ok(rules),
            _ => Err(Fault::Missing("the rules of a place".to_owned()).into()),
        }
    }

    async fn event(&self, battle: &str, seq: u64) -> Result<Option<Recorded>, Refusal> {
        let found = self.events(battle, seq.saturating_sub(1), 1).await?.pop();
        Ok(found.filter(|found| found.event.seq == seq))
    }

    async fn events(&self, battle: &str, after: u64, n: u32) -> Result<Vec<Recorded>, Refusal> {
        Ok(self.record().events_after(battle, after, n).await?)
    }

    async fn answered(&self, battle: &str, id: &RequestId) -> Result<Option<Recorded>, Refusal> {
        Ok(self.record().answered(battle, id).await?)
    }

    async fn place_of(&self, battle: &str) -> Result<Option<Place>, Refusal> {
        Ok(self.record().place_of(battle).await?)
    }

    async fn officers(&self, battle: &str) -> Result<Vec<Officer>, Refusal> {
        Ok(self.record().officers(battle).await?)
    }

    async fn appoint(&self, battle: &str, officer: &Officer) -> Result<(), Refusal> {
        Ok(self.record().appoint(battle, officer).await?)
    }

    async fn relieve(&self, battle: &str, officer: &Officer) -> Result<(), Refusal> {
        Ok(self.record().relieve(battle, officer).await.map(drop)?)
    }

    async fn export_to(&self, head: &BattleSummary, out: &mut Vec<u8>) -> Result<(), Refusal> {
        written(export::export(self.record(), head, out).await)
    }

    async fn report_of(&self, head: &BattleSummary) -> Result<Report, Refusal> {
        written(export::report(self.record(), head).await)
    }

    async fn close(&self) {
        self.record().close().await;
    }
}

fn who(n: i64) -> Who {
    Who::Person(u64::try_from(n).unwrap_or(0))
}

/// What was written, or why it was not.
fn written<T>(written: Result<T, TransferError>) -> Result<T, Refusal> {
    written.map_err(|error| match error {
        TransferError::Refused(refusal) => refusal,
        error => Fault::Missing(error.to_string()).into(),
    })
}
