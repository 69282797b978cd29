//! Anything, in any order: nothing panics, what must hold holds after every message, and undo and redo lead to the
//! very plans they came from.

use crate::hands::{Hands, roof};
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::plan::{Edge, Gang};
use baylap_editor::command::commands;
use baylap_editor::{
    Button, Change, CommandId, FixedEnd, KeyEvent, Message, Modifiers, Phase, PointerEvent, PointerKind, Px,
    Selection, Shift, Tool,
};
use proptest::prelude::*;

fn place() -> impl Strategy<Value = Px> {
    (-20.0..1020.0, -20.0..720.0).prop_map(|(x, y)| Px::new(x, y))
}

fn modifiers() -> impl Strategy<Value = Modifiers> {
    (0..10_u8).prop_map(|n| Modifiers { shift: n == 0, ctrl: n == 1, alt: n == 2, meta: false })
}

fn pointer() -> impl Strategy<Value = Message> {
    let phase = prop_oneof![
        3 => Just(Phase::Down), 4 => Just(Phase::Move), 4 => Just(Phase::Up), 1 => Just(Phase::Cancel), 1 => Just(Phase::Leave)
    ];
    let kind = prop_oneof![4 => Just(PointerKind::Mouse), 3 => Just(PointerKind::Touch), 1 => Just(PointerKind::Pen)];
    let button = prop_oneof![8 => Just(Button::Main), 1 => Just(Button::Middle), 1 => Just(Button::Other)];
    (phase, kind, button, 1..3_i32, place(), modifiers(), 0.0..5000.0_f64).prop_map(
        |(phase, kind, button, id, at, modifiers, time_ms)| {
            Message::Pointer(PointerEvent { phase, id, kind, at, button, modifiers, time_ms })
        },
    )
}

fn key() -> impl Strategy<Value = Message> {
    let keys = [
        "1",
        "2",
        "5",
        "0",
        ",",
        ".",
        "m",
        "Enter",
        "Enter",
        " ",
        "Tab",
        "Escape",
        "Backspace",
        "Delete",
        "ArrowUp",
        "ArrowLeft",
        "ArrowRight",
        "ArrowDown",
        "d",
        "o",
        "p",
        "j",
        "s",
        "n",
        "e",
        "i",
        "x",
        "z",
        "y",
        "é",
        "",
    ];
    (prop::sample::select(keys.to_vec()), modifiers())
        .prop_map(|(key, modifiers)| Message::Key(KeyEvent { key: key.to_owned(), modifiers }))
}

fn command() -> impl Strategy<Value = Message> {
    (0..commands().len()).prop_map(|n| Message::Command(commands()[n].id))
}

fn selection() -> impl Strategy<Value = Selection> {
    (0..12_u32, 0..6_u32, 0..4_u8).prop_map(|(id, part, kind)| match kind {
        0 => Selection::Thing(id),
        1 => Selection::Edge { id, edge: part },
        2 => Selection::Corner { id, corner: part },
        _ => Selection::Datum,
    })
}

fn change() -> impl Strategy<Value = Message> {
    (0..10_u8, 0..10_u32, 0..6_u32, -9000..20_000_i64, -9000..20_000_i64).prop_map(|(kind, id, n, x, y)| {
        let (to, by) = (Pt::new(x, y), Shift { dx: x, dy: y });
        Message::Edit(match kind {
            0 => Change::Delete(id),
            1 => Change::Move { id, by, with_contents: true },
            2 => Change::MoveAll(by),
            3 => Change::MoveCorner { id, corner: n, to },
            4 => Change::MoveEdge { id, edge: n, by: x },
            5 => Change::InsertCorner { id, edge: n, at: to },
            6 => Change::DeleteCorner { id, corner: n },
            7 => Change::SetEdgeLength { id, edge: n, length: x, fixed: FixedEnd::End },
            8 => Change::SetEdge { id, edge: n, kind: Edge::default() },
            _ => Change::Gang(Gang { people: n, ..Gang::default() }),
        })
    })
}

/// A click that is a click, so that drawings are finished now and then.
fn click() -> impl Strategy<Value = Vec<Message>> {
    (place(), 0.0..5000.0_f64).prop_map(|(at, time_ms)| {
        let event = |phase| PointerEvent { phase, id: 1, at, time_ms, ..PointerEvent::default() };
        [Phase::Move, Phase::Down, Phase::Up].map(|phase| Message::Pointer(event(phase))).to_vec()
    })
}

fn messages() -> impl Strategy<Value = Vec<Message>> {
    let one = prop_oneof![
        6 => pointer(),
        6 => key(),
        2 => command(),
        2 => change(),
        2 => prop::option::of(selection()).prop_map(Message::Select),
        2 => prop::sample::select(Tool::ALL.to_vec()).prop_map(Message::SetTool),
        1 => (place(), -900.0..900.0).prop_map(|(at, dy)| {
            Message::Wheel { at, dx: 0.0, dy, modifiers: Modifiers::default() }
        }),
        1 => prop::sample::select(vec!["12", "3,5 m", "x", ""]).prop_map(|t| Message::Entry(t.to_owned())),
        1 => Just(Message::Loaded(roof())),
    ];
    prop::collection::vec(prop_oneof![2 => one.prop_map(|m| vec![m]), 1 => click()], 1..80)
        .prop_map(|all| all.into_iter().flatten().collect())
}

/// Leaves nothing half done: the drawing, the drag.
fn come_to_rest(h: &mut Hands) {
    h.send(Message::SetTool(Tool::Select));
    assert!(!h.session.is_dragging() && !h.session.is_drawing());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn undo_all_leads_to_the_start_and_redo_all_to_the_end(messages in messages(), empty in any::<bool>()) {
        let start = if empty { Plan::default() } else { roof() };
        let mut h = Hands::on(start.clone());
        for message in messages {
            h.send(message);
        }
        come_to_rest(&mut h);
        // What was undone on the way is done again, so that the end is the end of the history.
        while h.session.history().can_redo() {
            h.send(Message::Command(CommandId::Redo));
        }
        let (end, steps) = (h.session.plan().clone(), h.session.history().undo_len());
        for _ in 0..steps {
            h.send(Message::Command(CommandId::Undo));
        }
        prop_assert_eq!(&**h.session.plan(), &start);
        prop_assert!(!h.session.history().can_undo());
        for _ in 0..steps {
            h.send(Message::Command(CommandId::Redo));
        }
        prop_assert_eq!(h.session.plan(), &end);
        prop_assert!(!h.session.history().can_redo());
    }

    #[test]
    fn what_is_saved_comes_back(messages in messages()) {
        let mut h = Hands::on(roof());
        for message in messages {
            h.send(message);
        }
        let saved = h.session.to_saved();
        let text = serde_json::to_string(&saved).expect("it serialises");
        let read: baylap_editor::Saved = serde_json::from_str(&text).expect("it reads");
        prop_assert_eq!(&read.plan, &saved.plan);
        let again = baylap_editor::Session::from_saved(read).expect("it is sound");
        prop_assert_eq!(&**again.plan(), &saved.plan);
        prop_assert_eq!(again.history().undo_len(), saved.undo.len());
    }

    #[test]
    fn no_length_panics_the_reader(text in "[0-9., '\"/mcftin°−+-]{0,14}") {
        if let Ok(mm) = baylap_editor::measure::parse_length(&text) {
            prop_assert!(mm > 0);
            prop_assert_eq!(baylap_editor::measure::parse_length(&baylap_editor::measure::metres(mm)), Ok(mm));
        }
    }
}
