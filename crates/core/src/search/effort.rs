//! How far a search goes: to its end, or only far enough to tell one way of laying from another.
//!
//! In: nothing. Out: numbers of steps, never times, so that the same plan comes to the same layout everywhere.

/// How far a search goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Looks whose starts are laid out in full, for each zone.
    pub(super) looks: usize,
    /// Starts laid out in full, for each zone; those of the best looks come first.
    pub(super) starts: usize,
    /// Steps that improving the cut list may take.
    pub(super) cutting: u64,
    /// Steps that looking for a cut list with fewer rolls part-used at once may take.
    pub(super) fewer: u64,
    /// Work of the order of the bays, in days that grow by a bay; when absent as much as it wants, and all orders of small
    /// jobs are tried.
    pub(super) order: Option<u64>,
    /// Whether there is a layout before anything is tried.
    pub(super) answers_at_once: bool,
    /// Whether the protection sheet is laid: no way of laying is chosen by it.
    pub(super) sheet: bool,
}

impl Effort {
    /// All there is to try.
    pub const WHOLE: Self = Self {
        looks: 8,
        starts: usize::MAX,
        cutting: 10_000,
        fewer: 4_000,
        order: None,
        answers_at_once: true,
        sheet: true,
    };
    /// All there is to try, for what ways of laying are told apart by.
    pub const COMPARED: Self = Self { answers_at_once: false, sheet: false, ..Self::WHOLE };
    /// Enough to tell ways of laying apart.
    pub const SHORT: Self =
        Self { looks: 2, starts: 1, cutting: 0, fewer: 0, order: Some(120_000), ..Self::COMPARED };
}
