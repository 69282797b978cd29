//! Ways of laying side by side: what may be varied, what each way comes to, and one that is taken.
//!
//! In: the plan, the layout that stands, and what the worker tells of other ways. Out: ticks, a list of ways with a picture
//! and counts of each, a button that takes one as one step of undo. What was ticked and what was found outlive the tab; a
//! way can only be taken while the plan is the one compared, or one of its ways taken.

use super::compare_words as words;
use super::ledger::layout_signal;
use super::tables::nothing;
use crate::bridge::client::Compared;
use crate::state::{Looking, Shell, shell};
use crate::text;
use baylap_core::compare::{
    Alternative, Aspects, Count, MOST_WAYS, Outcome, Progress, Sketch, with_alternative,
};
use baylap_core::geom::Pt;
use baylap_core::{Layout, Plan};
use baylap_editor::{Change, Message, Session};
use leptos::prelude::*;
use std::sync::Arc;

/// A comparison: under way, done, or given up.
#[derive(Clone, Debug)]
pub(crate) struct Comparison {
    /// Revision of the plan compared.
    revision: u64,
    /// That plan with the way taken last, and which way.
    taken: Option<(Arc<Plan>, usize)>,
    plan: Arc<Plan>,
    layout: Arc<Layout>,
    found: Vec<Outcome>,
    progress: Progress,
    millis: f64,
    under_way: bool,
}

impl Comparison {
    /// Takes in what the worker tells.
    pub(crate) fn hear(&mut self, news: Compared) {
        if news.revision != self.revision || !self.under_way {
            return;
        }
        for (n, outcome) in news.laid {
            match self.found.get_mut(n) {
                Some(known) => *known = outcome,
                None => self.found.push(outcome),
            }
        }
        for (outcome, standing) in self.found.iter_mut().zip(news.standings) {
            outcome.standing = standing;
        }
        self.progress = news.progress;
        self.millis = news.millis;
        self.under_way = !news.done;
    }

    /// The plan changed: the worker has given up what was under way.
    pub(crate) fn give_up(&mut self) {
        self.under_way = false;
    }

    /// Which way is in force in a plan; none when it is another plan. What undo brings back is the plan again, and records
    /// change no way.
    fn in_force(&self, plan: &Plan) -> Option<usize> {
        let bare = |plan: &Plan| Plan { records: Vec::new(), ..plan.clone() };
        let now = bare(plan);
        if now == bare(&self.plan) {
            return Some(0);
        }
        self.taken.as_ref().filter(|(taken, _)| now == bare(taken)).map(|(_, n)| *n)
    }
}

/// The panel.
#[component]
pub(crate) fn Compare() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let ready = move || shell.looking.get() == Looking::Over || shell.comparison.with(Option::is_some);
    view! {
        <Show when=move || !nothing(layout)() fallback=|| view! { <p class="lead">{text::NOTHING_LAID}</p> }>
            <div class="compare" data-testid="compare">
                <p class="why">{words::LEAD}</p>
                <Show when=ready fallback=|| view! { <p class="lead">{words::LATER}</p> }>
                    <Ticks/>
                    <Found/>
                </Show>
            </div>
        </Show>
    }
    .into_any()
}

/// What may be varied.
#[component]
fn Ticks() -> impl IntoView {
    let shell = shell();
    let layout = layout_signal();
    let plan = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.read(|s| s.plan().clone())
    });
    // Those of the way that stands: a layout on its way has looked at one direction only.
    let possible = Memo::new(move |old: Option<&Aspects>| match old {
        Some(old) if shell.looking.get() != Looking::Over => old.clone(),
        _ => layout.with(|l| plan.with(|p| Aspects::possible(p, l))),
    });
    if shell.ticks.with_untracked(Option::is_none) {
        let usual = shell.read(|s| Aspects::usual(s.plan(), s.layout()));
        shell.ticks.set(Some(usual));
    }
    let ticked = move || kept(&shell.ticks.get().unwrap_or_default(), &possible.get());
    let count = Memo::new(move |_| ticked().count());
    let going = move || shell.comparison.with(|c| c.as_ref().is_some_and(|c| c.under_way));
    let idle = move || shell.looking.get() == Looking::Over;
    let refused = move || count.get() == 0 || count.get() > MOST_WAYS || !idle();
    let held = move || possible.with(|p| p.directions.is_empty());
    view! {
        <form class="aspects" on:submit=move |event| event.prevent_default()>
            {aspect(words::DIRECTIONS, possible, |a| &mut a.directions, |_, v| words::direction(*v))}
            <Show when=held><p class="fine">{words::HELD}</p></Show>
            {aspect(words::STARTS, possible, |a| &mut a.starts, |_, v| words::side(*v).to_owned())}
            {aspect(words::LAYINGS, possible, |a| &mut a.layings, |_, v| words::laying(*v).to_owned())}
            {aspect(words::ROLLS, possible, |a| &mut a.rolls, |p, v| words::roll(p, *v))}
            {aspect(words::COURSES, possible, |a| &mut a.courses_per_bay, |_, v| v.to_string())}
            {aspect(words::MELTERS, possible, |a| &mut a.melters, |p, v| words::melter(p, *v))}
            {aspect(words::GANGS, possible, |a| &mut a.gangs, |_, v| v.to_string())}
            <div class="row">
                <button
                    type="submit"
                    class="button main"
                    data-testid="compare-begin"
                    disabled=move || refused() || going()
                    on:click=move |_| begin(shell, &ticked())
                >
                    {words::BEGIN}
                </button>
                <Show when=going>
                    <button type="button" class="button" data-testid="compare-stop" on:click=move |_| stop(shell)>
                        {words::STOP}
                    </button>
                </Show>
                <span class="words" data-testid="compare-count">
                    {move || if idle() { words::ticked(count.get(), MOST_WAYS) } else { words::LATER.to_owned() }}
                </span>
            </div>
        </form>
    }
    .into_any()
}

/// Boxes to tick, one for each value of an aspect; nothing where there is nothing to choose.
fn aspect<T>(
    heading: &'static str,
    possible: Memo<Aspects>,
    values: fn(&mut Aspects) -> &mut Vec<T>,
    name: fn(&Plan, &T) -> String,
) -> impl IntoView
where
    T: Copy + PartialEq + Send + Sync + 'static,
{
    let shell = shell();
    let all = move || possible.with(|p| values(&mut p.clone()).clone());
    let one = move |value: T| {
        let on =
            move || shell.ticks.with(|t| t.as_ref().is_some_and(|t| values(&mut t.clone()).contains(&value)));
        let turn = move |_| {
            shell.ticks.update(|ticks| {
                let list = values(ticks.get_or_insert_default());
                match list.iter().position(|v| *v == value) {
                    Some(at) => {
                        list.remove(at);
                    }
                    None => list.push(value),
                }
            });
        };
        view! {
            <label class="vary-box">
                <input type="checkbox" prop:checked=on on:change=turn/>
                <span>{shell.read(|s| name(s.plan(), &value))}</span>
            </label>
        }
    };
    view! {
        <Show when=move || !all().is_empty()>
            <fieldset>
                <legend>{heading}</legend>
                <div class="vary">{move || all().into_iter().map(one).collect_view()}</div>
            </fieldset>
        </Show>
    }
    .into_any()
}

/// Ticks that can still be chosen, in the order they are offered in.
fn kept(ticks: &Aspects, possible: &Aspects) -> Aspects {
    fn both<T: PartialEq + Copy>(possible: &[T], ticks: &[T]) -> Vec<T> {
        possible.iter().filter(|v| ticks.contains(v)).copied().collect()
    }
    Aspects {
        directions: both(&possible.directions, &ticks.directions),
        starts: both(&possible.starts, &ticks.starts),
        layings: both(&possible.layings, &ticks.layings),
        rolls: both(&possible.rolls, &ticks.rolls),
        courses_per_bay: both(&possible.courses_per_bay, &ticks.courses_per_bay),
        melters: both(&possible.melters, &ticks.melters),
        gangs: both(&possible.gangs, &ticks.gangs),
    }
}

fn begin(shell: Shell, ticks: &Aspects) {
    let ways = ticks.ways();
    let (revision, plan, layout) = shell.read(|s| (s.revision(), s.plan().clone(), s.layout().clone()));
    shell.comparison.set(Some(Comparison {
        revision,
        taken: None,
        plan,
        layout,
        found: Vec::new(),
        progress: Progress { ways: ways.len() + 1, ..Progress::default() },
        millis: 0.0,
        under_way: true,
    }));
    shell.compare(revision, ways);
}

fn stop(shell: Shell) {
    let revision = shell.read(Session::revision);
    shell.compare(revision, Vec::new());
    shell.comparison.update(|c| {
        if let Some(comparison) = c {
            comparison.give_up();
        }
    });
}

/// What was found.
#[component]
fn Found() -> impl IntoView {
    let shell = shell();
    let in_force = Memo::new(move |_| {
        shell.parts.plan.track();
        shell.comparison.with(|c| c.as_ref().and_then(|c| shell.read(|s| c.in_force(s.plan()))))
    });
    let some = move || shell.comparison.with(Option::is_some);
    let state = move || {
        shell.comparison.with(|c| {
            let c = c.as_ref()?;
            let took = if c.under_way { String::new() } else { format!(" {:.1} s.", c.millis / 1000.0) };
            let stopped = !c.under_way && c.progress.whole < c.progress.wanted.max(1);
            let stopped = if stopped { " Stopped before the end." } else { "" };
            Some(format!(
                "{}{stopped}{took}",
                words::progress(c.progress, !c.under_way && stopped.is_empty())
            ))
        })
    };
    let changed = move || shell.comparison.with(Option::is_some) && in_force.get().is_none();
    let cards = move |beaten: bool| {
        shell.comparison.with(|c| {
            let Some(c) = c else { return Vec::new() };
            let of = |n: &usize| c.found[*n].standing.beaten_by.is_some() == beaten;
            let mut order: Vec<usize> = (0..c.found.len()).filter(of).collect();
            order.sort_by_key(|&n| (c.found[n].counts.cost, n));
            order.into_iter().map(|n| card(shell, c, n, in_force)).collect()
        })
    };
    let losers = move || {
        shell.comparison.with(|c| {
            c.as_ref().map_or(0, |c| c.found.iter().filter(|o| o.standing.beaten_by.is_some()).count())
        })
    };
    view! {
        <Show when=some>
            <section class="found" aria-label=words::COMPARE>
                <p class="row" role="status" data-testid="compare-state">{state}</p>
                <Show when=changed><p class="lead warning" data-testid="compare-changed">{words::CHANGED}</p></Show>
                <ul class="way-cards" data-testid="compare-best">{move || cards(false)}</ul>
                <Show when=move || { losers() > 0 }>
                    <details>
                        <summary>{move || format!("{} ({})", words::BEATEN, losers())}</summary>
                        <ul class="way-cards" data-testid="compare-beaten">{move || cards(true)}</ul>
                    </details>
                </Show>
                <p class="fine">{words::CAUTION}</p>
            </section>
        </Show>
    }
    .into_any()
}

/// A way: its picture, its counts, why it wins or loses.
fn card(shell: Shell, comparison: &Comparison, n: usize, in_force: Memo<Option<usize>>) -> AnyView {
    let outcome = &comparison.found[n];
    let plan = Arc::clone(&comparison.plan);
    let name = words::way(&plan, &outcome.way);
    let reason = words::reason(outcome, |m| words::way(&plan, &comparison.found[m].way));
    let counts = Count::ALL.map(|count| {
        let (label, unit) = words::count(count);
        let best = outcome.standing.best_on.contains(&count);
        let value = words::value(count, outcome.counts.get(count));
        view! {
            <div class:best=best>
                <dt>{label}</dt>
                <dd>{value} " " <small>{unit}</small> {best.then(|| view! { <span class="hidden-words">"least"</span> })}</dd>
            </div>
        }
    });
    let cost = text::money(outcome.counts.cost);
    let way = outcome.way;
    let is_in_force = move || in_force.get() == Some(n);
    view! {
        <li class="way-card" data-testid=format!("way-{n}") aria-current=move || is_in_force().then_some("true")>
            {picture(&outcome.sketch)}
            <div class="way-words">
                <h3>
                    {name.clone()}
                    <Show when=is_in_force><span class="in-force">{words::IN_FORCE}</span></Show>
                </h3>
                <dl class="counts">
                    {counts.into_iter().collect_view()}
                    <div class:best=outcome.standing.cheapest><dt>"Cost"</dt><dd>{cost}</dd></div>
                </dl>
                <p>{reason} " " {(!outcome.whole).then_some(words::SHORT)}</p>
                <button
                    type="button"
                    class="button"
                    aria-label=format!("{}: {name}", words::TAKE)
                    disabled=move || in_force.get().is_none() || is_in_force()
                    on:click=move |_| take(shell, n, &way)
                >
                    {words::TAKE}
                </button>
            </div>
        </li>
    }
    .into_any()
}

/// Lays the plan that way: one step that undo takes back.
fn take(shell: Shell, n: usize, way: &Alternative) {
    let both = shell.comparison.with_untracked(|c| c.as_ref().map(|c| (c.plan.clone(), c.layout.clone())));
    let Some((plan, layout)) = both else { return };
    let taken = if way.is_none() { (*plan).clone() } else { with_alternative(&plan, &layout, way) };
    // Records grow while ways are compared: they stay.
    let records = shell.read(|s| s.plan().records.clone());
    shell.send(Message::Edit(Change::Replace(Box::new(Plan { records, ..taken }))));
    let plan = shell.read(|s| s.plan().clone());
    shell.comparison.update(|c| {
        if let Some(comparison) = c {
            comparison.taken = Some((plan, n));
        }
    });
    shell.live.set(words::TAKEN.to_owned());
}

/// Longest side of the drawing in a picture, in its own units.
const PICTURE: i64 = 100;

/// Bays by day, every second day hatched, and the way the courses run.
fn picture(sketch: &Sketch) -> impl IntoView + use<> {
    let [lo, hi] = sketch.bounds;
    let longest = (hi.x - lo.x).max(hi.y - lo.y).max(1);
    let x = |p: &Pt| (p.x - lo.x) * 10 * PICTURE / longest;
    let y = |p: &Pt| (hi.y - p.y) * 10 * PICTURE / longest;
    let ring = |ring: &Vec<Pt>| {
        let points: Vec<String> = ring.iter().map(|p| format!("{} {}", x(p), y(p))).collect();
        format!("M{}z", points.join("L"))
    };
    let of = |odd: bool| -> String {
        let bays = sketch.bays.iter().filter(|b| (b.day % 2 == 1) == odd);
        bays.map(|b| ring(&b.ring)).collect()
    };
    let along: String =
        sketch.along.iter().map(|[a, b]| format!("M{} {}L{} {}", x(a), y(a), x(b), y(b))).collect();
    let (wide, high) = ((hi.x - lo.x) * 10 * PICTURE / longest, (hi.y - lo.y) * 10 * PICTURE / longest);
    view! {
        <svg class="way-picture" viewBox=format!("-12 -12 {} {}", wide + 24, high + 24) aria-hidden="true">
            <path class="odd" d=of(true)></path>
            <path class="even" d=of(false)></path>
            <path class="along" d=along></path>
        </svg>
    }
}
