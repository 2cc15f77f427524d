//! A battle's record as one self-contained file, and back into a record.

use super::audit::{Audit, Audited, EXPORT, End, EndLine, ExportLine, Header, RulesLine};
use super::{Fault, Referee, Refusal, form};
use crate::battle::{Mistake, same_name};
use crate::digest::Digest;
use crate::fair::check::Difference;
use crate::protocol::{Body, Place, Recorded};
use crate::record::{AppendError, BattleSummary, NewBattle, Record};
use crate::report::Report;
use crate::rules::Rules;
use std::io::{BufRead, Write};

/// Events read at once.
const READING: u32 = 500;

/// Why a battle was not written out or taken in. The record has not changed.
#[derive(Debug, thiserror::Error)]
pub enum TransferError {
    /// The export does not hold.
    #[error("This export does not hold, so nothing was taken in. {0}")]
    Unsound(#[from] Difference),
    /// The battle is in the record already.
    #[error("This battle is in the record already, as “{0}”. Nothing was taken in.")]
    Known(String),
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
        let record = &self.record;
        let mut audit = Audit::new();
        let mut rules = None;
        let mut name = String::new();
        // The record is held only from the first event on, not while a slow source begins.
        let mut import = None;
        let mut n = 0;
        while let Some(line) = form::next_line(&mut file)? {
            n += 1;
            seen(line.len());
            match audit.line(&line).map_err(|difference| difference.on_line(n))? {
                ExportLine::Header(header) => {
                    let known = record.battles(None).await.map_err(Refusal::from)?;
                    if let Some(head) = known.iter().find(|head| head.battle == header.battle) {
                        return Err(TransferError::Known(head.name.clone()));
                    }
                    let here = known.iter().filter(|head| head.place == *place);
                    if let Some(head) =
                        here.into_iter().find(|head| same_name(&head.name, &header.name))
                    {
                        return Err(
                            Refusal::from(Mistake::BattleNameTaken(head.name.clone())).into()
                        );
                    }
                    name = header.name;
                }
                ExportLine::Rules(line) => rules = Some(line),
                ExportLine::Event(event) if event.event.seq == 1 => {
                    let rules = rules.as_ref().ok_or_else(|| {
                        Difference::new("rules", &"a rules file", &"none").on_line(n)
                    })?;
                    let rules = (rules.rules.as_str(), rules.sha256, rules.text.as_str());
                    let new_battle = NewBattle { name: &name, chain: None, rules };
                    let mut begun = record.import(place).await.map_err(refused)?;
                    begun.found(&event, new_battle).await.map_err(refused)?;
                    import = Some(begun);
                }
                ExportLine::Event(event) => {
                    if let Some(import) = &mut import {
                        import.event(&event).await.map_err(refused)?;
                    }
                }
                ExportLine::End => {}
            }
        }
        let sound = audit.finish()?;
        if let Some(import) = import {
            import.finish().await.map_err(refused)?;
        }
        Ok(sound)
    }
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
