//! What lies over the drawing: selection, rubber band, handles, sizes, snap mark, cross.
//!
//! In: the editor's overlay in pixels. Out: SVG elements in pixels.

use crate::state::shell;
use baylap_editor::{Handle, HandleKind, Label, Mark, MarkKind, Overlay, Px, SnapMark};
use leptos::prelude::*;

/// The overlay as it is now, computed once for all that show a part of it.
pub(super) fn signal() -> Memo<Overlay> {
    let shell = shell();
    let parts = shell.parts;
    Memo::new(move |_| {
        for part in [parts.overlay, parts.view, parts.selection, parts.plan, parts.tool, parts.layout] {
            part.track();
        }
        shell.read(baylap_editor::Session::overlay)
    })
}

/// The overlay.
#[component]
pub(super) fn Over() -> impl IntoView {
    let overlay = expect_context::<Memo<Overlay>>();
    view! {
        <g class="over">
            {move || overlay.with(|o| o.marks.iter().map(mark).collect_view())}
            {move || overlay.with(|o| o.handles.iter().map(handle).collect_view())}
            {move || overlay.with(|o| o.labels.iter().map(label).collect_view())}
            {move || overlay.with(|o| o.snap.as_ref().map(snap))}
            {move || overlay.with(|o| o.cross.map(cross))}
        </g>
    }
}

fn mark(mark: &Mark) -> impl IntoView + use<> {
    let class = match mark.kind {
        MarkKind::Selected => "mark selected",
        MarkKind::Hovered => "mark hovered",
        MarkKind::Drawn => "mark drawn",
        MarkKind::Band => "mark band",
        MarkKind::Guide => "mark guide",
        MarkKind::Proposed => "mark proposed",
        MarkKind::Held => "mark held",
    };
    let mut data = String::new();
    for (i, p) in mark.points.iter().enumerate() {
        data.push_str(&format!("{}{:.1} {:.1}", if i == 0 { 'M' } else { 'L' }, p.x, p.y));
    }
    if mark.closed {
        data.push('z');
    }
    view! { <path class=class d=data></path> }
}

fn handle(handle: &Handle) -> impl IntoView + use<> {
    let Px { x, y } = handle.at;
    let class = if handle.selected { "handle selected" } else { "handle" };
    let data = match handle.kind {
        HandleKind::Corner => format!("M{:.1} {:.1}h9v9h-9z", x - 4.5, y - 4.5),
        HandleKind::Edge => format!("M{x:.1} {:.1}l5 5-5 5-5-5z", y - 5.0),
        HandleKind::Whole => format!("M{:.1} {y:.1}a6 6 0 1 0 12 0a6 6 0 1 0-12 0", x - 6.0),
    };
    view! { <path class=class d=data></path> }
}

fn label(label: &Label) -> impl IntoView + use<> {
    let class = if label.live { "size live" } else { "size" };
    view! { <text class=class x=format!("{:.1}", label.at.x) y=format!("{:.1}", label.at.y)>{label.text.clone()}</text> }
}

fn snap(snap: &SnapMark) -> impl IntoView + use<> {
    let Px { x, y } = snap.at;
    let word = snap.kind.word();
    view! {
        <g class="snap">
            <path d=format!("M{:.1} {y:.1}a7 7 0 1 0 14 0a7 7 0 1 0-14 0", x - 7.0)></path>
            <text x=format!("{:.1}", x + 12.0) y=format!("{:.1}", y - 10.0)>{word}</text>
        </g>
    }
}

fn cross(at: Px) -> impl IntoView {
    let (x, y) = (at.x, at.y);
    view! {
        <path
            class="cross"
            d=format!("M{:.1} {y:.1}h16m8 0h16M{x:.1} {:.1}v16m0 8v16", x - 20.0, y - 20.0)
        ></path>
    }
}
