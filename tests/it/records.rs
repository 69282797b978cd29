//! Site records on the demo jobs: where thickness is read, one sentence on each entry, what is missing.
//!
//! In: the demo plans, with records made here. Out: a failure that names the job and the place. The places are held to what
//! they promise by looking at the pieces as laid, not by how they were found.

use crate::places::{demos, plan_of};
use baylap_core::geom::ring::{Side, edges, locate_in};
use baylap_core::geom::{Pt, Region};
use baylap_core::model::distance_to;
use baylap_core::plan::{Date, Entry, Plan, Record, Tested, WorkStep};
use baylap_core::records::{
    Due, ReadingPlace, Verdict, bay_at, judge, outstanding, reading_places, readings_due,
};
use baylap_core::{Layout, lay, lay_quick};

fn laid(file: &str) -> (Plan, Layout) {
    let (name, text) = demos().into_iter().find(|(name, _)| name == file).unwrap();
    let plan = plan_of(&name, &text);
    let layout = lay_quick(&plan);
    (plan, layout)
}

fn clear_of(at: Pt, area: &[Region]) -> f64 {
    let all = area.iter().flatten().flat_map(|ring| edges(ring));
    all.map(|(a, b)| distance_to(at, a, b)).fold(f64::MAX, f64::min)
}

/// UFGS 07141 section 3.4.2 (fluid-applied decks): a reading every 10 m2. 237 m2 take 24, one begun counting as whole.
#[test]
fn as_many_readings_as_are_due() {
    let (mut plan, layout) = laid("01-canopy.json");
    let bay = |size: i64| baylap_core::layout::Bay { size, ..Default::default() };
    for (square_metres, due) in [(237, 24), (10, 1), (1, 1), (240, 24), (241, 25)] {
        assert_eq!(readings_due(&plan, &bay(square_metres * 1_000_000)), due, "{square_metres} m2");
    }
    assert_eq!(readings_due(&plan, &bay(0)), 1, "one a bay at the least");
    plan.recording.reading_area = 2500;
    assert_eq!(readings_due(&plan, &bay(237_000_000)), 10);
    assert_eq!(reading_places(&plan, &layout).iter().filter(|p| p.bay == 1).count(), {
        readings_due(&plan, &layout.bays[0]) as usize
    });
}

/// On every demo job: as many as are due, each in its bay and on one piece, apart from one another, and clear of laps,
/// openings and edges by 300 mm, or by 150 mm in the few places where there is no more room.
#[test]
fn places_are_clear_of_laps_and_openings() {
    for (name, text) in demos() {
        let plan = plan_of(&name, &text);
        let layout = lay(&plan);
        let places = reading_places(&plan, &layout);
        let due: u32 = layout.bays.iter().map(|b| readings_due(&plan, b)).sum();
        assert_eq!(places.len(), due as usize, "{name}");
        let mut tight = 0;
        for place in &places {
            assert_eq!(bay_at(&layout, place.at), Some(place.bay), "{name}: {place:?}");
            let on = layout
                .pieces
                .iter()
                .filter(|p| p.as_laid.iter().any(|r| locate_in(place.at, r) != Side::Outside));
            assert_eq!(on.count(), 1, "{name}: {place:?} lies on one piece");
            let clear = layout.pieces.iter().map(|p| clear_of(place.at, &p.as_laid)).fold(f64::MAX, f64::min);
            let bay = layout.bays.iter().find(|b| b.number == place.bay).unwrap();
            let clear = clear.min(clear_of(place.at, &bay.area));
            assert!(clear >= 100.0, "{name}: {place:?} is {clear} mm clear");
            tight += u32::from(clear < 300.0);
        }
        assert!(tight * 10 <= due, "{name}: {tight} of {due} are nearer than 300 mm");
        spread(&name, &places, &layout);
    }
}

/// Readings of one bay are never two at one spot: at least 1 m apart where several are due.
fn spread(name: &str, places: &[ReadingPlace], layout: &Layout) {
    for bay in &layout.bays {
        let own: Vec<&ReadingPlace> = places.iter().filter(|p| p.bay == bay.number).collect();
        for (i, a) in own.iter().enumerate() {
            for b in &own[i + 1..] {
                let apart = a.at.distance(b.at);
                assert!(apart >= 900.0, "{name}: {a:?} and {b:?} are {apart} mm apart");
            }
        }
    }
}

fn record(key: &str, at: Option<Pt>, what: Entry) -> Record {
    Record {
        key: key.to_owned(),
        replaces: None,
        date: Date::new(2026, 11, 30),
        time: "9:00".to_owned(),
        by: "A. Person".to_owned(),
        at,
        what,
    }
}

fn note() -> String {
    String::new()
}

/// Coats of 3 and 3 mm (common practice, no source): a nominal of 6.00 mm.
#[test]
fn thickness_is_held_against_the_nominal() {
    let (mut plan, layout) = laid("01-canopy.json");
    let at = Some(layout.bays[0].label);
    let said = |plan: &Plan, hundredths: i64, with_sheet: bool, at: Option<Pt>| {
        let judged = judge(
            plan,
            &layout,
            &record("k-1", at, Entry::Thickness { hundredths, with_sheet, note: note() }),
        );
        (judged.verdict, judged.text)
    };
    let expect = |verdict: Verdict, text: &str| (verdict, text.to_owned());
    assert_eq!(said(&plan, 612, false, at), expect(Verdict::Sound, "6.12 mm meets the nominal 6.00 mm."));
    assert_eq!(said(&plan, 600, false, at).0, Verdict::Sound);
    assert_eq!(
        said(&plan, 560, false, at),
        expect(
            Verdict::Failed,
            "5.60 mm is 0.40 mm under the nominal 6.00 mm: build it up and read it again."
        )
    );
    assert_eq!(said(&plan, 599, false, at).0, Verdict::Failed);
    assert_eq!(said(&plan, 6120, false, at).0, Verdict::Doubtful, "a figure in the wrong unit");
    assert_eq!(said(&plan, 612, false, None).0, Verdict::Doubtful);
    assert_eq!(
        said(&plan, 780, true, at),
        expect(
            Verdict::Doubtful,
            "7.80 mm with the sheet cannot be judged: say how thick the protection sheet is, or read the membrane alone."
        )
    );
    plan.recording.sheet = Some(200);
    plan.recording.allowance = 20;
    assert_eq!(
        said(&plan, 780, true, at),
        expect(
            Verdict::Sound,
            "7.80 mm with the sheet is 0.20 mm under the nominal 8.00 mm, within the 0.20 mm that the plan allows."
        )
    );
    assert_eq!(said(&plan, 779, true, at).0, Verdict::Failed);
    plan.products.coats = Vec::new();
    assert_eq!(said(&plan, 612, false, at).0, Verdict::Doubtful, "nothing to hold it against");
}

/// A day of work entered step by step: what is said of each entry, and what is missing after it.
#[test]
fn a_day_as_it_is_entered() {
    let (mut plan, layout) = laid("01-canopy.json");
    let label = layout.bays[0].label;
    let at = Some(label);
    let places = reading_places(&plan, &layout);
    let own: Vec<Pt> = places.iter().filter(|p| p.bay == 1).map(|p| p.at).collect();
    let mut next = 0;
    let mut enter = |plan: &mut Plan, at: Option<Pt>, what: Entry| {
        next += 1;
        let record = record(&format!("k-{next}"), at, what);
        let judged = judge(plan, &layout, &record);
        plan.records.push(record);
        judged.verdict
    };
    let kinds = |plan: &Plan| -> Vec<(Due, bool)> {
        outstanding(plan, &layout).into_iter().map(|o| (o.kind, o.late)).collect()
    };
    let done = |step| Entry::Done { step };
    assert_eq!(kinds(&plan), [], "what is not begun lacks nothing");
    assert_eq!(enter(&mut plan, at, done(WorkStep::Primed)), Verdict::Sound);
    assert_eq!(enter(&mut plan, at, done(WorkStep::Poured)), Verdict::Doubtful, "no bond test, no details");
    assert_eq!(kinds(&plan), [(Due::BondTest, true), (Due::Reading, false), (Due::LeakTest, false)]);
    assert_eq!(enter(&mut plan, at, Entry::Bond { passed: false, note: note() }), Verdict::Failed);
    assert_eq!(kinds(&plan)[0], (Due::BondTest, true), "one that failed is none");
    assert_eq!(enter(&mut plan, at, Entry::Bond { passed: true, note: note() }), Verdict::Sound);
    assert_eq!(kinds(&plan), [(Due::Reading, false), (Due::LeakTest, false)]);
    assert_eq!(enter(&mut plan, at, done(WorkStep::Details)), Verdict::Sound);
    let thick = |hundredths| Entry::Thickness { hundredths, with_sheet: false, note: note() };
    for place in &own[1..] {
        assert_eq!(enter(&mut plan, Some(*place), thick(610)), Verdict::Sound);
    }
    let due = &outstanding(&plan, &layout)[0];
    assert_eq!((due.kind, due.at), (Due::Reading, Some(own[0])), "it points at the place that is free");
    assert_eq!(enter(&mut plan, Some(own[0]), thick(570)), Verdict::Failed);
    assert_eq!(kinds(&plan), [(Due::Thickness, false), (Due::LeakTest, false)]);
    assert_eq!(enter(&mut plan, Some(own[0]), thick(605)), Verdict::Sound, "built up and read again");
    assert_eq!(kinds(&plan), [(Due::LeakTest, false)]);
    assert_eq!(enter(&mut plan, at, done(WorkStep::Protected)), Verdict::Sound);
    assert_eq!(kinds(&plan), [(Due::LeakTest, false), (Due::SignOff, false)]);
    assert_eq!(enter(&mut plan, at, Entry::SignOff { note: note() }), Verdict::Doubtful, "not tested");
    let leak = |over, passed| Entry::Leak { over, passed, note: note() };
    assert_eq!(enter(&mut plan, at, leak(Tested::Bay, false)), Verdict::Failed);
    assert_eq!(kinds(&plan), [(Due::Leak, false)]);
    assert_eq!(enter(&mut plan, at, done(WorkStep::Covered)), Verdict::Doubtful, "a leak is covered up");
    assert_eq!(kinds(&plan), [(Due::Leak, true)]);
    assert_eq!(enter(&mut plan, None, leak(Tested::Roof, true)), Verdict::Sound);
    assert_eq!(kinds(&plan), []);
    assert_eq!(enter(&mut plan, at, Entry::SignOff { note: note() }), Verdict::Sound);
    let lost = Some(Pt::new(-5000, -5000));
    assert_eq!(enter(&mut plan, lost, thick(610)), Verdict::Doubtful);
    assert_eq!(kinds(&plan), [(Due::Place, false)]);
}

/// A fault found while the whole roof was tested is the fault of the bay it lies in; an area takes in the bays inside it.
#[test]
fn leak_tests_speak_for_the_bays_they_took_in() {
    let (mut plan, layout) = laid("02-l-shape.json");
    for (i, bay) in layout.bays.iter().enumerate() {
        plan.records.push(record(&format!("p-{i}"), Some(bay.label), Entry::Done { step: WorkStep::Poured }));
    }
    let open = |plan: &Plan, kind: Due| -> Vec<u32> {
        outstanding(plan, &layout).into_iter().filter(|o| o.kind == kind).filter_map(|o| o.bay).collect()
    };
    let all: Vec<u32> = layout.bays.iter().map(|b| b.number).collect();
    assert!(all.len() > 3);
    assert_eq!(open(&plan, Due::LeakTest), all);
    let leak = |over, passed| Entry::Leak { over, passed, note: note() };
    let corners = |x: i64| [(-x, -x), (x, -x), (x, x), (-x, x)].map(|(x, y)| Pt::new(x, y)).to_vec();
    let mut with_area = plan.clone();
    with_area.records.push(record("t-1", None, leak(Tested::Area { corners: corners(9_000_000) }, true)));
    assert_eq!(open(&with_area, Due::LeakTest), Vec::<u32>::new());
    with_area.records.pop();
    with_area.records.push(record("t-1", None, leak(Tested::Area { corners: corners(10) }, true)));
    assert_eq!(open(&with_area, Due::LeakTest), all);
    let fault = layout.bays[1].label;
    plan.records.push(record("t-1", Some(fault), leak(Tested::Roof, false)));
    assert_eq!(open(&plan, Due::Leak), [all[1]]);
    plan.records.push(record("t-2", None, leak(Tested::Roof, true)));
    assert_eq!(open(&plan, Due::Leak), Vec::<u32>::new());
    assert_eq!(open(&plan, Due::LeakTest), Vec::<u32>::new());
}

/// What is missing does not hang on the order in which the records stand in the file, nor on the numbers of the bays.
#[test]
fn what_is_missing_goes_by_place_and_time() {
    let (mut plan, layout) = laid("02-l-shape.json");
    for (i, bay) in layout.bays.iter().enumerate().take(4) {
        let step = if i % 2 == 0 { WorkStep::Poured } else { WorkStep::Protected };
        plan.records.push(record(&format!("p-{i}"), Some(bay.label), Entry::Done { step }));
        let low = Entry::Thickness {
            hundredths: 500 + 40 * i64::try_from(i).unwrap(),
            with_sheet: false,
            note: note(),
        };
        plan.records.push(record(&format!("q-{i}"), Some(bay.label), low));
    }
    let before = outstanding(&plan, &layout);
    assert!(before.len() > 6, "{before:#?}");
    plan.records.reverse();
    assert_eq!(outstanding(&plan, &layout), before);
    let mut renumbered = layout.clone();
    for bay in &mut renumbered.bays {
        bay.number += 100;
        bay.beside.iter_mut().for_each(|n| *n += 100);
    }
    renumbered.pieces.iter_mut().for_each(|p| p.bay += 100);
    let after = outstanding(&plan, &renumbered);
    let what = |list: &[baylap_core::records::Outstanding]| -> Vec<_> {
        list.iter().map(|o| (o.kind, o.at, o.late)).collect()
    };
    assert_eq!(what(&after), what(&before));
}

/// Records are no part of the layout: nothing that is entered moves a bay or makes a finding.
#[test]
fn records_move_nothing() {
    let (mut plan, _) = laid("01-canopy.json");
    let before = lay(&plan);
    plan.records.push(record("k-1", Some(before.bays[0].label), Entry::Done { step: WorkStep::Covered }));
    assert_eq!(lay(&plan), before);
}
