//! Long years: a record of 20,000 battles and 2,000,000 events, and a battle of 100,000 events.
//! Run: cargo bench --bench years
//!
//! The record is made in a temporary folder first, which takes some minutes and 3 GB of disk.
//! Each line ends with what it should be; what is measured in seconds depends on the machine, and
//! what is measured beside an empty record does not.

mod crowd;
mod many;
/// The program as it was built for this measurement.
mod helper {
    pub const DRUMHEAD: &str = env!("CARGO_BIN_EXE_drumhead");

    pub mod store {
        use drumhead::record::Record;
        use std::path::Path;

        pub async fn open(file: &Path) -> Record {
            Record::open(file).await.expect("the record opens")
        }
    }
}

use crowd::group::Group;
use drumhead::protocol::Place;
use drumhead::record::Record;
use drumhead::referee::{Referee, RulesLibrary};
use many::{LONG, PLATFORM, ask, home, melee_lines, place};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Melees measured in each record, turn about.
const MELEES: u32 = 400;
/// How long the bot is watched at rest.
const AT_REST: Duration = Duration::from_secs(62);
/// The place of a battle that is measured.
const MEASURED: (u64, u64) = (9, 90);

#[tokio::main(flavor = "multi_thread", worker_threads = 2)]
async fn main() {
    let (mut old, mut new) = (Group::without_bot().await, Group::without_bot().await);
    many::made(&old.record_file()).await;
    start(&mut old, &mut new).await;
    at_rest(&mut old).await;
    melees(&old.record_file(), &new.record_file()).await;
    let long = long_battle(&old.record_file()).await;
    files(&old.record_file(), &long);
    import(&old.record_file(), &new.record_file(), &long).await;
    erase(&old.record_file(), home(many::BATTLES / 2).0, "an ordinary server").await;
    erase(&old.record_file(), LONG.0, "the server of the long battle").await;
}

/// From the start of the process to the gateway.
async fn start(old: &mut Group, new: &mut Group) {
    let (mut theirs, mut ours) = (Vec::new(), Vec::new());
    for _ in 0..7 {
        for (group, times) in [(&mut *new, &mut theirs), (&mut *old, &mut ours)] {
            let begun = Instant::now();
            group.start().await;
            times.push(begun.elapsed());
            group.stop("-TERM");
        }
    }
    let (old, new) = (median(ours), median(theirs));
    println!("start: {old:?}; with an empty record: {new:?} (at most 1 s)");
}

/// What the bot reads, and how large it is, while nobody asks anything.
async fn at_rest(group: &mut Group) {
    group.start().await;
    tokio::time::sleep(Duration::from_secs(3)).await;
    let before = read_by(group.bot_id());
    tokio::time::sleep(AT_REST).await;
    let read = (read_by(group.bot_id()) - before) >> 10;
    println!("at rest for {AT_REST:?}: {read} KiB read (at most 1 MB a minute)");
    println!("at rest: {} KiB of memory (at most 65,536)", group.memory());
    group.stop("-TERM");
}

/// Bytes that a process has read, from wherever.
fn read_by(process: u32) -> u64 {
    let io = std::fs::read_to_string(format!("/proc/{process}/io")).expect("it runs");
    let line = io.lines().find_map(|line| line.strip_prefix("rchar: ")).expect("a number");
    line.parse().expect("a number")
}

/// A durable melee in either record, turn about.
async fn melees(old: &Path, new: &Path) {
    let at = place(MEASURED);
    let (old, new) = (referee(old, &at).await, referee(new, &at).await);
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for n in 0..MELEES {
        for (referee, times) in [(&old, &mut ours), (&new, &mut theirs)] {
            for (part, line) in melee_lines(u64::from(n)).iter().enumerate() {
                let begun = Instant::now();
                ask(referee, &at, &format!("m{n}-{part}"), 1, line).await;
                if line.starts_with("melee") {
                    times.push(begun.elapsed());
                }
            }
        }
    }
    let (ours, theirs) = (median(ours), median(theirs));
    let ratio = ours.as_secs_f64() / theirs.as_secs_f64();
    println!("a melee: {ours:?}; in an empty record: {theirs:?}; ratio {ratio:.3} (at most 1.2)");
    old.close().await;
    new.close().await;
}

/// A referee with a battle at a place.
async fn referee(file: &Path, at: &Place) -> Referee {
    let record = Record::open(file).await.expect("it opens");
    let referee = Referee::new(record, RulesLibrary::shipped());
    ask(&referee, at, "open", 1, "open \"Harrow Ford\" --scale 20").await;
    referee
}

/// A battle of 100,000 events is opened; its id.
async fn long_battle(file: &Path) -> String {
    let (mut times, mut id) = (Vec::new(), String::new());
    for _ in 0..3 {
        let record = Record::open(file).await.expect("it opens");
        let referee = Referee::new(record, RulesLibrary::shipped());
        let begun = Instant::now();
        let battle = referee.battle(&place(LONG)).await.expect("it loads").expect("it is open");
        assert_eq!(battle.seq, many::LONG_EVENTS);
        times.push(begun.elapsed());
        referee.close().await;
        id = battle.id;
    }
    println!("a battle of 100,000 events is opened in {:?} (at most 2 s)", median(times));
    id
}

/// What the program needs to write the long battle out, beside a short one.
fn files(file: &Path, long: &str) {
    let short = drumhead::digest::Digest::of(&0_u64.to_be_bytes()).short();
    let reported = drumhead::digest::Digest::of(&many::REPORTED.0.to_be_bytes()).short();
    let few = |command| peak(&[command, "--battle", &short, "--record"], file, "").0;
    for (command, battle) in
        [("export", long), ("receipts", long), ("report", long), ("report", &reported)]
    {
        let (most, said) = peak(&[command, "--battle", battle, "--record"], file, "");
        let more = most.saturating_sub(few(command)) / 1024;
        let most = most / 1024;
        println!("{command}: {most} MiB, {more} more than of 100 events (at most 64){said}");
    }
    let latest = peak(&["table", "--record"], file, "log\n").0;
    let most = peak(&["table", "--record"], file, "log --all\n").0;
    let more = most.saturating_sub(latest) / 1024;
    println!("a list of 5,000 events: {} MiB, {more} more than of 20 (at most 64)", most / 1024);
}

/// The most memory that a command has, in KiB, and what it says if it refuses.
fn peak(command: &[&str], file: &Path, input: &str) -> (u64, String) {
    let mut child = Command::new(helper::DRUMHEAD)
        .args(command)
        .arg(file)
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs");
    let mut pipe = child.stdin.take().expect("a pipe");
    std::io::Write::write_all(&mut pipe, input.as_bytes()).expect("it listens");
    drop(pipe);
    let mut most = 0;
    while child.try_wait().expect("it can be waited for").is_none() {
        let status = std::fs::read_to_string(format!("/proc/{}/status", child.id()));
        let line = status.unwrap_or_default();
        let line = line.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let size = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
        most = most.max(size.unwrap_or(0));
        std::thread::sleep(Duration::from_millis(1));
    }
    let mut said = String::new();
    std::io::Read::read_to_string(child.stderr.as_mut().expect("a pipe"), &mut said)
        .expect("it says text");
    (most, if said.is_empty() { said } else { format!("; it says: {}", said.trim()) })
}

/// The long battle is taken into a record in which somebody plays.
async fn import(from: &Path, to: &Path, long: &str) {
    let export = to.with_file_name("export.jsonl");
    let file = std::fs::File::create(&export).expect("a file");
    let mut command = Command::new(helper::DRUMHEAD);
    command.args(["export", "--battle", long, "--record"]).arg(from).stdout(file);
    assert!(command.status().expect("it runs").success());
    let referee = Referee::new(Record::open(to).await.expect("it opens"), RulesLibrary::shipped());
    let at = place(MEASURED);
    let begun = Instant::now();
    let mut import = Command::new(helper::DRUMHEAD)
        .args(["import", "--record"])
        .arg(to)
        .arg(&export)
        .stdout(Stdio::null())
        .spawn()
        .expect("it runs");
    let (mut longest, mut turns) = (Duration::ZERO, 0);
    let status = loop {
        if let Some(status) = import.try_wait().expect("it can be waited for") {
            break status;
        }
        let begun = Instant::now();
        ask(&referee, &at, &format!("import-{turns}"), 1, "turn").await;
        longest = longest.max(begun.elapsed());
        turns += 1;
    };
    assert!(status.success(), "it is taken in");
    println!(
        "100,000 events are taken in in {:?}; {turns} turns meanwhile, the longest {longest:?}",
        begun.elapsed()
    );
    referee.close().await;
}

/// One server is erased while somebody plays on another.
async fn erase(file: &Path, server: u64, called: &str) {
    let record = Record::open(file).await.expect("it opens");
    let referee = Referee::new(record.clone(), RulesLibrary::shipped());
    let at = place(MEASURED);
    let erasing = tokio::spawn(async move {
        let begun = Instant::now();
        let (gone, left) = record.erase_server(PLATFORM, server).await.expect("it is erased");
        (gone, left, begun.elapsed())
    });
    let (mut longest, mut turns) = (Duration::ZERO, 0);
    while !erasing.is_finished() {
        let begun = Instant::now();
        ask(&referee, &at, &format!("{server}-{turns}"), 1, "turn").await;
        longest = longest.max(begun.elapsed());
        turns += 1;
    }
    let (gone, left, took) = erasing.await.expect("it ends");
    println!(
        "{called} is erased in {took:?} ({gone} battles, left: {left:?}); {turns} turns meanwhile, \
         the longest {longest:?} (at most 2 s)"
    );
    referee.close().await;
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}
