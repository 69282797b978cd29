//! Where plans come from: files and standard input.
//!
//! In: the names as given. Out: plans, each with the name to call it by, or one sentence. It reads no more than a plan
//! may hold, so that a name of something endless does not fill the memory.

use baylap_core::Plan;
use baylap_core::plan::file::{self, FILE_BYTES};
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// The name that means standard input.
const STANDARD_INPUT: &str = "-";

/// A plan by the name it was given.
#[derive(Clone, Debug)]
pub(crate) struct Source {
    path: PathBuf,
}

impl Source {
    /// The plan of this name; nothing is opened yet.
    pub(crate) fn new(path: &Path) -> Self {
        Self { path: path.to_owned() }
    }

    /// Whether it is standard input.
    pub(crate) fn is_standard_input(&self) -> bool {
        self.path.as_os_str() == STANDARD_INPUT
    }

    /// What to call it in a line of result.
    pub(crate) fn name(&self) -> String {
        if self.is_standard_input() { "standard input".to_owned() } else { self.path.display().to_string() }
    }

    /// What to call the folder of its results.
    pub(crate) fn stem(&self) -> String {
        let stem = self.path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        match stem.as_str() {
            STANDARD_INPUT => "standard-input".to_owned(),
            "" | ".." => "plan".to_owned(),
            _ => stem,
        }
    }

    /// Reads the plan.
    pub(crate) fn read(&self) -> Result<Plan, String> {
        let bytes = self.bytes(FILE_BYTES).map_err(|e| unreadable(&e))?;
        let mut plan = file::read_any(&bytes).map_err(|e| e.to_string())?;
        if plan.job.name.is_empty() {
            plan.job.name = self.stem();
        }
        Ok(plan)
    }

    /// What it holds, up to one byte more than is allowed, so that the reader can say that it is too long.
    pub(crate) fn bytes(&self, most: usize) -> io::Result<Vec<u8>> {
        let most = most as u64 + 1;
        let mut bytes = Vec::new();
        if self.is_standard_input() {
            io::stdin().lock().take(most).read_to_end(&mut bytes)?;
        } else {
            File::open(&self.path)?.take(most).read_to_end(&mut bytes)?;
        }
        Ok(bytes)
    }
}

/// What to say of a file that cannot be read.
pub(crate) fn unreadable(error: &io::Error) -> String {
    format!("It could not be read ({error}): check its name and that it may be read.")
}
