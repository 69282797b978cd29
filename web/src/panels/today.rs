//! Today: the work of a day for a phone, bay by bay, and what is recorded of it.
//!
//! In: the layout with its days, and the records of the plan. Out: what to lay, cut and carry, large ticks, and records
//! that are judged as they are entered. It needs no connection; what is entered is kept as the plan is.

use super::ledger::layout_signal;
use super::today_bay::{Picture, Ticks, Work};
use super::today_list::{Ends, List, Missing};
use super::today_tests::{Bond, Leak, Note, SignOff, Thickness, Weather};
use super::today_words as words;
use crate::controls::dialog::Modal;
use crate::files::device;
use crate::state::{Dialog, Shell, shell};
use crate::text;
use baylap_core::geom::Pt;
use baylap_core::plan::{Date, Entry, Record, WorkStep};
use baylap_core::records::{Verdict, bay_at, bay_state, judge, standing};
use baylap_editor::today::{self, DayChoice};
use baylap_editor::{Message, Session};
use leptos::prelude::*;
use std::collections::BTreeSet;

/// The dialog.
#[component]
pub(crate) fn Today() -> impl IntoView {
    let shell = shell();
    view! {
        <Modal
            open=Signal::derive(move || shell.dialog.get() == Some(Dialog::Today))
            close=move || {
                if shell.dialog.get_untracked() == Some(Dialog::Today) {
                    shell.dialog.set(None);
                }
            }
            title=text::TODAY
            name="today"
        >
            <Inner/>
        </Modal>
    }
}

/// What was said of the last entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Said {
    pub(super) verdict: Verdict,
    pub(super) text: String,
}

/// The view's own state: which day and bay, who enters, what is being corrected.
#[derive(Clone, Copy)]
pub(super) struct Sheet {
    pub(super) shell: Shell,
    /// The date as it stands in its field.
    pub(super) date: RwSignal<String>,
    pub(super) by: RwSignal<String>,
    pub(super) bay: RwSignal<Option<u32>>,
    /// A place marked on the picture.
    pub(super) spot: RwSignal<Option<Pt>>,
    /// Key of the record that the next entry takes the place of.
    pub(super) corrects: RwSignal<Option<String>>,
    pub(super) said: RwSignal<Option<Said>>,
}

impl Sheet {
    fn new(shell: Shell) -> Self {
        Self {
            shell,
            date: RwSignal::new(device::now().0),
            by: RwSignal::new(device::name()),
            bay: RwSignal::new(None),
            spot: RwSignal::new(None),
            corrects: RwSignal::new(None),
            said: RwSignal::new(None),
        }
    }

    /// The date in its field, if it is one.
    pub(super) fn day(self) -> Option<Date> {
        self.date.with(|text| text.parse().ok())
    }

    /// A place inside the bay that is shown.
    pub(super) fn place(self) -> Option<Pt> {
        let bay = self.bay.get_untracked()?;
        self.shell.read(|s| today::place_of(s.layout(), bay))
    }

    /// Says that something could not be entered.
    pub(super) fn refuse(self, text: impl Into<String>) {
        self.said.set(Some(Said { verdict: Verdict::Failed, text: text.into() }));
    }

    /// Enters something; whether it was taken.
    pub(super) fn enter(self, at: Option<Pt>, what: Entry) -> bool {
        let replaces = self.corrects.get_untracked();
        self.enter_for(at, what, replaces)
    }

    /// Withdraws a record.
    pub(super) fn withdraw(self, key: &str) {
        let at = self.shell.read(|s| s.plan().records.iter().find(|r| r.key == key).and_then(|r| r.at));
        self.enter_for(at, Entry::Withdrawn { why: String::new() }, Some(key.to_owned()));
    }

    fn enter_for(self, at: Option<Pt>, what: Entry, replaces: Option<String>) -> bool {
        let date: Date = match self.date.with_untracked(|text| text.parse()) {
            Ok(date) => date,
            Err(sentence) => {
                self.refuse(format!("{sentence}"));
                return false;
            }
        };
        let key = self.shell.read(|s| device::next_key(&s.plan().records));
        let by = self.by.get_untracked().trim().to_owned();
        let record = Record { key, replaces, date: Some(date), time: device::now().1, by, at, what };
        let judged = self.shell.read(|s| judge(s.plan(), s.layout(), &record));
        self.shell.send(Message::Record(record));
        if let Some(problem) = self.shell.read(|s| s.problem().map(str::to_owned)) {
            self.shell.take_refusal_off_the_board();
            self.refuse(problem);
            return false;
        }
        self.corrects.set(None);
        self.said.set(Some(Said { verdict: judged.verdict, text: judged.text }));
        true
    }

    /// Reads the session again whenever records or the layout change.
    pub(super) fn watch<T: PartialEq + Send + Sync + 'static>(
        self,
        read: impl Fn(&Session) -> T + Send + Sync + 'static,
    ) -> Memo<T> {
        let shell = self.shell;
        Memo::new(move |_| {
            shell.parts.records.track();
            shell.parts.layout.track();
            shell.parts.plan.track();
            shell.read(&read)
        })
    }
}

#[component]
fn Inner() -> impl IntoView {
    let sheet = Sheet::new(shell());
    let layout = layout_signal();
    let nothing = super::tables::nothing(layout);
    view! {
        <p class="lead">{words::LEAD}</p>
        <Cautions sheet=sheet/>
        <Who sheet=sheet/>
        <Show when=move || !nothing() fallback=|| view! { <p class="lead">{words::NO_BAYS}</p> }>
            <Bays sheet=sheet/>
            <Bond sheet=sheet/>
            <Weather sheet=sheet/>
            <Work sheet=sheet/>
            <Ticks sheet=sheet/>
            <Picture sheet=sheet/>
            <Thickness sheet=sheet/>
            <Leak sheet=sheet/>
            <SignOff sheet=sheet/>
            <Note sheet=sheet/>
            <Missing sheet=sheet/>
            <List sheet=sheet/>
        </Show>
        <Ends sheet=sheet/>
        <super::notices::KeptLine/>
        <Foot sheet=sheet/>
    }
}

/// The usual cautions: open until something is recorded on the day, a tap away after that.
#[component]
fn Cautions(sheet: Sheet) -> impl IntoView {
    let all = baylap_sheets::caution::SHORT;
    let day = sheet.date.with_untracked(|text| text.parse::<Date>().ok());
    let begun = sheet.shell.read(|s| s.plan().records.iter().any(|r| r.date.is_some() && r.date == day));
    view! {
        <details class="today-part" data-testid="cautions" open=!begun>
            <summary>{words::CAUTIONS}</summary>
            <ul class="cautions">{all.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
        </details>
    }
}

/// The day and who enters.
#[component]
fn Who(sheet: Sheet) -> impl IntoView {
    view! {
        <div class="pair">
            <div class="field">
                <label for="today-date">{words::DATE}</label>
                <div class="box">
                    <input
                        id="today-date"
                        type="date"
                        prop:value=move || sheet.date.get()
                        on:change=move |event| sheet.date.set(event_target_value(&event))
                    />
                </div>
            </div>
            <div class="field">
                <label for="today-by">{words::BY}</label>
                <div class="box">
                    <input
                        id="today-by"
                        type="text"
                        autocomplete="name"
                        prop:value=move || sheet.by.get()
                        on:change=move |event| {
                            let name = event_target_value(&event);
                            device::keep_name(name.trim());
                            sheet.by.set(name);
                        }
                    />
                </div>
            </div>
        </div>
    }
}

/// Bays whose sheet is laid: their work is done.
fn finished(session: &Session) -> BTreeSet<u32> {
    let standing = standing(&session.plan().records);
    let done = |r: &Record| matches!(r.what, Entry::Done { step: WorkStep::Protected | WorkStep::Covered });
    let bay = |r: &Record| r.at.and_then(|at| bay_at(session.layout(), at));
    standing.in_force().filter(|r| done(r)).filter_map(bay).collect()
}

/// The days, and the bays of the one chosen.
#[component]
fn Bays(sheet: Sheet) -> impl IntoView {
    let days = sheet.watch(|s| today::days(s.layout()));
    let done = sheet.watch(finished);
    let chosen = RwSignal::new(None::<usize>);
    let now = Memo::new(move |_| {
        let own = days
            .with(|d| today::day_of(d, sheet.day(), |bay| done.with_untracked(|done| done.contains(&bay))));
        chosen.get().filter(|n| days.with(|d| *n < d.len())).unwrap_or(own)
    });
    let bays =
        Memo::new(move |_| days.with(|d| d.get(now.get()).map(|d| d.bays.clone()).unwrap_or_default()));
    // The first bay of the day that is not done is the one to begin with.
    Effect::new(move |_| {
        let bays = bays.get();
        if sheet.bay.get_untracked().is_none_or(|bay| !bays.contains(&bay)) {
            let open = bays.iter().find(|bay| done.with_untracked(|done| !done.contains(bay)));
            sheet.bay.set(open.or(bays.first()).copied());
        }
    });
    Effect::new(move |before: Option<Option<u32>>| {
        let bay = sheet.bay.get();
        if before.is_some_and(|b| b != bay) {
            sheet.spot.set(None);
        }
        bay
    });
    let option = move |(i, day): (usize, DayChoice)| {
        view! { <option value=i.to_string() prop:selected=move || now.get() == i>{day.name()}</option> }
    };
    let one = move |bay: u32| {
        let is_done = move || done.with(|d| d.contains(&bay));
        view! {
            <button
                type="button"
                class="button bay-chip"
                data-testid=format!("today-bay-{bay}")
                aria-pressed=move || if sheet.bay.get() == Some(bay) { "true" } else { "false" }
                aria-label=move || if is_done() { format!("Bay {bay}, done") } else { format!("Bay {bay}") }
                on:click=move |_| sheet.bay.set(Some(bay))
            >
                {bay}
                {move || is_done().then_some(" ✓")}
            </button>
        }
    };
    view! {
        <section class="today-part">
            <div class="field">
                <label for="today-day">{words::DAY}</label>
                <div class="box">
                    <select id="today-day" on:change=move |event| chosen.set(event_target_value(&event).parse().ok())>
                        {move || days.get().into_iter().enumerate().map(option).collect_view()}
                    </select>
                </div>
            </div>
            <div class="bay-chips" role="group" aria-label=words::BAYS>
                {move || bays.get().into_iter().map(one).collect_view()}
            </div>
        </section>
    }
}

/// What was said of the last entry, always in sight.
#[component]
fn Foot(sheet: Sheet) -> impl IntoView {
    let said = move || {
        sheet.said.get().map(|said| {
            view! {
                <p data-testid="today-said" data-verdict=words::verdict(said.verdict)>
                    <span class=words::class(said.verdict)>{words::verdict(said.verdict)}</span>
                    " "
                    {said.text}
                </p>
            }
        })
    };
    let correcting = move || {
        sheet.corrects.get().map(|key| {
            view! {
                <p data-testid="today-corrects">
                    {words::correcting(&key)}
                    <button type="button" class="plain" on:click=move |_| sheet.corrects.set(None)>"Leave it"</button>
                </p>
            }
        })
    };
    view! { <div class="today-foot" aria-live="polite">{correcting}{said}</div> }
}

/// Whether a step of a bay is done, and the record that says so.
pub(super) fn ticks(session: &Session, bay: u32) -> Vec<(WorkStep, Option<String>)> {
    let standing = standing(&session.plan().records);
    let state = bay_state(session.plan(), session.layout(), &standing, bay);
    let key = |step: WorkStep| state.as_ref().and_then(|s| s.done.get(&step)).map(|r| r.key.clone());
    WorkStep::ALL.into_iter().map(|step| (step, key(step))).collect()
}
