//! The days as a strip: a row for each gang, a column for each day, a block for each bay.
//!
//! In: the editor's strip. Out: blocks that light and select the same bay on the drawing, and are lit by it; keys that go
//! from block to block. A block is dragged to another day with a mouse or a pen, with a finger once it is selected (other
//! blocks move the strip along under it), or sent there with Shift and an arrow key: its bay is tied to that day. It puts nothing in order: the engine looks for the order again.

use super::tables::{hovered_signal, light, selection_signal};
use crate::controls::sign;
use crate::state::{Shell, shell};
use baylap_editor::strip::{self, Block, Column, DayColumn, Go};
use baylap_editor::{BayState, Message, Selection, Session, TieTo, measure};
use leptos::prelude::*;
use std::collections::BTreeMap;
use wasm_bindgen::JsCast;
use web_sys::{Element, KeyboardEvent, PointerEvent};

/// Narrowest block that is still hit, pixels (WCAG 2.2, 2.5.8).
const LEAST_BLOCK: f64 = 26.0;
/// Pixels a minute at least and at most, whatever the bays are.
const SCALE: [f64; 2] = [0.2, 1.1];
/// Width of a column that is not worked, pixels.
const NARROW: u32 = 68;
/// Narrowest day, pixels: its date has room.
const LEAST_DAY: f64 = 128.0;
/// How far a pointer moves before it drags, pixels.
const DRAG: f64 = 6.0;
/// How near the end of the strip a drag moves it along, and by how much, pixels.
const EDGE: [f64; 2] = [48.0, 24.0];
/// What the keys do.
const KEYS: &str = "Arrow keys go from bay to bay, Page Up and Page Down from day to day, Enter selects. \
     Shift with an arrow key to the side ties the bay to the day before or after.";
/// How a bay is tied, with a mouse and with a finger.
const HINT: [&str; 2] = [
    "Drag a bay to another day to tie it there, or set its day in the list below; Shift + arrow with keys.",
    "Tap a bay, then drag it to another day to tie it there, or set its day in the list below.",
];

/// A block being dragged.
#[derive(Clone, Copy, PartialEq)]
struct Drag {
    bay: u32,
    gang: u32,
    from: [f64; 2],
    /// Day and gang under the pointer, once it drags.
    over: Option<[u32; 2]>,
    begun: bool,
}

/// What the parts of the strip share.
#[derive(Clone, Copy)]
struct Parts {
    shell: Shell,
    selection: Memo<Option<Selection>>,
    hovered: Memo<Option<Selection>>,
    states: Memo<BTreeMap<u32, BayState>>,
    /// The bay that the keys are at.
    at: Memo<Option<u32>>,
    went: RwSignal<Option<u32>>,
    drag: RwSignal<Option<Drag>>,
    /// Whether the focus is to come back to the block once the order is found again.
    keep: RwSignal<bool>,
}

/// The strip.
#[component]
pub(super) fn Strip() -> impl IntoView {
    let shell = shell();
    let found = Memo::new(move |old: Option<&Option<strip::Strip>>| {
        shell.parts.layout.track();
        let (now, bays) = shell.read(|s| (strip::strip(s.plan(), s.layout()), !s.layout().bays.is_empty()));
        // While the order is looked for again the last one stays, dimmed.
        now.or_else(|| old.cloned().flatten().filter(|_| bays))
    });
    let stale = Memo::new(move |_| {
        shell.parts.layout.track();
        shell.read(|s| s.layout().days.is_none() || !s.layout_is_current())
    });
    let parts = Parts::new(shell, found);
    give_focus_back(parts, found, stale);
    follow(parts, found);
    view! {
        <Show
            when=move || found.with(Option::is_some)
            fallback=|| view! { <p class="lead">"The best order of the bays is being looked for."</p> }
        >
            <div
                class="strip"
                class:old=move || stale.get()
                role="group"
                aria-label="Days as a strip"
                aria-description=KEYS
                aria-busy=move || if stale.get() { "true" } else { "false" }
                data-testid="strip"
                on:keydown=move |event| key(parts, found, &event)
            >
                {move || found.with(|f| f.as_ref().map(|strip| grid(parts, strip)))}
            </div>
            <p class="fine strip-hint"><span class="by-mouse">{HINT[0]}</span><span class="by-finger">{HINT[1]}</span></p>
        </Show>
    }
}

impl Parts {
    fn new(shell: Shell, found: Memo<Option<strip::Strip>>) -> Self {
        let selection = selection_signal();
        let states = Memo::new(move |_| {
            shell.parts.overlay.track();
            shell.parts.layout.track();
            shell.parts.tool.track();
            shell.read(Session::played).unwrap_or_default().into_iter().collect()
        });
        let went = RwSignal::new(None);
        let at = Memo::new(move |_| {
            let there =
                |bay: u32| found.with(|f| f.as_ref().is_some_and(|s| blocks(s).any(|b| b.bay == bay)));
            let selected =
                selection.get().and_then(|s| if let Selection::Bay(n) = s { Some(n) } else { None });
            let first = || found.with(|f| f.as_ref().and_then(|s| blocks(s).next().map(|b| b.bay)));
            went.get().or(selected).filter(|bay| there(*bay)).or_else(first)
        });
        let (drag, keep) = (RwSignal::new(None), RwSignal::new(false));
        Self { shell, selection, hovered: hovered_signal(), states, at, went, drag, keep }
    }
}

fn blocks(strip: &strip::Strip) -> impl Iterator<Item = &Block> {
    strip
        .columns
        .iter()
        .filter_map(|c| if let Column::Day(day) = c { Some(&day.blocks) } else { None })
        .flatten()
}

/// After a bay is sent to another day by keys, its block has the focus again wherever it then stands.
fn give_focus_back(parts: Parts, found: Memo<Option<strip::Strip>>, stale: Memo<bool>) {
    Effect::new(move |_| {
        found.track();
        let over = !stale.get();
        if !parts.keep.get_untracked() {
            return;
        }
        request_animation_frame(move || {
            let lost = document().active_element().is_none_or(|e| e.tag_name() == "BODY");
            if let Some(bay) = parts.at.get_untracked().filter(|_| lost) {
                super::bar::focus(&block_id(bay));
            }
            if over {
                parts.keep.set(false);
            }
        });
    });
}

/// Brings the day or bay that is selected, or the day that is played, into the strip's sight; the page stays where it is.
fn follow(parts: Parts, found: Memo<Option<strip::Strip>>) {
    let moment = super::play::moment_signal();
    Effect::new(move |_| {
        found.track();
        let selector = match (parts.selection.get(), moment.get()) {
            (_, Some(at)) => format!(".strip [data-day-head='{}']", at.day),
            (Some(Selection::Bay(bay)), None) => format!("#{}", block_id(bay)),
            (Some(Selection::Day(day)), None) => format!(".strip [data-day-head='{day}']"),
            _ => return,
        };
        request_animation_frame(move || into_sight(&selector));
    });
}

#[allow(clippy::cast_possible_truncation)]
fn into_sight(selector: &str) {
    let Ok(Some(strip)) = document().query_selector(".strip") else { return };
    let Ok(Some(wanted)) = strip.query_selector(selector) else { return };
    // The names of the gangs stand over the left end.
    let names = strip.query_selector(".strip-gang").ok().flatten();
    let names = names.map_or(0.0, |n| n.get_bounding_client_rect().width());
    let (room, box_) = (strip.get_bounding_client_rect(), wanted.get_bounding_client_rect());
    let left = box_.left() - room.left() - names;
    let right = box_.right() - room.right();
    let by = if left < 0.0 { left } else { right.clamp(0.0, left) };
    strip.set_scroll_left(strip.scroll_left() + by as i32);
}

fn block_id(bay: u32) -> String {
    format!("block-{bay}")
}

// The grid ----------------------------------------------------------------

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn grid(parts: Parts, strip: &strip::Strip) -> impl IntoView + use<> {
    let scale = (LEAST_BLOCK / f64::from(strip.short)).clamp(SCALE[0], SCALE[1]);
    let least = (f64::from(strip.minutes) * scale).max(LEAST_DAY);
    let ends = |day: &DayColumn, gang| {
        let row = strip::placed(&day.blocks, gang, scale, LEAST_BLOCK);
        row.last().map_or(0.0, |(_, [left, width])| left + width + 4.0)
    };
    let gangs = 1..=u32::try_from(strip.gangs.len()).unwrap_or(1);
    let widths = strip.columns.iter().map(|c| match c {
        Column::Day(day) => {
            let width = gangs.clone().map(|gang| ends(day, gang)).fold(least, f64::max);
            format!("{}px", width as u32)
        }
        _ => format!("{NARROW}px"),
    });
    let columns = widths.collect::<Vec<_>>().join(" ");
    let heads = strip.columns.iter().map(|column| head(parts, column)).collect_view();
    let rows = (1..).zip(&strip.gangs).map(|(gang, name)| {
        let lanes = strip.columns.iter().map(|column| lane(parts, column, (gang, scale))).collect_view();
        view! {
            <span class="strip-gang">{name.clone()}</span>
            {lanes}
        }
    });
    view! {
        <div class="strip-grid" style=format!("grid-template-columns: var(--gang) {columns}")>
            <span class="strip-gang strip-corner"></span>
            {heads}
            {rows.collect_view()}
        </div>
    }
}

/// What stands over a column.
fn head(parts: Parts, column: &Column) -> AnyView {
    let shell = parts.shell;
    match column {
        Column::Day(DayColumn { number, date, .. }) => {
            let this = Selection::Day(*number);
            let name =
                if date.is_empty() { format!("Day {number}") } else { format!("Day {number}, {date}") };
            view! {
                <button
                    type="button"
                    class="strip-day"
                    data-day-head=*number
                    aria-label=format!("{name}: what it lays and takes")
                    aria-pressed=move || if parts.selection.get() == Some(this) { "true" } else { "false" }
                    on:click=move |_| { shell.send(Message::Show(this)); }
                    on:pointerenter=move |_| light(shell, Some(this))
                    on:pointerleave=move |_| light(shell, None)
                    on:focus=move |_| light(shell, Some(this))
                    on:blur=move |_| light(shell, None)
                >
                    <b>{format!("Day {number}")}</b>
                    <span>{date.clone()}</span>
                </button>
            }
            .into_any()
        }
        Column::Lost(date) => {
            let date = *date;
            let back = move |_| {
                let mut programme = shell.read(|s| s.plan().programme.clone());
                programme.calendar.lost.retain(|d| *d != date);
                shell.send(Message::Edit(baylap_editor::Change::Programme(programme)));
            };
            view! {
                <button
                    type="button"
                    class="strip-off lost"
                    title=format!("{date} is lost. Press to work it after all.")
                    aria-label=format!("{date} is lost: work it after all")
                    data-lost=date.to_string()
                    on:click=back
                >
                    <b>"Lost"</b>
                    <span>{short(date)}</span>
                </button>
            }
            .into_any()
        }
        Column::Holiday(date) => off("Holiday", short(*date), format!("{date} is a holiday")),
        Column::Off(date, count) => {
            off("Off", format!("{count} d"), format!("{count} days from {date} that are not worked"))
        }
        Column::Weather(days, finish) => {
            let to = finish.map_or_else(String::new, |date| format!(", to {date}"));
            off("Weather", format!("{days} d"), format!("{days} days allowed for weather{to}"))
        }
    }
}

fn short(date: baylap_core::plan::Date) -> String {
    let (_, month, day) = date.parts();
    format!("{} {month:02}-{day:02}", measure::weekday(date))
}

fn off(name: &'static str, under: String, all: String) -> AnyView {
    view! {
        <span class="strip-off" title=all.clone()>
            <b aria-hidden="true">{name}</b>
            <span aria-hidden="true">{under}</span>
            <span class="hidden-words">{all.clone()}</span>
        </span>
    }
    .into_any()
}

/// One gang on one day.
fn lane(parts: Parts, column: &Column, (gang, scale): (u32, f64)) -> AnyView {
    let Column::Day(day) = column else {
        let class = match column {
            Column::Lost(_) => "lane lost",
            Column::Weather(..) => "lane weather",
            _ => "lane off",
        };
        return view! { <span class=class></span> }.into_any();
    };
    let number = day.number;
    let row = strip::placed(&day.blocks, gang, scale, LEAST_BLOCK);
    let own = row.into_iter().map(|(b, place)| block(parts, b, place)).collect_view();
    let target = move || parts.drag.with(|d| d.is_some_and(|d| d.over == Some([number, gang])));
    view! {
        <span class="lane day" class:target=target data-day=number data-gang=gang>{own}</span>
    }
    .into_any()
}

fn block(parts: Parts, block: &Block, [left, width]: [f64; 2]) -> impl IntoView + use<> {
    let Parts { shell, selection, hovered, states, at, went, drag, .. } = parts;
    let (bay, gang) = (block.bay, block.gang);
    let this = Selection::Bay(bay);
    let state = Memo::new(move |_| states.with(|s| s.get(&bay).copied()));
    let whole_day = move || shell.read(|s| s.moment().is_some_and(|m| m.turn.is_none()));
    let words = block.words.clone();
    let name = move || match state.get() {
        Some(state) => format!("{words}. {}", state.words(whole_day())),
        None => words.clone(),
    };
    let title = block.words.clone();
    view! {
        <button
            type="button"
            id=block_id(bay)
            class="block"
            class:tied=block.tied
            class:wrong=block.wrong
            class:dragged=move || drag.with(|d| d.is_some_and(|d| d.begun && d.bay == bay))
            style=format!("left:{left:.1}px;width:{width:.1}px")
            data-bay=bay
            data-played=move || state.get().map(BayState::slug)
            data-lit=move || (hovered.get() == Some(this)).then_some("")
            aria-pressed=move || if selection.get() == Some(this) { "true" } else { "false" }
            aria-label=name
            title=title
            tabindex=move || if at.get() == Some(bay) { "0" } else { "-1" }
            on:click=move |_| {
                went.set(None);
                shell.send(Message::Show(this));
            }
            on:pointerenter=move |_| light(shell, Some(this))
            on:pointerleave=move |_| light(shell, None)
            on:focus=move |_| light(shell, Some(this))
            on:blur=move |_| light(shell, None)
            on:pointerdown=move |event| take(parts, (bay, gang), &event)
            on:pointermove=move |event| carry(parts, &event)
            on:pointerup=move |event| put(parts, &event)
            on:pointercancel=move |_| drag.set(None)
            on:lostpointercapture=move |_| drag.set(None)
        >
            <b>{bay}</b>
            {block.wrong.then(|| view! { <span class="block-wrong" aria-hidden="true">"!"</span> })}
            {block.tied.then(|| sign::sign(sign::TIED))}
        </button>
    }
}

// Dragging ----------------------------------------------------------------

fn take(parts: Parts, (bay, gang): (u32, u32), event: &PointerEvent) {
    parts.keep.set(false);
    // A finger moves the strip along, but for the block that was tapped before: that one it takes.
    let passing =
        event.pointer_type() == "touch" && parts.selection.get_untracked() != Some(Selection::Bay(bay));
    if passing || !event.is_primary() || event.button() != 0 {
        return;
    }
    let from = [event.client_x(), event.client_y()].map(f64::from);
    parts.drag.set(Some(Drag { bay, gang, from, over: None, begun: false }));
    if let Some(block) = event.current_target().and_then(|t| t.dyn_into::<Element>().ok()) {
        let _ = block.set_pointer_capture(event.pointer_id());
    }
}

fn carry(parts: Parts, event: &PointerEvent) {
    let Some(mut drag) = parts.drag.get_untracked() else { return };
    let [x, y] = [event.client_x(), event.client_y()].map(f64::from);
    if !drag.begun {
        if libm::hypot(x - drag.from[0], y - drag.from[1]) < DRAG {
            return;
        }
        drag.begun = true;
        parts.shell.live.set(format!("Let go over a day to tie bay {} to it; Escape leaves it.", drag.bay));
    }
    move_along(x);
    drag.over = lane_at(x, y);
    parts.drag.set(Some(drag));
}

/// Day and gang of the lane under a place on the page.
#[allow(clippy::cast_possible_truncation)]
fn lane_at(x: f64, y: f64) -> Option<[u32; 2]> {
    let under = document().element_from_point(x as f32, y as f32)?;
    let lane = under.closest(".lane.day").ok()??;
    let number = |name: &str| lane.get_attribute(name)?.parse().ok();
    Some([number("data-day")?, number("data-gang")?])
}

/// Moves the strip along when the pointer comes near its end.
#[allow(clippy::cast_possible_truncation)]
fn move_along(x: f64) {
    let Ok(Some(strip)) = document().query_selector(".strip") else { return };
    let room = strip.get_bounding_client_rect();
    let by = match (x - room.left() < EDGE[0], room.right() - x < EDGE[0]) {
        (true, false) => -EDGE[1],
        (false, true) => EDGE[1],
        _ => return,
    };
    strip.set_scroll_left(strip.scroll_left() + by as i32);
}

fn put(parts: Parts, _event: &PointerEvent) {
    let Some(drag) = parts.drag.get_untracked() else { return };
    parts.drag.set(None);
    let Some([day, gang]) = drag.over.filter(|_| drag.begun) else { return };
    let gang = (gang != drag.gang).then_some(gang);
    if gang.is_some() || day_of(parts.shell, drag.bay) != Some(day) {
        tie(parts.shell, drag.bay, TieTo::Day { day, gang });
    }
}

/// Ties a bay, selected so that it stays in sight under whatever number it gets.
fn tie(shell: Shell, bay: u32, to: TieTo) {
    shell.send(Message::Select(Some(Selection::Bay(bay))));
    shell.send(Message::Tie { bay, to });
}

/// The day that a bay is laid on.
pub(super) fn day_of(shell: Shell, bay: u32) -> Option<u32> {
    shell.read(|s| {
        let days = s.layout().days.as_ref()?;
        days.days.iter().find(|d| d.turns.iter().any(|t| t.bay == bay)).map(|d| d.number)
    })
}

// Keys --------------------------------------------------------------------

fn key(parts: Parts, found: Memo<Option<strip::Strip>>, event: &KeyboardEvent) {
    if event.key() == "Escape" && parts.drag.get_untracked().is_some() {
        parts.drag.set(None);
        event.prevent_default();
        return;
    }
    let on = event.target().and_then(|t| t.dyn_into::<Element>().ok());
    let bay: Option<u32> = on.and_then(|e| e.get_attribute("data-bay")?.parse().ok());
    let Some(bay) = bay.filter(|_| !event.ctrl_key() && !event.meta_key() && !event.alt_key()) else {
        return;
    };
    let name = event.key();
    if event.shift_key() {
        let forward = match name.as_str() {
            "ArrowRight" => true,
            "ArrowLeft" => false,
            _ => return,
        };
        event.prevent_default();
        return send(parts, bay, forward);
    }
    let go = match name.as_str() {
        "ArrowRight" => Go::Later,
        "ArrowLeft" => Go::Earlier,
        "ArrowDown" => Go::Down,
        "ArrowUp" => Go::Up,
        "PageDown" => Go::NextDay,
        "PageUp" => Go::DayBefore,
        "Home" => Go::First,
        "End" => Go::Last,
        _ => return,
    };
    event.prevent_default();
    event.stop_propagation();
    if let Some(to) = found.with_untracked(|f| f.as_ref().and_then(|s| strip::go(s, bay, go))) {
        parts.went.set(Some(to));
        super::bar::focus(&block_id(to));
    }
}

/// Sends a bay to the day before or after.
fn send(parts: Parts, bay: u32, forward: bool) {
    let Some(day) = day_of(parts.shell, bay) else { return };
    let to = if forward { day + 1 } else { day.saturating_sub(1) };
    let days = parts.shell.read(|s| s.layout().days.as_ref().map_or(0, |d| d.days.len()));
    if to == 0 || to as usize > days {
        parts.shell.live.set(format!("Day {day} is the {} one.", if forward { "last" } else { "first" }));
        return;
    }
    parts.went.set(None);
    parts.keep.set(true);
    tie(parts.shell, bay, TieTo::Day { day: to, gang: None });
}
