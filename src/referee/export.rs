//! A battle's record as one self-contained file, and back into a record.

use super::audit::{Audit, Audited, EXPORT, End, EndLine, ExportLine, Header, RulesLine};
use super::{Fault, Referee, Refusal, form};
use crate::battle::{Mistake, same_name};
use crate::digest::Digest;
use crate::fair::check::Difference;
use crate::protocol::{Body, Place, Recorded};
use crate::record::{AppendError, BattleSummary, Import, NewBattle, Record};
use crate::report::Report;
use crate::rules::Rules;
use std::io::{BufRead, BufReader, BufWriter, Seek as _, Write};

/// Events read at once.
const READING: u32 = 500;

/// The most events of a report: they are in memory together.
const MOST_REPORTED: u64 = 10_000;

/// Why a battle was not written out or taken in. The record has not changed.
#[derive(Debug, thiserror::Error)]
pub enum TransferError {
    /// The export does not hold.
    #[error("This export does not hold, so nothing was taken in. {0}")]
    Unsound(#[from] Difference),
    /// The battle is in the record already.
    #[error("This battle is in the record already, as “{0}”. Nothing was taken in.")]
    Known(String),
    /// Another export of the battle is in the record: an earlier one, or one that says otherwise.
    #[error(
        "The record holds another export of this battle already, as “{0}”, with {events}. Nothing \
         was taken in. To keep this one too, give it a record of its own: drumhead import --record \
         NEW.db FILE", events = if *.1 == 1 { "1 event".to_owned() } else { format!("{} events", .1) }
    )]
    KnownOtherwise(String, u64),
    /// Reading or writing failed.
    #[error("The file could not be read or written: {0}. Check what it is.")]
    File(#[from] std::io::Error),
    /// The referee refused.
    #[error(transparent)]
    Refused(#[from] Refusal),
}

impl Referee {
    /// The battle called `name`, or with that id; without a name, the only one or the only open one.
    ///
    /// # Errors
    /// If none fits, or several do.
    pub async fn choose(&self, name: Option<&str>) -> Result<BattleSummary, Refusal> {
        let heads = self.record.battles(None).await?;
        let fits = |head: &&BattleSummary| match name {
            Some(name) => same_name(&head.name, name) || head.battle == name,
            // Quick rulings are a battle's record too, but are meant only when they are named.
            None => !head.place.is_quick(),
        };
        let fitting: Vec<&BattleSummary> = heads.iter().filter(fits).collect();
        let open: Vec<&BattleSummary> = fitting.iter().filter(|head| head.open).copied().collect();
        match (fitting.as_slice(), open.as_slice()) {
            ([one], _) | (_, [one]) => Ok((*one).clone()),
            ([], _) if name.is_some() && !heads.is_empty() => {
                let name = name.unwrap_or_default().to_owned();
                let known = heads.into_iter().map(|head| head.name).collect();
                Err(Mistake::NoSuchBattleInRecord { name, known }.into())
            }
            ([], _) if heads.is_empty() => Err(Mistake::EmptyRecord.into()),
            ([], _) => Err(Mistake::OnlyQuickInRecord.into()),
            (several, _) => {
                let known =
                    several.iter().map(|head| format!("{} ({})", head.name, head.battle)).collect();
                Err(Mistake::WhichBattle { known }.into())
            }
        }
    }

    /// Writes a battle's receipts as JSON Lines.
    ///
    /// # Errors
    /// If the record cannot be read or the receipts not written.
    pub async fn write_receipts(
        &self,
        head: &BattleSummary,
        out: &mut impl Write,
    ) -> Result<(), TransferError> {
        each_event(&self.record, head, |event| {
            if let Some(receipt) = event.event.receipt() {
                writeln!(out, "{}", json(receipt))?;
            }
            Ok(())
        })
        .await
    }

    /// Writes a whole battle as JSON Lines.
    ///
    /// # Errors
    /// If the record cannot be read or the export not written.
    pub async fn write_export(
        &self,
        head: &BattleSummary,
        out: &mut impl Write,
    ) -> Result<(), TransferError> {
        let record = &self.record;
        writeln!(
            out,
            "{}",
            json(&Header {
                drumhead_export: EXPORT,
                battle: head.battle.clone(),
                name: head.name.clone(),
                events: head.seq,
                head: head.head,
            })
        )?;
        let (sha256, rules, text) = rules_of(record, head).await?;
        writeln!(out, "{}", json(&RulesLine { rules, sha256, text }))?;
        each_event(record, head, |event| Ok(writeln!(out, "{}", event.text)?)).await?;
        writeln!(out, "{}", json(&EndLine { end: End { events: head.seq, head: head.head } }))?;
        Ok(())
    }

    /// A battle's report, from its events and the rules that the record keeps for it.
    ///
    /// # Errors
    /// If the record cannot be read.
    pub async fn report_of(&self, head: &BattleSummary) -> Result<Report, TransferError> {
        if head.seq > MOST_REPORTED {
            let (what, events) = ("a report", head.seq);
            let mistake = Mistake::TooManyEvents { what, events, most: MOST_REPORTED };
            return Err(Refusal::from(mistake).into());
        }
        let record = &self.record;
        let (_, name, text) = rules_of(record, head).await?;
        let rules =
            Rules::load(&name, &text).map_err(|error| Refusal::from(Fault::Rules(error)))?;
        let mut events = Vec::new();
        each_event(record, head, |event| {
            events.push(event.clone());
            Ok(())
        })
        .await?;
        // A long campaign's luck takes a while to measure, and others must not wait for it.
        let told = tokio::task::spawn_blocking(move || Report::of(&rules, &events)).await;
        let told = told.map_err(|error| Refusal::from(Fault::Stopped(error.to_string())))?;
        told.map_err(|error| Refusal::from(Fault::Fold(error)).into())
    }

    /// Takes a whole battle into a record, in the place `place`, once all of it has been checked.
    ///
    /// The battle comes in closed and without its dice: it can be read and checked, not thrown in.
    ///
    /// # Errors
    /// If the export does not hold, or the battle is in the record already.
    pub async fn import(
        &self,
        place: &Place,
        mut file: impl BufRead,
        mut seen: impl FnMut(usize),
    ) -> Result<Audited, TransferError> {
        let mut audit = Audit::new();
        let (mut header, mut rules) = (None, None);
        // The source may be slow, and nobody else must wait for it: until all of it is there the
        // events are kept in a file of their own, which has no name.
        let mut events = BufWriter::new(tempfile::tempfile()?);
        let mut n = 0;
        while let Some(line) = form::next_line(&mut file)? {
            n += 1;
            seen(line.len());
            match audit.line(&line).map_err(|difference| difference.on_line(n))? {
                ExportLine::Header(found) => {
                    self.has_room(place, &found).await?;
                    header = Some(found);
                }
                ExportLine::Rules(found) => rules = Some(found),
                ExportLine::Event(event) => {
                    let roll = event.event.receipt().map_or(0, |receipt| receipt.roll);
                    writeln!(events, "{roll} {}", event.text)?;
                }
                ExportLine::End => {}
            }
        }
        let sound = audit.finish()?;
        if let (Some(header), Some(rules)) = (header, rules) {
            self.has_room(place, &header).await?;
            let mut events = events.into_inner().map_err(std::io::IntoInnerError::into_error)?;
            events.rewind()?;
            self.take_in(place, &header, &rules, BufReader::new(events)).await?;
        }
        Ok(sound)
    }

    /// Whether a battle is new to the record, and its name to its place.
    async fn has_room(&self, place: &Place, header: &Header) -> Result<(), TransferError> {
        let known = self.record.battles(None).await.map_err(Refusal::from)?;
        if let Some(head) = known.iter().find(|head| head.battle == header.battle) {
            let name = head.name.clone();
            return Err(if head.head == header.head {
                TransferError::Known(name)
            } else {
                TransferError::KnownOtherwise(name, head.seq)
            });
        }
        let mut here = known.iter().filter(|head| head.place == *place);
        if let Some(head) = here.find(|head| same_name(&head.name, &header.name)) {
            return Err(Refusal::from(Mistake::BattleNameTaken(head.name.clone())).into());
        }
        Ok(())
    }

    /// Writes a battle that was checked to the record: others see all of it or nothing.
    async fn take_in(
        &self,
        place: &Place,
        header: &Header,
        rules: &RulesLine,
        events: impl BufRead,
    ) -> Result<(), TransferError> {
        let rules = (rules.rules.as_str(), rules.sha256, rules.text.as_str());
        let new_battle = NewBattle { name: &header.name, chain: None, rules };
        let mut import = self.record.import(&header.battle).await.map_err(refused)?;
        let taken = async {
            fill(&mut import, events).await?;
            import.finish(place, new_battle, header.head).await.map_err(refused)
        };
        let taken = taken.await;
        if taken.is_err()
            && let Err(error) = import.give_up().await
        {
            tracing::warn!(%error, "what an import had written goes when the record is opened");
        }
        taken
    }
}

/// Writes a battle's events to the record, from the file where they were kept.
async fn fill(import: &mut Import<'_>, events: impl BufRead) -> Result<(), TransferError> {
    for line in events.lines() {
        let line = line?;
        let (roll, text) = line.split_once(' ').unwrap_or_default();
        let roll = roll.parse().ok().filter(|roll| *roll > 0);
        import.event(roll, text).await.map_err(refused)?;
    }
    Ok(())
}

/// The rules file of a battle: its SHA-256, its name, its text.
async fn rules_of(
    record: &Record,
    head: &BattleSummary,
) -> Result<(Digest, String, String), Refusal> {
    let first = record.events_after(&head.battle, 0, 1).await?;
    let Some(Body::Opened { rules, .. }) = first.first().map(|first| &first.event.body) else {
        return Err(Fault::Missing(head.battle.clone()).into());
    };
    let (name, text) =
        record.rules(*rules).await?.ok_or_else(|| Fault::Missing(rules.to_string()))?;
    Ok((*rules, name, text))
}

/// Goes through a battle's events up to its head, a part at a time.
async fn each_event(
    record: &Record,
    head: &BattleSummary,
    mut take: impl FnMut(&Recorded) -> Result<(), TransferError>,
) -> Result<(), TransferError> {
    let mut after = 0;
    while after < head.seq {
        let events =
            record.events_after(&head.battle, after, READING).await.map_err(Refusal::from)?;
        let Some(last) = events.last() else {
            return Err(Refusal::from(Fault::Missing(format!("event {}", after + 1))).into());
        };
        after = last.event.seq;
        events.iter().filter(|event| event.event.seq <= head.seq).try_for_each(&mut take)?;
    }
    Ok(())
}

fn json(value: &impl serde::Serialize) -> String {
    serde_json::to_string(value).expect("these values have only text keys")
}

fn refused(error: AppendError) -> TransferError {
    TransferError::Refused(error.into())
}
