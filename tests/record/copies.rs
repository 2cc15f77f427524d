//! Copies of a record: whole, or none at all.

use super::kept::{Chat, FORD};
use crate::helper::{DRUMHEAD, audit, file, store};
use drumhead::record::restore;
use drumhead::referee::{Referee, RulesLibrary};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn run(command: &[&str], folder: &Path, input: Stdio) -> Output {
    let mut asked = Command::new(DRUMHEAD);
    asked.args(command).current_dir(folder).stdin(input).output().unwrap()
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).unwrap()
}

/// The names in a folder, in order.
fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A record with a battle, closed, and a copy of it.
async fn copied(folder: &Path) -> (PathBuf, PathBuf) {
    let (record, copy) = (folder.join("record.db"), folder.join("copy.db"));
    let chat = Chat::over(&record).await;
    for (asked, line) in [
        ("1", "open \"Harrow Ford\" --scale 20"),
        ("2", "muster A --side Vale --class \"line foot\" --men 200"),
        ("3", "muster B --side Grey --class \"line foot\" --men 200"),
        ("4", "melee A B"),
    ] {
        chat.asks(FORD, asked, 1, line).await;
    }
    chat.0.back_up(&copy).await.unwrap();
    // What comes after the copy is not in it.
    chat.asks(FORD, "5", 1, "turn").await;
    chat.0.close().await;
    (record, copy)
}

async fn refused(copy: &Path, record: &Path) -> String {
    let folder = record.parent().unwrap();
    let before = names(folder);
    let sentence = restore(copy, record).await.unwrap_err().to_string();
    assert_eq!(names(folder), before, "nothing was left behind, nothing taken away");
    sentence.replace(&format!("{}/", folder.display()), "")
}

#[tokio::test]
async fn a_copy_comes_back_whole() {
    let (guard, _) = file("record.db");
    let (_, copy) = copied(guard.path()).await;
    let back = guard.path().join("back.db");
    restore(&copy, &back).await.unwrap();
    assert_eq!(names(guard.path()), ["back.db", "copy.db", "record.db"]);
    let referee = Referee::new(store::open(&back).await, RulesLibrary::shipped());
    let head = referee.choose(None).await.unwrap();
    let mut export = Vec::new();
    referee.write_export(&head, &mut export).await.unwrap();
    let sound = audit(text(&export)).expect("the battle holds");
    assert_eq!((sound.events, sound.rolls), (4, 1));
    // Its dice came back too.
    let thrown = Chat(referee).asks(FORD, "6", 1, "throw 3d6").await;
    assert_eq!(thrown.event.receipt().map(|receipt| receipt.roll), Some(2));
}

#[cfg(unix)]
#[tokio::test]
async fn a_record_and_its_copies_are_for_their_owner_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let (guard, _) = file("record.db");
    let (record, copy) = copied(guard.path()).await;
    let back = guard.path().join("back.db");
    restore(&copy, &back).await.unwrap();
    let open = store::open(&record).await;
    open.person("chat", 1).await.unwrap();
    let names = names(guard.path());
    assert_eq!(names, ["back.db", "copy.db", "record.db", "record.db-shm", "record.db-wal"]);
    for name in names {
        let mode = guard.path().join(&name).metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
    open.close().await;
}

#[tokio::test]
async fn nothing_is_restored_over_a_record_or_beside_what_is_left_of_one() {
    let (guard, _) = file("record.db");
    let (record, copy) = copied(guard.path()).await;
    assert_eq!(
        refused(&copy, &record).await,
        "record.db already exists and was not overwritten. Choose another name."
    );
    let back = guard.path().join("back.db");
    for ending in ["-wal", "-shm", "-journal"] {
        let left = guard.path().join(format!("back.db{ending}"));
        std::fs::write(&left, "what was ruled last").unwrap();
        assert_eq!(
            refused(&copy, &back).await,
            format!(
                "Beside back.db lies back.db{ending}, left by an earlier record of that name, \
                 perhaps with its last rulings. Move it to another folder, then restore again."
            )
        );
        assert_eq!(std::fs::read(&left).unwrap(), b"what was ruled last");
        std::fs::remove_file(left).unwrap();
    }
    restore(&copy, &back).await.unwrap();
}

/// A new record would destroy what a log beside it holds, without a word.
#[tokio::test]
async fn no_record_is_begun_beside_the_log_of_another() {
    let (guard, record) = file("record.db");
    std::fs::write(guard.path().join("record.db-wal"), "what was ruled last").unwrap();
    let error = drumhead::record::Record::open(&record).await.unwrap_err().to_string();
    assert_eq!(
        error.replace(&format!("{}/", guard.path().display()), ""),
        "The record record.db cannot be used: beside it lies record.db-wal, left by another record \
         of that name, perhaps with its last rulings. Move it to another folder, or name another \
         file."
    );
    assert_eq!(names(guard.path()), ["record.db-wal"]);
}

/// What a run leaves that is killed while it sets a record up: a file that is half written, and the
/// journal that undoes it. Taken from a transaction that is still going on.
#[tokio::test]
async fn a_record_whose_setting_up_was_killed_is_begun_anew() {
    let (guard, record) = file("record.db");
    let half = guard.path().join("half.db");
    std::fs::write(&half, []).unwrap();
    let url = format!("sqlite:{}", half.display());
    let sql = sqlx::SqlitePool::connect(&url).await.unwrap();
    let mut setting_up = sql.begin().await.unwrap();
    for step in [
        "PRAGMA cache_size = 1",
        "PRAGMA application_id = 1685222765",
        "CREATE TABLE battles (id TEXT)",
        "INSERT INTO battles VALUES (hex(zeroblob(100000)))",
    ] {
        sqlx::query(step).execute(&mut *setting_up).await.unwrap();
    }
    for ending in ["", "-journal"] {
        let from = guard.path().join(format!("half.db{ending}"));
        assert!(from.metadata().unwrap().len() > 0, "half.db{ending} is not empty");
        std::fs::copy(from, guard.path().join(format!("record.db{ending}"))).unwrap();
    }
    drop(setting_up);
    sql.close().await;
    let chat = Chat::over(&record).await;
    chat.asks(FORD, "1", 1, "open \"Harrow Ford\" --scale 20").await;
    chat.0.close().await;
    let open = store::open(&record).await;
    assert_eq!(open.battles(None).await.unwrap().len(), 1);
    open.close().await;
    assert_eq!(names(guard.path()), ["half.db", "record.db"]);
}

#[tokio::test]
async fn a_copy_that_is_not_whole_is_refused() {
    let (guard, _) = file("record.db");
    let (_, copy) = copied(guard.path()).await;
    let whole = std::fs::read(&copy).unwrap();
    let (bad, back) = (guard.path().join("bad.db"), guard.path().join("back.db"));
    std::fs::write(&bad, []).unwrap();
    assert_eq!(
        refused(&bad, &back).await,
        "bad.db is empty, so it is not a copy of a record. Name another file."
    );
    std::fs::write(&bad, &whole[..whole.len() - 4096]).unwrap();
    assert_eq!(
        refused(&bad, &back).await,
        format!(
            "bad.db is cut off: it should have {} bytes and has {}. Copy it once more, or use an \
             earlier copy.",
            whole.len(),
            whole.len() - 4096
        )
    );
    std::fs::write(&bad, "dear referee, ".repeat(100)).unwrap();
    assert_eq!(
        refused(&bad, &back).await,
        "The record bad.db cannot be used: it is not a sound database. Bring back a copy that is, \
         or name another file."
    );
    // Any page of it may be hurt.
    let pages = whole.len() / 4096;
    assert!(pages > 20, "{pages} pages");
    for page in 0..pages {
        let mut bytes = whole.clone();
        bytes[page * 4096..][..4096].fill(0xa5);
        std::fs::write(&bad, &bytes).unwrap();
        refused(&bad, &back).await;
    }
}

/// Damage that the database does not see, because it is sound as a database.
#[tokio::test]
async fn a_copy_whose_battles_do_not_hold_together_is_refused() {
    let (guard, _) = file("record.db");
    let (_, copy) = copied(guard.path()).await;
    let whole = std::fs::read(&copy).unwrap();
    let (bad, back) = (guard.path().join("bad.db"), guard.path().join("back.db"));
    for (tampered, sentence) in [
        (
            "UPDATE events SET text = replace(text, '\"men\":200', '\"men\":900') WHERE seq = 2",
            "bad.db is damaged: battle ID is broken after event 2. Use an earlier copy.",
        ),
        (
            "DELETE FROM events WHERE seq = 3",
            "bad.db is damaged: battle ID is broken after event 2. Use an earlier copy.",
        ),
        (
            "DELETE FROM events WHERE seq = 4",
            "bad.db is damaged: battle ID ends with event 3 and not 4. Use an earlier copy.",
        ),
        (
            "UPDATE events SET text = replace(text, '\"men\":200', '\"men\":900') WHERE seq = 4",
            "bad.db is damaged: battle ID ends with event 4 and another SHA-256. Use an earlier copy.",
        ),
        (
            "DROP TABLE owed",
            "bad.db is damaged: its tables are not as they were made. Use an earlier copy.",
        ),
        (
            "CREATE TRIGGER more AFTER INSERT ON events BEGIN DELETE FROM ids; END",
            "bad.db is damaged: its tables are not as they were made. Use an earlier copy.",
        ),
        (
            "UPDATE events SET text = 'spoiled' WHERE seq = 3",
            "bad.db is damaged: event 3 of battle ID cannot be read: this is not an event: expected \
             value at line 1 column 1. Use an earlier copy.",
        ),
    ] {
        std::fs::write(&bad, &whole).unwrap();
        store::tamper(&bad, tampered).await;
        assert_ne!(std::fs::read(&bad).unwrap(), whole, "{tampered}");
        let said = refused(&bad, &back).await;
        let id = said.split("battle ").nth(1).and_then(|rest| rest.get(..16)).unwrap_or("ID");
        assert_eq!(said.replace(id, "ID"), sentence, "{tampered}");
    }
    std::fs::write(&bad, &whole).unwrap();
    restore(&bad, &back).await.expect("as it was it comes back");
}

/// A record that is open is no copy: what was ruled last is in its log.
#[tokio::test]
async fn a_record_in_use_is_no_copy() {
    let (guard, _) = file("record.db");
    let (record, _) = copied(guard.path()).await;
    let open = store::open(&record).await;
    open.person("chat", 1).await.unwrap();
    let said = refused(&record, &guard.path().join("back.db")).await;
    assert_eq!(
        said,
        "record.db is not a finished copy: beside it lies record.db-wal. Make a copy of it with \
         drumhead backup, then restore that."
    );
    open.close().await;
}

#[tokio::test]
async fn what_a_killed_run_left_is_in_nobodys_way_and_two_runs_are_kept_apart() {
    let (guard, _) = file("record.db");
    let (record, copy) = copied(guard.path()).await;
    let (back, again) = (guard.path().join("back.db"), guard.path().join("again.db"));
    std::fs::write(guard.path().join("back.db.drumhead-restoring"), "half of something").unwrap();
    std::fs::write(guard.path().join("again.db.drumhead-copying"), "half of something").unwrap();
    let other = std::fs::File::open(guard.path().join("back.db.drumhead-restoring")).unwrap();
    other.lock().unwrap();
    assert_eq!(
        refused(&copy, &back).await,
        "Another program is writing back.db at this moment. Wait until it is done."
    );
    drop(other);
    restore(&copy, &back).await.unwrap();
    let record = store::open(&record).await;
    record.back_up(&again).await.unwrap();
    record.close().await;
    restore(&again, &guard.path().join("third.db")).await.unwrap();
    assert_eq!(names(guard.path()), ["again.db", "back.db", "copy.db", "record.db", "third.db"]);
}

/// There is room for half of a copy: nothing of it stays, and what was there is as it was.
#[cfg(unix)]
#[tokio::test]
async fn a_copy_that_does_not_fit_leaves_nothing() {
    let (guard, _) = file("record.db");
    let (record, copy) = copied(guard.path()).await;
    let before: Vec<_> = [&record, &copy].map(|file| std::fs::read(file).unwrap()).into();
    for (command, from) in [("backup", "record.db"), ("restore", "copy.db")] {
        // The largest file that the program may write, in units of 512 bytes; being told so, and not
        // stopped by a signal.
        let limited = "trap '' XFSZ; ulimit -f 100; exec \"$0\" \"$@\"";
        let asked = Command::new("sh")
            .args(["-c", limited, DRUMHEAD, command, from, "new.db"])
            .current_dir(guard.path())
            .output()
            .unwrap();
        let said = text(&asked.stderr);
        assert!(!asked.status.success() && said.lines().count() == 1, "{said}");
        assert_eq!(names(guard.path()), ["copy.db", "record.db"], "{said}");
    }
    let after: Vec<_> = [&record, &copy].map(|file| std::fs::read(file).unwrap()).into();
    assert_eq!(before, after);
}

/// Names that a database would take for something else are files like all others.
#[test]
fn any_name_is_a_files() {
    let (guard, _) = file("record.db");
    for name in [":memory:", "file:record.db", "file:record.db?mode=memory", "a b%20c.db"] {
        let command = ["table", "--record", name, "--script", "script.txt"];
        std::fs::write(guard.path().join("script.txt"), "open X --scale 20\n").unwrap();
        let asked = run(&command, guard.path(), Stdio::null());
        assert!(asked.status.success(), "{}", text(&asked.stderr));
        assert!(guard.path().join(name).metadata().unwrap().len() > 4096, "{name}");
        let copy = format!("{name}.copy");
        let asked = run(&["backup", name, &copy], guard.path(), Stdio::null());
        assert!(asked.status.success(), "{}", text(&asked.stderr));
        let back = format!("{name}.back");
        let asked = run(&["restore", &copy, &back], guard.path(), Stdio::null());
        assert!(asked.status.success(), "{}", text(&asked.stderr));
    }
    assert_eq!(names(guard.path()).len(), 4 * 3 + 1);
}

#[cfg(unix)]
#[test]
fn a_name_that_is_no_text_is_refused_in_one_sentence() {
    use std::os::unix::ffi::OsStrExt as _;
    let (guard, _) = file("record.db");
    let name = std::ffi::OsStr::from_bytes(b"record\xff.db");
    let asked = Command::new(DRUMHEAD)
        .args(["table", "--record"])
        .arg(name)
        .current_dir(guard.path())
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(
        text(&asked.stderr),
        "The record record\u{fffd}.db cannot be used: its name is not written in UTF-8. Rename it, or \
         name another file.\n"
    );
    assert_eq!(names(guard.path()), [""; 0]);
}

/// A link in the place of a record, of a copy or of what is written first is followed only to read.
#[cfg(unix)]
#[tokio::test]
async fn nothing_is_written_through_a_link() {
    use std::os::unix::fs::symlink;
    let (guard, _) = file("record.db");
    let (record, copy) = copied(guard.path()).await;
    let letter = guard.path().join("letter.txt");
    let at = |name: &str| guard.path().join(name);
    for (link, to) in
        [("back.db", &letter), ("new.db.drumhead-restoring", &letter), ("gone.db", &at("no"))]
    {
        std::fs::write(&letter, "dear referee").unwrap();
        symlink(to, at(link)).unwrap();
        let asked = link.trim_end_matches(".drumhead-restoring");
        let taken = format!("{link} already exists and was not overwritten. Choose another name.");
        let taken = taken.replace("back.db", "letter.txt");
        assert_eq!(refused(&copy, &at(asked)).await, taken);
        std::fs::remove_file(at(link)).unwrap();
        assert_eq!(std::fs::read(&letter).unwrap(), b"dear referee");
    }
    symlink(&letter, at("copy-2.db.drumhead-copying")).unwrap();
    let open = store::open(&record).await;
    let said = open.back_up(&at("copy-2.db")).await.unwrap_err().to_string();
    assert!(
        said.ends_with(
            "copy-2.db.drumhead-copying already exists and was not overwritten. Choose \
        another name."
        ),
        "{said}"
    );
    assert_eq!(std::fs::read(&letter).unwrap(), b"dear referee");
    // A record that is named by a link is the one that it leads to, with its log.
    open.person("chat", 1).await.unwrap();
    symlink(&record, at("link.db")).unwrap();
    let said = refused(&at("link.db"), &at("new.db")).await;
    assert!(
        said.starts_with("record.db is not a finished copy: beside it lies record.db-wal."),
        "{said}"
    );
    open.close().await;
}

/// A program that was killed leaves its log; the database alone is a sound one of some time before.
#[tokio::test]
async fn a_log_that_was_taken_away_is_noticed() {
    use std::io::{BufRead as _, Write as _};
    let (guard, record) = file("record.db");
    let at = |name: &str| guard.path().join(name);
    let mut table = Command::new(DRUMHEAD)
        .args(["table", "--record", "record.db"])
        .current_dir(guard.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut says = table.stdin.take().unwrap();
    says.write_all(b"open X --scale 20\nturn\nturn\n").unwrap();
    let heard = std::io::BufReader::new(table.stdout.take().unwrap());
    heard.lines().map_while(Result::ok).find(|line| line.starts_with("Turn 3 begins.")).unwrap();
    table.kill().unwrap();
    table.wait().unwrap();
    std::fs::rename(at("record.db-wal"), at("elsewhere")).unwrap();
    std::fs::remove_file(at("record.db-shm")).unwrap();
    let before = std::fs::read(&record).unwrap();
    for command in [
        &["table", "--record", "record.db"][..],
        &["export", "--record", "record.db"],
        &["receipts", "--record", "record.db"],
        &["report", "--record", "record.db"],
        &["import", "--record", "record.db"],
        &["backup", "record.db", "copy.db"],
    ] {
        let asked = run(command, guard.path(), Stdio::null());
        let folder = format!("{}/", guard.path().display());
        assert_eq!(
            text(&asked.stderr).replace(&folder, ""),
            "The record record.db cannot be used: its last 3 events are missing, because the file \
             record.db-wal was taken away. Put that file back. If it is lost for good, remove \
             record.db-count, and the record goes on without them.\n",
            "{command:?}"
        );
        assert_eq!(names(guard.path()), ["elsewhere", "record.db", "record.db-count"]);
        assert_eq!(std::fs::read(&record).unwrap(), before);
    }
    let events = async || {
        let open = store::open(&record).await;
        let battles = open.battles(None).await.unwrap();
        open.close().await;
        battles.iter().map(|head| head.seq).sum::<u64>()
    };
    // Without it the record goes on as it was before.
    for name in ["record.db", "elsewhere"] {
        std::fs::copy(at(name), at(&format!("{name}.kept"))).unwrap();
    }
    std::fs::remove_file(at("record.db-count")).unwrap();
    assert_eq!(events().await, 0);
    // With it, all is there.
    std::fs::rename(at("record.db.kept"), &record).unwrap();
    std::fs::rename(at("elsewhere.kept"), at("record.db-wal")).unwrap();
    assert_eq!(events().await, 3);
    std::fs::remove_file(at("elsewhere")).unwrap();
    assert_eq!(names(guard.path()), ["record.db"], "nothing is left once all is in the database");
}

/// How far an earlier record had come, and who waited for it, is no matter for one that is restored
/// or begun in its place.
#[tokio::test]
async fn what_lies_beside_an_earlier_record_is_in_nobodys_way() {
    let (guard, _) = file("record.db");
    let (_, copy) = copied(guard.path()).await;
    for name in ["back.db", "new.db"] {
        let count = guard.path().join(format!("{name}-count"));
        std::fs::write(count, "00000000000000009999\n").unwrap();
        let waiting = guard.path().join(format!("{name}-waiting"));
        let line = r#"{"place":"chat:7/8","asked":"chat:1","via":"by this token"}"#;
        std::fs::write(waiting, line).unwrap();
    }
    let back = guard.path().join("back.db");
    restore(&copy, &back).await.unwrap();
    for name in ["back.db", "new.db"] {
        let record = store::open(&guard.path().join(name)).await;
        assert_eq!(record.waiting_on("chat").await.unwrap(), []);
        assert!(!guard.path().join(format!("{name}-waiting")).exists());
        record.close().await;
    }
}

/// A copy whose name is that of the draft is not written over by itself.
#[tokio::test]
async fn nothing_is_copied_over_itself() {
    let (guard, _) = file("record.db");
    let (record, copy) = copied(guard.path()).await;
    let back = guard.path().join("back.db");
    let source = guard.path().join("back.db.drumhead-restoring");
    std::fs::rename(&copy, &source).unwrap();
    let before = std::fs::read(&source).unwrap();
    restore(&source, &back).await.unwrap_err();
    assert!(std::fs::read(&source).unwrap() == before, "the copy is as it was");
    let source = guard.path().join("copy.db.drumhead-copying");
    std::fs::rename(&record, &source).unwrap();
    let before = std::fs::read(&source).unwrap();
    let open = store::open(&source).await;
    open.back_up(&copy).await.unwrap_err();
    open.close().await;
    assert!(std::fs::read(&source).unwrap() == before, "the record is as it was");
    assert!(!copy.exists() && !back.exists());
}
