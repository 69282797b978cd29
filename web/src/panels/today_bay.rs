//! One bay of today: what to lay, cut and carry, its ticks, and a picture to find and mark places on.
//!
//! In: the bay chosen. Out: lists from the layout, one record a tick, a place marked by a tap. Taking a tick back is a
//! withdrawal.

use super::today::{Sheet, ticks};
use super::today_words as words;
use crate::text;
use baylap_core::geom::{Pt, Region, ring};
use baylap_core::plan::{Entry, WorkStep};
use baylap_core::records::reading_places;
use baylap_editor::today::{self, BayNeeds, PieceCut, RollCuts};
use leptos::html;
use leptos::prelude::*;
use std::fmt::Write;

/// What the bay needs.
#[component]
pub(super) fn Work(sheet: Sheet) -> impl IntoView {
    let needs = Memo::new(move |_| {
        sheet.shell.parts.layout.track();
        let bay = sheet.bay.get()?;
        sheet.shell.read(|s| today::needs(s.layout(), bay))
    });
    view! {
        <section class="today-part" data-testid="today-work">
            {move || needs.get().map(told)}
        </section>
    }
}

fn told(needs: BayNeeds) -> impl IntoView {
    let courses = if needs.courses[0] == needs.courses[1] {
        format!("course {}", needs.courses[0])
    } else {
        format!("courses {} to {}", needs.courses[0], needs.courses[1])
    };
    let lay = format!(
        "{}, {}, {} long, zone {}",
        text::area(needs.size),
        courses,
        baylap_editor::measure::metres(needs.length),
        needs.zone
    );
    let membrane = needs.litres.map(|litres| format!("Membrane: {litres} litres, cold"));
    let first = membrane.into_iter().chain(needs.details);
    let carry =
        if needs.rolls_up.is_empty() { "No new roll".to_owned() } else { words::rolls(&needs.rolls_up) };
    let open = (!needs.rolls_open.is_empty())
        .then(|| format!("{} lie open from bays before", words::rolls(&needs.rolls_open)));
    view! {
        <h2>{format!("Bay {}", needs.bay)}</h2>
        <h3>{words::LAY}</h3>
        <p>{lay}</p>
        <ul class="plain-list">{first.map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
        <h3>{words::CARRY}</h3>
        <p data-testid="today-carry">{carry}</p>
        {open.map(|line| view! { <p>{line}</p> })}
        <h3>{words::CUT}</h3>
        <ul class="today-cuts" data-testid="today-cuts">{needs.cuts.into_iter().map(roll).collect_view()}</ul>
    }
}

fn roll(of: RollCuts) -> impl IntoView {
    let cut = |c: PieceCut| {
        view! {
            <li>
                <b>{text::metres_bare(c.length)}</b>
                " m"
                <span class="quiet">{format!("{} mm wide, piece {}, course {}", c.width, c.piece, c.course)}</span>
            </li>
        }
    };
    view! {
        <li>
            <span class="roll-name">{format!("Roll {}", of.roll)}</span>
            <ol>{of.cuts.into_iter().map(cut).collect_view()}</ol>
        </li>
    }
}

/// The large ticks.
#[component]
pub(super) fn Ticks(sheet: Sheet) -> impl IntoView {
    let done = Memo::new(move |_| {
        let bay = sheet.bay.get();
        sheet.shell.parts.records.track();
        sheet.shell.parts.layout.track();
        bay.map(|bay| sheet.shell.read(|s| ticks(s, bay))).unwrap_or_default()
    });
    let one = move |step: WorkStep| {
        let key = move || done.with(|d| d.iter().find(|(s, _)| *s == step).and_then(|(_, key)| key.clone()));
        let act = move |_| match key() {
            Some(key) => sheet.withdraw(&key),
            None => {
                sheet.enter(sheet.place(), Entry::Done { step });
            }
        };
        view! {
            <button
                type="button"
                class="tick"
                role="checkbox"
                data-step=words::slug(step)
                aria-checked=move || if key().is_some() { "true" } else { "false" }
                on:click=act
            >
                <span class="tick-box" aria-hidden="true">{move || key().map(|_| "✓")}</span>
                {words::step(step)}
            </button>
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::DONE}</h3>
            <div class="ticks">{WorkStep::ALL.into_iter().map(one).collect_view()}</div>
        </section>
    }
}

/// What the picture shows.
#[derive(Clone, Debug, Default, PartialEq)]
struct Shown {
    area: String,
    pieces: String,
    places: Vec<(u32, Pt)>,
    lo: Pt,
    hi: Pt,
}

/// The bay with its pieces and the places to read at; a tap marks a place.
#[component]
pub(super) fn Picture(sheet: Sheet) -> impl IntoView {
    let shown = Memo::new(move |_| {
        sheet.shell.parts.layout.track();
        let bay = sheet.bay.get()?;
        sheet.shell.read(|s| picture(s, bay))
    });
    let node = NodeRef::<html::Div>::new();
    let tap = move |event: leptos::ev::PointerEvent| {
        let (Some(around), Some(shown)) = (node.get_untracked(), shown.get_untracked()) else { return };
        let rect = around.get_bounding_client_rect();
        let at = [f64::from(event.client_x()) - rect.left(), f64::from(event.client_y()) - rect.top()];
        sheet.spot.set(Some(place_under(&shown, [rect.width(), rect.height()], at)));
    };
    let drawn = move || {
        shown.get().map(|shown| {
            let size = (shown.hi.x - shown.lo.x).max(shown.hi.y - shown.lo.y) / 28;
            let number = move |(n, at): (u32, Pt)| {
                view! {
                    <g transform=format!("translate({} {})", at.x, -at.y)>
                        <circle r=size></circle>
                        <text dy=size * 7 / 20 font-size=size * 13 / 10>{n}</text>
                    </g>
                }
            };
            let cross = move || {
                sheet.spot.get().map(|at| {
                    let d = format!("M{0} 0H{1}M0 {0}V{1}", -size * 2, size * 2);
                    view! { <path class="spot" transform=format!("translate({} {})", at.x, -at.y) d=d></path> }
                })
            };
            view! {
                <svg viewBox=view_box(&shown) role="img" aria-label="The bay, with the places to read at">
                    <path class="area" d=shown.area.clone()></path>
                    <path class="pieces" d=shown.pieces.clone()></path>
                    <g class="places">{shown.places.clone().into_iter().map(number).collect_view()}</g>
                    {cross}
                </svg>
            }
        })
    };
    let words = move || {
        sheet.spot.get().map(|at| {
            let place = sheet.shell.read(|s| today::whereabouts(s.plan(), s.layout(), at));
            view! {
                <p class="row">
                    <span class="grow" data-testid="today-spot">{format!("Marked: {place}")}</span>
                    <button type="button" class="plain" on:click=move |_| sheet.spot.set(None)>"Unmark"</button>
                </p>
            }
        })
    };
    view! {
        <section class="today-part">
            <div
                class="today-picture"
                data-testid="today-picture"
                node_ref=node
                style=move || shown.with(|s| s.as_ref().map_or_else(String::new, shape))
                on:pointerup=tap
            >
                {drawn}
            </div>
            {words}
        </section>
    }
}

fn picture(session: &baylap_editor::Session, number: u32) -> Option<Shown> {
    let layout = session.layout();
    let bay = layout.bays.iter().find(|b| b.number == number)?;
    let (lo, hi) = ring::bounds(bay.area.iter().flatten().flatten())?;
    let margin = ((hi.x - lo.x).max(hi.y - lo.y) / 30).max(50);
    let own = layout.pieces.iter().filter(|p| p.bay == number);
    let pieces: String = own.map(|p| outline(&p.as_laid)).collect();
    let places = reading_places(session.plan(), layout).into_iter().filter(|p| p.bay == number);
    Some(Shown {
        area: outline(&bay.area),
        pieces,
        places: places.map(|p| (p.number, p.at)).collect(),
        lo: Pt::new(lo.x - margin, lo.y - margin),
        hi: Pt::new(hi.x + margin, hi.y + margin),
    })
}

/// The shape of the box, so that nothing of it is left blank.
fn shape(shown: &Shown) -> String {
    format!("aspect-ratio:{}/{}", shown.hi.x - shown.lo.x, shown.hi.y - shown.lo.y)
}

fn view_box(shown: &Shown) -> String {
    let (lo, hi) = (shown.lo, shown.hi);
    format!("{} {} {} {}", lo.x, -hi.y, hi.x - lo.x, hi.y - lo.y)
}

/// The place of the plan under a place of the box that the picture is fitted into.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation)]
fn place_under(shown: &Shown, [width, height]: [f64; 2], at: [f64; 2]) -> Pt {
    let (w, h) = ((shown.hi.x - shown.lo.x) as f64, (shown.hi.y - shown.lo.y) as f64);
    let scale = (width / w).min(height / h).max(1e-9);
    let left = (width - w * scale) / 2.0;
    let top = (height - h * scale) / 2.0;
    let x = shown.lo.x as f64 + (at[0] - left) / scale;
    let y = shown.hi.y as f64 - (at[1] - top) / scale;
    Pt::new(libm::round(x) as i64, libm::round(y) as i64)
}

fn outline(regions: &[Region]) -> String {
    let mut d = String::new();
    for ring in regions.iter().flatten() {
        for (i, p) in ring.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { "L" }, p.x, -p.y);
        }
        d.push('Z');
    }
    d
}
