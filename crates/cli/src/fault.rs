//! What happens when the program itself is at fault.
//!
//! In: a panic, which no plan should be able to cause. Out: one sentence on standard error and exit code 3, whatever
//! the build does with panics. It does not hide the fault: the place is in the sentence.

use std::process;

/// Exit code for a fault of the program.
const FAULT: i32 = 3;

/// Turns a panic anywhere into one sentence and an exit code.
pub(crate) fn install() {
    std::panic::set_hook(Box::new(|info| {
        let place = info.location().map(|l| format!(" ({}:{})", l.file(), l.line())).unwrap_or_default();
        crate::complain(&format!(
            "this is a fault in baylap itself, not in the plan{place}; please report it with the plan that caused it."
        ));
        process::exit(FAULT);
    }));
}
