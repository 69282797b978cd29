//! The inputs beside the board: what is selected, and what belongs to the stage.
//!
//! In: the session's fields. Out: fields that can be typed in. A stage changes what stands here; it forbids nothing.

use super::days::DaysFound;
use super::falls::FallsFound;
use super::gangs::Gangs;
use super::ledger::layout_signal;
use super::looks::Looks;
use super::tables::selection_signal;
use crate::bridge::protocol::{Order, Paper};
use crate::controls::field::Fields;
use crate::state::{Shell, shell};
use crate::text;
use baylap_core::Layout;
use baylap_core::plan::Corner;
use baylap_editor::{
    Change, CommandId, FieldGroup, Message, Panel, Selection, Session, Stage, measure, rolls, thing,
};
use leptos::prelude::*;

/// The inputs.
#[component]
pub(crate) fn Inputs() -> impl IntoView {
    let shell = shell();
    let stage = Memo::new(move |_| {
        shell.parts.tool.track();
        shell.read(Session::stage)
    });
    view! {
        <aside class="inputs" id="inputs" aria-label=text::INPUTS tabindex="-1">
            <Selected/>
            <section class="part">
                <h2 class="stage-head">{move || stage.get().name()}</h2>
                <p class="lead">{move || text::stage_lead(stage.get())}</p>
            </section>
            {move || match stage.get() {
                Stage::Deck => view! { <Things of=deck_things/> }.into_any(),
                Stage::Falls => view! { <FallsFound/> <Looks/> <Settings panel=Panel::Drainage practice=false/> <Things of=level_things/> }.into_any(),
                Stage::Rolls => view! { <Kinds/> <Settings panel=Panel::Products practice=true/> <Things of=zone_things/> }.into_any(),
                Stage::Days => view! { <ToToday/> <DaysFound/> <Gangs/> <Settings panel=Panel::Gang practice=true/> <Settings panel=Panel::Programme practice=false/> <Things of=day_things/> }.into_any(),
                Stage::Sheets => view! { <Export/> <Settings panel=Panel::Job practice=false/> <Settings panel=Panel::Datum practice=false/> }.into_any(),
            }}
        </aside>
    }
}

/// The card of what is selected.
#[component]
fn Selected() -> impl IntoView {
    let shell = shell();
    let selection = selection_signal();
    let layout = layout_signal();
    let groups = Memo::new(move |_| {
        shell.parts.fields.track();
        shell.parts.selection.track();
        shell.read(fields_of)
    });
    let title = move || {
        shell.parts.plan.track();
        selection.get().map(|s| shell.read(|session| title_of(session, s))).unwrap_or_default()
    };
    let facts = move || {
        let Some(selection) = selection.get() else { return Vec::new() };
        layout.with(|l| facts(l, selection))
    };
    let deletable = move || {
        shell.parts.plan.track();
        selection.get().is_some() && shell.read(|s| s.can(CommandId::Delete))
    };
    view! {
        <section class="part card" aria-label=text::SELECTED data-testid="selected" class:none=move || selection.get().is_none()>
            <Show
                when=move || selection.get().is_some()
                fallback=|| view! { <p class="lead">{text::NOTHING_SELECTED}</p> }
            >
                <h2>
                    <span data-testid="selected-title">{title}</span>
                    <button
                        type="button"
                        class="plain"
                        on:click=move |_| { shell.send(Message::Select(None)); }
                    >
                        "Deselect"
                    </button>
                </h2>
                <dl class="sums">
                    {move || facts().into_iter().map(|(name, value)| view! { <div><dt>{name}</dt><dd>{value}</dd></div> }).collect_view()}
                </dl>
                <Fields groups=groups/>
                <Sides/>
                <div class="row">
                    {part_act(shell, CommandId::InsertCorner, "Add a corner here")}
                    {part_act(shell, CommandId::SameEdges, "Same for all sides")}
                    {part_act(shell, CommandId::SelectWhole, "Select the whole")}
                    {part_act(shell, CommandId::ZoomSelection, "Show it")}
                    <Show when=deletable>
                        <button type="button" class="button danger" on:click=move |_| shell.command(CommandId::Delete)>
                            "Delete"
                        </button>
                    </Show>
                </div>
            </Show>
        </section>
    }
}

/// The fields of what is selected; a first heading that only repeats the card's title is left out.
fn fields_of(session: &Session) -> Vec<FieldGroup> {
    let mut groups = session.fields();
    let title = session.selection().map(|s| title_of(session, s));
    if let (Some(first), Some(title)) = (groups.first_mut(), title)
        && first.title.eq_ignore_ascii_case(&title)
    {
        first.title.clear();
    }
    groups
}

/// The sides of the ring selected, to select one without a pointer and see what stands on each.
#[component]
fn Sides() -> impl IntoView {
    let shell = shell();
    let selection = selection_signal();
    let lines = Memo::new(move |_| {
        shell.parts.plan.track();
        selection.get().and_then(Selection::id).map(|id| shell.read(|s| sides(s, id))).unwrap_or_default()
    });
    let one = move |(this, words): Line| {
        view! {
            <li>
                <button
                    type="button"
                    class="thing"
                    aria-pressed=move || if selection.get() == Some(this) { "true" } else { "false" }
                    on:click=move |_| { shell.send(Message::Select(Some(this))); }
                >
                    {words}
                </button>
            </li>
        }
    };
    view! {
        <Show when=move || lines.with(|l| !l.is_empty())>
            <details class="sides">
                <summary>{text::SIDES}</summary>
                <ul class="things">{move || lines.get().into_iter().map(one).collect_view()}</ul>
            </details>
        </Show>
    }
}

fn sides(session: &Session, id: u32) -> Vec<Line> {
    let Some(thing) = thing::find(session.plan(), id) else { return Vec::new() };
    let ring = thing.ring().unwrap_or_default();
    let one = |(edge, corner): (u32, &Corner)| {
        (Selection::Edge { id, edge }, format!("Side {}: {}", edge + 1, text::edge(&corner.edge)))
    };
    (0..).zip(ring).map(one).collect()
}

fn part_act(shell: Shell, id: CommandId, name: &'static str) -> impl IntoView {
    let can = move || {
        shell.parts.selection.track();
        shell.parts.plan.track();
        shell.read(|s| s.can(id))
    };
    view! {
        <Show when=can>
            <button type="button" class="button" on:click=move |_| shell.command(id)>{name}</button>
        </Show>
    }
}

/// What to call a selection, with a capital.
pub(crate) fn title_of(session: &Session, selection: Selection) -> String {
    capital(&session.title_of(selection))
}

pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// What the layout says of a selection.
fn facts(layout: &Layout, selection: Selection) -> Vec<(&'static str, String)> {
    let mm = |v: i64| measure::millimetres(v);
    match selection {
        Selection::Bay(n) => layout.bays.iter().find(|b| b.number == n).map_or_else(Vec::new, |b| {
            vec![
                ("Area", text::area(b.size)),
                ("Length", measure::metres(b.length)),
                ("Courses", format!("{} to {}", b.courses[0], b.courses[1])),
                ("Pieces", list(&b.pieces)),
                ("Beside bays", list(&b.beside)),
            ]
            .into_iter()
            .chain(super::days::facts_of_bay(layout, n))
            .collect()
        }),
        Selection::Piece(n) => layout.pieces.iter().find(|p| p.number == n).map_or_else(Vec::new, |p| {
            vec![
                ("Cut length", measure::metres(p.length)),
                ("Cut width", mm(p.across[1] - p.across[0])),
                ("Chainage", format!("{} to {}", text::metres_bare(p.from), measure::metres(p.to))),
                ("Side laps", format!("{} and {}", p.lap_before, mm(p.lap_after))),
                ("End laps", format!("{} and {}", p.lap_from, mm(p.lap_to))),
                ("Area as laid", text::area(p.area)),
                ("Bay", p.bay.to_string()),
                ("From roll", format!("{}, at {}", p.roll, measure::metres(p.roll_from))),
            ]
        }),
        Selection::Roll(n) => layout.rolls.iter().find(|r| r.number == n).map_or_else(Vec::new, |r| {
            let rest = if r.kept { "Offcut" } else { "Scrap" };
            let mut facts = vec![
                ("Roll", format!("{} x {}", mm(r.width), measure::metres(r.length))),
                ("Pieces", list(&r.pieces)),
                (rest, measure::metres(r.rest)),
            ];
            if !r.strips.is_empty() {
                facts.insert(2, ("Upstand strips", list(&r.strips)));
            }
            facts
        }),
        Selection::Strip(n) => layout.strips.iter().find(|s| s.number == n).map_or_else(Vec::new, |s| {
            vec![
                ("Length", measure::metres(s.length)),
                ("Girth", mm(s.width)),
                ("From roll", format!("{}, at {}", s.roll, measure::metres(s.roll_from))),
                (
                    "Cut from",
                    if s.from_offcut { "an offcut of the field" } else { "a roll for strips" }.to_owned(),
                ),
            ]
        }),
        Selection::Day(n) => super::days::facts(layout, n),
        Selection::Pond(n) => {
            let mut ponds = layout.falls.iter().flat_map(|f| &f.ponds);
            ponds.find(|p| p.number == n).map_or_else(Vec::new, super::falls_words::pond_facts)
        }
        Selection::Zone(n) => layout.zones.iter().find(|z| z.number == n).map_or_else(Vec::new, |z| {
            vec![
                ("Direction", measure::degrees(i64::from(z.direction_mdeg))),
                ("Courses", z.courses.len().to_string()),
            ]
        }),
        _ => Vec::new(),
    }
}

pub(super) fn list(numbers: &[u32]) -> String {
    let words: Vec<String> = numbers.iter().map(u32::to_string).collect();
    words.join(", ")
}

/// The fields of a panel of settings.
#[component]
pub(super) fn Settings(panel: Panel, practice: bool) -> impl IntoView {
    let shell = shell();
    let groups = Memo::new(move |_| {
        shell.parts.fields.track();
        shell.parts.plan.track();
        shell.read(|s| s.settings(panel))
    });
    let slug = format!("settings-{panel:?}").to_lowercase();
    view! {
        <section class="part" data-testid=slug>
            <Fields groups=groups/>
            {practice.then(|| view! { <p class="fine">{text::PRACTICE}</p> })}
        </section>
    }
}

/// The kinds of roll in stock: one more, or one less.
#[component]
fn Kinds() -> impl IntoView {
    let shell = shell();
    let kinds = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.read(|s| s.plan().products.rolls.iter().map(text::kind_in_stock).collect::<Vec<String>>())
    });
    let one = move |(n, words): (usize, String)| {
        let name = format!("Remove kind {}", n + 1);
        let remove = move |_| {
            if let Some(fewer) = shell.read(|s| rolls::without(&s.plan().products, n)) {
                shell.send(Message::Edit(Change::Products(fewer)));
            }
        };
        view! {
            <li>
                <span class="grow">{format!("{}. {words}", n + 1)}</span>
                <Show when=move || kinds.with(|k| k.len() > 1)>
                    <button type="button" class="plain danger" aria-label=name.clone() on:click=remove>"Remove"</button>
                </Show>
            </li>
        }
    };
    view! {
        <section class="part" data-testid="kinds">
            <h2>{text::KINDS}</h2>
            <ul class="kinds">{move || kinds.get().into_iter().enumerate().map(one).collect_view()}</ul>
            <button type="button" class="button" on:click=move |_| shell.command(CommandId::AddRoll)>{text::ADD_ROLL}</button>
        </section>
    }
}

/// Things listed at most: more are found faster on the drawing.
const MOST_THINGS: usize = 150;

type Line = (Selection, String);

/// A list of things of the plan, to select them without a pointer.
#[component]
fn Things(of: fn(&Session) -> (&'static str, &'static str, Vec<Line>)) -> impl IntoView {
    let shell = shell();
    let selection = selection_signal();
    let lines = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.read(of)
    });
    let one = move |(this, words): Line| {
        view! {
            <li>
                <button
                    type="button"
                    class="thing"
                    aria-pressed=move || if selection.get() == Some(this) { "true" } else { "false" }
                    on:click=move |_| { shell.send(Message::Show(this)); }
                >
                    {words}
                </button>
            </li>
        }
    };
    view! {
        <section class="part">
            <h2>{move || lines.with(|l| l.0)}</h2>
            <Show
                when=move || lines.with(|l| !l.2.is_empty())
                fallback=move || view! { <p class="lead">{lines.with(|l| l.1)}</p> }
            >
                <ul class="things">{move || lines.with(|l| l.2.iter().take(MOST_THINGS).cloned().map(one).collect_view())}</ul>
                {move || {
                    let more = lines.with(|l| l.2.len().saturating_sub(MOST_THINGS));
                    (more > 0).then(|| view! { <p class="fine">{text::more_things(more)}</p> })
                }}
            </Show>
        </section>
    }
}

fn lines(
    session: &Session,
    wanted: fn(&thing::Thing) -> bool,
    more: fn(&thing::Thing) -> String,
) -> Vec<Line> {
    let things = thing::all(session.plan());
    let picked = things.into_iter().filter(wanted);
    picked.map(|t| (Selection::Thing(t.id()), format!("{}{}", capital(&t.title()), more(&t)))).collect()
}

fn deck_things(session: &Session) -> (&'static str, &'static str, Vec<Line>) {
    use thing::Thing;
    let wanted = |t: &Thing| {
        matches!(
            t,
            Thing::Deck(_) | Thing::Opening(_) | Thing::Penetration(_) | Thing::Outlet(_) | Thing::Joint(_)
        ) || t.noun() == "change of level"
    };
    (text::THINGS, text::NO_THINGS, lines(session, wanted, |_| String::new()))
}

fn level_things(session: &Session) -> (&'static str, &'static str, Vec<Line>) {
    use thing::Thing;
    let wanted =
        |t: &Thing| matches!(t, Thing::Spot(_) | Thing::LevelLine(_) | Thing::Plane(_) | Thing::BayEdge(_));
    let more = |t: &Thing| match t {
        Thing::Spot(s) => format!(": {}", measure::metres(s.level)),
        Thing::Plane(p) if p.one_in == 0 => ": level".to_owned(),
        Thing::Plane(p) => format!(": 1 in {}", p.one_in),
        Thing::BayEdge(e) if e.along => ": along the courses".to_owned(),
        Thing::BayEdge(_) => ": across the courses".to_owned(),
        _ => String::new(),
    };
    (text::LEVELS, text::NO_LEVELS, lines(session, wanted, more))
}

fn zone_things(session: &Session) -> (&'static str, &'static str, Vec<Line>) {
    use thing::Thing;
    let wanted = |t: &Thing| matches!(t, Thing::Zone(_)) || t.noun() == "zone line";
    let mut all: Vec<Line> = session
        .layout()
        .zones
        .iter()
        .map(|z| {
            let turn = measure::degrees(i64::from(z.direction_mdeg));
            (Selection::Zone(z.number), format!("Zone {}: {} courses at {turn}", z.number, z.courses.len()))
        })
        .collect();
    all.extend(lines(session, wanted, |_| String::new()));
    ("Zones", "No zones yet: draw a deck first.", all)
}

fn day_things(session: &Session) -> (&'static str, &'static str, Vec<Line>) {
    use thing::Thing;
    let wanted = |t: &Thing| matches!(t, Thing::Way(_) | Thing::Melter(_));
    (
        "Ways and melters",
        "No way off and no melter are set. Place them with the tools.",
        lines(session, wanted, |_| String::new()),
    )
}

/// The way to today's work and its records.
#[component]
fn ToToday() -> impl IntoView {
    let shell = shell();
    let go = move |dialog: crate::state::Dialog| move |_| shell.dialog.set(Some(dialog));
    view! {
        <section class="part" data-testid="to-today">
            <button type="button" class="button main" on:click=go(crate::state::Dialog::Today)>{text::TO_TODAY}</button>
            <button type="button" class="button" on:click=go(crate::state::Dialog::Merge)>{text::MERGE}</button>
        </section>
    }
}

/// Saving and printing.
#[component]
fn Export() -> impl IntoView {
    let shell = shell();
    let paper = move |this: Paper, word: &'static str| {
        view! {
            <label>
                <input
                    type="radio"
                    name="paper"
                    prop:checked=move || shell.paper.get() == this
                    on:change=move |_| shell.paper.set(this)
                />
                {word}
            </label>
        }
    };
    view! {
        <section class="part" data-testid="export">
            <h2>{text::EXPORT}</h2>
            <fieldset class="field">
                <legend class="name">{text::PAPER}</legend>
                <div class="choice">{paper(Paper::A4, "A4")} {paper(Paper::A3, "A3")}</div>
            </fieldset>
            <button type="button" class="button main" on:click=move |_| shell.order(Order::SettingOut(shell.paper.get_untracked()))>
                {text::SAVE_PDF}
            </button>
            <button type="button" class="button" data-testid="save-days" on:click=move |_| shell.order(Order::Days(shell.paper.get_untracked()))>
                {text::SAVE_DAYS}
            </button>
            <button type="button" class="button" on:click=move |_| shell.order(Order::CutList)>{text::SAVE_CSV}</button>
            <button type="button" class="button" on:click=move |_| shell.save_plan()>{text::SAVE_PLAN}</button>
            <button type="button" class="button" on:click=move |_| super::paper::print(shell)>{text::PRINT}</button>
            <p class="fine">{text::CAUTION}</p>
        </section>
        <ForDesigner/>
    }
}

/// Saving what is known of falls and drainage.
#[component]
fn ForDesigner() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let known = Memo::new(move |_| layout.with(|l| l.falls.is_some()));
    let list = move |name: &'static str, order: Order| {
        view! { <button type="button" class="button" on:click=move |_| shell.order(order)>{name}</button> }
    };
    view! {
        <section class="part" data-testid="for-designer">
            <h2>{text::FOR_DESIGNER}</h2>
            <button
                type="button"
                class="button"
                data-testid="save-drainage"
                on:click=move |_| shell.order(Order::Drainage(shell.paper.get_untracked()))
            >
                {text::SAVE_DRAINAGE}
            </button>
            <Show when=move || known.get() fallback=|| view! { <p class="fine">{text::NO_FALLS_TO_SAVE}</p> }>
                <button
                    type="button"
                    class="button"
                    on:click=move |_| shell.order(Order::DrainagePlan(shell.paper.get_untracked()))
                >
                    {text::SAVE_DRAINAGE_PLAN}
                </button>
                {list(text::SAVE_PONDS, Order::Ponds)}
                {list(text::SAVE_OUTLETS, Order::Outlets)}
                {list(text::SAVE_SEAMS, Order::Seams)}
            </Show>
        </section>
    }
}

/// Goes to the stage of a setting and gives its field the focus.
pub(crate) fn show_setting(shell: Shell, path: &str) {
    let stage = match path.split('.').next() {
        Some("products") => Stage::Rolls,
        Some("gang" | "recording" | "programme" | "detailing") => Stage::Days,
        Some("levels" | "drainage" | "bay_edges") => Stage::Falls,
        _ => Stage::Sheets,
    };
    shell.send(Message::SetStage(stage));
    shell.cover.set(Some(crate::state::Cover::Inputs));
    let id = format!("f-{}", path.replace(|c: char| !c.is_ascii_alphanumeric(), "-"));
    request_animation_frame(move || super::bar::focus(&id));
}
