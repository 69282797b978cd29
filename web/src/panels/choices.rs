//! Direction and start: what was tried for each zone, what was taken and why; splits that would save.
//!
//! In: the layout's choices and the worker's proposals. Out: charts, sentences and tables from which a direction or a
//! start is held, given back, and a split is looked at and taken. It reckons nothing about the roof.

use super::chart::{Chart, ChartView, Dot};
use super::ledger::layout_signal;
use super::tables::nothing;
use crate::state::{Looking, Shell, shell};
use crate::text;
use baylap_core::Layout;
use baylap_core::layout::{Choice, Way};
use baylap_core::plan::{ZoneLine, ZoneLineKind};
use baylap_core::splits::Proposal;
use baylap_editor::{Change, Hold, Message, Thing, measure};
use leptos::prelude::*;
use std::sync::Arc;

/// Starts listed in the table, the least cut lengths first.
const STARTS_LISTED: usize = 12;
/// Marks along the start, about.
const START_MARKS: i64 = 4;

/// Splits, and a part for each zone.
#[component]
pub(crate) fn Choices() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let zones = Memo::new(move |_| layout.with(|l| l.choices.iter().map(|c| c.zone).collect::<Vec<u32>>()));
    let some = move || shell.splits.with(|s| !s.is_empty());
    on_cleanup(move || {
        shell.send(Message::Preview(Vec::new()));
    });
    view! {
        <Show when=move || !nothing(layout)() fallback=|| view! { <p class="lead">{text::NOTHING_LAID}</p> }>
            <Show when=some><Splits/></Show>
            <For each=move || zones.get() key=|n| *n children=move |n| view! { <OfZone number=n/> }/>
            <Show when=move || !some()><Splits/></Show>
        </Show>
    }
    .into_any()
}

/// Where the roof could be split to its advantage.
#[component]
fn Splits() -> impl IntoView {
    let shell = shell();
    let none = move || shell.splits.with(Vec::is_empty);
    let state = move || {
        let looked = shell.looked_for_splits.get() && shell.looking.get() == Looking::Over;
        if looked { text::NO_SPLITS } else { text::SPLITS_LATER }
    };
    let one = move |(n, proposal): (usize, Proposal)| {
        let lines = proposal.lines.clone();
        let taken = proposal.clone();
        let show = move || {
            shell.send(Message::Preview(lines.clone()));
        };
        let (on_focus, on_press) = (show.clone(), show.clone());
        let hide = move || {
            shell.send(Message::Preview(Vec::new()));
        };
        let dismiss = move |_| {
            hide();
            shell.splits.update(|all| {
                if n < all.len() {
                    all.remove(n);
                }
            });
        };
        view! {
            <li
                class="split"
                on:pointerenter=move |_| show()
                on:pointerleave=move |_| hide()
                on:focusin=move |_| on_focus()
                on:focusout=move |_| hide()
            >
                <span class="words">{text::split(&proposal)}</span>
                <span class="row">
                    <button type="button" class="button only-touch" on:click=move |_| on_press()>{text::SHOW_LINES}</button>
                    <button type="button" class="button main" on:click=move |_| take(shell, &taken)>{text::TAKE_SPLIT}</button>
                    <button type="button" class="button" on:click=dismiss>{text::DISMISS}</button>
                </span>
            </li>
        }
    };
    view! {
        <section class="splits" aria-label=text::SPLITS>
            <h2 class="table-head">{text::SPLITS}</h2>
            <Show when=move || !none() fallback=move || view! { <p class="lead">{state}</p> }>
                <ul data-testid="splits">
                    {move || shell.splits.with(|all| all.iter().cloned().enumerate().map(one).collect_view())}
                </ul>
            </Show>
        </section>
    }
    .into_any()
}

/// Draws the zone lines of a proposal: one step that undo takes back.
fn take(shell: Shell, proposal: &Proposal) {
    let line = |points: &Vec<_>| {
        let (name, kind) = (String::new(), ZoneLineKind::Drawn);
        Change::Put(Thing::ZoneLine(ZoneLine { id: 0, name, points: points.clone(), kind }))
    };
    let lines = proposal.lines.iter().map(line).collect();
    shell.send(Message::Preview(Vec::new()));
    shell.send(Message::Edit(Change::All(lines)));
    shell.live.set(text::SPLIT_TAKEN.to_owned());
}

/// The part of a zone.
#[component]
fn OfZone(number: u32) -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let choice = Memo::new(move |_| {
        layout.with(|l| l.choices.iter().find(|c| c.zone == number).cloned().map(Arc::new))
    });
    let choice = Memo::new(move |_| choice.get().unwrap_or_default());
    let several = Memo::new(move |_| layout.with(|l| l.choices.len() > 1));
    let held = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.parts.layout.track();
        shell.read(|s| s.held(number))
    });
    let ways = Memo::new(move |_| Arc::new(choice.with(|c| ways_chart(c))));
    let starts = Memo::new(move |_| Arc::new(choice.with(|c| starts_chart(c))));
    let why = move || choice.with(|c| text::why(c, held.get()));
    let hold_way = move |mdeg: i64| {
        let mdeg = i32::try_from(mdeg).unwrap_or(0);
        shell.send(Message::Hold(Hold::Direction { zone: number, mdeg }));
    };
    let hold_start = move |first: i64| {
        shell.send(Message::Hold(Hold::Start { zone: number, first }));
    };
    let show_way = move |mdeg: Option<i64>| {
        let mdeg = mdeg.and_then(|m| i32::try_from(m).ok());
        let line = mdeg.and_then(|m| shell.read(|s| s.direction_line(number, m)));
        shell.send(Message::Preview(line.into_iter().collect()));
    };
    let title = move || if several.get() { format!("Zone {number}") } else { text::WHOLE_ROOF.to_owned() };
    let free = move || held.get() == (false, false);
    view! {
        <section class="choice-zone" data-testid=format!("choice-{number}")>
            <div class="row">
                <h2 class="table-head grow">{title}</h2>
                <button
                    type="button"
                    class="button"
                    disabled=free
                    on:click=move |_| { shell.send(Message::Hold(Hold::Nothing { zone: number })); }
                >
                    {text::LET_CHOOSE}
                </button>
            </div>
            <p class="why">{why}</p>
            <div class="charts">
                <Show when=move || ways.with(|c| c.dots.len() > 1)>
                    <div>
                    <ChartView
                        chart=ways
                        name=format!("Zone {number}: {}", text::BY_DIRECTION)
                        testid="chart-ways"
                        over=show_way
                        hold=hold_way
                    />
                    <details>
                        <summary>{text::WAYS_TABLE}</summary>
                        <WaysTable choice=choice hold=hold_way/>
                    </details>
                    </div>
                </Show>
                <Show when=move || starts.with(|c| c.dots.len() > 1)>
                    <div>
                        <ChartView
                            chart=starts
                            name=format!("Zone {number}: {}", text::BY_START)
                            testid="chart-starts"
                            over=|_| ()
                            hold=hold_start
                        />
                        <details>
                            <summary>{text::STARTS_TABLE}</summary>
                            <StartsTable choice=choice hold=hold_start/>
                        </details>
                    </div>
                </Show>
            </div>
        </section>
    }
    .into_any()
}

/// Cut length against direction, with the rolls where they were counted.
pub(crate) fn ways_chart(choice: &Choice) -> Chart {
    let widths = widths(choice);
    let mut order: Vec<usize> = (0..choice.ways.len()).collect();
    order.sort_by_key(|n| (choice.ways[*n].direction_mdeg, choice.ways[*n].width));
    let dot = |n: &usize| {
        let w = &choice.ways[*n];
        Dot {
            x: i64::from(w.direction_mdeg),
            y: w.cut_length,
            shape: widths.iter().position(|width| *width == w.width).unwrap_or(0),
            label: w.rolls.map_or_else(String::new, |r| r.to_string()),
            words: text::way(w, widths.len() > 1),
        }
    };
    let taken = order.iter().position(|n| *n == choice.taken as usize).unwrap_or(0);
    let dots: Vec<Dot> = order.iter().map(dot).collect();
    let x_marks = (0..=4).map(|k| (k * 45_000, format!("{}°", k * 45))).collect();
    Chart {
        x_name: text::X_DIRECTION.to_owned(),
        y_name: text::Y_CUT,
        x: [0, 180_000],
        x_marks,
        y_marks: y_marks(&dots),
        joined: false,
        dots,
        taken,
    }
}

/// Cut length against the start, for the direction taken.
pub(crate) fn starts_chart(choice: &Choice) -> Chart {
    let mut dots: Vec<Dot> = choice.starts.iter().map(|&[first, cut]| start(first, cut)).collect();
    dots.sort_by_key(|d| d.x);
    // A start that is taken though no corner made it a turning point gets a point of its own.
    let taken = dots.binary_search_by_key(&choice.first, |d| d.x);
    if let (Err(n), Some(cut)) = (taken, between(&dots, choice.first)) {
        dots.insert(n, start(choice.first, cut));
    }
    let taken = taken.unwrap_or_else(|n| n.min(dots.len().saturating_sub(1)));
    let most = dots.last().map_or(1, |d| d.x.max(1));
    let step = [50, 100, 200, 250, 500, 1000].into_iter().find(|s| most / s <= START_MARKS).unwrap_or(most);
    let mut chart = Chart {
        x_name: text::X_START.to_owned(),
        y_name: text::Y_CUT,
        x: [0, most],
        x_marks: (0..=most / step).map(|k| (k * step, (k * step).to_string())).collect(),
        y_marks: y_marks(&dots),
        joined: true,
        dots,
        taken,
    };
    if let Some(dot) = chart.dots.get_mut(taken) {
        dot.label = measure::millimetres(dot.x);
    }
    chart
}

fn start(first: i64, cut: i64) -> Dot {
    Dot { x: first, y: cut, shape: 0, label: String::new(), words: text::start(first, cut) }
}

/// The value on the line between two points.
fn between(dots: &[Dot], x: i64) -> Option<i64> {
    let after = dots.iter().position(|d| d.x > x)?;
    let (a, b) = (dots.get(after.checked_sub(1)?)?, &dots[after]);
    Some(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x).max(1))
}

/// The least and the greatest value.
fn y_marks(dots: &[Dot]) -> Vec<(i64, String)> {
    let values = dots.iter().map(|d| d.y);
    let ends = [values.clone().min(), values.max()];
    let mut marks: Vec<(i64, String)> =
        ends.into_iter().flatten().map(|y| (y, text::metres_round(y))).collect();
    marks.dedup();
    marks
}

/// The roll widths among the ways.
fn widths(choice: &Choice) -> Vec<i64> {
    let mut widths: Vec<i64> = choice.ways.iter().map(|w| w.width).collect();
    widths.sort_unstable();
    widths.dedup();
    widths
}

#[component]
fn WaysTable(choice: Memo<Arc<Choice>>, hold: impl Fn(i64) + Copy + Send + Sync + 'static) -> impl IntoView {
    let row = move |(n, w, taken): (usize, Way, u32)| {
        let is_taken = n == taken as usize;
        let turn = measure::degrees(i64::from(w.direction_mdeg));
        view! {
            <tr aria-current=is_taken.then_some("true")>
                <td class="r">{turn.clone()}</td>
                <td class="r">{w.width}</td>
                <td class="r">{text::metres_round(w.cut_length)}</td>
                <td class="r">{w.rolls.map_or_else(|| "–".to_owned(), |r| r.to_string())}</td>
                <td class="r">{w.cost.map_or_else(|| "–".to_owned(), text::money)}</td>
                <td>
                    {is_taken.then_some(text::TAKEN)}
                    " "
                    <button type="button" class="plain" aria-label=format!("{} {turn}", text::HOLD) on:click=move |_| hold(i64::from(w.direction_mdeg))>
                        {text::HOLD}
                    </button>
                </td>
            </tr>
        }
    };
    let rows = move || {
        choice.with(|c| c.ways.iter().copied().enumerate().map(|(n, w)| row((n, w, c.taken))).collect_view())
    };
    view! {
        <table class="still">
            <thead>
                <tr>
                    <th scope="col" class="r">"Direction"</th>
                    <th scope="col" class="r">"Roll, mm"</th>
                    <th scope="col" class="r">"Cut length, m"</th>
                    <th scope="col" class="r">"Rolls"</th>
                    <th scope="col" class="r">"Cost"</th>
                    <th scope="col"><span class="hidden-words">{text::HOLD}</span></th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
    .into_any()
}

#[component]
fn StartsTable(
    choice: Memo<Arc<Choice>>,
    hold: impl Fn(i64) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    let row = move |[first, cut]: [i64; 2], taken: bool| {
        view! {
            <tr aria-current=taken.then_some("true")>
                <td class="r">{first}</td>
                <td class="r">{text::metres_round(cut)}</td>
                <td>
                    {taken.then_some(text::TAKEN)}
                    " "
                    <button type="button" class="plain" aria-label=format!("{} {first} mm", text::HOLD) on:click=move |_| hold(first)>
                        {text::HOLD}
                    </button>
                </td>
            </tr>
        }
    };
    let rows = move || {
        choice.with(|c| {
            let mut least = c.starts.clone();
            least.sort_by_key(|[first, cut]| (*cut, *first));
            least.truncate(STARTS_LISTED);
            least.into_iter().map(|s| row(s, s[0] == c.first)).collect_view()
        })
    };
    view! {
        <table class="still">
            <caption class="fine">{text::LEAST_STARTS}</caption>
            <thead>
                <tr>
                    <th scope="col" class="r">"Starts outside, mm"</th>
                    <th scope="col" class="r">"Cut length, m"</th>
                    <th scope="col"><span class="hidden-words">{text::HOLD}</span></th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
    .into_any()
}

/// Both charts of every zone with their sentence, for paper.
pub(crate) fn printed(layout: &Layout) -> impl IntoView + use<> {
    let several = layout.choices.len() > 1;
    let zone = |c: &Choice| {
        let title = if several { format!("Zone {}", c.zone) } else { text::WHOLE_ROOF.to_owned() };
        let starts = starts_chart(c);
        let ways = ways_chart(c);
        let two = if ways.dots.len() > 1 { super::chart::printed(&ways) } else { String::new() };
        let starts = if starts.dots.len() > 1 { super::chart::printed(&starts) } else { String::new() };
        view! {
            <p><b>{title}</b> " " {text::why(c, (false, false))}</p>
            <div class="printed-charts" inner_html=format!("{two}{starts}")></div>
        }
    };
    layout.choices.iter().map(zone).collect_view()
}
