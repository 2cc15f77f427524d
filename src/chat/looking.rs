//! What changes nothing: looks, laid out with their pictures, to one person or to all.

use super::interaction::{Caller, Shared, tell};
use super::message::{self, File, Message, of_post_with};
use crate::pictures::{self, Picture};
use crate::referee::{Fault, Look, Refusal};
use crate::words::Shown;
use tokio::sync::Semaphore;

/// The page that checks receipts in any browser.
const CHECK: &str = include_str!("../../docs/check.html");

/// Shows something, to one person or to all.
pub(super) async fn look(shared: &Shared, caller: &Caller, look: &Look, share: bool) {
    tell(shared, caller, share, async {
        Ok(laid_out(&shared.referee.look_for(&caller.place(), look, caller.user).await?).await?)
    })
    .await;
}

/// What is shown as a message: with its pictures, and a receipt with the page that checks it.
pub(super) async fn laid_out(shown: &Shown) -> Result<Message, Refusal> {
    let post = crate::words::shown(shown);
    if matches!(shown, Shown::Proof(_)) {
        return Ok(of_post_with(&post, "receipt", vec![File::text("check.html", CHECK)]));
    }
    Ok(of_post_with(&post, "shown", drawn(pictures::of(shown)).await?))
}

/// Pictures are drawn two at a time; those who wait are bounded by what may be in hand.
static DRAWING: Semaphore = Semaphore::const_new(2);

/// Pictures as files, drawn on a thread of their own.
pub(super) async fn drawn(pictures: Vec<Picture>) -> Result<Vec<File>, Refusal> {
    if pictures.is_empty() {
        return Ok(Vec::new());
    }
    let turn = DRAWING.acquire().await.expect("nobody closes it");
    let drawn = tokio::task::spawn_blocking(move || {
        let drawn = message::drawn(&pictures);
        drop(turn);
        drawn
    });
    let drawn = drawn.await;
    drawn.map_err(|error| Fault::Stopped(error.to_string()).into())
}
