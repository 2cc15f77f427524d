//! Whole battles as files, and their reports.

use crate::battle::Mistake;
use crate::chat::interaction::{Caller, Denied, MOST_BYTES, Shared, tell};
use crate::chat::looking::drawn;
use crate::chat::message::{
    File, Message, escape, messages, of_markdown, of_post_with, of_sentence,
};
use crate::referee::export::TransferError;
use crate::referee::{BattleSummary, Fault, Refusal};
use crate::words::Post;
use std::io::{ErrorKind, Write};

/// A whole battle as a file, to check it or to import it elsewhere.
pub async fn exported(
    shared: &Shared,
    caller: &Caller,
    battle: Option<&str>,
) -> Result<Message, Denied> {
    let _turn = shared.referee.long_work(caller.whose()).await?;
    let head = chosen(shared, caller, battle).await?;
    let headline = format!("{}: {} events", head.name, head.seq);
    let Some(text) = export_text(shared, &head, MOST_BYTES).await? else {
        return Ok(of_sentence(messages::EXPORT_TOO_LARGE));
    };
    let file = File::text(format!("battle-{}.jsonl", head.battle), text);
    Ok(of_markdown(&escape(&headline), vec![file]))
}

/// Tells a battle's report: what happened, losses, luck, pictures, receipts.
pub async fn report(shared: &Shared, caller: &Caller, battle: Option<&str>, share: bool) {
    tell(shared, caller, share, async {
        let _turn = shared.referee.long_work(caller.whose()).await?;
        let head = chosen(shared, caller, battle).await?;
        Ok(reported(shared, &head).await?)
    })
    .await;
}

async fn reported(shared: &Shared, head: &BattleSummary) -> Result<Message, Refusal> {
    let report = written(shared.referee.report_of(head).await)?;
    let mut files = drawn(report.pictures()).await?;
    let page = tokio::task::spawn_blocking(move || {
        (report.html_with(crate::fonts::of_this_machine()), report)
    })
    .await;
    let (html, report) = page.map_err(|error| Fault::Stopped(error.to_string()))?;
    files.push(File::text(format!("report-{}.html", head.battle), html));
    if !report.receipts().is_empty() {
        files.push(File::text(format!("receipts-{}.jsonl", head.battle), report.receipts()));
    }
    let mut post = Post::new(report.title());
    post.line(0, report.summary());
    post.line(0, messages::REPORT_IN_FILE);
    Ok(of_post_with(&post, "report", files))
}

/// The battle of that name; without a name the one that is open here, or else the latest.
async fn chosen(
    shared: &Shared,
    caller: &Caller,
    battle: Option<&str>,
) -> Result<BattleSummary, Refusal> {
    let place = caller.place();
    if let Some(name) = battle {
        return shared.referee.battle_called(&place, name).await;
    }
    let mut known = shared.referee.battles(&place).await?;
    let open = known.iter().position(|head| head.open);
    let chosen = open.map(|at| known.swap_remove(at)).or_else(|| known.pop());
    chosen.ok_or_else(|| Mistake::NoBattle.into())
}

/// A whole battle in the form that can be checked and imported; none if it is longer than `most`
/// bytes, of which no more is read than it takes to know that.
pub async fn export_text(
    shared: &Shared,
    head: &BattleSummary,
    most: usize,
) -> Result<Option<String>, Refusal> {
    let mut text = UpTo { bytes: Vec::new(), most };
    match shared.referee.write_export(head, &mut text).await {
        Err(TransferError::File(error)) if error.kind() == ErrorKind::FileTooLarge => Ok(None),
        done => {
            written(done)?;
            Ok(Some(String::from_utf8_lossy(&text.bytes).into_owned()))
        }
    }
}

/// Takes so many bytes and no more.
struct UpTo {
    bytes: Vec<u8>,
    most: usize,
}

impl Write for UpTo {
    fn write(&mut self, more: &[u8]) -> std::io::Result<usize> {
        if self.bytes.len() + more.len() > self.most {
            return Err(ErrorKind::FileTooLarge.into());
        }
        self.bytes.extend_from_slice(more);
        Ok(more.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// What was written, or why it was not.
fn written<T>(written: Result<T, TransferError>) -> Result<T, Refusal> {
    written.map_err(|error| match error {
        TransferError::Refused(refusal) => refusal,
        error => Fault::Missing(error.to_string()).into(),
    })
}
