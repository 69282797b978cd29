//! The programme from its fields: gangs, rates, the calendar, and bays tied to a day.

use crate::hands::{Hands, roof};
use baylap_core::plan::{Programme, Tie};
use baylap_editor::{Change, FieldKind, Message, Panel, Selection, Shift, Tool, gangs};

fn programme(h: &Hands) -> Programme {
    h.session.plan().programme.clone()
}

#[test]
fn a_rate_shows_its_example_while_it_is_empty() {
    let mut h = Hands::on(roof());
    let usual = |h: &Hands| {
        let groups = h.session.settings(Panel::Programme);
        let mut fields = groups.into_iter().flat_map(|g| g.fields);
        let field = fields.find(|f| f.id.0 == "programme.rates.prime").expect("listed");
        (field.text, field.usual)
    };
    assert_eq!(usual(&h), (String::new(), "example 120 m²/h, no published norm"));
    h.typed("programme.rates.prime", "95,5");
    assert_eq!(usual(&h), ("95.5".to_owned(), ""));
    assert_eq!(programme(&h).rates.prime, Some(9_550));
    h.typed("programme.rates.upstand", "7.5");
    assert_eq!(programme(&h).rates.upstand, Some(7_500), "mm an hour");
    h.typed("programme.rates.day_start", "07:30");
    assert_eq!(programme(&h).rates.day_start, Some(450), "7 x 60 + 30");
    for wrong in ["7", "24:00", "07:60", "+7:30", "7:3x"] {
        assert!(h.typed("programme.rates.day_start", wrong).problem.is_some(), "{wrong}");
    }
    assert_eq!(programme(&h).rates.day_start, Some(450));
    h.typed("programme.rates.prime", "");
    assert_eq!(programme(&h).rates.prime, None);
}

#[test]
fn lists_of_dates_are_typed_or_pasted() {
    let mut h = Hands::on(roof());
    h.typed("programme.calendar.start", "2026-11-30");
    h.typed("programme.calendar.holidays", "2026-12-25, 2026-12-26;2027-01-01\n2026-12-25");
    let dates: Vec<String> = programme(&h).calendar.holidays.iter().map(ToString::to_string).collect();
    assert_eq!(dates, ["2026-12-25", "2026-12-26", "2027-01-01"], "each once, as typed");
    let said = h.typed("programme.calendar.lost", "2026-12-01 2026-02-30").problem.expect("refused");
    assert!(said.contains("\"2026-02-30\" is no date"), "{said}");
    assert!(programme(&h).calendar.lost.is_empty(), "nothing of a wrong list is taken");
    h.typed("programme.calendar.week", "mon tue, Saturday");
    assert_eq!(programme(&h).calendar.week, [true, true, false, false, false, true, false]);
    let said = h.typed("programme.calendar.week", "Mon Holy").problem.expect("refused");
    assert!(said.contains("\"Holy\" is no day of the week"), "{said}");
}

/// The choices of a field of the programme: values and words.
fn choices(h: &Hands, field: &str) -> Vec<(String, String)> {
    let fields = h.session.settings(Panel::Programme).into_iter().flat_map(|g| g.fields);
    let found = fields.into_iter().find(|f| f.id.0 == field).expect("listed");
    let FieldKind::Choice(all) = found.kind else { panic!("{field} has no choices") };
    all.into_iter().map(|c| (c.value.into_owned(), c.label.into_owned())).collect()
}

#[test]
fn a_melter_that_is_gone_stays_named_in_its_field() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Melter);
    h.click([4000, 1000]);
    let melter = h.session.plan().melters[0].id;
    h.typed("programme.gangs", "1");
    h.typed("programme.gangs[0].melter", &melter.to_string());
    h.send(Message::Edit(Change::Delete(melter)));
    let words: Vec<String> = choices(&h, "programme.gangs[0].melter").into_iter().map(|c| c.1).collect();
    assert_eq!(words[1], format!("{melter}, not on the plan any more"));
    assert_eq!(
        h.typed("programme.gangs[0].melter", &melter.to_string()).problem,
        None,
        "as it was is no change"
    );
}

#[test]
fn a_melter_is_moved_by_hand_and_by_its_fields() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Melter);
    h.click([4000, 1000]);
    let melter = h.session.plan().melters[0].clone();
    h.tool(Tool::Select);
    h.send(Message::Select(Some(Selection::Thing(melter.id))));
    h.drag([4000, 1000], [5000, 2000]);
    let moved = h.session.plan().melters[0].at;
    assert!((moved.x - 5000).abs() <= 50 && (moved.y - 2000).abs() <= 50, "{moved:?}");
    h.typed(&format!("thing/{}/corner/0/x", melter.id), "1.250");
    assert_eq!(h.session.plan().melters[0].at.x, 1250);
}

#[test]
fn how_details_are_made_is_typed() {
    let mut h = Hands::on(roof());
    h.typed("detailing.joint_girth", "330");
    h.typed("detailing.bar_centres", "0.25");
    assert_eq!(h.session.plan().detailing.joint_girth, Some(330));
    assert_eq!(h.session.plan().detailing.bar_centres, Some(250));
    h.typed("detailing.joint_girth", "");
    assert_eq!(h.session.plan().detailing.joint_girth, None);
    assert!(h.typed("detailing.bar_centres", "0").problem.is_some(), "the plan file takes none below 1 mm");
}

#[test]
fn every_rate_that_is_an_example_has_a_field_to_give_it_in() {
    let h = Hands::on(roof());
    let examples = baylap_core::rates::resolve(h.session.plan()).examples;
    assert!(examples.len() > 20, "{}", examples.len());
    for path in examples {
        let label = baylap_editor::fields::label_of(&h.session, &path);
        assert!(label.is_some_and(|l| !l.is_empty()), "{path} has no field");
    }
}

#[test]
fn any_gang_can_leave() {
    let mut h = Hands::on(roof());
    h.typed("programme.gangs", "3");
    for (n, name) in ["East", "North", "West"].into_iter().enumerate() {
        h.typed(&format!("programme.gangs[{n}].name"), name);
    }
    let fewer = gangs::without(&programme(&h), 1).expect("there are three");
    h.send(Message::Edit(Change::Programme(fewer)));
    let names: Vec<String> = programme(&h).gangs.iter().map(|g| g.name.clone()).collect();
    assert_eq!(names, ["East", "West"]);
    assert!(gangs::without(&programme(&h), 2).is_none());
    let more = gangs::with_one_more(h.session.plan()).expect("room for one");
    let ids: std::collections::BTreeSet<u32> = more.gangs.iter().map(|g| g.id).collect();
    assert_eq!(ids.len(), 3, "each with a number of its own");
}

#[test]
fn gangs_come_and_go() {
    let mut h = Hands::on(roof());
    h.tool(Tool::Melter);
    h.click([4000, 1000]);
    let melter = h.session.plan().melters[0].id;
    let before = h.session.plan().clone();
    h.typed("programme.gangs", "2");
    h.send(Message::FieldLeft);
    let ids: Vec<u32> = programme(&h).gangs.iter().map(|g| g.id).collect();
    assert_eq!(ids, [melter + 1, melter + 2], "ids that nothing else has");
    h.typed("programme.gangs[1].name", "West");
    h.typed("programme.gangs[1].people", "3");
    h.typed("programme.gangs[1].melter", &melter.to_string());
    let said = h.typed("programme.gangs[0].melter", "99").problem.expect("refused");
    assert_eq!(said, "\"99\" is none of the choices: pick one, or none.");
    let melters: Vec<(String, String)> = choices(&h, "programme.gangs[0].melter");
    let listed = (melter.to_string(), format!("Melter {melter}"));
    assert_eq!(melters, [(String::new(), "The nearest to each bay".to_owned()), listed], "chosen by name");
    let west = programme(&h).gangs[1].clone();
    assert_eq!((west.name.as_str(), west.people, west.melter), ("West", 3, Some(melter)));
    h.typed("programme.gangs", "1");
    assert_eq!(programme(&h).gangs.len(), 1);
    h.typed("programme.details", "others");
    h.typed("programme.details.people", "4");
    while h.session.history().undo_len() > 1 {
        h.undo();
    }
    assert_eq!(*h.session.plan(), before, "every step is undone");
}

#[test]
fn a_bay_is_tied_and_untied() {
    let plan = roof();
    let layout = baylap_core::lay(&plan);
    let bay = layout.bays[0].clone();
    let mut h = Hands::on(plan);
    h.typed("programme.gangs", "2");
    let path = |key: &str| format!("tie/{}/{}/{key}", bay.label.x, bay.label.y);
    h.typed(&path("day"), "3");
    h.typed(&path("gang"), "Gang 2");
    let gang = programme(&h).gangs[1].id;
    let [tie] = programme(&h).ties.try_into().expect("one tie, with both");
    assert_eq!((tie.at, tie.day, tie.gang), (bay.label, Some(3), Some(gang)));
    assert_eq!(tie.id, gang + 1);
    assert!(h.typed(&path("gang"), "77").problem.is_some_and(|p| p.contains("none of the choices")));
    assert!(h.typed(&path("day"), "0").problem.is_some());
    h.send(Message::Edit(Change::MoveAll(Shift { dx: 500, dy: -200 })));
    let moved = programme(&h).ties[0].at;
    assert_eq!((moved.x, moved.y), (bay.label.x + 500, bay.label.y - 200), "a tie goes with its bay");
    let path = |key: &str| format!("tie/{}/{}/{key}", moved.x, moved.y);
    h.typed(&path("day"), "");
    h.typed(&path("gang"), "");
    assert_eq!(programme(&h).ties, Vec::<Tie>::new(), "a tie that says nothing goes");
}
