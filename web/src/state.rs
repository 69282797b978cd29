//! The shell's state: one editing session, one worker, and what the screen has to read again.
//!
//! In: messages from the views, news from the worker. Out: signals that tell the views which part to read again. All
//! decisions about the plan are the editor's; all layouts are the engine's; this file only carries them about.

use crate::bridge::client::{Client, Engine, Laid, News};
use crate::bridge::protocol::{Order, Paper};
use crate::files::offline::Kept;
use crate::files::{autosave, save};
use crate::panels::compare::Comparison;
use crate::text;
use baylap_core::Plan;
use baylap_core::compare::{Alternative, Aspects};
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{Section, Trace};
use baylap_core::splits::Proposal;
use baylap_editor::{Ask, CommandId, Effects, Look, Message, Session};
use leptos::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

/// Quiet time after which the worker may look for splits.
const IDLE: Duration = Duration::from_millis(600);

/// Kind of a list for spreadsheets.
const CSV: &str = "text/csv;charset=utf-8";

/// Panels that rise over the ledger.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Drawer {
    /// Bays.
    Bays,
    /// The days one after the other.
    Days,
    /// Pieces.
    Pieces,
    /// Rolls and their cuts.
    Rolls,
    /// Directions and starts that were tried, and splits that would save.
    Choices,
    /// Ways of laying side by side.
    Compare,
    /// Waste, and what it is made of.
    Waste,
    /// Findings.
    Findings,
}

/// Dialogs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dialog {
    /// The menu of the job.
    Menu,
    /// Ways to begin.
    Begin,
    /// The box that finds anything.
    Find,
    /// The keys.
    Keys,
    /// Earlier versions kept by the browser.
    Earlier,
    /// Typing the sides of a tape survey.
    Survey,
    /// Levels from a list.
    Levels,
    /// Today's work and its records.
    Today,
    /// Records of another file.
    Merge,
}

/// Sheets that cover the board on a narrow screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Cover {
    /// The tools.
    Tools,
    /// The inputs.
    Inputs,
}

/// How the browser's own copy of the job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Saved {
    /// Nothing to say yet.
    Fresh,
    /// A change is not written yet.
    Pending,
    /// Written.
    Kept,
    /// The browser refuses to keep it.
    Refused,
    /// Another tab wrote a newer version.
    Elsewhere,
}

/// How far the search for a better layout has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Looking {
    /// Better ones may come.
    #[default]
    Still,
    /// What is shown is the best that was found.
    Over,
}

/// What the views read again when it counts up.
#[derive(Clone, Copy)]
pub(crate) struct Parts {
    /// The plan.
    pub(crate) plan: RwSignal<u64>,
    /// The layout, or whether it is of the plan in force.
    pub(crate) layout: RwSignal<u64>,
    /// The overlay.
    pub(crate) overlay: RwSignal<u64>,
    /// The camera.
    pub(crate) view: RwSignal<u64>,
    /// The selection.
    pub(crate) selection: RwSignal<u64>,
    /// Tool, stage, snapping, what the commands allow.
    pub(crate) tool: RwSignal<u64>,
    /// Fields.
    pub(crate) fields: RwSignal<u64>,
    /// Site records.
    pub(crate) records: RwSignal<u64>,
}

/// A sentence over the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Say {
    /// What it says.
    pub(crate) sentence: String,
    /// Whether something is wrong.
    pub(crate) wrong: bool,
    /// Whether it is about the last thing tried only, and done with once something succeeds.
    passing: bool,
}

/// The whole state. Cheap to copy; lives as long as the page.
#[derive(Clone, Copy)]
pub(crate) struct Shell {
    session: StoredValue<Session, LocalStorage>,
    client: StoredValue<Option<Client>, LocalStorage>,
    /// What to read again.
    pub(crate) parts: Parts,
    /// How the engine is.
    pub(crate) engine: RwSignal<Engine>,
    /// What the last first layout took, milliseconds.
    pub(crate) millis: RwSignal<f64>,
    /// How far the search for the layout shown has come.
    pub(crate) looking: RwSignal<Looking>,
    /// What the last search took that came to its end: revision of its plan, steps, milliseconds.
    pub(crate) searched: RwSignal<(u64, u64, f64)>,
    /// Splits that would save, for the plan in force.
    pub(crate) splits: RwSignal<Vec<Proposal>>,
    /// Whether they have been looked for.
    pub(crate) looked_for_splits: RwSignal<bool>,
    /// The comparison of ways asked for last.
    pub(crate) comparison: RwSignal<Option<Comparison>>,
    /// What was ticked to be compared.
    pub(crate) ticks: RwSignal<Option<Aspects>>,
    /// The way of the water asked for last, for the plan in force.
    pub(crate) trace: RwSignal<Option<Trace>>,
    /// The long section asked for last, for the plan in force.
    pub(crate) section: RwSignal<Option<Section>>,
    /// How the browser's own copy is.
    pub(crate) saved: RwSignal<Saved>,
    /// How far the page itself is kept on the device.
    pub(crate) kept: RwSignal<Kept>,
    /// Panel over the ledger.
    pub(crate) drawer: RwSignal<Option<Drawer>>,
    /// Open dialog.
    pub(crate) dialog: RwSignal<Option<Dialog>>,
    /// Sheet over the board on a narrow screen.
    pub(crate) cover: RwSignal<Option<Cover>>,
    /// Sentence over the board.
    pub(crate) say: RwSignal<Option<Say>>,
    /// What the live region says.
    pub(crate) live: RwSignal<String>,
    /// What a second live region says of the layout, so that neither drowns the other.
    pub(crate) live_layout: RwSignal<String>,
    /// Paper of the sheets.
    pub(crate) paper: RwSignal<Paper>,
    /// Whether what was left, or the first job, is on the board: only then is anything kept.
    pub(crate) open_for_work: RwSignal<bool>,
    orders: StoredValue<u32>,
    /// What was typed into boxes of records and not recorded yet, by box.
    drafts: StoredValue<BTreeMap<String, String>>,
    /// Whether the view is the whole plan, as nobody has moved it since.
    whole: StoredValue<bool>,
}

impl Shell {
    /// A shell on a session, without a worker yet.
    pub(crate) fn new(session: Session) -> Self {
        let tick = || RwSignal::new(0_u64);
        Self {
            session: StoredValue::new_local(session),
            client: StoredValue::new_local(None),
            parts: Parts {
                plan: tick(),
                layout: tick(),
                overlay: tick(),
                view: tick(),
                selection: tick(),
                tool: tick(),
                fields: tick(),
                records: tick(),
            },
            engine: RwSignal::new(Engine::Starting),
            millis: RwSignal::new(0.0),
            looking: RwSignal::new(Looking::Still),
            searched: RwSignal::new((u64::MAX, 0, 0.0)),
            splits: RwSignal::new(Vec::new()),
            looked_for_splits: RwSignal::new(false),
            comparison: RwSignal::new(None),
            ticks: RwSignal::new(None),
            trace: RwSignal::new(None),
            section: RwSignal::new(None),
            saved: RwSignal::new(Saved::Fresh),
            kept: RwSignal::new(Kept::No),
            drawer: RwSignal::new(None),
            dialog: RwSignal::new(None),
            cover: RwSignal::new(None),
            say: RwSignal::new(None),
            live: RwSignal::new(String::new()),
            live_layout: RwSignal::new(String::new()),
            paper: RwSignal::new(Paper::A3),
            open_for_work: RwSignal::new(false),
            orders: StoredValue::new(0),
            drafts: StoredValue::new(BTreeMap::new()),
            whole: StoredValue::new(true),
        }
    }

    /// What a box of records holds: what was typed before its view was taken away stays, until it is recorded.
    pub(crate) fn draft(self, name: impl Into<String>) -> RwSignal<String> {
        let name = name.into();
        let before = self.drafts.with_value(|all| all.get(&name).cloned());
        let text = RwSignal::new(before.unwrap_or_default());
        Effect::new(move |_| {
            let now = text.get();
            self.drafts.update_value(|all| {
                if now.is_empty() {
                    all.remove(&name);
                } else {
                    all.insert(name.clone(), now);
                }
            });
        });
        text
    }

    /// Reads the session.
    pub(crate) fn read<T>(&self, look: impl FnOnce(&Session) -> T) -> T {
        self.session.with_value(look)
    }

    /// Starts the worker; nothing is laid before a job is on the board.
    pub(crate) fn start_engine(self) {
        let client = Client::start(move |news| self.news(news));
        self.client.set_value(Some(client));
    }

    /// Starts the worker anew and has the plan laid again.
    pub(crate) fn restart_engine(self) {
        self.client.with_value(|client| {
            if let Some(client) = client {
                client.restart();
            }
        });
        self.lay();
    }

    /// Puts a saved session in place of this one, at the start of the page.
    pub(crate) fn restore(self, session: Session) {
        let size = self.read(|old| (old.camera().width, old.camera().height));
        self.session.set_value(session);
        let _ = self.session.try_update_value(|s| {
            s.handle(Message::Resize { width: size.0, height: size.1 });
            s.handle(Message::Command(CommandId::ZoomFit))
        });
        self.read(|s| crate::broken::remember(s.plan()));
        self.touch_all();
    }

    /// Gives the session a message and does what comes of it; `true` when a key was used.
    pub(crate) fn send(self, message: Message) -> bool {
        let fits = matches!(message, Message::Command(CommandId::ZoomFit));
        let resized = matches!(message, Message::Resize { .. });
        let effects = self.session.try_update_value(|session| session.handle(message)).unwrap_or_default();
        if effects.view && !resized {
            self.whole.set_value(fits);
        }
        let taken = effects.taken;
        self.apply(effects);
        taken
    }

    /// The board has this size now; when the whole plan was shown before, it is shown whole again.
    pub(crate) fn resize(self, width: f64, height: f64) {
        self.send(Message::Resize { width, height });
        if self.whole.get_value() {
            self.command(CommandId::ZoomFit);
        }
    }

    /// Gives a command.
    pub(crate) fn command(self, id: CommandId) {
        self.send(Message::Command(id));
    }

    /// Opens a plan; the old one comes back by undo.
    pub(crate) fn open(self, plan: Plan) {
        let before = self.read(Session::revision);
        self.client.with_value(|client| {
            if let Some(client) = client {
                client.forget(before);
            }
        });
        autosave::set_aside(self);
        self.send(Message::Loaded(plan));
        self.command(CommandId::ZoomFit);
        self.dialog.set(None);
    }

    /// Opens the invented job of the first visit; there is nothing before it to go back to.
    pub(crate) fn first_visit(self, name: &str, words: &str) {
        match baylap_core::plan::file::read_any(words.as_bytes()) {
            Ok(plan) => {
                self.restore(Session::new(plan));
                self.lay();
            }
            Err(why) => self.tell(text::not_opened(name, &why.to_string()), true),
        }
    }

    /// Says a sentence over the board, and to screen readers.
    pub(crate) fn tell(self, sentence: impl Into<String>, wrong: bool) {
        self.say_aloud(Say { sentence: sentence.into(), wrong, passing: false });
    }

    fn say_aloud(self, said: Say) {
        self.live.set(said.sentence.clone());
        self.say.set(Some(said));
    }

    /// Takes away what was said of a refusal: what was wrong is mended, or is tried again.
    pub(crate) fn refusal_is_over(self) {
        let Some(said) = self.take_refusal_off_the_board() else { return };
        if self.live.get_untracked() == said.sentence {
            self.live.set(String::new());
        }
    }

    /// Takes a refusal off the board, when it is said beside what it is about; the ear still hears it.
    pub(crate) fn take_refusal_off_the_board(self) -> Option<Say> {
        let said = self.say.get_untracked().filter(|said| said.passing)?;
        self.say.set(None);
        Some(said)
    }

    /// Orders a file from the worker.
    pub(crate) fn order(self, order: Order) {
        let number = self.orders.try_update_value(|n| {
            *n += 1;
            *n
        });
        let (plan, revision) = self.read(|s| (s.plan().clone(), s.revision()));
        self.client.with_value(|client| match client {
            Some(client) if self.engine.get_untracked() != Engine::Missing => {
                client.make(number.unwrap_or_default(), revision, &plan, order);
                self.live.set(text::MAKING.to_owned());
            }
            _ => self.tell(text::NO_ENGINE_FOR_FILE, true),
        });
    }

    /// Hands the plan file to the user.
    pub(crate) fn save_plan(self) {
        let plan = self.read(|s| s.plan().clone());
        let name = save::file_name(&plan.job.name, "", "baylap.json");
        let file = baylap_core::plan::file::write(&plan);
        if save::download(&name, "application/json", file.as_bytes()) {
            self.live.set(text::saved_as(&name));
        } else {
            self.tell(text::NO_DOWNLOAD, true);
        }
    }

    fn apply(self, effects: Effects) {
        let parts = self.parts;
        let flags = [
            (effects.plan.is_some(), parts.plan),
            (effects.layout || effects.plan.is_some(), parts.layout),
            (effects.overlay, parts.overlay),
            (effects.view, parts.view),
            (effects.selection, parts.selection),
            (effects.tool, parts.tool),
            (effects.fields || effects.plan.is_some() || effects.selection, parts.fields),
            (effects.records || effects.plan.is_some(), parts.records),
        ];
        for (changed, part) in flags {
            if changed {
                part.update(|n| *n += 1);
            }
        }
        if effects.records {
            self.read(|s| crate::broken::remember(s.plan()));
        }
        if effects.plan.is_some() {
            self.read(|s| crate::broken::remember(s.plan()));
            self.lay();
            self.looking.set(Looking::Still);
            self.forget_splits();
        }
        if self.open_for_work.get_untracked() && (effects.plan.is_some() || effects.save || effects.tool) {
            autosave::changed(self, effects.plan.is_some() || effects.save);
        }
        if effects.plan.is_some() {
            self.refusal_is_over();
        } else if effects.save && !effects.records {
            self.look_for_splits();
        }
        if let Some(words) = effects.announce {
            self.live.set(words);
        }
        if let Some(sentence) = effects.problem {
            self.say_aloud(Say { sentence, wrong: true, passing: true });
        }
        if let Some(ask) = effects.ask {
            self.ask(ask);
        }
        match effects.look {
            Some(Look::Water(from)) => self.trace_from(from),
            Some(Look::Section(line)) => self.section_along(line),
            None => {}
        }
    }

    fn touch_all(self) {
        let parts = self.parts;
        for part in [
            parts.plan,
            parts.layout,
            parts.overlay,
            parts.view,
            parts.selection,
            parts.tool,
            parts.fields,
            parts.records,
        ] {
            part.update(|n| *n += 1);
        }
    }

    /// Sends the plan in force to the worker.
    pub(crate) fn lay(self) {
        let (plan, revision) = self.read(|s| (s.plan().clone(), s.revision()));
        self.client.with_value(|client| {
            if let Some(client) = client {
                client.lay(revision, plan);
            }
        });
    }

    /// Asks the worker for the way that water takes from a place.
    pub(crate) fn trace_from(self, from: Pt) {
        let revision = self.read(Session::revision);
        self.with_client(|client| client.trace(revision, from));
    }

    /// Has the worker compare ways of laying the plan of a revision; none at all gives up what is under way.
    pub(crate) fn compare(self, revision: u64, ways: Vec<Alternative>) {
        self.with_client(|client| client.compare(revision, ways));
    }

    /// Asks the worker for the levels along a line.
    pub(crate) fn section_along(self, line: Vec<Pt>) {
        let revision = self.read(Session::revision);
        self.with_client(|client| client.section(revision, line));
    }

    /// Shows the way of the water over the drawing.
    fn traced(self, trace: Option<Trace>) {
        match &trace {
            Some(trace) => {
                self.send(Message::Preview(vec![trace.points.clone()]));
            }
            None => self.tell(text::NO_LEVELS_HERE, true),
        }
        self.trace.set(trace);
    }

    fn with_client(self, act: impl FnOnce(&Client)) {
        self.client.with_value(|client| {
            if let Some(client) = client {
                act(client);
            }
        });
    }

    fn news(self, news: News) {
        match news {
            News::Laid(laid) => self.laid(laid),
            News::Splits(revision, proposals) => {
                if self.read(Session::revision) == revision {
                    self.splits.set(proposals);
                    self.looked_for_splits.set(true);
                }
            }
            News::Compared(news) => self.comparison.update(|c| {
                if let Some(comparison) = c {
                    comparison.hear(news);
                }
            }),
            News::Traced(revision, trace) => {
                if self.read(Session::revision) == revision {
                    self.traced(trace);
                }
            }
            News::Sectioned(revision, section) => {
                if self.read(Session::revision) == revision {
                    if section.is_none() {
                        self.tell(text::NO_LEVELS_HERE, true);
                    }
                    self.section.set(section);
                }
            }
            News::Made(_, order, bytes) => self.hand_over(order, &bytes),
            News::Refused(_, sentence) => self.tell(sentence, true),
            News::Engine(engine) => {
                if engine == Engine::Restarted {
                    self.tell(text::ENGINE_RESTARTED, true);
                    self.looking.set(Looking::Over);
                    self.forget_splits();
                }
                self.engine.set(engine);
            }
        }
    }

    fn laid(self, laid: Laid) {
        let Laid { revision, layout, millis, steps, done, first } = laid;
        if first {
            self.millis.set(millis);
        }
        if let Some(layout) = layout {
            self.send(Message::LayoutArrived { revision, layout: Arc::from(layout) });
        }
        if !self.read(Session::layout_is_current) {
            return;
        }
        if done {
            self.looking.set(Looking::Over);
            self.searched.set((revision, steps, millis));
            self.look_for_splits();
        }
        // While a corner is dragged a layout comes many times a second; an ear is told of the last one.
        if (first || done) && !self.read(Session::is_dragging) {
            self.live_layout.set(self.read(|s| text::laid(s.layout(), done)));
        }
    }

    /// Has the worker look for splits, once the search is over and nothing is being dragged.
    fn look_for_splits(self) {
        let (revision, idle) = self.read(|s| (s.revision(), !s.is_dragging() && !s.is_drawing()));
        let over = self.looking.get_untracked() == Looking::Over;
        if !(idle && over) {
            return;
        }
        let ask = move || {
            let still = self.read(|s| s.revision() == revision && !s.is_dragging() && !s.is_drawing());
            self.client.with_value(|client| {
                if let Some(client) = client.as_ref().filter(|_| still) {
                    client.splits(revision);
                }
            });
        };
        set_timeout(ask, IDLE);
    }

    /// Takes what was proposed for another plan off the screen.
    fn forget_splits(self) {
        self.looked_for_splits.set(false);
        self.comparison.update(|c| {
            if let Some(comparison) = c {
                comparison.give_up();
            }
        });
        self.trace.set(None);
        self.section.set(None);
        if !self.splits.with_untracked(Vec::is_empty) {
            self.splits.set(Vec::new());
            self.send(Message::Preview(Vec::new()));
        }
    }

    fn hand_over(self, order: Order, bytes: &[u8]) {
        let job = self.read(|s| s.plan().job.name.clone());
        let (name, kind) = match order {
            Order::SettingOut(Paper::A4) => {
                (save::file_name(&job, "setting-out-a4", "pdf"), "application/pdf")
            }
            Order::SettingOut(Paper::A3) => {
                (save::file_name(&job, "setting-out-a3", "pdf"), "application/pdf")
            }
            Order::Days(Paper::A4) => (save::file_name(&job, "days-a4", "pdf"), "application/pdf"),
            Order::Days(Paper::A3) => (save::file_name(&job, "days-a3", "pdf"), "application/pdf"),
            Order::Drainage(Paper::A4) => (save::file_name(&job, "drainage-a4", "pdf"), "application/pdf"),
            Order::Drainage(Paper::A3) => (save::file_name(&job, "drainage-a3", "pdf"), "application/pdf"),
            Order::DrainagePlan(Paper::A4) => (save::file_name(&job, "drainage-a4", "svg"), "image/svg+xml"),
            Order::DrainagePlan(Paper::A3) => (save::file_name(&job, "drainage-a3", "svg"), "image/svg+xml"),
            Order::Ponds => (save::file_name(&job, "ponds", "csv"), CSV),
            Order::Outlets => (save::file_name(&job, "outlets", "csv"), CSV),
            Order::Seams => (save::file_name(&job, "edges-and-laps", "csv"), CSV),
            Order::CutList => (save::file_name(&job, "cut-list", "csv"), CSV),
            Order::Records => (save::file_name(&job, "records", "csv"), CSV),
        };
        if save::download(&name, kind, bytes) {
            self.live.set(text::saved_as(&name));
        } else {
            self.tell(text::NO_DOWNLOAD, true);
        }
    }

    fn ask(self, ask: Ask) {
        match ask {
            Ask::Open => crate::files::open::choose(self),
            Ask::Save => self.save_plan(),
            Ask::Levels => self.dialog.set(Some(Dialog::Levels)),
            Ask::Begin => self.dialog.set(Some(Dialog::Begin)),
            Ask::SavePdf => self.order(Order::SettingOut(self.paper.get_untracked())),
            Ask::SaveDays => self.order(Order::Days(self.paper.get_untracked())),
            Ask::SaveDrainage => self.order(Order::Drainage(self.paper.get_untracked())),
            Ask::SaveCuts => self.order(Order::CutList),
            Ask::SaveLayout => self.save_layout(),
            Ask::SaveRecords => self.order(Order::Records),
            Ask::MergeRecords => self.dialog.set(Some(Dialog::Merge)),
            Ask::Today => self.dialog.set(Some(Dialog::Today)),
            Ask::Print => crate::panels::paper::print(self),
            Ask::Find => self.dialog.set(Some(Dialog::Find)),
            Ask::Scheme => crate::controls::scheme::next(),
            Ask::Keys => self.dialog.set(Some(Dialog::Keys)),
            Ask::Table => self.drawer.set(Some(Drawer::Bays)),
            Ask::Findings => self.drawer.set(Some(Drawer::Findings)),
        }
    }

    fn save_layout(self) {
        let (name, layout) = self.read(|s| (s.plan().job.name.clone(), s.layout().clone()));
        let file = serde_json::to_string(&*layout).unwrap_or_default();
        let name = save::file_name(&name, "layout", "json");
        if !save::download(&name, "application/json", file.as_bytes()) {
            self.tell(text::NO_DOWNLOAD, true);
        }
    }
}

/// The shell of this page.
pub(crate) fn shell() -> Shell {
    expect_context::<Shell>()
}
