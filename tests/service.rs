//! The files with which the bot is run as a service hold what docs/running.md promises.

use std::path::Path;

fn file(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("config/service").join(name);
    std::fs::read_to_string(path).unwrap()
}

/// Source: the manual pages systemd.exec(5) and systemd.resource-control(5), from memory.
#[test]
fn the_unit_shuts_the_bot_in() {
    let unit = file("drumhead.service");
    let service = unit.split("[Service]").nth(1).unwrap().split("[Install]").next().unwrap();
    let set = |line: &str| service.lines().filter(|set| *set == line).count();
    for line in [
        "DynamicUser=yes",
        "LimitCORE=0",
        "MemoryMax=512M",
        "NoNewPrivileges=yes",
        "ProtectClock=yes",
        "ProtectKernelLogs=yes",
        "ProtectProc=invisible",
        "ProtectSystem=strict",
        "UMask=0077",
    ] {
        assert_eq!(set(line), 1, "{line}");
    }
    let mut keys: Vec<&str> =
        service.lines().filter_map(|line| line.split_once('=')).map(|(key, _)| key).collect();
    keys.retain(|key| !key.starts_with('#'));
    let all = keys.len();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), all, "a key that stands twice");
}

/// Source: the reference of container files, from memory.
#[test]
fn the_container_has_a_user_of_its_own_and_a_check_of_its_health() {
    let container = file("Containerfile");
    let last = container.split("\nFROM ").last().unwrap();
    assert!(last.contains("\nUSER 10001\n"), "{last}");
    let asked = last.split("HEALTHCHECK").nth(1).expect("its health is checked");
    let asked = asked.split("CMD ").nth(1).unwrap().lines().next().unwrap();
    let asked: Vec<String> = serde_json::from_str(asked).unwrap();
    assert_eq!(asked[1..], ["health", "--config", "/etc/drumhead/drumhead.toml"]);
    // What is run, and what is asked, read one configuration.
    assert!(last.contains("CMD [\"serve\", \"--config\", \"/etc/drumhead/drumhead.toml\"]"));
    let tagged = container.lines().filter(|line| line.starts_with("FROM ")).count();
    let running = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/running.md");
    let running = std::fs::read_to_string(running).unwrap();
    assert!(tagged == 2 && running.contains("@sha256:"), "how to pin them is said");
}
