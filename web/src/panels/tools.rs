//! The tools, under the stage each belongs to.
//!
//! In: the tool and stage in force. Out: a tool taken up. Tools of other stages stay in reach, quietly.

use crate::controls::sign;
use crate::state::shell;
use crate::text;
use baylap_editor::{Message, Session, Stage, Tool};
use leptos::prelude::*;

/// The tools of each stage.
const BY_STAGE: [(Stage, &[Tool]); 5] = [
    (
        Stage::Deck,
        &[
            Tool::Deck,
            Tool::OpeningBox,
            Tool::OpeningRing,
            Tool::Penetration,
            Tool::Outlet,
            Tool::Joint,
            Tool::LevelChange,
        ],
    ),
    (
        Stage::Falls,
        &[Tool::Spot, Tool::LowLine, Tool::Ridge, Tool::Plane, Tool::BayEdge, Tool::Water, Tool::Section],
    ),
    (Stage::Rolls, &[Tool::Direction, Tool::ZoneLine]),
    (Stage::Days, &[Tool::Way, Tool::Melter]),
    (Stage::Sheets, &[Tool::Datum]),
];

/// The list of tools.
#[component]
pub(crate) fn Tools() -> impl IntoView {
    let shell = shell();
    let stage = Memo::new(move |_| {
        shell.parts.tool.track();
        shell.read(Session::stage)
    });
    let group = move |(of, tools): (Stage, &'static [Tool])| {
        view! {
            <div
                class="tool-group"
                class:quiet=move || stage.get() != of
                role="group"
                aria-label=format!("{} {}", text::TOOLS, of.name())
            >
                <p class="tool-head" aria-hidden="true">{of.name()}</p>
                {tools.iter().map(|t| one(*t)).collect_view()}
            </div>
        }
    };
    view! {
        <nav class="tools" aria-label=text::TOOLS id="tools">
            <div class="tool-group" role="group" aria-label=text::TOOLS>
                {one(Tool::Select)}
                {one(Tool::Pan)}
            </div>
            {BY_STAGE.into_iter().map(group).collect_view()}
        </nav>
    }
}

fn one(tool: Tool) -> impl IntoView {
    let shell = shell();
    let on = Memo::new(move |_| {
        shell.parts.tool.track();
        shell.read(|s| s.tool() == tool)
    });
    let slug = format!("{tool:?}").to_lowercase();
    view! {
        <button
            type="button"
            class="tool"
            data-tool=slug
            title=tool.name()
            aria-pressed=move || if on.get() { "true" } else { "false" }
            on:click=move |_| {
                shell.cover.set(None);
                shell.send(Message::SetTool(tool));
                super::bar::focus("board");
            }
        >
            {sign::sign(sign::tool(tool))}
            <span>{tool.name()}</span>
        </button>
    }
}
