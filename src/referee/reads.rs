//! What a front reads and keeps through the referee: people, boards, servers, owed posts. No front
//! sees the record itself.

use super::{Fault, Referee, Refusal};
use crate::battle::Battle;
use crate::protocol::{Place, Recorded, RequestId, Who};
use crate::record::{BattleSummary, Owed, RecordError, ServerDefaults, Trace};
use crate::rules::Rules;
use std::sync::Arc;

impl Referee {
    /// The battle that is open at a place, up to date with the record.
    ///
    /// # Errors
    /// If the record fails; without a battle there is none.
    pub async fn battle(&self, place: &Place) -> Result<Option<Battle>, Refusal> {
        Ok(self.session(place).await?.battle().cloned())
    }

    /// The rules of the battle that is open at a place, or those that ship.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn rules(&self, place: &Place) -> Result<Arc<Rules>, Refusal> {
        match self.session(place).await?.rules() {
            Some(rules) => Ok(rules),
            None => Ok(self.library.find(None)?),
        }
    }

    /// The names of the rules at hand; the first is what a battle gets that asks for none.
    pub fn rules_names(&self) -> Vec<String> {
        self.library.names()
    }

    /// The battles of a place, in the order in which they were opened.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn battles(&self, place: &Place) -> Result<Vec<BattleSummary>, Refusal> {
        Ok(self.record.battles(Some(place)).await?)
    }

    /// Every battle of the record, in the order in which they were opened.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn all_battles(&self) -> Result<Vec<BattleSummary>, Refusal> {
        Ok(self.record.battles(None).await?)
    }

    /// The battles of a server, in the order in which they were opened.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn battles_of(&self, server: u64) -> Result<Vec<BattleSummary>, Refusal> {
        let all = self.all_battles().await?.into_iter();
        Ok(all.filter(|head| head.place.server() == Some(server)).collect())
    }

    /// The event that answered the request with that id, if the battle holds one.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn answered(
        &self,
        battle: &str,
        asked: &RequestId,
    ) -> Result<Option<Recorded>, Refusal> {
        Ok(self.record.answered(battle, asked).await?)
    }

    /// The place of the battle with that id.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn place_of(&self, battle: &str) -> Result<Option<Place>, Refusal> {
        Ok(self.record.place_of(battle).await?)
    }

    /// The event with that number; none if there is none.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn event(&self, battle: &str, seq: u64) -> Result<Option<Recorded>, Refusal> {
        let found = self.record.events_after(battle, seq.saturating_sub(1), 1).await?.pop();
        Ok(found.filter(|found| found.event.seq == seq))
    }

    /// Up to `most` events of a battle after number `seq`, in order.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn events_after(
        &self,
        battle: &str,
        seq: u64,
        most: u32,
    ) -> Result<Vec<Recorded>, Refusal> {
        Ok(self.record.events_after(battle, seq, most).await?)
    }

    /// The events whose posts `place` is still owed, oldest first, those of its quick rulings last.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn owed(&self, place: &Place) -> Result<Vec<Recorded>, Refusal> {
        let mut owed = self.record.owed(place).await?;
        owed.extend(self.record.owed(&place.quick()).await?);
        Ok(owed)
    }

    /// Every post owed on a platform, oldest first.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn owed_on(&self, platform: &str) -> Result<Vec<Owed>, Refusal> {
        Ok(self.record.owed_under(&format!("{platform}:")).await?)
    }

    /// Whether a post is still owed.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn still_owed(&self, owed: &Owed) -> Result<bool, Refusal> {
        let still = self.record.owed(&owed.place).await?;
        Ok(still.iter().any(|other| other.hash == owed.event.hash))
    }

    /// Marks an event's post as taken, so that it is not owed any more.
    ///
    /// # Errors
    /// If the record fails: it stays owed.
    pub async fn posted(&self, recorded: &Recorded) -> Result<(), RecordError> {
        self.record.posted(&recorded.event.battle, recorded.event.seq).await
    }

    /// Who somebody of a platform is in the record; a newcomer gets the next number.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn person(&self, platform_id: &str) -> Result<Who, Refusal> {
        person(self.record.person(platform_id).await?)
    }

    /// The same, if the record knows them.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn known_person(&self, platform_id: &str) -> Result<Option<Who>, Refusal> {
        self.record.known_person(platform_id).await?.map(person).transpose()
    }

    /// Who that is on their platform; none if it was taken away, or if they are no person.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn platform_of(&self, who: Who) -> Result<Option<String>, Refusal> {
        let Who::Person(n) = who else { return Ok(None) };
        let n = i64::try_from(n).unwrap_or(i64::MAX);
        Ok(self.record.platform_of(n).await?)
    }

    /// Takes away who a person is on their platform; whether there was anything to take away.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn forget_person(&self, platform_id: &str) -> Result<bool, Refusal> {
        Ok(self.record.forget_person(platform_id).await?)
    }

    /// The battles in which somebody asked something, and how often.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn traces_of(&self, who: Who) -> Result<Vec<Trace>, Refusal> {
        Ok(self.record.traces_of(who).await?)
    }

    /// The message that is a place's board.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn board(&self, place: &Place) -> Result<Option<String>, Refusal> {
        Ok(self.record.board(place).await?)
    }

    /// Every place of a platform with a board.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn boards_on(&self, platform: &str) -> Result<Vec<Place>, Refusal> {
        Ok(self.record.boards_under(&format!("{platform}:")).await?)
    }

    /// Makes a message the board of a place.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn set_board(&self, place: &Place, message: &str) -> Result<(), Refusal> {
        Ok(self.record.set_board(place, message).await?)
    }

    /// Forgets the board of a place.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn take_down_board(&self, place: &Place) -> Result<(), Refusal> {
        Ok(self.record.take_down_board(place).await?)
    }

    /// What a server's battles begin with.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn server_defaults(&self, server: u64) -> Result<ServerDefaults, Refusal> {
        Ok(self.record.server(&server.to_string()).await?)
    }

    /// Sets what a server's battles begin with.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn set_server_defaults(
        &self,
        server: u64,
        defaults: &ServerDefaults,
    ) -> Result<(), Refusal> {
        Ok(self.record.set_server(&server.to_string(), defaults).await?)
    }

    /// Erases every battle of a platform's server, and what its battles begin with: how many there
    /// were, and whether nothing of them stays in the file.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn erase_server(&self, platform: &str, server: u64) -> Result<(u64, bool), Refusal> {
        let erased = self.record.erase_under(&format!("{platform}:{server}/")).await?;
        self.record.erase_server(&server.to_string()).await?;
        Ok(erased)
    }
}

fn person(n: i64) -> Result<Who, Refusal> {
    let n = u64::try_from(n).ok().filter(|n| *n > 0);
    n.map(Who::Person).ok_or_else(|| Fault::Missing("a person's number".to_owned()).into())
}
