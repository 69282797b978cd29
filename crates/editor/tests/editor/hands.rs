//! Hands at the editor: clicks, drags, keys; and what must hold after every message.

use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::plan::{Corner, Deck, Opening, Outlet, file};
use baylap_editor::command::commands;
use baylap_editor::{
    Button, Effects, FieldGroup, KeyEvent, Message, Modifiers, Panel, Phase, PointerEvent, PointerKind, Px,
    Session, Tool, thing,
};
use std::collections::BTreeSet;

pub(crate) const SHIFT: Modifiers = Modifiers { shift: true, ctrl: false, alt: false, meta: false };
pub(crate) const CTRL: Modifiers = Modifiers { shift: false, ctrl: true, alt: false, meta: false };
pub(crate) const ALT: Modifiers = Modifiers { shift: false, ctrl: false, alt: true, meta: false };

/// Somebody at the screen.
pub(crate) struct Hands {
    pub(crate) session: Session,
    pub(crate) time_ms: f64,
}

impl Hands {
    pub(crate) fn on(plan: Plan) -> Self {
        let mut hands = Self { session: Session::new(plan), time_ms: 0.0 };
        hands.send(Message::Resize { width: 1000.0, height: 700.0 });
        hands
    }

    /// Sends a message and sweeps what must hold.
    #[track_caller]
    pub(crate) fn send(&mut self, message: Message) -> Effects {
        let what = format!("{message:?}");
        let (plan, revision) = (self.session.plan().clone(), self.session.revision());
        let effects = self.session.handle(message);
        sweep(&self.session, &effects, &what);
        // Records are no part of what is drawn: they come and the revision stays.
        let drawn = |plan: &Plan| Plan { records: Vec::new(), ..plan.clone() };
        let changed = drawn(&plan) != drawn(self.session.plan());
        let moved_on = self.session.revision() > revision;
        assert_eq!(effects.plan, moved_on.then(|| self.session.revision()), "{what}");
        assert!(moved_on || !changed, "a changed plan has a new revision: {what}");
        let recorded = plan.records != self.session.plan().records;
        assert!(!recorded || moved_on || effects.records, "new records are told: {what}");
        effects
    }

    /// Where a point of the plan is on the surface.
    pub(crate) fn px(&self, p: [i64; 2]) -> Px {
        self.session.camera().to_px(p.into())
    }

    #[track_caller]
    pub(crate) fn pointer(
        &mut self,
        phase: Phase,
        id: i32,
        kind: PointerKind,
        at: Px,
        modifiers: Modifiers,
    ) -> Effects {
        self.time_ms += 20.0;
        let event =
            PointerEvent { phase, id, kind, at, button: Button::Main, modifiers, time_ms: self.time_ms };
        self.send(Message::Pointer(event))
    }

    /// A click with the mouse at a place of the plan, long after the last.
    #[track_caller]
    pub(crate) fn click(&mut self, p: [i64; 2]) -> Effects {
        let at = self.px(p);
        self.time_ms += 5000.0;
        self.click_px(at)
    }

    #[track_caller]
    pub(crate) fn click_px(&mut self, at: Px) -> Effects {
        self.pointer(Phase::Move, 1, PointerKind::Mouse, at, Modifiers::default());
        self.pointer(Phase::Down, 1, PointerKind::Mouse, at, Modifiers::default());
        self.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default())
    }

    #[track_caller]
    pub(crate) fn double_click(&mut self, p: [i64; 2]) -> Effects {
        self.click(p);
        let at = self.px(p);
        self.click_px(at)
    }

    #[track_caller]
    pub(crate) fn move_to(&mut self, p: [i64; 2]) -> Effects {
        let at = self.px(p);
        self.pointer(Phase::Move, 1, PointerKind::Mouse, at, Modifiers::default())
    }

    /// A drag with the mouse in ten steps; it is not let go.
    #[track_caller]
    pub(crate) fn drag_held(&mut self, from: [i64; 2], to: [i64; 2]) {
        let (a, b) = (self.px(from), self.px(to));
        self.time_ms += 5000.0;
        self.pointer(Phase::Down, 1, PointerKind::Mouse, a, Modifiers::default());
        for step in 1..=10 {
            let t = f64::from(step) / 10.0;
            let at = Px::new(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t);
            self.pointer(Phase::Move, 1, PointerKind::Mouse, at, Modifiers::default());
        }
    }

    /// A whole drag with the mouse.
    #[track_caller]
    pub(crate) fn drag(&mut self, from: [i64; 2], to: [i64; 2]) -> Effects {
        self.drag_held(from, to);
        let at = self.px(to);
        self.pointer(Phase::Up, 1, PointerKind::Mouse, at, Modifiers::default())
    }

    #[track_caller]
    pub(crate) fn key(&mut self, key: &str) -> Effects {
        self.key_with(key, Modifiers::default())
    }

    #[track_caller]
    pub(crate) fn key_with(&mut self, key: &str, modifiers: Modifiers) -> Effects {
        self.send(Message::Key(KeyEvent { key: key.to_owned(), modifiers }))
    }

    /// Types character by character.
    #[track_caller]
    pub(crate) fn type_text(&mut self, text: &str) {
        for c in text.chars() {
            assert!(self.key(&c.to_string()).taken, "{c} of {text} is taken");
        }
    }

    #[track_caller]
    pub(crate) fn typed(&mut self, field: &str, text: &str) -> Effects {
        let field = baylap_editor::FieldId::new(field);
        self.send(Message::Typed { field, text: text.to_owned() })
    }

    #[track_caller]
    pub(crate) fn tool(&mut self, tool: Tool) {
        self.send(Message::SetTool(tool));
    }

    #[track_caller]
    pub(crate) fn undo(&mut self) -> Effects {
        self.key_with("z", CTRL)
    }

    #[track_caller]
    pub(crate) fn redo(&mut self) -> Effects {
        self.key_with("Z", Modifiers { shift: true, ..CTRL })
    }

    /// The corners of deck number `n` of the list.
    pub(crate) fn deck(&self, n: usize) -> Vec<[i64; 2]> {
        self.session.plan().decks[n].ring.iter().map(|c| c.at.into()).collect()
    }

    /// The text of a field that is shown.
    #[track_caller]
    pub(crate) fn field(&self, groups: &[FieldGroup], id: &str) -> (String, Option<String>) {
        let all = groups.iter().flat_map(|g| &g.fields);
        let found = all.into_iter().find(|f| f.id.0 == id);
        found.map_or_else(|| panic!("no field {id} in {groups:#?}"), |f| (f.text.clone(), f.problem.clone()))
    }
}

/// What holds whatever was done.
#[track_caller]
fn sweep(session: &Session, effects: &Effects, what: &str) {
    file::check(session.plan()).unwrap_or_else(|e| panic!("the plan cannot be saved: {e} after {what}"));
    let ids: Vec<_> = thing::all(session.plan()).iter().map(thing::Thing::id).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "ids are unique after {what}");
    if let Some(selected) = session.selection() {
        assert!(selected.holds(session.plan(), session.layout()), "{selected:?} exists after {what}");
    }
    for text in effects.problem.iter().chain(session.problem().map(str::to_owned).iter()) {
        assert!(text.ends_with('.') && !text.contains('\n'), "one sentence: {text} after {what}");
    }
    let c = session.camera();
    assert!([c.scale, c.x, c.y, c.width, c.height].iter().all(|v| v.is_finite()) && c.scale > 0.0, "{what}");
    let overlay = session.overlay();
    let marks = overlay.marks.iter().flat_map(|m| &m.points).chain(overlay.handles.iter().map(|h| &h.at));
    assert!(marks.into_iter().all(|p| p.x.is_finite() && p.y.is_finite()), "{what}");
    let panels = [
        Panel::Job,
        Panel::Products,
        Panel::Gang,
        Panel::Datum,
        Panel::Drainage,
        Panel::Recording,
        Panel::Programme,
    ]
    .map(|p| session.settings(p));
    for groups in panels.iter().chain([&session.fields()]) {
        let ids: Vec<_> = groups.iter().flat_map(|g| &g.fields).map(|f| &f.id).collect();
        assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "field ids are unique after {what}");
    }
    let usable = commands().iter().filter(|c| c.enabled(session)).count();
    assert!(usable > 20, "most commands can always be used: {usable} after {what}");
}

/// An invented roof: a deck of 10 x 6 m with an opening and an outlet.
pub(crate) fn roof() -> Plan {
    let ring =
        |points: &[[i64; 2]]| points.iter().map(|&p| Corner { at: p.into(), ..Corner::default() }).collect();
    let outline = [[0, 0], [10_000, 0], [10_000, 6000], [0, 6000]];
    let hole = [[6000, 3000], [8000, 3000], [8000, 4500], [6000, 4500]];
    let at = Pt::new(2000, 1500);
    Plan {
        decks: vec![Deck { id: 1, name: String::new(), ring: ring(&outline) }],
        openings: vec![Opening { id: 2, name: String::new(), ring: ring(&hole) }],
        outlets: vec![Outlet { id: 3, at, bowl: 200, clear_zone: 500, ..Outlet::default() }],
        ..Plan::default()
    }
}
