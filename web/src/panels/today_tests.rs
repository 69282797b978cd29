//! Tests, readings, weather, signature and notes of today.
//!
//! In: what is typed and tapped. Out: one record each, judged by the core as it is entered. A figure that cannot be read
//! stays in its box with its sentence.

use super::today::Sheet;
use super::today_words as words;
use baylap_core::geom::Pt;
use baylap_core::plan::{Entry, Tested};
use baylap_core::records::{Verdict, bay_state, judge, standing};
use baylap_editor::{Session, measure, today};
use leptos::prelude::*;

/// A figure in tenths or hundredths, within a range.
fn figure(text: &str, places: u32, [least, most]: [i64; 2], what: &str) -> Result<i64, String> {
    if text.trim().is_empty() {
        return Err(format!("{what} is empty: type a figure."));
    }
    let value = measure::parse_decimal(text, places)?;
    if (least..=most).contains(&value) {
        return Ok(value);
    }
    let show = |v: i64| measure::decimal(v, places);
    Err(format!("\"{}\" is out of range: type {what} from {} to {}.", text.trim(), show(least), show(most)))
}

/// A box for a figure or for words.
fn text_box(
    id: impl Into<String>,
    label: impl Into<String>,
    unit: &'static str,
    value: RwSignal<String>,
) -> impl IntoView {
    let (id, label) = (id.into(), label.into());
    let number = !unit.is_empty();
    view! {
        <div class="field">
            <label for=id.clone()>{label}</label>
            <div class="box">
                <input
                    id=id
                    type="text"
                    class:number=number
                    inputmode=if number { "decimal" } else { "text" }
                    autocomplete="off"
                    prop:value=move || value.get()
                    on:input=move |event| value.set(event_target_value(&event))
                />
                {number.then(|| view! { <span class="unit">{unit}</span> })}
            </div>
        </div>
    }
}

fn act(
    testid: &'static str,
    class: &'static str,
    name: &'static str,
    act: impl Fn() + 'static,
) -> impl IntoView {
    view! {
        <button type="button" class=class data-testid=testid on:click=move |_| act()>{name}</button>
    }
}

/// The bond test of the day.
#[component]
pub(super) fn Bond(sheet: Sheet) -> impl IntoView {
    let note = sheet.shell.draft("bond-note");
    let last = Memo::new(move |_| {
        sheet.shell.parts.records.track();
        let day = sheet.day();
        sheet.shell.read(|s| {
            let standing = standing(&s.plan().records);
            let tests = standing.in_force().filter(|r| r.date.is_some() && r.date == day);
            let passed = tests.filter_map(|r| match r.what {
                Entry::Bond { passed, .. } => Some(passed),
                _ => None,
            });
            passed.last()
        })
    });
    let enter = move |passed: bool| {
        if sheet.enter(sheet.place(), Entry::Bond { passed, note: note.get_untracked() }) {
            note.set(String::new());
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::BOND}</h3>
            <p class="fine">{words::BOND_LEAD}</p>
            {text_box("bond-note", "What was seen", "", note)}
            <div class="row wide-buttons">
                {act("bond-pass", "button", "It held", move || enter(true))}
                {act("bond-fail", "button danger", "It failed", move || enter(false))}
            </div>
            <p data-testid="bond-state">
                {move || match last.get() {
                    None => "Not recorded for this day.",
                    Some(true) => "Passed on this day.",
                    Some(false) => "Failed on this day.",
                }}
            </p>
        </section>
    }
}

/// A place to read at, and what was read there.
#[derive(Clone, Debug, PartialEq)]
struct Place {
    number: u32,
    at: Pt,
    words: String,
    read: Option<(String, Verdict)>,
}

fn places(session: &Session, bay: u32) -> (u32, u32, Vec<Place>) {
    let standing = standing(&session.plan().records);
    let Some(state) = bay_state(session.plan(), session.layout(), &standing, bay) else {
        return (0, 0, Vec::new());
    };
    let of =
        |(place, reading): &(baylap_core::records::ReadingPlace, Option<&baylap_core::plan::Record>)| Place {
            number: place.number,
            at: place.at,
            words: today::whereabouts(session.plan(), session.layout(), place.at),
            read: reading
                .map(|r| (words::entry(&r.what), judge(session.plan(), session.layout(), r).verdict)),
        };
    (state.read, state.due, state.places.iter().map(of).collect())
}

/// The readings.
#[component]
pub(super) fn Thickness(sheet: Sheet) -> impl IntoView {
    let with_sheet = RwSignal::new(false);
    let all = Memo::new(move |_| {
        let bay = sheet.bay.get();
        sheet.shell.parts.records.track();
        sheet.shell.parts.layout.track();
        sheet.shell.parts.plan.track();
        bay.map(|bay| sheet.shell.read(|s| places(s, bay))).unwrap_or_default()
    });
    let enter = move |at: Option<Pt>, value: RwSignal<String>| match figure(
        &value.get_untracked(),
        2,
        [0, 1_000_000],
        "the thickness",
    ) {
        Err(sentence) => sheet.refuse(sentence),
        Ok(hundredths) => {
            let with_sheet = with_sheet.get_untracked();
            if sheet.enter(at, Entry::Thickness { hundredths, with_sheet, note: String::new() }) {
                value.set(String::new());
            }
        }
    };
    let read_at =
        move |number: u32| all.with(|(_, _, places)| places.iter().find(|p| p.number == number).cloned());
    let row = move |(bay, number): (Option<u32>, u32)| {
        let value = sheet.shell.draft(format!("reading-{bay:?}-{number}"));
        let name = format!("reading-{number}");
        let place = move || read_at(number).map(|p| p.words).unwrap_or_default();
        let read = move || {
            read_at(number).and_then(|p| p.read).map(|(text, verdict)| {
                view! { <span class=words::class(verdict) data-testid=format!("read-{number}")>{text}</span> }
            })
        };
        view! {
            <li>
                <div>
                    <b>{format!("Place {number}: ")}</b>
                    {place}
                    " "
                    {read}
                </div>
                <div class="reading">
                    {text_box(name.clone(), "Thickness", "mm", value)}
                    <button
                        type="button"
                        class="button"
                        data-testid=format!("{name}-enter")
                        on:click=move |_| enter(read_at(number).map(|p| p.at), value)
                    >
                        "Record"
                    </button>
                </div>
            </li>
        }
    };
    // A figure typed for one bay and not recorded must not turn up in another.
    let rows = Memo::new(move |_| {
        let bay = sheet.bay.get();
        all.with(|(_, _, places)| places.iter().map(|p| (bay, p.number)).collect::<Vec<(Option<u32>, u32)>>())
    });
    let elsewhere = sheet.shell.draft("reading-spot");
    view! {
        <section class="today-part">
            <h3>{words::THICKNESS}</h3>
            <p data-testid="readings">{move || all.with(|(read, due, _)| format!("{read} of {due} readings."))}</p>
            <p class="fine">{words::THICKNESS_LEAD}</p>
            <label class="check">
                <input
                    type="checkbox"
                    prop:checked=move || with_sheet.get()
                    on:change=move |event| with_sheet.set(event_target_checked(&event))
                />
                {words::WITH_SHEET}
            </label>
            <ul class="readings">
                <For each=move || rows.get() key=|row| *row children=row/>
            </ul>
            <Show when=move || sheet.spot.get().is_some()>
                <div class="reading">
                    {text_box("reading-spot", "At the place marked", "mm", elsewhere)}
                    {act("reading-spot-enter", "button", "Record", move || enter(sheet.spot.get_untracked(), elsewhere))}
                </div>
            </Show>
        </section>
    }
}

/// The leak test.
#[component]
pub(super) fn Leak(sheet: Sheet) -> impl IntoView {
    let (note, roof) = (sheet.shell.draft("leak-note"), RwSignal::new(false));
    let enter = move |passed: bool| {
        let whole = roof.get_untracked();
        let over = if whole { Tested::Roof } else { Tested::Bay };
        let spot = sheet.spot.get_untracked();
        let at = match (passed, whole) {
            (true, true) => None,
            (true, false) => sheet.place(),
            (false, true) => spot,
            (false, false) => spot.or_else(|| sheet.place()),
        };
        if sheet.enter(at, Entry::Leak { over, passed, note: note.get_untracked() }) {
            note.set(String::new());
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::LEAK}</h3>
            <p class="fine">{words::LEAK_LEAD}</p>
            <label class="check">
                <input
                    type="checkbox"
                    id="leak-roof"
                    prop:checked=move || roof.get()
                    on:change=move |event| roof.set(event_target_checked(&event))
                />
                "The whole roof was tested"
            </label>
            {text_box("leak-note", "What was seen", "", note)}
            <div class="row wide-buttons">
                {act("leak-pass", "button", "No fault", move || enter(true))}
                {act("leak-fault", "button danger", "A fault", move || enter(false))}
            </div>
        </section>
    }
}

/// The weather.
#[component]
pub(super) fn Weather(sheet: Sheet) -> impl IntoView {
    let [air, humidity, deck] =
        ["weather-air", "weather-humidity", "weather-deck"].map(|name| sheet.shell.draft(name));
    let read = move || -> Result<Entry, String> {
        let air = figure(&air.get_untracked(), 1, [-1000, 1000], "the temperature of the air")?;
        let humidity = figure(&humidity.get_untracked(), 0, [0, 100], "the humidity")?;
        let deck = deck.get_untracked();
        let deck = if deck.trim().is_empty() {
            None
        } else {
            Some(figure(&deck, 1, [-1000, 1000], "the temperature of the deck")?)
        };
        Ok(Entry::Weather { air, humidity, deck, note: String::new() })
    };
    let enter = move || match read() {
        Err(sentence) => sheet.refuse(sentence),
        Ok(what) => {
            if sheet.enter(sheet.place(), what) {
                [air, humidity, deck].into_iter().for_each(|s| s.set(String::new()));
            }
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::WEATHER}</h3>
            <div class="three">
                {text_box("weather-air", "Air", "°C", air)}
                {text_box("weather-humidity", "Humidity", "%", humidity)}
                {text_box("weather-deck", "Deck", "°C", deck)}
            </div>
            <div class="row wide-buttons">{act("weather-enter", "button", "Record the weather", enter)}</div>
        </section>
    }
}

/// The signature of a bay.
#[component]
pub(super) fn SignOff(sheet: Sheet) -> impl IntoView {
    let note = sheet.shell.draft("sign-note");
    let enter = move || {
        if sheet.by.with_untracked(|by| by.trim().is_empty()) {
            sheet.refuse("Nobody is named: type your name at the top before you sign.");
        } else if sheet.enter(sheet.place(), Entry::SignOff { note: note.get_untracked() }) {
            note.set(String::new());
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::SIGN}</h3>
            {text_box("sign-note", "What was agreed", "", note)}
            <div class="row wide-buttons">
                <button type="button" class="button main" data-testid="sign-off" on:click=move |_| enter()>
                    {move || format!("Sign off bay {}", sheet.bay.get().unwrap_or_default())}
                </button>
            </div>
        </section>
    }
}

/// A note.
#[component]
pub(super) fn Note(sheet: Sheet) -> impl IntoView {
    let note = sheet.shell.draft("note-text");
    let enter = move || {
        let text = note.get_untracked();
        if text.trim().is_empty() {
            sheet.refuse("The note is empty: write it first.");
        } else if sheet.enter(sheet.spot.get_untracked().or_else(|| sheet.place()), Entry::Note { text }) {
            note.set(String::new());
        }
    };
    view! {
        <section class="today-part">
            <h3>{words::NOTE}</h3>
            {text_box("note-text", "Delays, damage, deliveries", "", note)}
            <div class="row wide-buttons">{act("note-enter", "button", "Record the note", enter)}</div>
        </section>
    }
}
