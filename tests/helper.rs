//! A game at a table in memory, spoken to line by line.

use drumhead::battle::Battle;
use drumhead::protocol::{Place, Recorded, RequestId};
use drumhead::referee::{Answer, Ask, Asker, Look, Referee, Refusal, RulesLibrary};
use drumhead::terminal::{Line, read_line};
use drumhead::words::{Shown, event, shown};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};

/// The program as it was built for these tests.
pub const DRUMHEAD: &str = env!("CARGO_BIN_EXE_drumhead");
/// The width at which the posts of these tests are set.
pub const WIDTH: usize = 80;

/// A referee with one battle, whose dice are the same at every run.
pub struct Game {
    pub referee: Referee,
    asked: AtomicU64,
}

impl Game {
    /// A table without a battle.
    pub async fn empty() -> Self {
        let record = store::fresh().await;
        Self::over(Referee::demonstration(record, RulesLibrary::shipped()))
    }

    /// A game over any referee.
    pub fn over(referee: Referee) -> Self {
        Self { referee, asked: AtomicU64::new(1) }
    }

    /// A table with a battle at 1:20 and two units of each side.
    pub async fn at_the_ford() -> Self {
        Self::empty()
            .await
            .after("open \"Harrow Ford\" --scale 20")
            .await
            .after(
                "muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 160 --grade guard --leader Ida",
            )
            .await
            .after("muster \"Vale Riders\" --side Vale --class \"riders\" --men 80")
            .await
            .after("muster \"Banner Foot\" --side \"Grey Banner\" --class \"line foot\" --men 200 --grade guard")
            .await
            .after(
                "muster \"Grey Levies\" --side \"Grey Banner\" --class levy --men 240 --grade raw",
            )
            .await
    }

    /// The same game after one more line.
    pub async fn after(self, line: &str) -> Self {
        self.says(line).await;
        self
    }

    /// The answer to a line, without the record's hash that ends an answer without a roll.
    pub async fn says(&self, line: &str) -> String {
        match self.line(line, WIDTH).await {
            Ok(text) => match text.rsplit_once("\nrecord ") {
                Some((answer, hash)) if hash.trim_end().len() == 16 => format!("{answer}\n"),
                _ => text,
            },
            Err(sentence) => panic!("“{line}” was refused: {sentence}"),
        }
    }

    /// The answer to a line at another width.
    pub async fn says_at(&self, width: usize, line: &str) -> String {
        self.line(line, width).await.expect("the line is answered")
    }

    /// Asks a line that may find nothing to do, and nothing else to be wrong.
    pub async fn tries(&self, line: &str) {
        if let Err(sentence) = self.line(line, WIDTH).await {
            let nothing =
                ["Nothing would change.", "No contact stands any more.", "is not in a melee"];
            assert!(nothing.iter().any(|part| sentence.contains(part)), "“{line}”: {sentence}");
        }
    }

    /// The sentence with which a line is refused.
    pub async fn refuses(&self, line: &str) -> String {
        match self.line(line, WIDTH).await {
            Err(sentence) => sentence,
            Ok(text) => panic!("“{line}” was answered: {text}"),
        }
    }

    /// Asks a line under an id.
    pub async fn asks(&self, id: &str, line: &str) -> Result<Answer, Refusal> {
        let Ok(Line::Request(request, _)) = read_line(line) else { panic!("no request: {line}") };
        let asked = RequestId::new("table", id).expect("a test gives its ids well");
        let ask = Ask { place: Place::table(), asked, asker: Asker::at_the_table(), request };
        self.referee.ask(&ask).await
    }

    /// The battle as it stands.
    pub async fn battle(&self) -> Battle {
        match self.referee.look(&Place::table(), &Look::Show { unit: None }).await {
            Ok(Shown::Battle(battle)) => *battle,
            other => panic!("no battle: {other:?}"),
        }
    }

    /// Every event of the battle.
    pub async fn events(&self) -> Vec<Recorded> {
        let battle = self.battle().await;
        self.referee.events_after(&battle.id, 0, 1_000_000).await.expect("events read")
    }

    /// The battle as an export.
    pub async fn export(&self) -> String {
        let head = self.referee.choose(None).await.expect("one battle");
        let mut out = Vec::new();
        self.referee.write_export(&head, &mut out).await.expect("it exports");
        String::from_utf8(out).expect("an export is text")
    }

    async fn line(&self, line: &str, width: usize) -> Result<String, String> {
        match read_line(line)? {
            Line::Request(_, id) => {
                let id =
                    id.unwrap_or_else(|| self.asked.fetch_add(1, Ordering::Relaxed).to_string());
                let bare = line.trim_start().split_once(' ').filter(|_| line.starts_with('@'));
                let answer = self.asks(&id, bare.map_or(line, |(_, rest)| rest)).await;
                answer.map(|answer| event(&answer.event).text(width)).map_err(|no| no.to_string())
            }
            Line::Look(look) => {
                let found = self.referee.look(&Place::table(), &look).await;
                found.map(|found| shown(&found).text(width)).map_err(|no| no.to_string())
            }
            Line::Data(look) => {
                let found = self.referee.look(&Place::table(), &look).await;
                found.map(|found| found.json()).map_err(|no| no.to_string())
            }
            other => panic!("neither asked nor looked: {other:?}"),
        }
    }
}

/// A file of this name in a folder of its own, which goes with the guard.
pub fn file(name: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let file = folder.path().join(name);
    (folder, file)
}

/// Checks an export at full depth.
pub fn audit(
    export: &str,
) -> Result<drumhead::referee::audit::Audited, drumhead::fair::check::Difference> {
    let mut audit = drumhead::referee::audit::Audit::new();
    for (n, line) in export.split_inclusive('\n').enumerate() {
        audit.line(line.as_bytes()).map_err(|difference| difference.on_line(n + 1))?;
    }
    audit.finish()
}

/// Where the records of the tests come from: the one place to change for another kind of store.
pub mod store {
    use drumhead::record::Record;
    use std::path::Path;

    /// A record of its own, gone when it is closed.
    pub async fn fresh() -> Record {
        Record::throwaway().await.expect("a record in memory opens")
    }

    /// A record that is kept under that name, and can be opened again, by another program too.
    pub async fn open(name: &Path) -> Record {
        Record::open(name).await.unwrap_or_else(|no| panic!("{no}"))
    }

    /// Does to a closed record what the program itself never does; how many rows that changed.
    pub async fn tamper(name: &Path, sql: &'static str) -> u64 {
        let url = format!("sqlite:{}", name.display());
        let pool = sqlx::SqlitePool::connect(&url).await.expect("the file opens");
        let done = sqlx::query(sql).execute(&pool).await.unwrap_or_else(|no| panic!("{sql}: {no}"));
        pool.close().await;
        done.rows_affected()
    }

    /// The bytes that a record's tables hold for secrets.
    pub async fn secrets(name: &Path) -> Vec<Vec<u8>> {
        let url = format!("sqlite:{}", name.display());
        let pool = sqlx::SqlitePool::connect(&url).await.expect("the file opens");
        let found = sqlx::query_scalar("SELECT bytes FROM secrets ORDER BY battle, key");
        let found = found.fetch_all(&pool).await.expect("secrets are listed");
        pool.close().await;
        found
    }
}
