//! What a front reads and keeps through the referee: people, boards, servers, owed posts. No front
//! sees the record itself.

use super::{Referee, Refusal};
use crate::battle::Battle;
use crate::protocol::{Place, Recorded, RequestId, Who};
use crate::record::{BattleSummary, Left, Owed, RecordError, ServerDefaults, Trace, Waiting};
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
            None => Ok(self.rules_library.find(None)?),
        }
    }

    /// The names of the rules at hand; the first is what a battle gets that asks for none.
    pub fn rules_names(&self) -> Vec<String> {
        self.rules_library.names()
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

    /// The battles of a platform's server, in the order in which they were opened.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn battles_of_server(
        &self,
        platform: &str,
        server: u64,
    ) -> Result<Vec<BattleSummary>, Refusal> {
        Ok(self.record.battles_of_server(platform, server).await?)
    }

    /// The event that answered the request with that id at a place, if there is one.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn answered(
        &self,
        place: &Place,
        asked: &RequestId,
    ) -> Result<Option<Recorded>, Refusal> {
        Ok(self.record.answered(place, asked).await?.map(|answered| answered.event))
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
        Ok(owed.into_iter().flat_map(|owed| owed.events).collect())
    }

    /// Every post owed on a platform, oldest first; those of one request's events are together.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn owed_on(&self, platform: &str) -> Result<Vec<Owed>, Refusal> {
        Ok(self.record.owed_on(platform).await?)
    }

    /// Whether an event's post is still owed.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn still_owed(&self, recorded: &Recorded) -> Result<bool, Refusal> {
        Ok(self.record.is_owed(&recorded.event.battle, recorded.event.seq).await?)
    }

    /// Marks an event's post as taken, so that it is not owed any more.
    ///
    /// # Errors
    /// If the record fails: it stays owed.
    pub async fn posted(&self, recorded: &Recorded) -> Result<(), RecordError> {
        self.record.posted(&recorded.event.battle, recorded.event.seq).await
    }

    /// Notes that somebody waits for an answer.
    ///
    /// # Errors
    /// If the note cannot be written.
    pub fn waits(&self, waiting: Waiting) -> Result<(), RecordError> {
        self.record.waits(waiting)
    }

    /// Notes that they were answered.
    ///
    /// # Errors
    /// If the note cannot be written over.
    pub fn waits_no_more(&self, asked: &RequestId) -> Result<(), RecordError> {
        self.record.waits_no_more(asked)
    }

    /// Those of a platform whom an earlier run left waiting, before anything is asked.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn left_waiting(&self, platform: &str) -> Result<Vec<Waiting>, RecordError> {
        self.record.left_waiting(platform).await
    }

    /// Who somebody of a platform is in the record; a newcomer gets the next number.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn person(&self, platform: &str, user: u64) -> Result<Who, Refusal> {
        Ok(self.record.person(platform, user).await?)
    }

    /// The same, if the record knows them.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn known_person(&self, platform: &str, user: u64) -> Result<Option<Who>, Refusal> {
        Ok(self.record.known_person(platform, user).await?)
    }

    /// The user that is on a platform; none if they come from elsewhere, or if it was taken away.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn user(&self, platform: &str, who: Who) -> Result<Option<u64>, Refusal> {
        Ok(self.record.user(platform, who).await?)
    }

    /// Takes away who a person is on their platform: what is left of it; none if there was nothing
    /// to take away.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn forget_person(&self, platform: &str, user: u64) -> Result<Option<Left>, Refusal> {
        Ok(self.record.forget_person(platform, user).await?)
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
        Ok(self.record.boards_on(platform).await?)
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
    pub async fn server_defaults(
        &self,
        platform: &str,
        server: u64,
    ) -> Result<ServerDefaults, Refusal> {
        Ok(self.record.server(platform, server).await?)
    }

    /// Sets what a server's battles begin with.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn set_server_defaults(
        &self,
        platform: &str,
        server: u64,
        defaults: &ServerDefaults,
    ) -> Result<(), Refusal> {
        Ok(self.record.set_server(platform, server, defaults).await?)
    }

    /// Erases every battle of a platform's server, and what its battles begin with: how many there
    /// were, and what is left of them in the file.
    ///
    /// # Errors
    /// If the record fails.
    pub async fn erase_server(&self, platform: &str, server: u64) -> Result<(u64, Left), Refusal> {
        Ok(self.record.erase_server(platform, server).await?)
    }
}
