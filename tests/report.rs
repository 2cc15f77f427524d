//! A battle's report: what it says, and that no name in it is taken for markup.

mod harm;

use crate::helper::{DRUMHEAD, Game, file};
use base64::Engine as _;
use drumhead::battle::Battle;
use drumhead::fair::Receipt;
use drumhead::fair::check::Checker;
use drumhead::protocol::{Body, ContactRuling, MeleeRuling, Recorded, Ruling, Strike};
use drumhead::referee::{Referee, RulesLibrary};
use drumhead::report::Report;
use drumhead::rules::{OPEN_FIELD, Rules};
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};
use scraper::{ElementRef, Html, Selector};
use statrs::distribution::{Binomial, Discrete as _};
use std::collections::{BTreeMap, HashSet};
use std::process::Command;

fn rules() -> Rules {
    Rules::load("open-field.toml", OPEN_FIELD).unwrap()
}

fn report(events: &[Recorded]) -> Report {
    Report::of(&rules(), events).unwrap()
}

/// What the program writes about the demo's battle.
fn demo(format: &str) -> String {
    let (_guard, file) = file("demo.db");
    let record = file.to_str().unwrap();
    let played = Command::new(DRUMHEAD).args(["demo", "--record", record]).output().unwrap();
    assert!(played.status.success());
    let args = ["report", "--record", record, "--format", format];
    let written = Command::new(DRUMHEAD).args(args).output().unwrap();
    assert!(written.status.success(), "{}", String::from_utf8_lossy(&written.stderr));
    String::from_utf8(written.stdout).unwrap()
}

/// The events of the demo's battle, as the program plays it.
async fn demo_events() -> Vec<Recorded> {
    let (_guard, file) = file("demo.db");
    let played = Command::new(DRUMHEAD).args(["demo", "--record"]).arg(&file).output().unwrap();
    assert!(played.status.success());
    let referee = Referee::open(&file, RulesLibrary::shipped()).await.unwrap();
    let battle = referee.choose(None).await.unwrap().battle;
    let events = referee.events_after(&battle, 0, 1_000_000).await.unwrap();
    referee.close().await;
    events
}

fn all<'a>(page: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    page.select(&Selector::parse(selector).unwrap()).collect()
}

fn text(element: ElementRef<'_>) -> String {
    element.text().collect()
}

#[test]
fn the_demos_report_reads_well() {
    let report = demo("markdown");
    let short: Vec<&str> =
        report.lines().map(|line| if line.starts_with('{') { "{…}" } else { line }).collect();
    insta::assert_snapshot!(short.join("\n"));
    assert_eq!(short.iter().filter(|line| **line == "{…}").count(), 7, "a receipt a roll");
}

#[test]
fn markdown_is_what_is_written_unless_html_is_asked() {
    let (_guard, file) = file("demo.db");
    let record = file.to_str().unwrap();
    Command::new(DRUMHEAD).args(["demo", "--record", record]).output().unwrap();
    let run = |args: &[&str]| {
        let args = [&["report", "--record", record], args].concat();
        Command::new(DRUMHEAD).args(args).output().unwrap()
    };
    let named = run(&["--battle", "harrow ford"]);
    assert!(named.stdout.starts_with(b"# Report of Harrow Ford\n"));
    let other = run(&["--battle", "Reed Ford"]);
    assert_eq!(other.status.code(), Some(1));
    assert!(String::from_utf8(other.stderr).unwrap().contains("Reed Ford"));
}

/// Parsed as the HTML standard says, by html5ever, which also tells every parse error.
#[test]
fn the_html_is_well_formed_and_stands_alone() {
    let html = demo("html");
    let page = Html::parse_document(&html);
    assert_eq!(page.errors, Vec::<std::borrow::Cow<'_, str>>::new());
    assert_eq!(all(&page, "html[lang=en] > head > title").len(), 1);
    for landmark in ["header", "nav[aria-label]", "main", "h1"] {
        assert_eq!(all(&page, landmark).len(), 1, "{landmark}");
    }
    for foreign in ["script", "link", "iframe", "object", "base", "form", "[onload]", "[onerror]"] {
        assert!(all(&page, foreign).is_empty(), "{foreign}");
    }
    let ids: Vec<&str> = all(&page, "[id]").iter().filter_map(|found| found.attr("id")).collect();
    assert_eq!(ids.iter().collect::<HashSet<_>>().len(), ids.len(), "{ids:?}");
    for section in all(&page, "section") {
        assert!(ids.contains(&section.attr("aria-labelledby").unwrap()));
    }
    let links = all(&page, "[href], [src], [srcset]");
    assert!(links.len() > 10);
    for element in links {
        for name in ["href", "src", "srcset"] {
            let Some(address) = element.attr(name) else { continue };
            let here = address.strip_prefix('#').is_some_and(|id| ids.contains(&id));
            assert!(here || address.starts_with("data:"), "{name} {address}");
        }
    }
    let levels: Vec<u32> = all(&page, "h1, h2, h3")
        .iter()
        .map(|heading| heading.value().name()[1..].parse().unwrap())
        .collect();
    assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
    assert!(html.len() < 400_000, "{} bytes", html.len());
}

fn decoded(address: &str) -> String {
    let (_, data) = address.split_once(";base64,").unwrap();
    String::from_utf8(base64::engine::general_purpose::STANDARD.decode(data).unwrap()).unwrap()
}

#[test]
fn every_picture_has_its_alternative_for_phone_and_page_light_and_dark() {
    let page = Html::parse_document(&demo("html"));
    let pictures = all(&page, "picture");
    assert_eq!(pictures.len(), 2);
    for picture in pictures {
        let image = picture.select(&Selector::parse("img").unwrap()).next().unwrap();
        let alt = image.attr("alt").unwrap();
        assert!(alt.contains("figures") || alt.contains("men"), "{alt}");
        let sources = Selector::parse("source").unwrap();
        let mut drawn: Vec<String> = picture
            .select(&sources)
            .map(|source| decoded(source.attr("srcset").unwrap()))
            .collect();
        drawn.push(decoded(image.attr("src").unwrap()));
        let mut widths = Vec::new();
        for svg in &drawn {
            let svg = roxmltree::Document::parse(svg).unwrap();
            widths.push(svg.root_element().attribute("width").unwrap().to_owned());
            let described = svg.descendants().find(|node| node.tag_name().name() == "desc");
            assert_eq!(described.and_then(|node| node.text()), Some(alt));
        }
        assert_eq!(widths, ["720", "360", "720", "360"]);
        assert_eq!(drawn.iter().collect::<HashSet<_>>().len(), 4, "all four differ");
    }
}

fn receipts_hold(lines: &str, rolls: usize) {
    let mut checker = Checker::default();
    for line in lines.lines() {
        let receipt: Receipt = serde_json::from_str(line).unwrap();
        checker.check(&receipt).unwrap();
    }
    assert_eq!(lines.lines().count(), rolls);
}

#[test]
fn the_receipts_in_a_report_hold() {
    let markdown = demo("markdown");
    let (_, rest) = markdown.split_once("```json\n").unwrap();
    receipts_hold(rest.split_once("```").unwrap().0, 7);
    let page = Html::parse_document(&demo("html"));
    receipts_hold(&text(all(&page, "pre")[0]), 7);
    receipts_hold(&decoded(all(&page, "a[download]")[0].attr("href").unwrap()), 7);
}

/// Losses as the rulings give them, against those in the tables.
#[tokio::test]
async fn losses_are_those_of_the_rulings_that_count() {
    let game = Game::at_the_ford().await;
    let game = game.after("melee \"Ford Wardens\" \"Grey Levies\"").await;
    let game = game.after("undo \"wrong unit\"").await;
    let game = game.after("melee \"Ford Wardens\" \"Banner Foot\"").await;
    let game = game.after("melee \"Vale Riders\" \"Grey Levies\" --charge").await;
    let events = game.events().await;
    let mut men: BTreeMap<String, u32> = BTreeMap::new();
    let rulings =
        events.iter().filter_map(|event| match (&event.event.body, event.event.receipt()) {
            (Body::Ruled { ruling: Ruling::Melee(melee) }, Some(receipt)) => {
                Some((receipt.roll, &melee[0]))
            }
            _ => None,
        });
    let rulings: Vec<(u32, &MeleeRuling)> = rulings.collect();
    assert_eq!(rulings.len(), 3);
    for unit in rulings.iter().filter(|(roll, _)| *roll > 1).flat_map(|(_, melee)| &melee.units) {
        *men.entry(unit.unit.clone()).or_default() += unit.before.men - unit.after.men;
    }
    let in_all: u32 = rulings[0].1.units.iter().map(|unit| unit.lost).sum();
    assert!(in_all > 0, "the roll taken back cost something");
    let report = report(&events);
    let page = Html::parse_document(&report.html());
    let mut found = BTreeMap::new();
    for row in all(&page, "tbody tr") {
        let cells: Vec<String> =
            row.select(&Selector::parse("th, td").unwrap()).map(text).collect();
        let lost: u32 = cells[2].split(' ').next().unwrap().parse().unwrap();
        found.insert(cells[0].clone(), lost);
    }
    found.remove("All");
    assert_eq!(found, men);
    let markdown = report.markdown();
    assert!(markdown.contains("- Taken back. Roll 1. Melee of Vale against Grey Banner"));
    assert!(markdown.contains("Rolls taken back are left out."));
    let luck = markdown.split("## Luck").nth(1).unwrap().split("## Receipts").next().unwrap();
    assert!(!luck.contains("Roll 1,"), "{luck}");
    assert!(markdown.contains("Among 4 throws"));
    let course = all(&page, "img")[0].attr("alt").unwrap();
    let battle = Battle::fold(&events).unwrap();
    for (side, start) in [("Vale", 240), ("Grey Banner", 440)] {
        let units = battle.field.units.iter().filter(|unit| unit.side == side);
        let end: u32 = units.map(|unit| unit.now.men).sum();
        let said = format!("{side}: {start} men at the start, {end} at the end.");
        assert!(course.contains(&said), "{course}: {said}");
    }
}

/// The chance of each number of kills of a strike, by the library statrs.
fn kills(strike: &Strike, figures: u64) -> Vec<f64> {
    let hit = f64::from(strike.sides + 1 - strike.matchup.rate.kills_on) / f64::from(strike.sides);
    let dice = u64::from(strike.dice);
    let theirs = Binomial::new(hit, dice).unwrap();
    let mut chances = vec![0.0; usize::try_from(figures.min(dice)).unwrap() + 1];
    let last = chances.len() - 1;
    for hits in 0..=dice {
        chances[usize::try_from(hits).unwrap().min(last)] += theirs.pmf(hits);
    }
    chances
}

/// How the report writes a chance.
fn said(chance: f64) -> String {
    format!("{:.1} %", chance * 100.0)
}

#[tokio::test]
async fn luck_agrees_with_statrs() {
    let events = demo_events().await;
    let markdown = report(&events).markdown();
    let (mut throws, mut listed) = (0, 0);
    for event in &events {
        let Body::Ruled { ruling } = &event.event.body else { continue };
        let receipt = event.event.receipt().unwrap();
        let strikes: Vec<&Strike> = match ruling {
            Ruling::Melee(melee) => {
                let contacts = melee.iter().flat_map(|melee| &melee.contacts);
                contacts.flat_map(|contact| &contact.strikes).collect()
            }
            Ruling::Shooting(shooting) => shooting.shots.iter().map(|shot| &shot.strike).collect(),
            _ => Vec::new(),
        };
        for strike in strikes {
            throws += 1;
            let hits =
                strike.faces.iter().filter(|face| **face >= strike.matchup.rate.kills_on).count();
            let chances = kills(strike, 1_000_000);
            let well: f64 = chances[hits..].iter().sum();
            let badly: f64 = chances[..=hits].iter().sum();
            let shots = matches!(ruling, Ruling::Shooting(_));
            let at = if shots { "shooting at" } else { "at" };
            let start =
                format!("- Roll {}, {} {at} {}: {hits} of", receipt.roll, strike.by, strike.at);
            for line in markdown.lines().filter(|line| line.starts_with(&start)) {
                listed += 1;
                let chance = if line.contains("As many or more") { well } else { badly };
                assert!(line.ends_with(&format!(": {}.", said(chance))), "{line}: {chance}");
            }
        }
    }
    assert!(markdown.contains(&format!("Among {throws} throws")));
    assert!((3..=6).contains(&listed), "{listed} throws are listed");
}

/// A melee of one contact as a whole, from the two throws' binomial distributions.
#[tokio::test]
async fn the_luck_of_a_melee_agrees_with_statrs() {
    let events = demo_events().await;
    let markdown = report(&events).markdown();
    let (mut listed, mut rare) = (0, 0);
    for event in &events {
        let Body::Ruled { ruling: Ruling::Melee(melee) } = &event.event.body else {
            continue;
        };
        let receipt = event.event.receipt().unwrap();
        let [ContactRuling { strikes: [ours, theirs], .. }] = melee[0].contacts.as_slice() else {
            panic!("the demo's melees have one contact each")
        };
        let before = |name: &str| {
            let unit = melee[0].units.iter().find(|unit| unit.unit == name).unwrap();
            u64::from(unit.before.figures)
        };
        let (ours_kill, theirs_kill) =
            (kills(ours, before(&ours.at)), kills(theirs, before(&theirs.at)));
        let gained = i64::from(ours.kills) - i64::from(theirs.kills);
        let (mut well, mut badly) = (0.0, 0.0);
        for (killed, first) in (0i64..).zip(&ours_kill) {
            for (lost, second) in (0i64..).zip(&theirs_kill) {
                well += if killed - lost >= gained { first * second } else { 0.0 };
                badly += if killed - lost <= gained { first * second } else { 0.0 };
            }
        }
        rare += usize::from(f64::min(well, badly) < 0.5);
        let [side, other] = &melee[0].sides;
        let start = format!("- Roll {}, {side} against {other}:", receipt.roll);
        for line in markdown.lines().filter(|line| line.starts_with(&start)) {
            listed += 1;
            let chance = f64::min(well, badly);
            assert!(line.ends_with(&format!(" for {side}: {}.", said(chance))), "{line}: {chance}");
            assert_eq!(line.contains("As well or better"), well <= badly, "{line}");
        }
    }
    assert!(rare > 0);
    assert_eq!(listed, rare.min(3));
}

const HOSTILE: [&str; 6] = [
    "<script>alert(1)</script>",
    "</h3></main><img src=x onerror=alert(1)>",
    "[Vale](https://harrow.example) **W**",
    "A | B. # C. - D ~~E~~ `F` &lt;",
    "``` <!-- ' ![x](y) www.harrow.example",
    "1. Ida@harrow.example $x$ _y_",
];

/// A battle whose names are all hostile, fought for two turns.
async fn hostile() -> Vec<Recorded> {
    let [ours, theirs, first, second, leader, battle] = HOSTILE;
    let quoted = |name: &str| format!("\"{}\"", name.replace('`', "\\`").replace('$', "\\$"));
    let muster = |unit: &str, side: &str| {
        format!("muster {} --side {} --class \"line foot\" --men 160", quoted(unit), quoted(side))
    };
    let melee = format!("melee {} {}", quoted(first), quoted(second));
    Game::empty()
        .await
        .after(&format!("open {} --scale 20", quoted(battle)))
        .await
        .after(&format!("{} --leader {}", muster(first, ours), quoted(leader)))
        .await
        .after(&muster(second, theirs))
        .await
        .after(&melee)
        .await
        .after("undo \"<b>no</b> [x](y)\"")
        .await
        .after(&melee)
        .await
        .events()
        .await
}

#[tokio::test]
async fn no_name_is_taken_for_html() {
    let html = report(&hostile().await).html();
    let page = Html::parse_document(&html);
    assert_eq!(page.errors, Vec::<std::borrow::Cow<'_, str>>::new());
    assert!(all(&page, "script, b, [onerror], main img:not([alt])").is_empty());
    assert_eq!(all(&page, "main").len(), 1);
    assert_eq!(all(&page, "img").len(), all(&page, "picture > img").len());
    let whole = text(page.root_element());
    for name in HOSTILE {
        assert!(whole.contains(name), "{name} stands as it is");
    }
    let alt = all(&page, "img")[0].attr("alt").unwrap();
    assert!(alt.contains(HOSTILE[0]) && alt.contains(HOSTILE[1]), "{alt}");
}

/// Parsed as `CommonMark` with GitHub's tables and strikethrough, by pulldown-cmark.
#[tokio::test]
async fn no_name_is_taken_for_markdown() {
    let markdown = report(&hostile().await).markdown();
    let options = Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_MATH;
    let (mut headings, mut cells, mut whole) = (Vec::new(), Vec::new(), String::new());
    let mut collected: Option<String> = None;
    let mut outside = markdown.clone();
    for (event, place) in Parser::new_ext(&markdown, options).into_offset_iter() {
        if let Event::Start(Tag::CodeBlock(_)) = event {
            outside = outside.replace(&markdown[place], "");
        }
        match event {
            Event::Html(_) | Event::InlineHtml(_) | Event::InlineMath(_) | Event::Code(_) => {
                panic!("{event:?}")
            }
            Event::Start(
                Tag::Link { .. }
                | Tag::Image { .. }
                | Tag::Strong
                | Tag::Emphasis
                | Tag::Strikethrough
                | Tag::BlockQuote(_),
            ) => panic!("{event:?}"),
            Event::Start(Tag::Heading { .. } | Tag::TableCell) => collected = Some(String::new()),
            Event::End(TagEnd::Heading(_)) => headings.push(collected.take().unwrap()),
            Event::End(TagEnd::TableCell) => cells.push(collected.take().unwrap()),
            Event::Text(part) => {
                whole.push_str(&part);
                if let Some(text) = &mut collected {
                    text.push_str(&part);
                }
            }
            Event::SoftBreak => whole.push(' '),
            _ => {}
        }
    }
    let [ours, theirs, first, second, _, battle] = HOSTILE;
    let title = format!("Report of {battle}");
    assert_eq!(headings[..2], [title.as_str(), "Course"]);
    let sides: Vec<&str> = headings[3..5].iter().map(String::as_str).collect();
    assert_eq!(sides, [ours, theirs]);
    for unit in [first, second] {
        assert!(cells.iter().any(|cell| cell == unit), "{unit}: {cells:?}");
    }
    for name in HOSTILE {
        assert!(whole.contains(name), "{name} stands as it is");
    }
    // Where no block of code is, GitHub would make a link of a bare address.
    assert!(outside.len() < markdown.len());
    for bare in ["https://", "www.", "Ida@"] {
        assert!(!outside.contains(bare), "{bare} stands bare");
    }
}

#[tokio::test]
async fn a_report_needs_a_whole_record() {
    let events = demo_events().await;
    let sentence = |events: &[Recorded]| Report::of(&rules(), events).unwrap_err().to_string();
    assert_eq!(sentence(&[]), "the record does not begin with the opening of a battle");
    assert_eq!(sentence(&events[1..]), "the record does not begin with the opening of a battle");
    let gap = [&events[..3], &events[4..]].concat();
    assert_eq!(sentence(&gap), "event 5 stands where event 4 should");
}

/// A quick ruling and plain dice are told and have receipts, and change nothing else.
#[tokio::test]
async fn what_belongs_to_no_unit_does_not_count() {
    let game = Game::at_the_ford().await;
    let game = game.after("throw 3d6").await;
    let game = game.after("ruling \"8 line foot\" \"12 levy\"").await;
    let game = game.after("melee \"Ford Wardens\" \"Grey Levies\"").await;
    let markdown = report(&game.events().await).markdown();
    assert!(markdown.contains("\n- Roll 1. 3d6 = "), "{markdown}");
    assert!(markdown.contains("nobody's units have changed."));
    assert!(markdown.contains("Among 2 throws,"));
    assert!(markdown.contains(", over 1 ruling.\n"));
    let (_, lines) = markdown.split_once("```json\n").unwrap();
    receipts_hold(lines.split_once("```").unwrap().0, 3);
}

#[tokio::test]
async fn a_battle_without_a_roll_has_a_report_too() {
    let events = Game::at_the_ford().await.events().await;
    let report = report(&events);
    assert!(report.markdown().contains("No dice were thrown."));
    let page = Html::parse_document(&report.html());
    assert!(page.errors.is_empty() && all(&page, "img").is_empty());
}
