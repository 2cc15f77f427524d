//! The board: a post that shows the battle as it stands, to be pinned, and kept up to date.

use super::interaction::{Caller, Denied, Shared};
use super::message::{Message, messages, of_post, of_sentence};
use super::platform::PLATFORM;
use crate::protocol::Place;
use crate::referee::{Look, Refusal};

/// Puts a board up in the caller's channel, in the place of an earlier one.
pub(super) async fn put_up(shared: &Shared, caller: &Caller) -> Result<Message, Denied> {
    let (place, channel) = (caller.place(), caller.via.channel);
    let _alone = shared.in_flight.alone(&board_of(&place)).await;
    // A try whose answer is lost must not leave a second board.
    let message = drawn(shared, &place).await?.once(caller.via.id.to_string());
    let id = match shared.rest.post(channel, &message.parcel()).await {
        Ok(id) => id,
        Err(failed) => return Ok(of_sentence(&messages::no_board(failed.reason()))),
    };
    let earlier = shared.referee.board(&place).await?;
    shared.referee.set_board(&place, &id.to_string()).await?;
    if let Some(earlier) = earlier.and_then(|earlier| earlier.parse().ok()) {
        // Nobody keeps an earlier board up to date; one that is gone already is as well gone.
        let _ = shared.rest.delete(channel, earlier).await;
    }
    Ok(of_sentence(messages::BOARD_IS_UP))
}

/// Brings the board of a place up to date, if it has one.
pub(super) async fn refresh(shared: &Shared, place: &Place) {
    // Whoever waits already will see what has just been done.
    if !shared.in_flight.queue_for_board(&place.to_string()) {
        return;
    }
    let _alone = shared.in_flight.alone(&board_of(place)).await;
    shared.in_flight.leave_board_queue(&place.to_string());
    if let Err(error) = redraw(shared, place).await {
        tracing::error!(%error, "a board could not be brought up to date");
    }
}

/// Brings every board up to date: the bot may have stopped before it could.
pub(super) async fn refresh_all(shared: &Shared) {
    match shared.referee.boards_on(PLATFORM).await {
        Ok(places) => {
            for place in places {
                refresh(shared, &place).await;
            }
        }
        Err(error) => tracing::error!(%error, "the boards could not be read"),
    }
}

async fn redraw(shared: &Shared, place: &Place) -> Result<(), Refusal> {
    let Some(id) = shared.referee.board(place).await? else { return Ok(()) };
    // A closed battle's board stays as it was at the end.
    let Ok(message) = drawn(shared, place).await else { return Ok(()) };
    let (Ok(id), Some(channel)) = (id.parse(), place.channel_id()) else {
        return shared.referee.take_down_board(place).await;
    };
    match shared.rest.edit(channel, id, &message.parcel()).await {
        Err(failed) if failed.is_gone() => shared.referee.take_down_board(place).await,
        Err(failed) => {
            tracing::warn!(%failed, "a board could not be brought up to date");
            Ok(())
        }
        Ok(()) => Ok(()),
    }
}

async fn drawn(shared: &Shared, place: &Place) -> Result<Message, Refusal> {
    let shown = shared.referee.look(place, &Look::Show { unit: None }).await?;
    Ok(of_post(&crate::words::shown(&shown), "battle"))
}

/// What a place's board is dealt with under, beside the place itself.
fn board_of(place: &Place) -> String {
    format!("{place} board")
}
