//! The board: a post that shows the battle as it stands, to be pinned, and kept up to date.

use super::caller::Caller;
use super::desk::Desk;
use super::rest::Message;
use super::{caller, layout, messages};
use crate::protocol::Place;
use crate::record::RecordError;
use crate::referee::{Look, Refusal};
use serde_json::json;

impl Desk {
    /// Puts a board up in the caller's channel, in the place of an earlier one.
    pub async fn put_up_board(&self, caller: &Caller) -> Result<Message, Refusal> {
        let place = caller.place();
        let _alone = self.in_flight.alone(&board_of(&place)).await;
        let mut message = self.board(&place).await?;
        // A try whose answer is lost must not leave a second board.
        message.body["nonce"] = json!(caller.via.id.to_string());
        message.body["enforce_nonce"] = json!(true);
        let posted = match self.rest.post(caller.via.channel, &message).await {
            Ok(posted) => posted,
            Err(failed) => {
                return Ok(layout::of_sentence(&messages::no_board(&failed.to_string())));
            }
        };
        let id = posted["id"].as_str().unwrap_or_default();
        let record = self.referee.record();
        let earlier = record.board(&place).await?;
        record.set_board(&place, id).await?;
        if let Some(earlier) = earlier.and_then(|earlier| earlier.parse().ok()) {
            // Nobody keeps an earlier board up to date; one that is gone already is as well gone.
            let _ = self.rest.delete(caller.via.channel, earlier).await;
        }
        Ok(layout::of_sentence(messages::BOARD_IS_UP))
    }

    /// Brings the board of a place up to date, if it has one.
    pub async fn refresh_board(&self, place: &Place) {
        // Whoever waits already will see what has just been done.
        if !self.in_flight.queue_for_board(&place.to_string()) {
            return;
        }
        let _alone = self.in_flight.alone(&board_of(place)).await;
        self.in_flight.leave_board_queue(&place.to_string());
        if let Err(error) = self.redraw(place).await {
            tracing::error!(%error, "a board could not be brought up to date");
        }
    }

    /// Brings every board up to date: the bot may have stopped before it could.
    pub async fn refresh_boards(&self) {
        match self.referee.record().boards_on(caller::PLATFORM).await {
            Ok(places) => {
                for place in places {
                    self.refresh_board(&place).await;
                }
            }
            Err(error) => tracing::error!(%error, "the boards could not be read"),
        }
    }

    async fn redraw(&self, place: &Place) -> Result<(), RecordError> {
        let record = self.referee.record();
        let Some(id) = record.board(place).await? else { return Ok(()) };
        // A closed battle's board stays as it was at the end.
        let Ok(message) = self.board(place).await else { return Ok(()) };
        let (Ok(id), Some(channel)) = (id.parse(), place.channel_id()) else {
            return record.take_down_board(place).await;
        };
        match self.rest.edit(channel, id, &message).await {
            Err(failed) if failed.is_gone() => record.take_down_board(place).await,
            Err(failed) => {
                tracing::warn!(%failed, "a board could not be brought up to date");
                Ok(())
            }
            Ok(_) => Ok(()),
        }
    }

    async fn board(&self, place: &Place) -> Result<Message, Refusal> {
        let shown = self.referee.look(place, &Look::Show { unit: None }).await?;
        Ok(layout::of_post(&crate::words::shown(&shown), "battle"))
    }
}

/// What a place's board is dealt with under, beside the place itself.
fn board_of(place: &Place) -> String {
    format!("{place} board")
}
