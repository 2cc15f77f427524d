//! The desk: what somebody does in the chat, from the acknowledgement to the answer.
//!
//! The order is always the same. The platform waits 3 seconds for an acknowledgement, so that goes
//! first; then the referee commits; then the post goes out. A place is dealt with by one request
//! at a time between looking at the battle and the commit, so that a button or an office is
//! weighed against the very battle the request meets.

use super::buttons::Button;
use super::caller::{Caller, PLATFORM};
use super::in_flight::InFlight;
use super::policy::Authority;
use super::rest::{File, Message, Rest};
use super::status::Counts;
use super::{layout, messages};
use crate::battle::Battle;
use crate::pictures::{self, Picture};
use crate::protocol::{Place, Recorded, Request, Who};
use crate::record::RecordError;
use crate::referee::{Answer, Ask, Fault, Look, Referee, Refusal};
use crate::words::Shown;
use serde_json::Value;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A button is good until so many events have come after its post.
const SINCE: u32 = 500;

/// After so long somebody who waits is told that it will take a while.
const LONG: Duration = Duration::from_secs(3);
/// The most bytes of files with an answer. The platform takes 10 MiB of a file from anyone:
/// <https://discord.com/developers/docs/reference#uploading-files>.
const MOST_BYTES: usize = 10 << 20;

/// The page that checks receipts in any browser.
const CHECK: &str = include_str!("../../docs/check.html");

/// Everything that a request needs.
#[derive(Debug)]
pub(super) struct Desk {
    pub referee: Referee,
    pub rest: Rest,
    pub counts: Arc<Counts>,
    /// The names of the rules at hand.
    pub rules: Vec<String>,
    /// What is in hand right now.
    pub in_flight: InFlight,
}

/// What somebody asks: by a command, or by a button with the reason they gave.
enum Asked<'a> {
    Request(Request),
    Button(Button, Option<&'a str>),
    /// Nothing that can be asked; the sentence says why.
    Wrongly(&'a str),
}

/// Why something was not done.
enum Denied {
    Refused(Refusal),
    /// A sentence, in the platform's own form where it holds mentions.
    Said(String),
}

impl From<Refusal> for Denied {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl From<RecordError> for Denied {
    fn from(error: RecordError) -> Self {
        Self::Refused(error.into())
    }
}

impl Desk {
    pub fn new(referee: Referee, rest: Rest, counts: Arc<Counts>, rules: Vec<String>) -> Self {
        Self { referee, rest, counts, rules, in_flight: InFlight::default() }
    }

    /// Answers a request for all to see, or a mistake in it for one.
    pub async fn request(&self, caller: Caller, request: Result<Request, String>) {
        match request {
            Ok(request) => self.asked(&caller, Asked::Request(request)).await,
            Err(sentence) => self.asked(&caller, Asked::Wrongly(&sentence)).await,
        }
    }

    /// Answers a button that asks something.
    pub async fn press(&self, caller: Caller, button: Button, reason: Option<&str>) {
        self.asked(&caller, Asked::Button(button, reason)).await;
    }

    /// Acknowledges, commits, and posts.
    async fn asked(&self, caller: &Caller, asked: Asked<'_>) {
        let begun = Instant::now();
        let _in_hand = self.in_flight.in_hand.read().await;
        // Who they are is read while the platform takes the acknowledgement.
        let (acknowledged, me) =
            tokio::join!(self.acknowledged(caller, false), self.name_of(caller));
        if !acknowledged {
            return;
        }
        let answer = match me {
            Ok(me) => self.commit(caller, me, asked).await,
            Err(error) => Err(error.into()),
        };
        self.settle(caller, answer, begun).await;
    }

    /// Shows something, to one person or to all.
    pub async fn look(&self, caller: Caller, look: Look, share: bool) {
        let place = caller.place();
        self.tell(&caller, share, self.shown(&place, &look)).await;
    }

    /// Answers one person, or all, with what `work` comes to.
    pub async fn tell<F>(&self, caller: &Caller, share: bool, work: F)
    where
        F: Future<Output = Result<Message, Refusal>>,
    {
        let _in_hand = self.in_flight.in_hand.read().await;
        if !self.acknowledged(caller, !share).await {
            return;
        }
        match self.patiently(caller, work).await {
            Ok(message) => self.answer(caller, &message).await,
            Err(refusal) if share => self.refuse(caller, refusal.into()).await,
            Err(refusal) => {
                self.count_refusal(&refusal);
                self.answer(caller, &layout::of_sentence(&refusal.to_string())).await;
            }
        }
    }

    /// What is looked at, with its pictures.
    async fn shown(&self, place: &Place, look: &Look) -> Result<Message, Refusal> {
        laid_out(&self.referee.look(place, look).await?).await
    }

    /// Does what may take long, and says so where the answer will come if it does.
    async fn patiently<T>(&self, caller: &Caller, work: impl Future<Output = T>) -> T {
        let mut work = std::pin::pin!(work);
        if let Ok(done) = tokio::time::timeout(LONG, &mut work).await {
            return done;
        }
        // The work goes on meanwhile: it may hold what others wait for.
        let note = layout::of_sentence(messages::TAKES_A_WHILE);
        tokio::join!(self.answer(caller, &note), work).1
    }

    /// Answers one person with what `work` comes to.
    pub async fn privately<F>(&self, caller: &Caller, work: F)
    where
        F: Future<Output = Result<Message, Refusal>>,
    {
        self.tell(caller, false, work).await;
    }

    /// Answers one person with a sentence.
    pub async fn answer_privately(&self, caller: &Caller, sentence: &str) {
        self.privately(caller, async { Ok(layout::of_sentence(sentence)) }).await;
    }

    /// Shows a form.
    pub async fn show_form(&self, caller: &Caller, form: &Value) {
        if let Err(failed) = self.rest.acknowledge(&caller.via, form).await {
            tracing::warn!(%failed, "a form could not be shown");
        }
    }

    /// The event with that number; none if there is none.
    pub async fn event(&self, battle: &str, seq: u64) -> Result<Option<Recorded>, RecordError> {
        let before = seq.saturating_sub(1);
        let found = self.referee.record().events_after(battle, before, 1).await?.pop();
        Ok(found.filter(|found| found.event.seq == seq))
    }

    /// Who `me` is in a battle that `opener` opened.
    pub async fn standing(
        &self,
        caller: &Caller,
        me: Who,
        battle: &str,
        opener: Who,
    ) -> Result<Authority, RecordError> {
        if opener == me {
            return Ok(Authority::of(caller, me, opener, &[]));
        }
        let officers = self.referee.record().officers(battle).await?;
        let mut standing = Authority::of(caller, me, opener, &officers);
        if !standing.referee {
            standing.ask = self.mention(&opener.to_string()).await?;
        }
        Ok(standing)
    }

    /// The name by which the record knows somebody.
    pub async fn name_of(&self, caller: &Caller) -> Result<Who, RecordError> {
        self.referee.record().person(PLATFORM, caller.user).await
    }

    /// A person or a role as the platform shows them; it calls nobody.
    pub async fn mention(&self, who: &str) -> Result<String, RecordError> {
        if let Some(role) = who.strip_prefix("role-") {
            return Ok(format!("<@&{role}>"));
        }
        let user = match who.parse() {
            Ok(who) => self.user_of(who).await?,
            Err(_) => None,
        };
        Ok(user.map_or_else(|| layout::escape(who), |user| format!("<@{user}>")))
    }

    /// The platform's id of a person of the record.
    pub async fn user_of(&self, who: Who) -> Result<Option<u64>, RecordError> {
        self.referee.record().user(PLATFORM, who).await
    }

    /// Weighs a request and asks the referee. What is granted is on the disk and in hand.
    async fn commit(&self, caller: &Caller, me: Who, asked: Asked<'_>) -> Result<Answer, Denied> {
        let place = caller.place();
        let _alone = self.in_flight.alone(&place.to_string()).await;
        let mut session = self.referee.session(&place).await?;
        let request = match asked {
            Asked::Request(request) => request,
            Asked::Button(button, reason) => {
                let record = self.referee.record();
                if let Some(answered) = record.answered(&place, &caller.asked()).await? {
                    // Delivered once more, perhaps to another process: the post is on its way.
                    let event = answered.event;
                    return Ok(Answer { event, again: true, taken_back: false, opened: None });
                }
                self.request_of(&button, session.battle(), reason).await?
            }
            Asked::Wrongly(sentence) => return Err(Denied::Said(layout::escape(sentence))),
        };
        self.authorize(caller, me, session.battle(), &request).await?;
        let via = serde_json::to_string(&caller.via).expect("a via has only text keys");
        let ask = Ask { place, asked: caller.asked(), asker: caller.asker(me), request };
        let answer = session.ask(&ask, Some(&via)).await?;
        if !answer.again {
            answer.opened.iter().chain([&answer.event]).for_each(|event| {
                self.in_flight.claim(event);
            });
        }
        Ok(answer)
    }

    /// What a button asks in the battle that is open here.
    async fn request_of(
        &self,
        button: &Button,
        battle: Option<&Battle>,
        reason: Option<&str>,
    ) -> Result<Request, Denied> {
        let said = |sentence: &str| Denied::Said(sentence.to_owned());
        let battle = battle.filter(|battle| battle.id == button.battle);
        let battle = battle.ok_or_else(|| said(messages::OTHER_BATTLE))?;
        let record = self.referee.record();
        let before = button.seq.saturating_sub(1);
        let events = record.events_after(&battle.id, before, SINCE + 1).await?;
        let Some((event, later)) = events.split_first() else {
            return Err(said(messages::OTHER_BATTLE));
        };
        if later.len() == SINCE as usize {
            return Err(said(messages::MOVED_ON));
        }
        button.request(battle, event, later, reason).map_err(said)
    }

    async fn authorize(
        &self,
        caller: &Caller,
        me: Who,
        battle: Option<&Battle>,
        request: &Request,
    ) -> Result<(), Denied> {
        match (request, battle) {
            (_, Some(battle)) if !matches!(request, Request::Open(_)) => {
                let standing = self.standing(caller, me, &battle.id, battle.opener).await?;
                standing.may(&battle.field, request).map_err(Denied::Said)
            }
            (Request::Reopen { battle }, None) => {
                self.authorize_reopening(caller, me, battle).await
            }
            // Whoever opens a battle is its referee; without one, the mistake is anyone's.
            _ => Ok(()),
        }
    }

    async fn authorize_reopening(
        &self,
        caller: &Caller,
        me: Who,
        name: &str,
    ) -> Result<(), Denied> {
        let heads = self.referee.record().battles(Some(&caller.place())).await?;
        let found = crate::battle::find(name, heads.iter(), |head| &head.name);
        // Without such a battle the referee says so to anyone.
        let Ok(head) = found else { return Ok(()) };
        let opening = self.event(&head.battle, 1).await?;
        let Some(opening) = opening else { return Ok(()) };
        let standing = self.standing(caller, me, &head.battle, opening.event.by).await?;
        if standing.referee || standing.admin {
            return Ok(());
        }
        Err(Denied::Said(messages::referee_only(&standing.ask)))
    }

    /// Sends what was granted, or says why nothing was.
    async fn settle(&self, caller: &Caller, answer: Result<Answer, Denied>, begun: Instant) {
        let events: Vec<Recorded> = match answer {
            Ok(Answer { event, again: false, opened, .. }) => {
                opened.into_iter().chain([event]).collect()
            }
            // Delivered once more after a restart: its post is owed, and goes its own way.
            Ok(_) => return,
            Err(no) => return self.refuse(caller, no).await,
        };
        self.counts.granted();
        if self.deliver(&caller.place(), &events, Some(&caller.via)).await {
            self.counts.answered(begun.elapsed());
        }
        for event in &events {
            self.in_flight.put_down(event);
        }
        self.refresh_board(&caller.place()).await;
    }

    /// Acknowledges; false if the interaction cannot be answered any more.
    async fn acknowledged(&self, caller: &Caller, private: bool) -> bool {
        let begun = Instant::now();
        let body = layout::acknowledgement(private);
        match self.rest.acknowledge(&caller.via, &body).await {
            Ok(()) => {
                self.counts.acknowledged(begun.elapsed());
                true
            }
            // Delivered twice, or a try whose answer was lost: somebody is waiting.
            Err(failed) if failed.is_acknowledged() => true,
            Err(failed) => {
                tracing::warn!(%failed, "an interaction could not be acknowledged");
                // It may have arrived all the same, and somebody waits for what will not come.
                if !failed.is_gone() {
                    let sorry = layout::of_sentence(messages::TOO_SLOW);
                    let _ = self.rest.edit_original(&caller.via, &sorry).await;
                }
                false
            }
        }
    }

    /// Puts an answer where the acknowledgement stands.
    async fn answer(&self, caller: &Caller, message: &Message) {
        let size: usize = message.files.iter().map(|file| file.bytes.len()).sum();
        let too_large = size > MOST_BYTES;
        let instead =
            too_large.then(|| layout::of_sentence(&messages::too_large(size.div_ceil(1 << 20))));
        let message = instead.as_ref().unwrap_or(message);
        let Err(failed) = self.rest.edit_original(&caller.via, message).await else { return };
        tracing::warn!(%failed, "an answer could not be given");
        // Whoever asked must not wait for ever for what does not arrive.
        if !failed.is_gone() {
            let sorry = layout::of_sentence(messages::FAULT);
            let _ = self.rest.edit_original(&caller.via, &sorry).await;
        }
    }

    /// Says no to one person: the public acknowledgement goes, a private sentence comes.
    async fn refuse(&self, caller: &Caller, no: Denied) {
        let message = match &no {
            Denied::Refused(refusal) => {
                self.count_refusal(refusal);
                layout::of_sentence(&refusal.to_string())
            }
            Denied::Said(markdown) => {
                self.counts.refused();
                layout::of_markdown(markdown, Vec::new())
            }
        };
        // It may be gone already: somebody has deleted it, or an earlier try did.
        let _ = self.rest.delete_original(&caller.via).await;
        let message = layout::private(message);
        if let Err(failed) = self.rest.follow_up(&caller.via, &message).await {
            tracing::warn!(%failed, "a refusal could not be said");
        }
    }

    fn count_refusal(&self, refusal: &Refusal) {
        match refusal {
            Refusal::Fault(_) => self.counts.fault(),
            _ => self.counts.refused(),
        }
    }
}

/// What is shown as a message: with its pictures, and a receipt with the page that checks it.
pub(super) async fn laid_out(shown: &Shown) -> Result<Message, Refusal> {
    let post = crate::words::shown(shown);
    if matches!(shown, Shown::Proof(_)) {
        return Ok(layout::of_post_with(&post, "receipt", vec![File::text("check.html", CHECK)]));
    }
    Ok(layout::of_post_with(&post, "shown", drawn(pictures::of(shown)).await?))
}

/// Pictures as files, drawn on a thread of their own.
pub(super) async fn drawn(pictures: Vec<Picture>) -> Result<Vec<File>, Refusal> {
    if pictures.is_empty() {
        return Ok(Vec::new());
    }
    let drawn = tokio::task::spawn_blocking(move || layout::drawn(&pictures)).await;
    drawn.map_err(|error| Fault::Stopped(error.to_string()).into())
}
