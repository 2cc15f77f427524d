//! The board: a post that shows the battle as it stands, to be pinned, and kept up to date.

use super::caller::Caller;
use super::courier::Message;
use super::desk::Desk;
use super::{caller, layout, say};
use crate::record::RecordError;
use crate::referee::{Look, Refusal};
use serde_json::json;

impl Desk {
    /// Puts a board up in the caller's channel, in the place of an earlier one.
    pub async fn put_up_board(&self, caller: &Caller) -> Result<Message, Refusal> {
        let place = caller.place();
        let _alone = self.hands.alone(&board_of(&place)).await;
        let mut message = self.board(&place).await?;
        // A try whose answer is lost must not leave a second board.
        message.body["nonce"] = json!(caller.via.id.to_string());
        message.body["enforce_nonce"] = json!(true);
        let posted = match self.courier.post(caller.via.channel, &message).await {
            Ok(posted) => posted,
            Err(failed) => return Ok(layout::of_sentence(&say::no_board(&failed.to_string()))),
        };
        let id = posted["id"].as_str().unwrap_or_default();
        let record = self.referee.record();
        let earlier = record.board(&place).await?;
        record.set_board(&place, id).await?;
        if let Some(earlier) = earlier.and_then(|earlier| earlier.parse().ok()) {
            // Nobody keeps an earlier board up to date; one that is gone already is as well gone.
            let _ = self.courier.delete(caller.via.channel, earlier).await;
        }
        Ok(layout::of_sentence(say::BOARD_IS_UP))
    }

    /// Brings the board of a place up to date, if it has one.
    pub async fn refresh_board(&self, place: &str) {
        // Whoever waits already will see what has just been done.
        if !self.hands.queue_for_board(place) {
            return;
        }
        let _alone = self.hands.alone(&board_of(place)).await;
        self.hands.leave_board_queue(place);
        if let Err(error) = self.redraw(place).await {
            tracing::error!(%error, "a board could not be brought up to date");
        }
    }

    /// Brings every board up to date: the bot may have stopped before it could.
    pub async fn refresh_boards(&self) {
        let prefix = format!("{}:", caller::PLATFORM);
        match self.referee.record().boards_under(&prefix).await {
            Ok(places) => {
                for place in places {
                    self.refresh_board(&place).await;
                }
            }
            Err(error) => tracing::error!(%error, "the boards could not be read"),
        }
    }

    async fn redraw(&self, place: &str) -> Result<(), RecordError> {
        let record = self.referee.record();
        let Some(id) = record.board(place).await? else { return Ok(()) };
        // A closed battle's board stays as it was at the end.
        let Ok(message) = self.board(place).await else { return Ok(()) };
        let (Ok(id), Some(channel)) = (id.parse(), caller::channel_of(place)) else {
            return record.take_down_board(place).await;
        };
        match self.courier.edit(channel, id, &message).await {
            Err(failed) if failed.is_gone() => record.take_down_board(place).await,
            Err(failed) => {
                tracing::warn!(%failed, "a board could not be brought up to date");
                Ok(())
            }
            Ok(_) => Ok(()),
        }
    }

    async fn board(&self, place: &str) -> Result<Message, Refusal> {
        let shown = self.referee.look(place, &Look::Show { unit: None }).await?;
        Ok(layout::of_post(&crate::words::shown(&shown), "battle"))
    }
}

/// What a place's board is dealt with under, beside the place itself.
fn board_of(place: &str) -> String {
    format!("{place} board")
}
