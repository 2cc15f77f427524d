//! Running it: configuration, token, stopping, health, counts, copies.

use super::group::{FORD, Group, IDA, runs};
use super::standin::{Kind, TOKEN};
use serde_json::json;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;
use std::time::Duration;

/// The system chooses a port for health and counts.
const FREE_PORT: &str = "status = \"127.0.0.1:0\"";
/// How long stopping may take, as docs/running.md promises, beyond what it takes with nothing in
/// hand on the machine of the test.
const STOPPING: Duration = Duration::from_secs(5);

/// How long it takes to stop with nothing in hand.
async fn at_rest() -> Duration {
    Group::gathered().await.stop("-TERM").0
}

#[tokio::test(flavor = "multi_thread")]
async fn it_stops_in_good_order_within_five_seconds() {
    for signal in ["-TERM", "-INT"] {
        let mut group = Group::at_the_ford().await;
        group.fault("PATCH", "@original", Kind::Slow(700), 1);
        let before = group.events(FORD).await.len();
        let id = group.sends(FORD, IDA, "turn", &json!({}));
        group.until_more_events(FORD, before).await;
        let (took, well) = group.stop(signal);
        assert!(well && took < STOPPING + at_rest().await, "{signal}: {took:?}");
        // What was in hand was finished.
        assert!(group.hears(id).await.posted().contains("begins."));
        assert_eq!(group.owed(FORD).await, 0);
    }
}

/// The platform hangs while the bot is told to stop: it stops, and the post is owed, not lost.
#[tokio::test(flavor = "multi_thread")]
async fn it_stops_within_five_seconds_even_if_the_platform_hangs() {
    let mut group = Group::at_the_ford().await;
    group.fault("PATCH", "@original", Kind::Slow(60_000), 1);
    let before = group.events(FORD).await.len();
    group.sends(FORD, IDA, "turn", &json!({}));
    group.until_more_events(FORD, before).await;
    let (took, well) = group.stop("-TERM");
    assert!(well && took < STOPPING + at_rest().await, "{took:?}");
    assert_eq!(group.owed(FORD).await, 1);
    group.start().await;
    group.until_nothing_is_owed(FORD).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_wrong_or_missing_token_is_said_and_never_shown() {
    let group = Group::without_bot().await;
    let wrong = "wrong.token.given";
    let output = group.program().env("DRUMHEAD_TOKEN", wrong).output();
    assert!(!output.unwrap().status.success());
    let said = group.trace();
    assert!(said.contains("The platform refuses the token."), "{said}");
    assert!(!said.contains(wrong), "{said}");
    group.program().env_remove("DRUMHEAD_TOKEN").status().unwrap();
    assert!(group.trace().contains("There is no token. Set DRUMHEAD_TOKEN"), "{}", group.trace());
    // From a file, which people end with a line break.
    let file = group.folder.path().join("token");
    std::fs::write(&file, format!("{TOKEN}\n")).unwrap();
    let mut group = group;
    group.keys = format!("token_file = \"{}\"\nlog_form = \"json\"", file.display());
    // Others could read it as it is made.
    std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o644)).unwrap();
    assert!(!group.program().status().unwrap().success());
    assert!(group.trace().contains("Let its owner alone read it: chmod 600"), "{}", group.trace());
    std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o600)).unwrap();
    let before = group.trace().len();
    group.start().await;
    group.muster_at(FORD).await;
    // The trace is one line of JSON an event.
    let trace = group.trace().split_off(before);
    let lines: Vec<serde_json::Value> =
        trace.lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect();
    assert!(lines.iter().any(|line| line["fields"]["message"] == "ready"), "{trace}");
    let said = std::fs::read_to_string(group.folder.path().join("said.txt")).unwrap();
    assert!(said.contains("scope=bot%20applications.commands&permissions=274878008320"), "{said}");
}

#[tokio::test(flavor = "multi_thread")]
async fn health_and_counts_are_answered_on_loopback() {
    let mut group = Group::without_bot().await;
    // Nobody answers at the first port of all: it is kept for a service that no system runs.
    let (well, said) = runs(&["health", "--config"], &[&group.asking_at("127.0.0.1:1")]);
    assert!(!well && said.starts_with("Not well: "), "{said}");
    group.keys = FREE_PORT.to_owned();
    group.start().await;
    let address = group.status_address().await;
    let config = group.asking_at(&address);
    group.muster_at(FORD).await;
    group.told(FORD, IDA, "reopen", json!({ "battle": "Harrow Ford" })).await;
    until_well(&group, &config, true).await;
    let (_, said) = runs(&["health", "--config"], &[&config]);
    assert_eq!(said, "well\n");
    let client = reqwest::Client::builder().no_proxy().build().unwrap();
    let url = format!("http://{address}/metrics");
    let counts = client.get(url).send().await.unwrap().text().await.unwrap();
    for line in [
        "drumhead_connected 1",
        "drumhead_requests_granted_total 3",
        "drumhead_requests_refused_total 1",
        "drumhead_posts_total 3",
        "drumhead_faults_total 0",
    ] {
        assert!(counts.lines().any(|found| found == line), "{line} is not in\n{counts}");
    }
}

/// Waits until the bot says that it is well, or that it is not.
async fn until_well(group: &Group, config: &Path, expected: bool) {
    let is_so = async || runs(&["health", "--config"], &[config]).0 == expected;
    group.until_so(if expected { "it is well" } else { "it is not well" }, is_so).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn it_is_not_well_while_the_gateway_is_shut() {
    let mut group = Group::without_bot().await;
    group.keys = FREE_PORT.to_owned();
    group.start().await;
    let config = group.asking_at(&group.status_address().await);
    until_well(&group, &config, true).await;
    let shut = &group.stand_in.world.gate.shut;
    shut.store(true, std::sync::atomic::Ordering::Relaxed);
    group.signal(super::gateway::Signal::Drop);
    until_well(&group, &config, false).await;
    shut.store(false, std::sync::atomic::Ordering::Relaxed);
    until_well(&group, &config, true).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_copy_taken_while_serving_is_whole_and_comes_back() {
    let mut group = Group::at_the_ford().await;
    let (copy, back) = (group.folder.path().join("copy.db"), group.folder.path().join("back.db"));
    let record = group.record_file();
    let (well, said) = runs(&["backup"], &[&record, &copy]);
    assert!(well && said.starts_with("Backed up to "), "{said}");
    let (well, said) = runs(&["backup"], &[&record, &copy]);
    assert!(!well && said.contains("was not overwritten"), "a copy is never written over: {said}");
    group.posts(FORD, IDA, "turn", json!({})).await;
    group.kill();
    std::fs::rename(&copy, group.folder.path().join("kept.db")).unwrap();
    let copy = group.folder.path().join("kept.db");
    let (well, said) = runs(&["restore"], &[&copy, &back]);
    assert!(well, "{said}");
    // The battle goes on from the copy.
    for end in ["", "-wal", "-shm", "-count", "-waiting"] {
        let file = group.folder.path().join(format!("record.db{end}"));
        if file.exists() {
            std::fs::remove_file(file).unwrap();
        }
    }
    std::fs::rename(&back, group.record_file()).unwrap();
    group.start().await;
    let shown = group.told(FORD, IDA, "show", json!({})).await;
    assert!(shown.starts_with("Harrow Ford: turn 1"), "{shown}");
    // A file that is no record does not come back as one.
    let torn = group.folder.path().join("torn.db");
    std::fs::write(&torn, b"not a record").unwrap();
    let (well, said) = runs(&["restore"], &[&torn, &group.folder.path().join("never.db")]);
    assert!(!well && !group.folder.path().join("never.db").exists(), "{said}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_server_that_removed_the_bot_is_erased_by_whoever_runs_it() {
    let mut group = Group::at_the_ford().await;
    group.muster_at(super::group::OTHER_CHANNEL).await;
    group.kill();
    let server = super::group::OTHER_SERVER.to_string();
    let config = group.config();
    let (well, said) = runs(&["erase", "--server", &server, "--config"], &[&config]);
    assert!(well && said == "Erased for good: 1 battle of this server.\n", "{said}");
    assert!(group.events(super::group::OTHER_CHANNEL).await.is_empty());
    assert_eq!(group.events(FORD).await.len(), 3);
}

/// Two bots on one record would both post what is owed; a killed one is in nobody's way.
#[tokio::test(flavor = "multi_thread")]
async fn a_record_is_served_by_one_bot_at_a_time() {
    let mut group = Group::at_the_ford().await;
    let before = group.trace().len();
    let second = group.program().status().unwrap();
    let said = group.trace().split_off(before);
    let sentence = format!(
        "The record {} cannot be used: another drumhead serve is using it. Stop that one, or name \
         another file.\n",
        group.record_file().display()
    );
    assert!(!second.success() && said.ends_with(&sentence), "{said}");
    assert!(group.posts(FORD, IDA, "turn", json!({})).await.starts_with("Turn 2 begins."));
    group.kill();
    group.start().await;
    assert!(group.posts(FORD, IDA, "turn", json!({})).await.starts_with("Turn 3 begins."));
    let (_, well) = group.stop("-TERM");
    assert!(well);
    let names = std::fs::read_dir(group.folder.path()).unwrap();
    let mut names: Vec<_> = names.map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["drumhead.toml", "record.db", "said.txt", "trace.txt"]);
}
