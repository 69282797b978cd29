//! How a list of levels is read: marks, units, axes, its place on the plan, and what each column holds.
//!
//! In: the editor's guess. Out: the same, changed. Everything that was guessed is shown and can be changed.

use super::levels::Read;
use super::levels_words as words;
use baylap_core::geom::Pt;
use baylap_core::plan::Mm;
use baylap_editor::levels::{Column, DecimalMark, Put, Separator, Unit, parse_origin};
use baylap_editor::measure;
use leptos::prelude::*;

/// Rows shown of a list, headings among them.
const ROWS: usize = 8;
/// Columns shown at most.
const COLUMNS: usize = 16;
/// Headings that can be chosen at most.
const HEADINGS: usize = 9;

/// One way among several, as a row of radio buttons.
fn ways<T: Copy + PartialEq + Send + Sync + 'static>(
    name: &'static str,
    legend: &'static str,
    all: Vec<(T, &'static str)>,
    now: impl Fn() -> T + Copy + Send + Sync + 'static,
    set: impl Fn(T) + Copy + Send + Sync + 'static,
) -> AnyView {
    let one = move |(this, word): (T, &'static str)| {
        view! {
            <label>
                <input type="radio" name=name prop:checked=move || now() == this on:change=move |_| set(this)/>
                {word}
            </label>
        }
    };
    view! {
        <fieldset class="field">
            <legend class="name">{legend}</legend>
            <div class="choice">{all.into_iter().map(one).collect_view()}</div>
        </fieldset>
    }
    .into_any()
}

/// Marks, units and axes.
#[component]
pub(super) fn How(read: Read) -> impl IntoView {
    let units = || vec![(Unit::Metres, Unit::Metres.name()), (Unit::Millimetres, Unit::Millimetres.name())];
    let marks = vec![(DecimalMark::Point, words::POINT_MARK), (DecimalMark::Comma, words::COMMA_MARK)];
    let axes = vec![(true, words::EAST_FIRST), (false, words::NORTH_FIRST)];
    let separator = move |event| {
        let name = event_target_value(&event);
        read.list.separator.set(Separator::ALL.into_iter().find(|s| s.name() == name));
    };
    let separators = Separator::ALL.map(|s| {
        view! { <option value=s.name() prop:selected=move || read.table.with(|t| t.separator == s)>{s.name()}</option> }
    });
    let headings = (0..=HEADINGS).map(|n| {
        view! { <option value=n.to_string() prop:selected=move || read.choices.with(|c| c.headings == n)>{n}</option> }
    });
    view! {
        <div class="pair">
            <div class="field">
                <label for="levels-separator">{words::PARTED_BY}</label>
                <div class="box">
                    <select id="levels-separator" on:change=separator>{separators.into_iter().collect_view()}</select>
                </div>
            </div>
            <div class="field">
                <label for="levels-headings">{words::HEADING_ROWS}</label>
                <div class="box">
                    <select
                        id="levels-headings"
                        on:change=move |event| {
                            let n = event_target_value(&event).parse().unwrap_or(0);
                            read.choose(|c| c.headings = n);
                        }
                    >
                        {headings.collect_view()}
                    </select>
                </div>
            </div>
        </div>
        {ways(
            "levels-decimal",
            words::DECIMAL_MARK,
            marks,
            move || read.choices.with(|c| c.decimal),
            move |mark| read.choose(|c| c.decimal = mark),
        )}
        <div class="pair">
            {ways(
                "levels-places",
                words::PLACES_IN,
                units(),
                move || read.choices.with(|c| c.places),
                move |unit| read.choose(|c| c.places = unit),
            )}
            {ways(
                "levels-levels",
                words::LEVELS_IN,
                units(),
                move || read.choices.with(|c| c.levels),
                move |unit| read.choose(|c| c.levels = unit),
            )}
        </div>
        {ways(
            "levels-axes",
            words::AXES,
            axes,
            move || read.choices.with(|c| c.easting_first()),
            move |east| read.choose(|c| if c.easting_first() != east { c.swap_axes() }),
        )}
    }
    .into_any()
}

/// Kinds of putting a list on the plan, with their words.
const PUTS: [(&str, &str); 4] = [
    ("as", "As it is: its zero is the plan's"),
    ("deck", "Its middle on the middle of the decks"),
    ("less", "Less an origin"),
    ("first", "Its first point at a place"),
];

const fn word_of(put: Put) -> &'static str {
    match put {
        Put::AsTyped => PUTS[0].0,
        Put::OnDeck => PUTS[1].0,
        Put::Less(_) => PUTS[2].0,
        Put::FirstAt(_) => PUTS[3].0,
    }
}

/// How the list comes to lie on the plan.
#[component]
pub(super) fn Where(read: Read) -> impl IntoView {
    let now = move || read.choices.with(|c| c.put);
    let choose = move |event| {
        let corner = read.reading.with_untracked(|r| r.corner()).unwrap_or_default();
        let deck = read.plan.with_untracked(|p| p.decks.first().and_then(|d| d.ring.first()).map(|c| c.at));
        let put = match event_target_value(&event).as_str() {
            "deck" => Put::OnDeck,
            "less" => Put::Less([corner.x, corner.y]),
            "first" => Put::FirstAt(deck.unwrap_or_default()),
            _ => Put::AsTyped,
        };
        read.choose(|c| c.put = put);
    };
    let typed = move || match now() {
        Put::Less([x, y]) => Some([x, y]),
        Put::FirstAt(p) => Some([p.x, p.y]),
        Put::AsTyped | Put::OnDeck => None,
    };
    let options = PUTS.map(|(value, words)| {
        view! { <option value=value prop:selected=move || word_of(now()) == value>{words}</option> }
    });
    view! {
        <div class="field">
            <label for="levels-put">{words::ON_PLAN}</label>
            <div class="box">
                <select id="levels-put" on:change=choose>{options.into_iter().collect_view()}</select>
            </div>
        </div>
        <Show when=move || typed().is_some()>
            <div class="pair">
                <Ordinate read=read axis=0/>
                <Ordinate read=read axis=1/>
            </div>
        </Show>
    }
    .into_any()
}

/// One ordinate of the origin or of the first point's place.
#[component]
fn Ordinate(read: Read, axis: usize) -> impl IntoView {
    let wrong = RwSignal::new(None::<(String, String)>);
    let value = move || {
        read.choices.with(|c| match c.put {
            Put::Less(origin) => origin[axis],
            Put::FirstAt(p) => [p.x, p.y][axis],
            Put::AsTyped | Put::OnDeck => 0,
        })
    };
    let text_in = move || wrong.get().map_or_else(|| measure::metres(value()), |(typed, _)| typed);
    let label = move || {
        let less = read.choices.with(|c| matches!(c.put, Put::Less(_)));
        match (less, axis) {
            (true, 0) => words::ORIGIN_EAST,
            (true, _) => words::ORIGIN_NORTH,
            (false, 0) => words::FIRST_RIGHT,
            (false, _) => words::FIRST_UP,
        }
    };
    let set = move |mm: Mm| {
        read.choose(|c| match &mut c.put {
            Put::Less(origin) => origin[axis] = mm,
            Put::FirstAt(p) if axis == 0 => *p = Pt::new(mm, p.y),
            Put::FirstAt(p) => *p = Pt::new(p.x, mm),
            Put::AsTyped | Put::OnDeck => {}
        });
    };
    let parse = move |typed: &str| {
        let (less, unit) = read.choices.with_untracked(|c| (matches!(c.put, Put::Less(_)), c.places));
        if less { parse_origin(typed, unit) } else { measure::parse_signed(typed) }
    };
    let id = format!("levels-ordinate-{axis}");
    let wrong_id = format!("{id}-wrong");
    view! {
        <div class="field" class:bad=move || wrong.with(Option::is_some)>
            <label for=id.clone()>{label}</label>
            <div class="box">
                <input
                    id=id
                    type="text"
                    inputmode="decimal"
                    autocomplete="off"
                    class="number"
                    aria-describedby=wrong_id.clone()
                    aria-invalid=move || if wrong.with(Option::is_some) { "true" } else { "false" }
                    prop:value=text_in
                    on:change=move |event| {
                        let typed = event_target_value(&event);
                        match parse(&typed) {
                            Ok(mm) => {
                                wrong.set(None);
                                set(mm);
                            }
                            Err(sentence) => wrong.set(Some((typed, sentence))),
                        }
                    }
                />
            </div>
            <span id=wrong_id aria-live="polite">
                {move || wrong.get().map(|(_, words)| view! { <span class="wrong">{words}</span> })}
            </span>
        </div>
    }
    .into_any()
}

/// The first rows, with what each column holds over them.
#[component]
pub(super) fn Columns(read: Read) -> impl IntoView {
    let width = Memo::new(move |_| read.table.with(|t| t.width.min(COLUMNS)));
    let head = move |n: usize| {
        let options = Column::ALL.map(|c| {
            let on = move || read.choices.with(|now| now.columns.get(n) == Some(&c));
            view! { <option value=c.name() prop:selected=on>{c.name()}</option> }
        });
        view! {
            <th scope="col">
                <select
                    aria-label=words::column(n + 1)
                    data-column=n.to_string()
                    on:change=move |event| {
                        let name = event_target_value(&event);
                        if let Some(c) = Column::ALL.into_iter().find(|c| c.name() == name) {
                            read.choose(|choices| choices.set_column(n, c));
                        }
                    }
                >
                    {options.into_iter().collect_view()}
                </select>
            </th>
        }
    };
    let rows = move || {
        let (headings, width) = (read.choices.with(|c| c.headings), width.get());
        read.table.with(|t| {
            let shown = t.rows.iter().take(ROWS.max(headings + 3)).enumerate();
            shown
                .map(|(n, row)| {
                    let class = if n < headings { "heading" } else { "" };
                    let cells =
                        (0..width).map(|c| view! { <td>{row.cell(c).to_owned()}</td> }).collect_view();
                    view! { <tr class=class><th scope="row">{row.number}</th>{cells}</tr> }
                })
                .collect_view()
        })
    };
    let more = move || {
        let headings = read.choices.with(|c| c.headings);
        read.table.with(|t| t.rows.len().saturating_sub(ROWS.max(headings + 3)))
    };
    view! {
        <div class="levels-table" tabindex="0" role="region" aria-label=words::COLUMNS>
            <table class="still" data-testid="levels-table">
                <caption class="fine">{words::COLUMNS_LEAD}</caption>
                <thead>
                    <tr>
                        <th scope="col">{words::ROW}</th>
                        {move || (0..width.get()).map(head).collect_view()}
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
        {move || (more() > 0).then(|| view! { <p class="fine">{words::more_rows(more())}</p> })}
    }
    .into_any()
}
