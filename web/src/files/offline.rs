//! The page kept on the device, so that it opens again without a signal.
//!
//! In: the browser's service worker (`web/offline.js`), where it has one and allows it. Out: how far that is, for one quiet
//! line, and a newer build when somebody takes it. What must hold: nothing else on the page waits for it or fails with it;
//! nothing changes under a running page but by its own reload. It keeps no plans: `autosave` does.

use crate::bridge::protocol::BUILD;
use crate::state::Shell;
use leptos::prelude::*;
use std::time::Duration;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    MessageEvent, RegistrationOptions, ServiceWorker, ServiceWorkerContainer, ServiceWorkerRegistration,
    ServiceWorkerState, ServiceWorkerUpdateViaCache,
};

/// The program, beside the page.
const PROGRAM: &str = "./offline.js";
/// Time after which it is tried again while the page is not whole on the device.
const AGAIN: Duration = Duration::from_secs(60);

/// How far the page is kept on the device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kept {
    /// Not, as far as is known: the browser may refuse.
    No,
    /// It opens again without a signal.
    Whole,
    /// So does a newer build, that is taken when the page is next opened.
    Newer,
    /// The newer one was asked for while another tab has the older one open.
    OtherTabs,
}

impl Kept {
    /// The state in one word.
    pub(crate) const fn slug(self) -> &'static str {
        match self {
            Kept::No => "no",
            Kept::Whole => "ready",
            Kept::Newer | Kept::OtherTabs => "newer",
        }
    }
}

/// Has the page kept, now and whenever it comes back to sight or to a signal.
pub(crate) fn keep(shell: Shell) {
    let Some(home) = container() else { return };
    let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        if let Some(said) = event.data().as_string() {
            hear(shell, &said);
        }
    });
    home.set_onmessage(Some(listener.as_ref().unchecked_ref()));
    listener.forget();
    look();
    let online = window_event_listener_untyped("online", |_| look());
    let seen = window_event_listener_untyped("pageshow", |_| look());
    let again = set_interval_with_handle(
        move || {
            if shell.kept.get_untracked() == Kept::No {
                look();
            }
        },
        AGAIN,
    );
    on_cleanup(move || {
        online.remove();
        seen.remove();
        if let Ok(again) = again {
            again.clear();
        }
    });
}

/// Takes the newer build: the page is loaded anew once that is in force.
pub(crate) fn take(shell: Shell) {
    leptos::task::spawn_local(async move {
        let Some(waiting) = registration().await.and_then(|r| r.waiting()) else {
            return shell.kept.set(Kept::Whole);
        };
        let own = waiting.clone();
        let change = Closure::<dyn FnMut()>::new(move || {
            if own.state() == ServiceWorkerState::Activated {
                crate::files::autosave::leave(shell);
                let _ = window().location().reload();
            }
        });
        waiting.set_onstatechange(Some(change.as_ref().unchecked_ref()));
        change.forget();
        say(&waiting, "take");
    });
}

/// Nothing where the browser has none, or only for pages of secure origin.
fn container() -> Option<ServiceWorkerContainer> {
    let window = window();
    let own = js_sys::Reflect::get(&window.navigator(), &"serviceWorker".into()).ok()?;
    (window.is_secure_context() && window.location().protocol().ok()?.starts_with("http"))
        .then(|| own.dyn_into().ok())
        .flatten()
}

async fn registration() -> Option<ServiceWorkerRegistration> {
    let options = RegistrationOptions::new();
    options.set_update_via_cache(ServiceWorkerUpdateViaCache::None);
    let asked = container()?.register_with_options(PROGRAM, &options);
    JsFuture::from(asked).await.ok()?.dyn_into().ok()
}

/// Has the browser look for a newer build, and asks what is kept.
fn look() {
    leptos::task::spawn_local(async {
        let Some(found) = registration().await else { return };
        ask(&found);
        let own = found.clone();
        let change = Closure::<dyn FnMut()>::new(move || follow(&own));
        found.set_onupdatefound(Some(change.as_ref().unchecked_ref()));
        change.forget();
        follow(&found);
        if let Ok(asked) = found.update() {
            // Without a signal there is nothing to be heard.
            let _ = JsFuture::from(asked).await;
        }
    });
}

/// Asks again whenever the build on its way has come a step further.
fn follow(found: &ServiceWorkerRegistration) {
    let Some(coming) = found.installing() else { return };
    let own = found.clone();
    let change = Closure::<dyn FnMut()>::new(move || ask(&own));
    coming.set_onstatechange(Some(change.as_ref().unchecked_ref()));
    change.forget();
}

fn ask(found: &ServiceWorkerRegistration) {
    if let Some(active) = found.active() {
        say(&active, "ask active");
    }
    if let Some(waiting) = found.waiting() {
        say(&waiting, "ask waiting");
    }
}

fn say(to: &ServiceWorker, word: &str) {
    let _ = to.post_message(&word.into());
}

/// What the program says: its state, its build, and whether all of that is on the device.
fn hear(shell: Shell, said: &str) {
    let mut words = said.split(' ');
    let (state, build) = (words.next(), words.next());
    let whole = words.next() == Some("whole");
    let now = shell.kept.get_untracked();
    match (state, build == Some(BUILD)) {
        (Some("others"), _) => shell.kept.set(Kept::OtherTabs),
        (Some("active"), true) if whole => {
            if now == Kept::No {
                shell.kept.set(Kept::Whole);
            }
            serve();
        }
        (Some("waiting"), false) if whole && now != Kept::OtherTabs => shell.kept.set(Kept::Newer),
        _ => {}
    }
}

/// Has later requests of this page, as for its engine's worker, answered from the device too.
fn serve() {
    let Some(home) = container().filter(|home| home.controller().is_none()) else { return };
    leptos::task::spawn_local(async move {
        let Ok(ready) = home.ready() else { return };
        if let Ok(found) = JsFuture::from(ready).await
            && let Some(active) = found.dyn_into::<ServiceWorkerRegistration>().ok().and_then(|r| r.active())
        {
            say(&active, "serve");
        }
    });
}
