//! What changes a battle: from what somebody does to the post of what came of it.
//!
//! The order is always the same. The interaction is acknowledged; then the referee commits; then
//! the post goes out. A place is dealt with by one request at a time between looking at the battle
//! and the commit, so that a button is weighed against the very battle the request meets.

use super::interaction::{Caller, Denied, Shared, acknowledged, refuse, waits, waits_no_more};
use super::platform::{Happened, PLATFORM, Timed};
use super::{board, posting};
use crate::battle::Battle;
use crate::protocol::{Recorded, Request, Who};
use crate::referee::{Answer, Ask};
use std::time::Instant;

/// Where something is asked, and by whom.
pub(super) struct Here<'a> {
    /// What every handler shares.
    pub shared: &'a Shared,
    /// Who used the platform, and in which channel.
    pub caller: &'a Caller,
    /// Who they are in the record.
    pub me: Who,
}

/// What is asked, once the battle it is asked of is known.
pub(super) trait Wanted {
    /// Whether it comes from a post, so that what it asks depends on the battle as it stands.
    fn is_of_a_post(&self) -> bool {
        false
    }

    /// The request in the battle that is open here.
    async fn request(self, here: Here<'_>, battle: Option<&Battle>) -> Result<Request, Denied>;
}

/// Acknowledges, commits, and posts; a refusal is said to one person.
pub(super) async fn ask(shared: &Shared, caller: &Caller, wanted: impl Wanted) {
    let begun = Instant::now();
    let _in_hand = shared.in_flight.in_hand.read().await;
    // It is noted first that they wait, so that no kill leaves them so without words. Who they are
    // is read while the platform takes the acknowledgement, which is let go out before that.
    waits(shared, caller);
    let (acknowledged, me) = tokio::join!(acknowledged(shared, caller, false), async {
        tokio::task::yield_now().await;
        shared.referee.person(PLATFORM, caller.user).await
    });
    if !acknowledged {
        return waits_no_more(shared, caller);
    }
    let answer = match me {
        Ok(me) => commit(shared, caller, me, wanted).await,
        Err(refusal) => Err(refusal.into()),
    };
    match answer {
        Ok(answer) if !answer.again => settle(shared, caller, answer, begun).await,
        // Delivered once more after a restart: its post is owed, and goes its own way.
        Ok(_) => {}
        Err(denied) => refuse(shared, caller, denied).await,
    }
    waits_no_more(shared, caller);
}

/// Asks the referee. What is granted is on the disk and in hand.
async fn commit(
    shared: &Shared,
    caller: &Caller,
    me: Who,
    wanted: impl Wanted,
) -> Result<Answer, Denied> {
    let (place, asked) = (caller.place(), caller.asked());
    let _alone = shared.in_flight.alone(&place.to_string()).await;
    let _turn = shared.referee.short_work(caller.whose()).await?;
    // What comes from a post is weighed against the battle as it stands.
    let mut session = if wanted.is_of_a_post() {
        if let Some(event) = shared.referee.answered(&place, &asked).await? {
            // Delivered once more, perhaps to another process: the post is on its way.
            return Ok(Answer { event, again: true, taken_back: false, first: None });
        }
        shared.referee.session(&place).await?
    } else {
        shared.referee.session_as_held(&place).await?
    };
    let here = Here { shared, caller, me };
    let request = wanted.request(here, session.battle()).await?;
    let via = serde_json::to_string(&caller.via).expect("a route has only text keys");
    let ask = Ask { place, asked, asker: caller.asker(me), request };
    let answer = session.ask(&ask, Some(&via)).await?;
    if !answer.again {
        answer.first.iter().chain([&answer.event]).for_each(|event| {
            shared.in_flight.claim(event);
        });
    }
    Ok(answer)
}

/// Sends what was granted.
async fn settle(shared: &Shared, caller: &Caller, answer: Answer, begun: Instant) {
    let events: Vec<Recorded> = answer.first.into_iter().chain([answer.event]).collect();
    shared.counts.count(Happened::Granted);
    if posting::deliver(shared, &caller.place(), &events, Some(&caller.via)).await {
        shared.counts.time(Timed::Answered, begun.elapsed());
    }
    for event in &events {
        shared.in_flight.put_down(event);
    }
    board::refresh(shared, &caller.place()).await;
}

impl Wanted for Request {
    async fn request(self, _: Here<'_>, _: Option<&Battle>) -> Result<Request, Denied> {
        Ok(self)
    }
}
