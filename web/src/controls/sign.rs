//! Signs on buttons and beside words: line work on a 20 x 20 grid, drawn for this program.
//!
//! In: a name or a tool. Out: an SVG that takes the colour of the words beside it and is hidden from screen readers.

use baylap_core::Severity;
use baylap_editor::Tool;
use leptos::prelude::*;

/// A sign from its lines.
pub(crate) fn sign(data: &'static str) -> impl IntoView {
    view! { <svg class="sign" viewBox="0 0 20 20" aria-hidden="true"><path d=data></path></svg> }
}

/// The program's mark: two courses that lap, seen in plan.
pub(crate) fn mark() -> impl IntoView {
    view! {
        <svg viewBox="0 0 26 26" aria-hidden="true">
            <path d="M2 4h22v8H2z" fill="var(--accent)"></path>
            <path d="M2 10h22v12H2z" fill="none" stroke="currentColor" stroke-width="1.8"></path>
            <path d="M4.5 12.5l2-2M9 12.5l2-2M13.500 12.5l2-2M18 12.5l2-2" stroke="var(--on-accent)" stroke-width="1.2" fill="none"></path>
            <path d="M2 16.500h22" stroke="currentColor" stroke-width="1"></path>
        </svg>
    }
}

/// Shape of a severity: a square on its corner, a triangle, a circle.
pub(crate) fn severity(severity: Severity) -> impl IntoView {
    let data = match severity {
        Severity::Error => "M7 .5L13.500 7 7 13.500 .5 7z",
        Severity::Warning => "M7 1l6.500 12H.5z",
        Severity::Note => "M7 1.500a5.500 5.500 0 1 0 .01 0z",
    };
    let filled = severity != Severity::Note;
    view! {
        <svg viewBox="0 0 14 14" aria-hidden="true">
            <path
                d=data
                fill=if filled { "currentColor" } else { "none" }
                stroke="currentColor"
                stroke-width="1.5"
                stroke-linejoin="round"
            ></path>
        </svg>
    }
}

/// Name of a severity in the style sheet.
pub(crate) const fn severity_class(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "sev error",
        Severity::Warning => "sev warning",
        Severity::Note => "sev note",
    }
}

/// Undo.
pub(crate) const UNDO: &str = "M4 8h8a4.500 4.500 0 0 1 0 9H8M4 8l4-4M4 8l4 4";
/// Redo.
pub(crate) const REDO: &str = "M16 8H8a4.500 4.500 0 0 0 0 9h4M16 8l-4-4M16 8l-4 4";
/// A glass.
pub(crate) const FIND: &str = "M8.5 3a5.500 5.500 0 1 0 .01 0zM13 13l4.500 4.500";
/// Close.
pub(crate) const CLOSE: &str = "M5 5l10 10M15 5L5 15";
/// More: three lines.
pub(crate) const MENU: &str = "M3 5h14M3 10h14M3 15h14";
/// Show the whole plan.
pub(crate) const FIT: &str = "M3 7V3h4M13 3h4v4M17 13v4h-4M7 17H3v-4M7 7h6v6H7z";
/// Closer.
pub(crate) const IN: &str = "M10 4v12M4 10h12";
/// Further.
pub(crate) const OUT: &str = "M4 10h12";
/// Inputs: lines with knobs.
pub(crate) const INPUTS: &str = "M3 6h8M15 6h2M13 4v4M3 14h2M9 14h8M7 12v4";
/// A tick in its box.
pub(crate) const TICK: &str = "M3 3h14v14H3zM6 10l3 3 5.500-6";
/// Step back.
pub(crate) const BACK: &str = "M6 4v12M15 4l-7 6 7 6z";
/// Step on.
pub(crate) const ON: &str = "M14 4v12M5 4l7 6-7 6z";
/// Play.
pub(crate) const PLAY: &str = "M6 4l10 6-10 6z";
/// Pause.
pub(crate) const PAUSE: &str = "M6 4v12M8 4v12M12 4v12M14 4v12";
/// Tied: two wedges that hold what stands between them.
pub(crate) const TIED: &str = "M2 5l6 5-6 5zM18 5l-6 5 6 5z";
/// A pencil.
pub(crate) const PENCIL: &str = "M4 16l1-4 8.5-8.5 3 3L8 15zM12 5l3 3";

/// The sign of a tool.
pub(crate) const fn tool(tool: Tool) -> &'static str {
    match tool {
        Tool::Select => "M5 3l10 7-4.500.8L13 16l-2.200 1-2.400-5.200L5 15z",
        Tool::Pan => {
            "M10 2v16M2 10h16M10 2L8 4.500M10 2l2 2.500M10 18l-2-2.500M10 18l2-2.500M2 10l2.500-2M2 10l2.500 2M18 10l-2.500-2M18 10l-2.500 2"
        }
        Tool::Deck => "M3 16V4h8v5h6v7zM3 4h.01",
        Tool::OpeningBox => "M4 5h12v10H4zM4 5l12 10M16 5L4 15",
        Tool::OpeningRing => "M4 6l7-2 5 4-2 8-9-1zM4 6l10 10M16 8L5 15",
        Tool::Penetration => "M10 5a5 5 0 1 0 .01 0zM10 8.5a1.500 1.500 0 1 0 .01 0z",
        Tool::Outlet => "M10 4a6 6 0 1 0 .01 0zM10 1.500v17M1.500 10h17",
        Tool::Joint => "M2 8.5h4M8.5 8.5h3M14 8.5h4M2 11.500h4M8.5 11.500h3M14 11.500h4",
        Tool::ZoneLine => "M3 17L17 3M4 9l3 3M9 4l3 3",
        Tool::LevelChange => "M2 13h8V7h8M6 16v-6M6 10l-1.500 2M6 10l1.500 2",
        Tool::Direction => "M3 13l12-6M15 7l-4-.500M15 7l-2 3.500M3 17l14-7",
        Tool::Way => "M4 3v14M16 3v14M10 16V6M10 6L7 9M10 6l3 3",
        Tool::Melter => "M4 6h12v7H4zM4 9h12M7 18l1-2-1-1M13 18l1-2-1-1",
        Tool::Datum => "M10 5.500a4.500 4.500 0 1 0 .01 0zM10 2v16M2 10h16",
        Tool::Spot => "M6 6l8 8M14 6l-8 8",
        Tool::LowLine => "M2 7l8 6 8-6M10 13v4",
        Tool::Ridge => "M2 13l8-6 8 6M10 7V3",
        Tool::Plane => "M3 4h14v12H3zM7 7l6 6M13 13l-.5-3M13 13l-3-.5",
        Tool::BayEdge => "M3 4h14v12H3zM10 4v12M7.500 10h5",
        Tool::Water => "M3 4c5 0 3 6 7 6s2 6 7 6M17 16l-3-2M17 16l-3.500 1",
        Tool::Section => "M2 16h16M2 16V8l6 4 5-6 5 3v7",
    }
}
