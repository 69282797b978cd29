//! Progress of long runs on standard error.
//!
//! In: a count of plans and a note when one is done. Out: nothing in the first two seconds, then a line every two
//! seconds until all is done. It never writes to standard output, so results can be piped on.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// Between two lines.
const PAUSE: Duration = Duration::from_secs(2);

/// Tells how far a run is, until it is dropped.
pub(crate) struct Progress {
    done: Arc<AtomicUsize>,
    stop: Option<Sender<()>>,
    teller: Option<JoinHandle<()>>,
}

impl Progress {
    /// Starts telling of a run of `all` plans.
    pub(crate) fn start(all: usize) -> Self {
        let done = Arc::new(AtomicUsize::new(0));
        let (stop, stopped) = mpsc::channel();
        let count = Arc::clone(&done);
        let tell = move || {
            while stopped.recv_timeout(PAUSE) == Err(RecvTimeoutError::Timeout) {
                crate::complain(&format!("{} of {all} laid, still at work", count.load(Ordering::Relaxed)));
            }
        };
        // Without a thread to spare there is no progress to see, and the work goes on.
        let teller = thread::Builder::new().name("progress".to_owned()).spawn(tell).ok();
        Self { done, stop: Some(stop), teller }
    }

    /// One more plan is done.
    pub(crate) fn one_done(&self) {
        self.done.fetch_add(1, Ordering::Relaxed);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        drop(self.stop.take());
        if let Some(teller) = self.teller.take() {
            let _ = teller.join();
        }
    }
}
