//! Every picture, drawn in every way.

use super::*;
use crate::battle::Field;
use crate::odds::{FinishOdds, RoundOdds, Rounding, ScaleRow, Scales, ShareLost, finish, round};
use crate::protocol::{ContactAsk, Protocol, Scale, Standing, Strength, Unit};
use crate::rules::{Rules, SIX_SIDED};
use proptest::prelude::*;
use std::collections::HashSet;
use std::sync::Arc;

fn unit(name: &str, side: &str, class: &str, men: u32) -> Unit {
    let now = Strength { men, figures: Scale::new(20).unwrap().figures(men) };
    Unit {
        name: name.to_owned(),
        side: side.to_owned(),
        class: class.to_owned(),
        grade: "trained".to_owned(),
        long_spears: false,
        weapon: None,
        frontage: None,
        leader: None,
        muster: now,
        now,
        standing: Standing::Steady,
        rallied: false,
        shot_at: false,
        single: false,
    }
}

fn field() -> Field {
    let mut field = Field::new(Protocol::LATEST, Scale::new(20).unwrap());
    field.enter(unit("Ford Wardens", "Vale", "heavy foot", 160));
    field.enter(unit("Grey Levies", "Grey Banner", "levy", 240));
    field
}

fn odds() -> (RoundOdds, FinishOdds) {
    let rules = Rules::load("six-sided.toml", SIX_SIDED).unwrap();
    let (field, asks) = (field(), [ContactAsk::new("Ford Wardens", "Grey Levies")]);
    (round(&rules, &field, &asks, 1).unwrap(), finish(&rules, &field, &asks, 1).unwrap())
}

fn course(sides: [&str; 3], rulings: u32) -> Picture {
    let men =
        |start: u32, each: u32| (0..=rulings).map(|n| start.saturating_sub(each * n)).collect();
    let sides = sides.iter().zip([(360, 12), (580, 31), (200, 0)]);
    Picture::Course(Course {
        title: "Men on the field at Harrow Ford".to_owned(),
        // Its second ruling threw nothing.
        rolls: (1..=rulings).map(|n| (n != 2).then_some(if n > 3 { n + 1 } else { n })).collect(),
        sides: sides
            .map(|(side, (start, each))| SideCourse {
                side: (*side).to_owned(),
                men: men(start, each),
            })
            .collect(),
        turns: (0..rulings / 2).map(|n| TurnMark { turn: n + 2, after: 2 * n + 1 }).collect(),
    })
}

fn scales() -> Picture {
    let rules = Rules::load("six-sided.toml", SIX_SIDED).unwrap();
    let wanted: Vec<Scale> =
        [10, 20, 50, 100].iter().map(|men| Scale::new(*men).unwrap()).collect();
    let found = crate::odds::scales(&rules, &field(), None, &wanted, 0.1).unwrap();
    Picture::Scales(ScalesPicture(found))
}

/// One of each, and some that are hard to fit.
fn all() -> Vec<Picture> {
    let (round, finish) = odds();
    let mut thrown = LossesPicture::round(&round);
    thrown.units[0].lost = Some(3);
    thrown.units[1].lost = Some(0);
    vec![
        Picture::Losses(thrown),
        Picture::Losses(LossesPicture::finish(&finish)),
        course(["Vale", "Grey Banner", "River Folk"], 7),
        course(["W Vale WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW", "Grey Banner", "R"], 61),
        course(["Vale", "Grey Banner", "River Folk"], 0),
        scales(),
    ]
}

fn looks() -> Vec<Look> {
    let grounds = [Background::Light, Background::Dark];
    let looks = grounds.map(|ground| {
        [Look::PHONE, Look::PHONE.sharp(2), Look::PAGE, Look::new(800, ground)]
            .map(|look| look.on(ground))
    });
    looks.concat()
}

/// A PNG as it is decoded: its width and its dots, three bytes each.
fn decoded(file: &[u8]) -> (usize, Vec<[u8; 3]>) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(file)).read_info().unwrap();
    let mut dots = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut dots).unwrap();
    let dots: Vec<[u8; 3]> = dots.chunks_exact(3).map(|dot| [dot[0], dot[1], dot[2]]).collect();
    assert_eq!(dots.len(), (info.width * info.height) as usize);
    (info.width as usize, dots)
}

/// A picture is drawn, and nothing of it runs over an edge: the outermost dots are background.
#[test]
fn every_png_decodes_and_holds_the_whole_picture() {
    for picture in all() {
        for look in looks() {
            let (wide, dots) = decoded(&picture.png(look));
            assert_eq!(wide, (look.width() * look.zoom()) as usize);
            let ground = dots[0];
            assert_eq!(ground[0] > 128, look.palette().background.0 > 128);
            let drawn = dots.iter().filter(|dot| **dot != ground).count();
            let share = drawn as f64 / dots.len() as f64;
            assert!((0.02..0.6).contains(&share), "{share} of {} is drawn", picture.title());
            let colors: HashSet<_> = dots.iter().collect();
            assert!(colors.len() > 8, "{} has {} colours", picture.title(), colors.len());
            let rows: Vec<&[[u8; 3]]> = dots.chunks(wide).collect();
            let sides = rows.iter().flat_map(|row| [row[0], row[1], row[wide - 2], row[wide - 1]]);
            let ends = rows[0].iter().chain(rows[rows.len() - 1]).copied();
            assert!(sides.chain(ends).all(|dot| dot == ground), "{} is cut off", picture.title());
        }
    }
}

#[test]
fn every_svg_parses_and_needs_no_font_and_no_network() {
    for picture in all() {
        for look in looks() {
            let file = picture.svg(look);
            let document = roxmltree::Document::parse(&file).unwrap();
            let root = document.root_element();
            assert_eq!(root.attribute("role"), Some("img"));
            assert_eq!(
                root.attribute("width"),
                Some((look.width() * look.zoom()).to_string().as_str())
            );
            let text = |name| {
                let node = root.children().find(|node| node.has_tag_name(name)).unwrap();
                node.text().unwrap().to_owned()
            };
            let svg = |name| ("http://www.w3.org/2000/svg", name);
            assert_eq!(text(svg("title")), picture.title());
            assert_eq!(text(svg("desc")), picture.alt());
            let ids: HashSet<&str> =
                root.descendants().filter_map(|node| node.attribute("id")).collect();
            let mut letters = 0;
            for node in root.descendants() {
                assert_ne!(
                    node.tag_name().name(),
                    "text",
                    "a letter is left to the reader's fonts"
                );
                assert_ne!(node.tag_name().name(), "image");
                for attribute in node.attributes() {
                    assert!(!attribute.name().starts_with("on"), "{attribute:?}");
                    if attribute.name() == "href" {
                        assert!(ids.contains(&attribute.value()[1..]), "{attribute:?}");
                        letters += 1;
                    }
                }
            }
            assert!(letters > 50, "{letters} letters are written");
        }
    }
}

#[test]
fn a_name_is_never_taken_for_markup() {
    let name = "</title><script>alert(\"1\")</script>&amp;川";
    let picture = course([name, "Grey Banner", "R"], 3);
    let file = picture.svg(Look::PAGE);
    let document = roxmltree::Document::parse(&file).unwrap();
    let name_of = |node: roxmltree::Node<'_, '_>| node.tag_name().name().to_owned();
    let names: HashSet<String> = document.root_element().descendants().map(name_of).collect();
    assert!(!names.contains("script"));
    let written = document.descendants().find(|node| name_of(*node) == "text").unwrap();
    assert!(name.starts_with(written.text().unwrap().trim_end_matches('…')), "the font lacks 川");
    decoded(&picture.png(Look::PHONE));
    let picture = course(["\u{fffe}\u{1}Vale", "Grey Banner", "R"], 3);
    assert!(roxmltree::Document::parse(&picture.svg(Look::PAGE)).is_ok());
}

/// With a font that has the letters, nothing is left to the reader's own fonts, nor drawn as a box.
#[test]
fn names_in_any_script_are_drawn_with_fonts_that_have_them() {
    let bytes = Arc::from(&include_bytes!("../../tests/fonts/HebrewArabic.ttf")[..]);
    let fonts = Fonts::with([(bytes, 0)]);
    let picture = course(["משמר המעבר", "حرس المخاضة", "Φρουρά, Застава"], 3);
    for look in looks() {
        assert!(picture.svg(look).contains("<text"));
        let file = picture.svg_with(look, &fonts);
        assert!(!file.contains("<text"), "a letter is left to the reader's fonts");
        assert!(roxmltree::Document::parse(&file).is_ok());
        let (boxes, drawn) =
            (decoded(&picture.png(look)), decoded(&picture.png_with(look, &fonts)));
        assert_ne!(boxes.1, drawn.1);
    }
    let plain = course(["Vale", "Grey Banner", "River Folk"], 3);
    assert_eq!(
        plain.png(Look::PHONE),
        plain.png_with(Look::PHONE, &fonts),
        "the font that ships is first"
    );
}

#[test]
fn alternatives_give_the_numbers_of_the_odds() {
    let (round, _) = odds();
    let picture = Picture::Losses(LossesPicture::round(&round));
    let alt = picture.alt();
    for unit in &round.units {
        let sentence = alt.split(". ").find(|sentence| sentence.starts_with(&unit.unit)).unwrap();
        let (head, tail) = sentence.split_once(", most often ").unwrap();
        let mean: f64 = head.split_whitespace().nth(4).unwrap().parse().unwrap();
        let expected: f64 =
            (0..).zip(&unit.losses.chances).map(|(lost, chance)| f64::from(lost) * chance).sum();
        assert!((mean - expected).abs() <= 0.05 + 1e-9, "{sentence}: {expected}");
        let mode: usize = tail.split_whitespace().next().unwrap().parse().unwrap();
        assert!(unit.losses.chances.iter().all(|chance| *chance <= unit.losses.chances[mode]));
        let percent: f64 = tail.split(['(', '%']).nth(1).unwrap().trim().parse().unwrap();
        assert!((percent / 100.0 - unit.losses.chances[mode]).abs() <= 0.005 + 1e-9);
        let range: Vec<usize> = tail
            .split(", ")
            .nth(1)
            .unwrap()
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        let within: f64 = unit.losses.chances[range[0]..=range[1]].iter().sum();
        assert!(within >= 0.9, "{sentence}: {within}");
    }
    assert!(alt.ends_with("The chances are exact."));
}

#[test]
fn the_alternative_of_scales_gives_the_numbers_worked_out() {
    let Picture::Scales(picture) = scales() else { panic!("it compares scales") };
    let alt = picture.alt();
    for row in &picture.0.rows {
        let (_, sentence) = alt.split_once(&format!("At {}, ", row.scale)).unwrap();
        let numbers: Vec<f64> = sentence
            .split_whitespace()
            .filter_map(|word| word.trim_end_matches(['.', ',']).parse().ok())
            .take(5)
            .collect();
        let [ours, theirs] = &row.losses;
        let wanted =
            [row.favourite_wins, ours.expected, ours.deviation, theirs.expected, theirs.deviation];
        for (found, wanted) in numbers.iter().zip(wanted) {
            assert!((found / 100.0 - wanted).abs() <= 0.0005 + 1e-9, "{alt}: {wanted}");
        }
        assert_eq!(numbers.len(), 5, "{sentence}");
    }
}

#[test]
fn alternatives_read_as_sentences() {
    let alts: Vec<String> = all().iter().map(Picture::alt).collect();
    insta::assert_snapshot!(alts.join("\n"));
}

#[test]
fn bars_of_text_fit_a_phone() {
    let drawn: Vec<String> = all().iter().map(|picture| picture.text(40)).collect();
    for text in &drawn {
        for line in text.lines() {
            assert!(textwrap::core::display_width(line) <= 40, "{line}");
        }
    }
    insta::assert_snapshot!([drawn[0].as_str(), &drawn[2], &drawn[5]].join("\n"));
}

#[test]
fn a_simulated_picture_says_so() {
    let (round, _) = odds();
    let kind = crate::odds::Kind::Simulated { samples: 40_000, seed: 1, standard_error: 0.0024 };
    let picture = Picture::Losses(LossesPicture { kind, ..LossesPicture::round(&round) });
    assert!(picture.alt().ends_with(
        "simulated 40,000 times, give or take 0.2 percentage points (one standard error)."
    ));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Whatever numbers and names come, something is drawn and nothing runs over the sides.
    #[test]
    fn any_numbers_can_be_drawn(
        width in 240u32..900,
        names in prop::collection::vec("\\PC{1,40}", 1..4),
        men in prop::collection::vec(0u32..20_000_000, 1..40),
        chances in prop::collection::vec(0.0..1.0f64, 1..70),
    ) {
        let rolls = (1..).map(Some).take(men.len() - 1).collect();
        let side = |side: &String| SideCourse { side: side.clone(), men: men.clone() };
        let sides = names.iter().map(side).collect();
        let title = names.concat();
        let all: f64 = chances.iter().sum::<f64>().max(1e-9);
        let unit = |unit: &String| UnitLosses {
            unit: unit.clone(),
            side: 1,
            figures: u32::try_from(chances.len()).unwrap() - 1,
            chances: chances.iter().map(|chance| chance / all).collect(),
            expected: 0.5,
            lost: Some(0),
        };
        let kind = crate::odds::Kind::Exact;
        let row = |chance: &f64| {
            let losses = [&names[0], &names[names.len() - 1]].map(|side| ShareLost {
                side: side.clone(),
                expected: *chance,
                deviation: *chance,
            });
            let rounding = Rounding { unit: names[0].clone(), men: 1, shown: 1, share: 0.0 };
            ScaleRow {
                scale: Scale::new(1000).unwrap(),
                figures: 1,
                dice: 1,
                minutes: 1.0,
                favourite_wins: *chance,
                undecided: 0.0,
                losses,
                rounding,
                kind,
            }
        };
        for picture in [
            Picture::Course(Course { title: title.clone(), rolls, sides, turns: Vec::new() }),
            Picture::Losses(LossesPicture {
                title: title.clone(),
                kind,
                units: names.iter().map(unit).collect(),
            }),
            Picture::Scales(ScalesPicture(Scales {
                pairs: Vec::new(),
                unmatched: Vec::new(),
                favourite: names[0].clone(),
                share: 0.1,
                coarsest: Scale::new(1000).unwrap(),
                rows: chances.iter().take(8).map(row).collect(),
                left_out: Vec::new(),
            })),
        ] {
            let look = Look::new(width, Background::Dark);
            let svg = picture.svg(look);
            prop_assert!(roxmltree::Document::parse(&svg).is_ok());
            let (wide, dots) = decoded(&picture.png(look));
            prop_assert!(dots.iter().any(|dot| *dot != dots[0]));
            for row in dots.chunks(wide) {
                prop_assert_eq!([row[0], row[wide - 1]], [dots[0]; 2], "{}", picture.title());
            }
            for line in picture.text(40).lines() {
                prop_assert!(textwrap::core::display_width(line) <= 40, "{}", line);
            }
        }
    }
}
