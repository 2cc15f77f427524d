//! Checking from outside: what holds is accepted, and whatever was tampered with is named.

use crate::helper::{DRUMHEAD, Game, audit, file, store};
use drumhead::digest::Digest;
use drumhead::fair::Receipt;
use drumhead::fair::check::Difference;
use drumhead::referee::{Referee, RulesLibrary};
use drumhead::rules::{Rules, SHIPPED};
use drumhead::text::invisible;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Single characters of an export that are changed, one a time.
const CHARACTERS: usize = 400;
/// Values and keys of each event that are changed, at most.
const VALUES: usize = 40;

/// A battle with every kind of event, over several chains of four links.
async fn battle() -> Game {
    let record = store::fresh().await;
    let game =
        Game::over(Referee::demonstration(record, RulesLibrary::shipped()).with_chain_length(4));
    for line in [
        "open \"Harrow Ford\" --scale 20 --side Vale",
        "word Ida \"high water\"",
        "muster \"Ford Wardens\" --side Vale --class \"line foot\" --men 165 --grade guard --leader Ida",
        "muster Bows --side Vale --class levy --men 120 --weapon bows",
        "muster \"Banner Foot\" --side \"Grey Banner\" --class \"line foot\" --men 210 --grade guard --leader Orm",
        "muster Levies --side \"Grey Banner\" --class levy --men 250 --grade raw",
        "shoot Bows Levies",
        "melee \"Ford Wardens\" \"Banner Foot\" --higher ours",
        "word Orm \"grey cloth: red reeds\"",
        "turn",
        "change Levies --standing shaken",
        "rally Levies",
        "undo \"a slip\"",
        "shoot Bows \"Banner Foot\" --long",
        "rescale 10",
        "part \"Ford Wardens\" --why dusk",
        "change \"Ford Wardens\" --standing steady",
        "change \"Banner Foot\" --standing steady",
        "melee \"Ford Wardens\" \"Banner Foot\" and \"Ford Wardens\" Levies --flank --cast",
        "cast \"red reeds, cold hands\"",
        "throw 3d6 2d20 --for \"the weather\"",
        "ruling \"8 line foot, led\" \"60 men of riders, shaken\" --scale 20 --flank",
        "side \"Free Riders\"",
        "shoot Bows \"Banner Foot\"",
        "close",
        "reopen \"Harrow Ford\"",
        "word Ida \"low water\"",
        "shoot Bows \"Banner Foot\" --cover works",
        "dismiss Bows",
        "part \"Ford Wardens\" --why dusk",
        "change \"Ford Wardens\" --standing shaken",
        "turn",
        "rally \"Ford Wardens\"",
        "shoot \"Ford Wardens\" Levies",
        "muster Late --side Vale --class \"outriders\" --men 80",
        "change Levies --standing steady --men 200",
        "melee Late Levies --charge",
        "turn",
        "melee Late Levies --cast",
        "undo \"thought better of it\"",
        "turn",
        "throw d6",
    ] {
        // The dice decide whether some of these can be granted; enough of them always are.
        let _ = game.asks(&format!("c{}", Digest::of(line.as_bytes()).short()), line).await;
    }
    assert!(game.battle().await.rolls >= 8, "two chains and more");
    game
}

/// An export as lines, to be tampered with.
#[derive(Clone)]
struct Export(Vec<String>);

impl Export {
    fn text(&self) -> String {
        self.0.join("\n") + "\n"
    }

    /// The place of the line that holds event `seq`: after the header and one rules file.
    fn line_of(seq: usize) -> usize {
        seq + 1
    }

    fn events(&self) -> usize {
        self.0.len() - 3
    }

    /// The events that threw rolls, with the rolls.
    fn rolls(&self) -> Vec<(usize, u32)> {
        (1..=self.events())
            .filter_map(|seq| {
                let value: serde_json::Value =
                    serde_json::from_str(&self.0[Self::line_of(seq)]).unwrap();
                let roll = value["roll"]["receipt"]["roll"].as_u64()?;
                Some((seq, u32::try_from(roll).unwrap()))
            })
            .collect()
    }

    /// Replaces `from` in the event's line, at its `nth` place counted from 0.
    fn edit(&mut self, seq: usize, from: &str, to: &str, nth: usize) -> bool {
        let line = &mut self.0[Self::line_of(seq)];
        let Some((at, _)) = line.match_indices(from).nth(nth) else { return false };
        line.replace_range(at..at + from.len(), to);
        true
    }

    /// Works out every later hash anew, the header's and the end's too.
    fn rehash(&mut self, from: usize) {
        for seq in from + 1..=self.events() {
            let hash = Digest::of(self.0[Self::line_of(seq - 1)].as_bytes()).to_string();
            let line = &mut self.0[Self::line_of(seq)];
            let at = line.find("\"prev\":\"").unwrap() + 8;
            line.replace_range(at..at + 64, &hash);
        }
        let head = Digest::of(self.0[Self::line_of(self.events())].as_bytes()).to_string();
        for place in [0, self.0.len() - 1] {
            let line = &mut self.0[place];
            let at = line.find("\"head\":\"").unwrap() + 8;
            line.replace_range(at..at + 64, &head);
        }
    }
}

/// A tampered export, what was done to it, and the places that may be named.
struct Tampered {
    what: &'static str,
    export: Export,
    places: Vec<String>,
}

fn at_roll(seq: usize, roll: u32) -> Vec<String> {
    vec![
        format!("roll {roll}"),
        format!("event {seq}"),
        format!("line {}", Export::line_of(seq) + 1),
    ]
}

fn at_events(seqs: &[usize]) -> Vec<String> {
    let line = |seq: &usize| format!("line {}", Export::line_of(*seq) + 1);
    seqs.iter().map(|seq| format!("event {seq}")).chain(seqs.iter().map(line)).collect()
}

/// One hexadecimal digit changed.
fn other_digit(digit: &str) -> &'static str {
    if digit == "0" { "1" } else { "0" }
}

/// Tampers with one good export in every way that is told apart, at every place.
struct Tamperer<'a> {
    good: &'a Export,
    rolls: Vec<(usize, u32)>,
    all: Vec<Tampered>,
}

impl<'a> Tamperer<'a> {
    fn new(good: &'a Export) -> Self {
        Self { good, rolls: good.rolls(), all: Vec::new() }
    }

    fn everything(mut self) -> Vec<Tampered> {
        for n in 0..self.rolls.len() {
            self.roll(n);
        }
        for seq in 1..self.good.events() {
            self.order(seq);
            self.word(seq);
            self.next_anchor(seq);
        }
        for seq in 1..=self.good.events() {
            self.values(seq);
        }
        self.file();
        self.all
    }

    fn add(&mut self, what: &'static str, export: Export, places: Vec<String>) {
        self.all.push(Tampered { what, export, places });
    }

    /// Adds an edit of one event; then the same with every later hash worked out anew.
    fn add_edit(
        &mut self,
        kinds: [&'static str; 2],
        seq: usize,
        edit: impl Fn(&mut Export) -> bool,
        places: [Vec<String>; 2],
    ) {
        let mut export = self.good.clone();
        if !edit(&mut export) || export.0 == self.good.0 {
            return;
        }
        let [bare, rehashed] = places;
        if !kinds[0].is_empty() {
            self.add(kinds[0], export.clone(), bare);
        }
        if !kinds[1].is_empty() {
            export.rehash(seq);
            self.add(kinds[1], export, rehashed);
        }
    }

    /// The places of the first roll after an event, whose statement holds the event's hash.
    fn next_roll(&self, seq: usize) -> Vec<String> {
        let next = self.rolls.iter().find(|(at, _)| *at > seq);
        next.map_or(vec![], |(at, roll)| at_roll(*at, *roll))
    }

    fn roll(&mut self, n: usize) {
        let (seq, roll) = self.rolls[n];
        let here = || [at_roll(seq, roll), at_roll(seq, roll)];
        let text = &self.good.0[Export::line_of(seq)];
        let link = text[text.find("\"link\":\"").unwrap() + 8..][..64].to_owned();
        let flipped = format!("{}{}", other_digit(&link[..1]), &link[1..]);
        self.add_edit(["a digit of a link", ""], seq, |e| e.edit(seq, &link, &flipped, 0), here());
        for nth in 0..2 {
            let face = |e: &mut Export| e.edit(seq, "\"faces\":[1", "\"faces\":[2", nth);
            self.add_edit(["a face", "a face, with the tail hashed anew"], seq, face, here());
            let loss = |e: &mut Export| e.edit(seq, "\"lost\":1", "\"lost\":2", nth);
            self.add_edit(["a loss", "a loss, with the tail hashed anew"], seq, loss, here());
            let score = |e: &mut Export| e.edit(seq, "\"score\":", "\"score\":1", nth);
            self.add_edit(["", "a score, with the tail hashed anew"], seq, score, here());
        }
        let statement = |e: &mut Export| e.edit(seq, "\\nrequest ", "\\nrequest x", 0);
        // A few dice may fall alike by chance; whoever does not rule again then finds the hash.
        let places = [at_roll(seq, roll), at_events(&[seq + 1])].concat();
        self.add_edit(["a statement", ""], seq, statement, [places, vec![]]);
        let (was, is) = (format!("\"roll\":{roll},"), format!("\"roll\":{},", roll + 1));
        let either = || [at_roll(seq, roll), at_roll(seq, roll + 1)].concat();
        let kinds = ["a roll's number", "a roll's number, with the tail hashed anew"];
        self.add_edit(kinds, seq, |e| e.edit(seq, &was, &is, 0), [either(), either()]);
        let who = |e: &mut Export| e.edit(seq, "\"by\":\"table\"", "\"by\":\"person-7\"", 0);
        self.add_edit(["", "who asked, with the tail hashed anew"], seq, who, here());
    }

    fn order(&mut self, seq: usize) {
        let places = at_events(&[seq, seq + 1]);
        if seq + 1 < self.good.events() {
            let mut swapped = self.good.clone();
            swapped.0.swap(Export::line_of(seq), Export::line_of(seq + 1));
            self.add("the order of two events", swapped, places.clone());
        }
        let mut dropped = self.good.clone();
        dropped.0.remove(Export::line_of(seq));
        self.add("a dropped event", dropped, places.clone());
        let mut doubled = self.good.clone();
        doubled.0.insert(Export::line_of(seq), self.good.0[Export::line_of(seq)].clone());
        self.add("a doubled event", doubled, places);
    }

    fn word(&mut self, seq: usize) {
        let change = |e: &mut Export| {
            let text = &mut e.0[Export::line_of(seq)];
            let given = text.contains("word_given");
            *text = text.replace("water", "warter").replace("cloth", "clot");
            given
        };
        let places = [at_events(&[seq, seq + 1]), self.next_roll(seq)];
        self.add_edit(["a word", "a word, with the tail hashed anew"], seq, change, places);
    }

    fn next_anchor(&mut self, seq: usize) {
        let text = &self.good.0[Export::line_of(seq)];
        let Some(at) = text.find("\"next_anchor\":\"") else { return };
        let anchor = text[at + 15..][..64].to_owned();
        let flipped = format!("{}{}", &anchor[..63], other_digit(&anchor[63..]));
        let change = |e: &mut Export| e.edit(seq, &anchor, &flipped, 0);
        let places = [vec![], self.next_roll(seq)];
        self.add_edit(["", "the next anchor, with the tail hashed anew"], seq, change, places);
    }

    /// Every value and every key of an event changed, with the tail hashed anew; of many, some.
    fn values(&mut self, seq: usize) {
        let text = &self.good.0[Export::line_of(seq)];
        let tokens = tokens(text);
        let step = tokens.len().div_ceil(VALUES);
        for (from, to, what, is) in tokens.into_iter().skip(seq % step).step_by(step) {
            if text[..from].ends_with("\"prev\":") {
                continue;
            }
            let change = |e: &mut Export| {
                e.0[Export::line_of(seq)].replace_range(from..to, &is);
                true
            };
            let own = self.rolls.iter().find(|(at, _)| *at == seq);
            let own = own.map_or(vec![], |(at, roll)| {
                [at_roll(*at, *roll), at_roll(*at, *roll + 1)].concat()
            });
            // A record that was changed and hashed anew is found at the event or at the next roll,
            // or else at the opening's own line.
            let places = [at_events(&[seq]), own, self.next_roll(seq)].concat();
            let places = if seq == 1 { vec![] } else { places };
            self.add_edit(["", what], seq, change, [vec![], places]);
        }
    }

    fn file(&mut self) {
        let mut rules = self.good.clone();
        rules.0[1] = rules.0[1].replace("presence = 4", "presence = 5");
        self.add("a rules file", rules.clone(), vec!["line 2".into(), "event 1".into()]);
        let value: serde_json::Value = serde_json::from_str(&rules.0[1]).unwrap();
        let (was, text) = (value["sha256"].as_str().unwrap(), value["text"].as_str().unwrap());
        rules.0[1] = rules.0[1].replace(was, &Digest::of(text.as_bytes()).to_string());
        self.add("a rules file with its SHA-256", rules, at_events(&[1]));
        let mut cut = self.good.clone();
        cut.0.pop();
        self.add("a missing end", cut, vec![]);
    }
}

/// The values and keys of a line of JSON: from where to where, and what they are changed to.
fn tokens(text: &str) -> Vec<(usize, usize, &'static str, String)> {
    let bytes = text.as_bytes();
    let mut tokens = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let from = at;
        at += 1;
        match bytes[from] {
            b'"' => {
                while bytes[at] != b'"' {
                    at += if bytes[at] == b'\\' { 2 } else { 1 };
                }
                at += 1;
                let what = if bytes.get(at) == Some(&b':') { "a key" } else { "a text" };
                tokens.push((from, at, what, format!("{}x\"", &text[from..at - 1])));
            }
            b'-' | b'0'..=b'9' => {
                while bytes[at].is_ascii_digit() {
                    at += 1;
                }
                let number: i64 = text[from..at].parse().unwrap();
                tokens.push((from, at, "a number", (number + 1).to_string()));
            }
            b't' | b'f' | b'n' => {
                let word = [("true", "false"), ("false", "true"), ("null", "0")]
                    .into_iter()
                    .find(|(word, _)| text[from..].starts_with(word))
                    .unwrap();
                at = from + word.0.len();
                tokens.push((from, at, "a plain value", word.1.to_owned()));
            }
            _ => {}
        }
    }
    tokens
}

/// Single characters changed anywhere: the hash of every byte is somewhere.
fn characters(good: &Export) -> Vec<Tampered> {
    let text = good.text();
    let bytes = text.as_bytes();
    let mut all = Vec::new();
    for n in 0..CHARACTERS {
        let seed = Digest::of(format!("character {n}").as_bytes());
        let place = u64::from_be_bytes(seed.bytes()[..8].try_into().unwrap());
        let at = usize::try_from(place % bytes.len() as u64).unwrap();
        let is = b'0' + seed.bytes()[9] % 60;
        if !bytes[at].is_ascii() || bytes[at] == b'\n' || bytes[at] == is || b"\\\"".contains(&is) {
            continue;
        }
        let mut changed = bytes.to_vec();
        changed[at] = is;
        let Ok(changed) = String::from_utf8(changed) else { continue };
        let line = text[..at].matches('\n').count();
        let mut places = vec![];
        if (2..good.0.len() - 1).contains(&line) {
            // The line's own event, the next, which names its hash, or the roll it threw.
            places = at_events(&[line - 1, line]);
            let rolls = good.rolls().into_iter().filter(|(seq, _)| line - 1 == *seq);
            places.extend(rolls.map(|(_, roll)| format!("roll {roll}")));
        }
        let export = Export(changed.lines().map(str::to_owned).collect());
        all.push(Tampered { what: "a character", export, places });
    }
    all
}

fn names(difference: &Difference, places: &[String]) -> bool {
    let named = [
        difference.roll.map(|roll| format!("roll {roll}")),
        difference.event.map(|event| format!("event {event}")),
        difference.line.map(|line| format!("line {line}")),
    ];
    places.is_empty() || named.iter().flatten().any(|name| places.contains(name))
}

/// A folder of inputs for the page that checks in the browser.
fn folder(name: &str) -> PathBuf {
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap();
    let folder = target.join("page").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn keep(folder: &Path, name: &str, text: &str, expect: &serde_json::Value) {
    std::fs::write(folder.join(format!("{name}.jsonl")), text).unwrap();
    std::fs::write(folder.join(format!("{name}.expect.json")), expect.to_string()).unwrap();
}

#[tokio::test]
async fn whatever_was_tampered_with_is_refused_and_named() {
    let game = battle().await;
    let good = Export(game.export().await.lines().map(str::to_owned).collect());
    let sound = audit(&good.text()).unwrap_or_else(|no| panic!("{no}"));
    let page = folder("good");
    let expect = serde_json::json!({"ok": true, "rolls": sound.rolls});
    keep(&page, "battle", &good.text(), &expect);
    keep(&page, "receipts", &receipts(&good), &expect);

    let page = folder("bad");
    let mut kinds = std::collections::BTreeMap::new();
    let all: Vec<Tampered> =
        Tamperer::new(&good).everything().into_iter().chain(characters(&good)).collect();
    for (n, Tampered { what, export, places }) in all.iter().enumerate() {
        let Err(difference) = audit(&export.text()) else { panic!("{what} passed (number {n})") };
        assert!(names(&difference, places), "{what}: {difference}, but expected one of {places:?}");
        *kinds.entry(*what).or_insert(0) += 1;
        let expect = serde_json::json!({"ok": false, "at": places});
        let expect = if places.is_empty() { serde_json::json!({"ok": false}) } else { expect };
        keep(&page, &format!("{n:04}"), &export.text(), &expect);
    }
    println!("{} tamperings refused: {kinds:?}", all.len());
    assert!(kinds.len() >= 17, "{kinds:?}");
}

fn receipts(export: &Export) -> String {
    let receipt = |line: &String| {
        let value: serde_json::Value = serde_json::from_str(line).ok()?;
        let receipt: Receipt = serde_json::from_value(value["roll"]["receipt"].clone()).ok()?;
        Some(serde_json::to_string(&receipt).unwrap() + "\n")
    };
    export.0.iter().filter_map(receipt).collect()
}

/// The samples were built by another program, in another language: both verdicts must agree, and
/// whatever a sample holds, nothing of it gets through to a terminal.
#[test]
fn the_samples_of_another_implementation_are_judged_alike() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page/samples");
    let (mut good, mut bad) = (0, 0);
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "jsonl") {
            continue;
        }
        let name = path.display();
        let expect = std::fs::read_to_string(path.with_extension("expect.json")).unwrap();
        let expect: serde_json::Value = serde_json::from_str(&expect).unwrap();
        let (code, json) = drumhead(&["check", "--json", path.to_str().unwrap()], "");
        let (_, words) = drumhead(&["check", path.to_str().unwrap()], "");
        for said in [json.trim_end(), &words.replace('\n', "")] {
            assert!(!said.chars().any(invisible), "{name}: {said:?}");
        }
        let found: serde_json::Value = serde_json::from_str(&json).unwrap();
        assert_eq!((&found["ok"], code == Some(0)), (&expect["ok"], found["ok"] == true), "{name}");
        if found["ok"] == true {
            good += 1;
            continue;
        }
        bad += 1;
        let named =
            ["roll", "event", "line"].map(|key| format!("{key} {}", found["difference"][key]));
        let at: Vec<String> = serde_json::from_value(expect["at"].clone()).unwrap();
        assert!(named.iter().any(|place| at.contains(place)), "{name}: {json}, not one of {at:?}");
    }
    assert!(good >= 10 && bad >= 150, "{good} good and {bad} bad samples");
}

/// A receipt has keys: a list of its values is no receipt, for this check as for the others.
#[test]
fn a_receipt_is_no_list_of_values() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page/samples");
    let receipts = std::fs::read_to_string(folder.join("receipts-good.jsonl")).unwrap();
    let line = receipts.lines().next().unwrap();
    let one: serde_json::Value = serde_json::from_str(line).unwrap();
    let of = |keys: &[&str], value: &serde_json::Value| {
        keys.iter().map(|key| value[*key].clone()).collect::<serde_json::Value>()
    };
    let list = of(&["protocol", "anchor", "roll", "link", "statement", "throws"], &one);
    let mut throws = one.clone();
    throws["throws"][0] = of(&["for", "sides", "faces"], &one["throws"][0]);
    assert_eq!(drumhead(&["check"], line).0, Some(0));
    for spoiled in [list, throws] {
        let (code, words) = drumhead(&["check"], &spoiled.to_string());
        assert_eq!(code, Some(1), "{words}");
    }
}

/// The page tells whether rules are the ones that ship by a list of its own.
#[test]
fn the_page_knows_the_rules_that_ship() {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/check.html");
    let page = std::fs::read_to_string(page).unwrap();
    let list = page.split_once("const SHIPPED = {\n").unwrap().1.split_once("};").unwrap().0;
    let mut expected = String::new();
    for (file, text) in SHIPPED {
        let rules = Rules::load(file, text).unwrap();
        writeln!(expected, "  \"{}\": \"{}\",", rules.name, rules.sha256).unwrap();
    }
    assert_eq!(list, expected);
}

/// A clock that is set back must not make a record that no checker accepts.
#[tokio::test]
async fn times_never_run_backwards_whatever_the_clock_says() {
    let (_guard, file) = file("clock.db");
    let record = store::open(&file).await;
    let game = Game::over(Referee::new(record, RulesLibrary::shipped()));
    game.says("open \"Harrow Ford\" --scale 20 --side Vale").await;
    // The clock of a demonstration stands at the beginning of 1970.
    let record = store::open(&file).await;
    let later = Game::over(Referee::demonstration(record, RulesLibrary::shipped()));
    later.asks("later", "turn").await.unwrap();
    let times: Vec<String> = later.events().await.iter().map(|one| one.event.at.clone()).collect();
    assert_eq!(times.len(), 2);
    assert!(times[0].as_str() > "2000" && times[1] == times[0], "{times:?}");
    assert!(audit(&later.export().await).is_ok());
}

/// What a check says of rolls that were announced and taken back, and of the rules.
#[test]
fn check_tells_of_rolls_taken_back_and_of_the_rules() {
    let sample = |name: &str| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/page/samples");
        let path = folder.join(name);
        let (code, words) = drumhead(&["check", path.to_str().unwrap()], "");
        assert_eq!(code, Some(0), "{words}");
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let words = sample("export-good-with-casts.jsonl");
    let taken_back = "1 announced roll was taken back before any dice were thrown: 1 by person-1.";
    assert!(words.contains(taken_back), "{words}");
    let [(file, text), _] = SHIPPED;
    let sha256 = Rules::load(file, text).unwrap().sha256;
    assert!(words.contains(&format!("Rules open-field, SHA-256 {sha256}")), "{words}");
    assert!(words.contains("These are the rules that ship with this release"), "{words}");
    let words = sample("export-good-other-rules-of-that-name.jsonl");
    assert!(
        words.contains("No rules ship with this release under that name and SHA-256."),
        "{words}"
    );
    let words = sample("receipts-good.jsonl");
    let taken_back = "1 roll was announced and then taken back, so no dice were thrown.";
    assert!(words.contains(taken_back), "{words}");
}

fn drumhead(args: &[&str], input: &str) -> (Option<i32>, String) {
    use std::io::Write as _;
    let mut child = Command::new(DRUMHEAD)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::inherit())
        .spawn()
        .unwrap();
    // A check that stops early may close its input before all is written.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let output = child.wait_with_output().unwrap();
    (output.status.code(), String::from_utf8(output.stdout).unwrap())
}

#[tokio::test]
async fn check_says_what_it_found_in_words_and_as_json() {
    let game = battle().await;
    let text = game.export().await;
    let good = Export(text.lines().map(str::to_owned).collect());
    let (code, words) = drumhead(&["check"], &text);
    assert_eq!(code, Some(0));
    assert!(words.starts_with("Harrow Ford holds: "), "{words}");
    let head = game.battle().await.head.to_string();
    let (code, words) = drumhead(&["check", "--head", &head[..16]], &text);
    assert_eq!(code, Some(0));
    assert!(words.contains("It ends with the record you gave."), "{words}");
    let earlier = game.events().await[4].hash.to_string();
    let (code, words) = drumhead(&["check", "--head", &earlier[..16]], &text);
    assert_eq!(code, Some(0));
    assert!(words.contains("The record you gave is event 5 of "), "{words}");
    assert_eq!(drumhead(&["check", "--head", &earlier[..15]], &text).0, Some(2));
    assert_eq!(drumhead(&["check", "--head", &earlier[..16]], &receipts(&good)).0, Some(1));
    let cut: String = text.lines().take(5).flat_map(|line| [line, "\n"]).collect();
    assert_eq!(
        drumhead(&["check"], &cut),
        (
            Some(1),
            "The export is cut off: its last line is missing. Get the file again.\n".to_owned()
        )
    );
    let (code, words) = drumhead(&["check", "--head", "0123456789abcdef"], &text);
    assert_eq!(code, Some(1));
    assert_eq!(
        words,
        format!(
            "This does not hold.\n  what: record\n  expected: 0123456789abcdef\n  found: none of {} begins so\n",
            game.battle().await.seq
        )
    );
    let (code, words) = drumhead(&["check"], &receipts(&good));
    assert_eq!(code, Some(0));
    assert!(words.contains("rolls hold: links, statements and faces agree."), "{words}");
    let (code, json) =
        drumhead(&["check", "--json"], &receipts(&good).replace("\"roll\":2,", "\"roll\":3,"));
    assert_eq!(code, Some(1));
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["ok"], false);
    assert_eq!(json["difference"]["line"], 2);
    assert_eq!(drumhead(&["check"], "").0, Some(1));
    let (code, words) = drumhead(&["check"], "dear sceptic\n");
    assert_eq!(code, Some(1));
    assert!(words.contains("expected: one receipt, or an export"), "{words}");
}

#[tokio::test]
async fn a_battle_is_taken_into_another_record_with_the_same_hashes() {
    let game = battle().await;
    let text = game.export().await;
    let (_guard, file) = file("other.db");
    let other = file.to_str().unwrap();
    let (code, words) = drumhead(&["import", "--record", other], &text);
    assert_eq!(code, Some(0), "{words}");
    let (code, exported) = drumhead(&["export", "--record", other], "");
    assert_eq!((code, exported == text), (Some(0), true));
    assert_eq!(drumhead(&["import", "--record", other], &text).0, Some(1), "not twice");
    // It cannot be gone on with there: that would be a record that nobody else has.
    let record = store::open(&file).await;
    let there = Game::over(Referee::new(record, RulesLibrary::shipped()));
    assert_eq!(
        there.refuses("reopen \"Harrow Ford\"").await,
        "This battle was imported without its dice, so it can be reported on and checked but not \
         changed. Go on where it was opened."
    );
    let (code, exported) = drumhead(&["export", "--record", other], "");
    assert_eq!((code, exported == text), (Some(0), true));
    let spoiled = text.replacen("\"kills\":0", "\"kills\":1", 1);
    let (_guard, fresh) = crate::helper::file("fresh.db");
    let fresh = fresh.to_str().unwrap();
    assert_eq!(drumhead(&["import", "--record", fresh], &spoiled).0, Some(1));
    assert!(!Path::new(fresh).exists(), "no record is begun for what does not hold");
    let (code, _) = drumhead(&["export", "--record", fresh], "");
    assert_eq!(code, Some(1), "what does not hold is not taken in");
}

/// Anyone who has seen an anchor can write a battle without a roll that bears it. Where that was
/// taken in first, the true one is not said to be there already, and can be kept elsewhere.
#[tokio::test]
async fn an_export_under_somebody_elses_anchor_is_not_taken_for_the_battle() {
    let game = battle().await;
    let text = game.export().await;
    let early = {
        // Its first event, as if nothing else had happened.
        let lines: Vec<&str> = text.lines().take(3).collect();
        let first = drumhead::protocol::Recorded::read(lines[2].to_owned()).unwrap();
        let header = lines[0].split_once(",\"events\":").unwrap().0;
        let end = format!("\"events\":1,\"head\":\"{}\"}}", first.hash);
        format!("{header},{end}\n{}\n{}\n{{\"end\":{{{end}}}\n", lines[1], lines[2])
    };
    let (guard, record) = file("other.db");
    let other = record.to_str().unwrap();
    let (code, words) = drumhead(&["import", "--record", other], &early);
    assert_eq!(code, Some(0), "{words}");
    let import = |record: &str| {
        use std::io::Write as _;
        let mut asked = std::process::Command::new(crate::helper::DRUMHEAD)
            .args(["import", "--record", record])
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        asked.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
        let done = asked.wait_with_output().unwrap();
        (done.status.code(), String::from_utf8(done.stderr).unwrap())
    };
    let (code, said) = import(other);
    assert_eq!(code, Some(1));
    assert_eq!(
        said.split_whitespace().collect::<Vec<_>>().join(" "),
        "The record holds another export of this battle already, as “Harrow Ford”, with 1 event. \
         Nothing was taken in. To keep this one too, give it a record of its own: drumhead import \
         --record NEW.db FILE"
    );
    let new = guard.path().join("new.db");
    assert_eq!(import(new.to_str().unwrap()).0, Some(0));
    let (_, said) = import(new.to_str().unwrap());
    assert_eq!(
        said.split_whitespace().collect::<Vec<_>>().join(" "),
        "This battle is in the record already, as “Harrow Ford”. Nothing was taken in."
    );
}
