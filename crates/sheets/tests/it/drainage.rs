//! The drainage sheet: legible, complete, readable without colour; its layers, its lists, and what it says when nothing
//! was given. Figures follow from the levels of the roof built by hand ([`crate::drained`]).

use crate::drained;
use crate::sheet::legible;
use baylap_core::geom::{Pt, ring};
use baylap_core::layout::falls::{FallClass, Pond};
use baylap_core::layout::{Layout, Sink, Verdict};
use baylap_core::{About, Finding, Plan};
use baylap_sheets::arrows::arrows;
use baylap_sheets::page::{Ink, Page};
use baylap_sheets::scene::{Role, Scene, Shape, Sign};
use baylap_sheets::style::SCALES;
use baylap_sheets::{
    FallLayer, FallLayers, Paper, SceneOptions, SheetOptions, deck_scene, drainage_pages, drainage_pdf,
    drainage_svg, outlet_list_csv, pond_list_csv, scene_svg, seam_list_csv, setting_out_pages,
};
use std::collections::BTreeSet;

const BOTH: [Paper; 2] = [Paper::A4, Paper::A3];

fn pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    drainage_pages(plan, layout, &SheetOptions { paper })
}

fn said(pages: &[Page]) -> String {
    pages.iter().flat_map(Page::words).map(|w| w.text.clone()).collect::<Vec<_>>().join(" ")
}

fn scene(falls: FallLayers) -> Scene {
    let options =
        SceneOptions { falls, hatch: false, pieces: false, findings: false, ..SceneOptions::default() };
    deck_scene(&drained::plan(), &drained::layout(), options)
}

/// The same roof with texts far longer than any room, no datum, and more ponds and outlets than fit a page.
fn crowded() -> (Plan, Layout) {
    let (mut plan, mut layout) = (drained::plan(), drained::layout());
    let long = "a very long name of a thing on a roof that no table has room for ".repeat(5);
    plan.datum = None;
    plan.outlets[0].name.clone_from(&long);
    plan.outlets[1].name = "W".repeat(300);
    plan.decks[0].name.clone_from(&long);
    plan.job.name = long.clone();
    let falls = layout.falls.as_mut().expect("falls");
    falls.rule.name.clone_from(&long);
    falls.rule.source.clone_from(&long);
    falls.outlets[0].blocked.as_mut().expect("blocked").goes_to = Sink::Edge(1);
    let pond = falls.ponds[0].clone();
    falls.ponds = (1..60)
        .map(|number| Pond {
            number,
            deepest: Pt::new(200 * Mm::from(number), 4000),
            spill: None,
            drains_to: Sink::Nowhere,
            mass: 1_234_567_890,
            volume: 12_345_678_900_000,
            ..pond.clone()
        })
        .collect();
    falls.outlets = (0..40).flat_map(|_| falls.outlets.clone()).collect();
    let finding = Finding::warning("pond", About::Job, long.repeat(3), long).at(Pt::new(6000, 4000));
    layout.findings.extend((0..30).map(|_| finding.clone()));
    (plan, layout)
}

type Mm = i64;

#[test]
fn no_text_lies_on_another_and_none_is_small() {
    // ISO 3098 series, smallest printed text 2.5 mm; thinnest line 0.18 mm (trade.md, section 6).
    for paper in BOTH {
        for (name, (plan, layout)) in
            [("drained", (drained::plan(), drained::layout())), ("crowded", crowded())]
        {
            let made = pages(&plan, &layout, paper);
            assert!(made.len() >= 4, "{name}");
            assert!(
                said(&made[..1]).contains("approves nothing"),
                "the caution stands on the plan of {name}"
            );
            for page in &made {
                legible(page, name);
                let thin = page.ink.iter().any(|ink| match ink {
                    Ink::Lines { stroke, .. } | Ink::Circle { stroke, .. } => stroke.width < 0.18,
                    _ => false,
                });
                assert!(!thin, "{name}, {}", page.title);
                assert!(page.scale.is_none_or(|s| SCALES.contains(&s)));
            }
        }
    }
}

#[test]
fn words_of_the_key_stay_in_the_column() {
    for paper in BOTH {
        let made = pages(&drained::plan(), &drained::layout(), paper);
        let body = baylap_sheets::title::body(paper);
        for words in made[0].words().filter(|w| w.turn_mdeg == 0 && w.at[1] > body.lo[1]) {
            assert!(words.at[0] + words.width() < body.hi[0], "{}", words.text);
        }
    }
}

#[test]
fn everything_asked_for_is_on_the_sheet() {
    let made = pages(&drained::plan(), &drained::layout(), Paper::A4);
    let plan = said(&made[..1]);
    // Flow and capacity of the west outlet: 90 m2 at 75 mm/h; trade.md D5. Falls: 100 in 4000 and 112 in 4000.
    for words in [
        "Pond 1, 12 deep",
        "1.88 of 2.76 l/s",
        "O4: 90.00 m²",
        "O7: 6.00 m²",
        "1:40",
        "1:35.7",
        "low line",
        "140",
    ] {
        assert!(plan.contains(words), "{words} is not on {plan}");
    }
    for words in [
        "Faces the water",
        "Along a low line",
        "In a pond",
        "In a clear zone",
        "Ridge",
        "Border of a catchment",
        "Flat",
    ] {
        assert!(plan.contains(words), "the key lacks {words}");
    }
    let tables = said(&made[1..]);
    for words in [
        "BS 6229:2018",
        "an edition of 2025",
        "6 spot levels, 2 points of level lines.",
        "Assumed: the levels of 3 corners, from those round them, and of 1 beyond those given.",
        "Rain: 75 mm/h",
        "96.00 m² in all",
        "faces the water",
        "800 away",
        "Water stands 12 deep",
        "licensed people",
        "local code",
    ] {
        assert!(tables.contains(words), "{words} is not on {tables}");
    }
}

#[test]
fn without_rain_no_flow_is_shown() {
    let (mut plan, mut layout) = (drained::plan(), drained::layout());
    plan.drainage.rain = None;
    let falls = layout.falls.as_mut().expect("falls");
    falls.outlets.iter_mut().for_each(|o| (o.flow, o.head_um) = (None, None));
    let all = said(&pages(&plan, &layout, Paper::A4));
    assert!(all.contains("No rain given: flows not worked out.") && !all.contains("l/s of"), "{all}");
    assert!(all.contains("no rain given, flow not worked out") && !all.contains("1.88"), "{all}");
}

#[test]
fn without_falls_there_is_no_sheet() {
    let layout = Layout { falls: None, ..drained::layout() };
    let (plan, options) = (drained::plan(), SheetOptions::default());
    assert!(drainage_pages(&plan, &layout, &options).is_empty());
    assert!(
        drainage_pdf(&plan, &layout, &options).is_none() && drainage_svg(&plan, &layout, &options).is_none()
    );
    assert_eq!(pond_list_csv(&layout).lines().count(), 1);
}

#[test]
fn the_setting_out_sheet_stays_without_falls() {
    let options = SheetOptions::default();
    let with = setting_out_pages(&drained::plan(), &drained::layout(), &options);
    let layout = Layout { falls: None, seams: Vec::new(), ..drained::layout() };
    assert_eq!(with[0].ink, setting_out_pages(&drained::plan(), &layout, &options)[0].ink);
}

#[test]
fn a_layer_switched_off_takes_its_own_marks_and_no_others() {
    let roles = |set| -> BTreeSet<Role> {
        let scene = scene(set);
        let marks = scene.marks.iter().map(|m| m.role);
        marks.chain(scene.symbols.iter().map(|s| s.role)).chain(scene.texts.iter().map(|t| t.role)).collect()
    };
    let all = roles(FallLayers::ALL);
    let own: [(FallLayer, &[Role]); 8] = [
        (FallLayer::Classes, &[Role::FallTint, Role::FallHatch]),
        (FallLayer::Arrows, &[Role::FallArrow]),
        (FallLayer::Contours, &[Role::Contour]),
        (FallLayer::Ponds, &[Role::PondHatch, Role::Pond]),
        (FallLayer::Catchments, &[Role::Catchment]),
        (FallLayer::Outlets, &[Role::OutletFlow]),
        (FallLayer::Seams, &[Role::BadLap, Role::FacesWater, Role::AlongLow, Role::InPond, Role::AtOutlet]),
        (FallLayer::Levels, &[Role::Level]),
    ];
    for (layer, want) in own {
        let left = roles(FallLayers::ALL.switched(layer));
        let gone: Vec<Role> = all.difference(&left).copied().collect();
        assert_eq!(gone, want, "{layer:?}");
    }
    // Low lines that the user drew stay; the derived ones are gone.
    let count = |set| scene(set).marks.iter().filter(|m| m.role == Role::LowLine).count();
    assert!(count(FallLayers::ALL) > 1);
    assert_eq!(count(FallLayers::ALL.switched(FallLayer::Lines)), 1);
}

#[test]
fn one_path_for_each_role_and_class() {
    let paths = scene(FallLayers::ALL).paths();
    let keys: BTreeSet<(Role, u8)> = paths.iter().map(|p| (p.role, p.tint)).collect();
    assert_eq!(keys.len(), paths.len());
    assert!(paths.len() < 40, "{}", paths.len());
}

#[test]
fn tints_of_classes_cover_the_deck_by_class() {
    let scene = scene(FallLayers::ALL);
    let mut areas = [0_i128; 5];
    for mark in scene.marks.iter().filter(|m| m.role == Role::FallTint) {
        let Shape::Area(rings) = &mark.shape else { panic!("a tint is an area") };
        areas[usize::from(mark.tint)] += rings.iter().map(|r| ring::doubled_area(r) / 2).sum::<i128>();
    }
    let want = drained::layout().falls.expect("falls").class_areas.map(i128::from);
    assert_eq!(areas, want);
    assert_eq!(areas.iter().sum::<i128>(), 96_000_000);
}

#[test]
fn where_the_deck_falls_too_little_it_is_hatched() {
    let hatch = |class: FallClass| -> f64 {
        let mut layout = drained::layout();
        layout.falls.iter_mut().flat_map(|f| &mut f.facets).for_each(|f| f.class = class);
        let options = SceneOptions { falls: FallLayers::ALL, ..SceneOptions::default() };
        let scene = deck_scene(&drained::plan(), &layout, options);
        let marks = scene.marks.iter().filter(|m| m.role == Role::FallHatch);
        let strokes = marks.flat_map(|m| match &m.shape {
            Shape::Strokes(strokes) => strokes.clone(),
            _ => Vec::new(),
        });
        strokes.map(|[a, b]| a.distance(b)).sum()
    };
    // Cavalieri: length x gap is the area, 96 m2. Gaps at 1:100: 280 crossed, 280, 600; nothing where it falls enough.
    for (class, want) in [
        (FallClass::BackFall, 2.0 * 96e6 / 280.0),
        (FallClass::Flat, 96e6 / 280.0),
        (FallClass::BelowLeast, 96e6 / 600.0),
        (FallClass::BelowDesign, 0.0),
        (FallClass::Good, 0.0),
    ] {
        let measured = hatch(class);
        assert!((measured - want).abs() <= 0.03 * want, "{class:?}: {measured} against {want}");
    }
}

#[test]
fn arrows_point_where_water_runs() {
    let layout = drained::layout();
    let falls = layout.falls.as_ref().expect("falls");
    let made = arrows(falls, 100.0, &[]);
    // The long sides have two facets each that do not fall alike: parts are told apart.
    assert!((4..=6).contains(&made.len()), "{made:?}");
    for arrow in &made {
        let along = baylap_sheets::clip::direction(arrow.turn_mdeg);
        // A step of 200 mm down the arrow comes nearer to the low line between (4000, 4000) and (8000, 4000).
        let off = |[x, y]: [f64; 2]| {
            let [dx, dy] = [x - x.clamp(4000.0, 8000.0), y - 4000.0];
            (dx * dx + dy * dy).sqrt()
        };
        let next = [arrow.at[0] + 200.0 * along[0], arrow.at[1] + 200.0 * along[1]];
        assert!(off(next) < off(arrow.at) - 150.0, "{arrow:?}");
        assert!((22_000..32_000).contains(&arrow.fall_ppm), "{arrow:?}");
    }
    let west = made.iter().find(|a| a.turn_mdeg == 0).expect("the west side falls along +x");
    assert_eq!(west.fall_ppm, 25_000, "100 in 4000");
    for (i, one) in made.iter().enumerate() {
        for other in &made[i + 1..] {
            let apart = ((one.at[0] - other.at[0]).powi(2) + (one.at[1] - other.at[1]).powi(2)).sqrt();
            assert!(apart >= 2.0 * 460.0, "{one:?} lies on {other:?}");
        }
    }
}

#[test]
fn fewer_arrows_when_the_roof_is_small_on_paper() {
    let layout = drained::layout();
    let falls = layout.falls.as_ref().expect("falls");
    let counts = [50.0, 100.0, 200.0, 1000.0, 5000.0].map(|scale| arrows(falls, scale, &[]).len());
    assert!(counts.windows(2).all(|w| w[1] <= w[0]), "{counts:?}");
    assert_eq!((counts[0] >= 5, counts[4]), (true, 0), "{counts:?}");
}

#[test]
fn an_uneven_deck_has_arrows_of_its_mean_fall() {
    // Squares of 500 mm on a deck that falls 1:50 along +x, each corner up to 2 mm off: no two facets are alike, but a
    // square of 24 mm at 1:200 holds 90 of them. Their mean is 1:50 to within the unevenness over 4.8 m.
    let mut layout = drained::layout();
    let falls = layout.falls.as_mut().expect("falls");
    let count = 25_u32;
    falls.points = (0..count * count)
        .map(|i| {
            let (x, y) = (Mm::from(i % count) * 500, Mm::from(i / count) * 500);
            // Knuth's multiplicative hash: neighbours have nothing to do with each other.
            let uneven = Mm::from((i.wrapping_mul(2_654_435_761) >> 16) % 41) * 100 - 2000;
            [x * 1000, y * 1000, 500_000 - x * 20 + uneven]
        })
        .collect();
    let square = |i: u32| {
        let a = i / (count - 1) * count + i % (count - 1);
        [[a, a + 1, a + count + 1], [a, a + count + 1, a + count]]
    };
    let corners = (0..(count - 1) * (count - 1)).flat_map(square);
    let first = falls.facets[0];
    falls.facets = corners.map(|corners| drained::sloped(first, &falls.points, corners)).collect();
    let made = arrows(falls, 200.0, &[]);
    assert!(made.len() >= 4, "{made:?}");
    for arrow in made {
        assert!(arrow.turn_mdeg.abs() < 8000 && (arrow.fall_ppm - 20_000).abs() < 1500, "{arrow:?}");
    }
}

#[test]
fn ticks_stand_up_the_fall() {
    let scene = scene(FallLayers::ALL);
    let ticks: Vec<[Pt; 2]> = scene
        .marks
        .iter()
        .filter(|m| m.role == Role::FacesWater)
        .flat_map(|m| match &m.shape {
            Shape::Strokes(strokes) => strokes.clone(),
            _ => Vec::new(),
        })
        .collect();
    // South of the low line at y = 4000 the deck rises to the south.
    assert!(ticks.len() > 10);
    assert!(ticks.iter().all(|[a, b]| (a.y == 2825 || a.y == 3750) && b.y < a.y && b.x == a.x), "{ticks:?}");
}

#[test]
fn a_border_between_catchments_is_drawn_once_and_not_along_the_deck() {
    let scene = scene(FallLayers::ALL);
    let runs: Vec<&Shape> =
        scene.marks.iter().filter(|m| m.role == Role::Catchment).map(|m| &m.shape).collect();
    let [Shape::Line(run)] = runs.as_slice() else { panic!("one run: {runs:?}") };
    let ends = [run[0], run[run.len() - 1]];
    assert_eq!(run.len(), 3);
    assert!(ends.contains(&Pt::new(9000, 0)) && ends.contains(&Pt::new(12_000, 2000)), "{run:?}");
}

#[test]
fn a_low_line_that_the_user_drew_is_not_drawn_twice() {
    let scene = scene(FallLayers::ALL);
    let same = scene.marks.iter().filter(|m| {
        m.role == Role::LowLine
            && matches!(&m.shape, Shape::Line(l) if l.contains(&Pt::new(4000, 4000)) && l.contains(&Pt::new(8000, 4000)))
    });
    assert_eq!(same.count(), 1);
}

#[test]
fn equal_falls_of_two_parts_are_both_written() {
    // A roof with two sides of 1:40: both arrows carry it, though the words are alike.
    let mut layout = drained::layout();
    let falls = layout.falls.as_mut().expect("falls");
    falls.points[5] = [8_000_000, 4_000_000, 50_000];
    let points = falls.points.clone();
    for facet in &mut falls.facets {
        *facet = drained::sloped(*facet, &points, facet.corners);
    }
    let options = SceneOptions { falls: FallLayers::ALL, ..SceneOptions::default() };
    let scene = deck_scene(&drained::plan(), &layout, options);
    let arrows = scene.symbols.iter().filter(|s| s.role == Role::FallArrow && s.sign == Sign::Fall).count();
    assert_eq!(arrows, 4, "four sides, each one part");
    let svg = scene_svg(&scene, 100, 10);
    let page = &pages(&drained::plan(), &layout, Paper::A3)[0];
    assert_eq!(svg.matches(">1:40<").count(), 4);
    assert_eq!(page.words().filter(|w| w.text == "1:40").count(), 4);
    assert_eq!(svg.matches(">Pond 1, 12 deep<").count(), 1, "one of its places");
}

#[test]
fn the_lists_hold_every_pond_outlet_and_part() {
    let (plan, layout) = (drained::plan(), drained::layout());
    let falls = layout.falls.as_ref().expect("falls");
    let read = |text: String| -> Vec<Vec<String>> {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        reader.records().map(|r| r.expect("a line").iter().map(str::to_owned).collect()).collect()
    };
    let ponds = read(pond_list_csv(&layout));
    assert_eq!(ponds.len(), falls.ponds.len());
    assert_eq!(ponds[0][3..6], ["12.000".to_owned(), "50.000".to_owned(), falls.ponds[0].size.to_string()]);
    let outlets = read(outlet_list_csv(&plan, &layout));
    let sum: i64 = outlets.iter().map(|row| row[7].parse::<i64>().expect("an area")).sum();
    assert_eq!((outlets.len(), sum), (2, 96_000_000));
    assert_eq!([&outlets[0][9], &outlets[0][10], &outlets[1][10]], ["1.875", "2.761", ""]);
    let seams = read(seam_list_csv(&layout));
    assert_eq!(seams.len(), layout.seams.iter().map(|s| s.parts.len()).sum::<usize>());
    let facing = seams.iter().filter(|row| row[1] == "bay edge" && row[5].contains("faces the water"));
    let length: i64 = facing.map(|row| row[10].parse::<i64>().expect("a length")).sum();
    let sums = falls.lengths.iter().find(|l| l.verdict == Verdict::FacesWater).expect("all verdicts");
    assert_eq!(length, sums.bay_edges);
}

#[test]
fn the_picture_is_the_page() {
    let (plan, layout) = (drained::plan(), drained::layout());
    for paper in BOTH {
        let options = SheetOptions { paper };
        let svg = drainage_svg(&plan, &layout, &options).expect("falls");
        let page = &pages(&plan, &layout, paper)[0];
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n") && !svg.contains("NaN"));
        assert_eq!(svg.matches("<text ").count(), page.words().count());
        assert_eq!(svg.matches("<g ").count(), svg.matches("</g>").count());
        assert_eq!(svg, drainage_svg(&plan, &layout, &options).expect("falls"), "the same bytes");
    }
}
