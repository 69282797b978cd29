//! The page's side of the bridge.
//!
//! In: plans as they change, orders for files. Out: [`News`]. One plan at most waits for its first layout; meanwhile only
//! the newest plan is kept. Better layouts follow the first. A layout older than a plan just opened is dropped. When the
//! worker dies it is started again, at once and without the plan that broke it; the page keeps the last good layout.

use super::protocol::{Ask, BUILD, Order, PROTOCOL, Tell};
use baylap_core::compare::{Alternative, Outcome, Progress, Standing};
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{Section, Trace};
use baylap_core::splits::Proposal;
use baylap_core::{Layout, Plan};
use std::cell::RefCell;
use std::collections::VecDeque;
use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

/// A run that lasts longer than this is given up when a newer plan is waiting, milliseconds.
const PATIENCE: f64 = 4000.0;
/// A worker that has not said a word after this time is said to be missing.
const START: Duration = Duration::from_secs(30);
/// Deaths in a row after which the worker is not started again by itself.
const TRIES: u32 = 3;

/// How the engine is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Engine {
    /// On its way up.
    Starting,
    /// Waiting for a plan.
    Idle,
    /// Laying.
    Busy,
    /// It stopped on a plan and was started again; the last good layout stays.
    Restarted,
    /// It does not start, or stopped too often.
    Missing,
    /// It is of another build than the page.
    OtherBuild,
}

/// What the bridge has to say.
pub enum News {
    /// How the search for the layout of a plan goes.
    Laid(Laid),
    /// Where the plan of a revision could be split.
    Splits(u64, Vec<Proposal>),
    /// How a comparison of ways goes.
    Compared(Compared),
    /// The way that water takes, for the plan of a revision.
    Traced(u64, Option<Trace>),
    /// Levels along a line, for the plan of a revision.
    Sectioned(u64, Option<Section>),
    /// A file, with the number of its order.
    Made(u32, Order, Vec<u8>),
    /// A file that could not be made, with a sentence.
    Refused(u32, String),
    /// The engine's state changed.
    Engine(Engine),
}

/// How the search for the layout of a plan goes.
pub struct Laid {
    /// Revision of the plan.
    pub revision: u64,
    /// A layout, when it is the first or a better one.
    pub layout: Option<Box<Layout>>,
    /// What the engine has taken for this plan so far, milliseconds.
    pub millis: f64,
    /// Steps of the search so far.
    pub steps: u64,
    /// Whether the search is over.
    pub done: bool,
    /// Whether it is the first answer for this plan.
    pub first: bool,
}

/// How a comparison of ways goes.
pub struct Compared {
    /// Revision of the plan.
    pub revision: u64,
    /// Ways laid since the last word, each with its place in the list.
    pub laid: Vec<(usize, Outcome)>,
    /// How every way known so far stands.
    pub standings: Vec<Standing>,
    /// How far it has come.
    pub progress: Progress,
    /// What it has taken so far, milliseconds.
    pub millis: f64,
    /// Whether it is over.
    pub done: bool,
}

type Ear = Rc<dyn Fn(News)>;

/// The page's end of the bridge. Clones share one worker.
#[derive(Clone)]
pub struct Client {
    inner: Rc<RefCell<Inner>>,
    ear: Ear,
}

#[derive(Default)]
struct Inner {
    worker: Option<Worker>,
    ready: bool,
    /// Counts workers started, so that a word from a dead one is not heard.
    generation: u32,
    deaths: u32,
    /// Revision in flight and when it was sent.
    flying: Option<(u64, f64)>,
    next: Option<(u64, Arc<Plan>)>,
    orders: VecDeque<String>,
    /// Layouts of revisions before this one are not wanted any more.
    first: u64,
}

impl Client {
    /// Starts a worker; `ear` hears the news.
    pub fn start(ear: impl Fn(News) + 'static) -> Self {
        let client = Self { inner: Rc::default(), ear: Rc::new(ear) };
        client.spawn();
        client
    }

    /// Asks for the layout of a plan; an older plan still waiting is forgotten.
    pub fn lay(&self, revision: u64, plan: Arc<Plan>) {
        let stuck = {
            let mut inner = self.inner.borrow_mut();
            inner.next = Some((revision, plan));
            inner.flying.is_some_and(|(_, since)| now() - since > PATIENCE)
        };
        if stuck {
            self.spawn();
        } else {
            self.send();
        }
    }

    /// Orders a file.
    pub fn make(&self, number: u32, revision: u64, plan: &Plan, order: Order) {
        let ask = Ask::Make { number, revision, plan: plan.clone(), order };
        self.ask(&ask);
    }

    /// Asks where the plan laid last could be split.
    pub fn splits(&self, revision: u64) {
        self.ask(&Ask::Splits { revision });
    }

    /// Asks how other ways of laying the plan laid last compare; none at all gives up what is under way.
    pub fn compare(&self, revision: u64, ways: Vec<Alternative>) {
        self.ask(&Ask::Compare { revision, ways });
    }

    /// Asks for the way that water takes from a place.
    pub fn trace(&self, revision: u64, from: Pt) {
        self.ask(&Ask::Trace { revision, from });
    }

    /// Asks for the levels along a line.
    pub fn section(&self, revision: u64, line: Vec<Pt>) {
        self.ask(&Ask::Section { revision, line });
    }

    fn ask(&self, ask: &Ask) {
        if let Ok(text) = serde_json::to_string(ask) {
            self.inner.borrow_mut().orders.push_back(text);
        }
        self.send();
    }

    /// Wants no layout of this revision or older: another plan was opened.
    pub fn forget(&self, revision: u64) {
        self.inner.borrow_mut().first = revision.saturating_add(1);
    }

    /// Starts the worker anew, whatever it does.
    pub fn restart(&self) {
        self.inner.borrow_mut().deaths = 0;
        self.spawn();
    }

    fn spawn(&self) {
        let generation = {
            let mut inner = self.inner.borrow_mut();
            if let Some(old) = inner.worker.take() {
                old.terminate();
            }
            inner.ready = false;
            inner.flying = None;
            inner.generation += 1;
            inner.generation
        };
        self.say(News::Engine(Engine::Starting));
        let options = WorkerOptions::new();
        options.set_type(WorkerType::Module);
        let address = format!("./worker_loader.js?v={BUILD}");
        let Ok(worker) = Worker::new_with_options(&address, &options) else {
            self.say(News::Engine(Engine::Missing));
            return;
        };
        self.listen(&worker, generation);
        self.inner.borrow_mut().worker = Some(worker);
        let later = self.clone();
        leptos::prelude::set_timeout(move || later.doubt(generation), START);
    }

    fn listen(&self, worker: &Worker, generation: u32) {
        let client = self.clone();
        let hear = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            client.hear(generation, &event.data());
        });
        worker.set_onmessage(Some(hear.as_ref().unchecked_ref()));
        hear.forget();
        let client = self.clone();
        let fail = Closure::<dyn FnMut(web_sys::Event)>::new(move |_: web_sys::Event| client.die(generation));
        worker.set_onerror(Some(fail.as_ref().unchecked_ref()));
        fail.forget();
    }

    fn hear(&self, generation: u32, data: &JsValue) {
        if self.inner.borrow().generation != generation {
            return;
        }
        let (text, bytes) = split(data);
        let Some(Ok(word)) = text.map(|text| serde_json::from_str::<Tell>(&text)) else {
            self.say(News::Engine(Engine::OtherBuild));
            return;
        };
        match word {
            Tell::Ready { protocol, build } => self.greet(protocol, &build),
            Tell::Laid { revision, layout, millis, steps, done } => {
                self.land(Laid { revision, layout, millis, steps, done, first: false });
            }
            Tell::Splits { revision, proposals } => self.say(News::Splits(revision, proposals)),
            Tell::Compared { revision, laid, standings, progress, millis, done } => {
                self.say(News::Compared(Compared { revision, laid, standings, progress, millis, done }));
            }
            Tell::Traced { revision, trace } => self.say(News::Traced(revision, trace)),
            Tell::Sectioned { revision, section } => self.say(News::Sectioned(revision, section)),
            Tell::Made { number, order } => self.say(News::Made(number, order, bytes)),
            Tell::Refused { number, sentence } => self.say(News::Refused(number, sentence)),
        }
    }

    fn greet(&self, protocol: u32, build: &str) {
        if protocol != PROTOCOL || build != BUILD {
            if let Some(worker) = self.inner.borrow_mut().worker.take() {
                worker.terminate();
            }
            self.say(News::Engine(Engine::OtherBuild));
            return;
        }
        let again = {
            let mut inner = self.inner.borrow_mut();
            inner.ready = true;
            inner.deaths > 0
        };
        self.say(News::Engine(if again { Engine::Restarted } else { Engine::Idle }));
        self.send();
    }

    fn land(&self, mut laid: Laid) {
        let (wanted, more) = {
            let mut inner = self.inner.borrow_mut();
            laid.first = inner.flying.take_if(|(revision, _)| *revision == laid.revision).is_some();
            inner.deaths = 0;
            (laid.revision >= inner.first, inner.next.is_some())
        };
        let first = laid.first;
        if wanted {
            self.say(News::Laid(laid));
        }
        if first && !more {
            self.say(News::Engine(Engine::Idle));
        }
        self.send();
    }

    /// The worker died. The plan in flight is not sent again: it may be what killed it.
    fn die(&self, generation: u32) {
        let dead_for_good = {
            let mut inner = self.inner.borrow_mut();
            if inner.generation != generation {
                return;
            }
            inner.deaths += 1;
            inner.orders.clear();
            inner.deaths > TRIES || !inner.ready
        };
        if dead_for_good {
            if let Some(worker) = self.inner.borrow_mut().worker.take() {
                worker.terminate();
            }
            self.say(News::Engine(Engine::Missing));
        } else {
            self.spawn();
        }
    }

    fn doubt(&self, generation: u32) {
        let silent = {
            let inner = self.inner.borrow();
            inner.generation == generation && !inner.ready && inner.worker.is_some()
        };
        if silent {
            self.say(News::Engine(Engine::Missing));
        }
    }

    fn send(&self) {
        let started = {
            let mut inner = self.inner.borrow_mut();
            if !inner.ready {
                return;
            }
            let Some(worker) = inner.worker.clone() else { return };
            while let Some(order) = inner.orders.pop_front() {
                let _ = worker.post_message(&JsValue::from_str(&order));
            }
            if inner.flying.is_some() {
                return;
            }
            let Some((revision, plan)) = inner.next.take() else { return };
            let ask = Ask::Lay { revision, plan: (*plan).clone() };
            if let Ok(text) = serde_json::to_string(&ask) {
                let _ = worker.post_message(&JsValue::from_str(&text));
                inner.flying = Some((revision, now()));
            }
            inner.flying.is_some()
        };
        if started {
            self.say(News::Engine(Engine::Busy));
        }
    }

    fn say(&self, news: News) {
        (self.ear)(news);
    }
}

/// The word and the bytes beside it.
fn split(data: &JsValue) -> (Option<String>, Vec<u8>) {
    match data.dyn_ref::<js_sys::Array>() {
        Some(both) => (both.get(0).as_string(), js_sys::Uint8Array::new(&both.get(1)).to_vec()),
        None => (data.as_string(), Vec::new()),
    }
}

fn now() -> f64 {
    js_sys::Date::now()
}
