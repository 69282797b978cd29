//! Fields of the job data and of the datum.
//!
//! In: a plan. Out: its title block and its base line as fields.

use super::Group;
use super::spec::{Spec, angle, notes, place, text};
use crate::change::Change;
use baylap_core::Plan;
use baylap_core::plan::{Datum, Job, Mm};

/// The fields of the job.
pub(super) fn groups(plan: &Plan) -> Vec<Group> {
    let j = &plan.job;
    let line = |key: &str, label: &str, value: &str, set: fn(&mut Job) -> &mut String| -> Spec {
        let job = j.clone();
        text(format!("job.{key}"), label, value, move |typed| {
            let mut job = job.clone();
            *set(&mut job) = typed;
            Change::Job(job)
        })
    };
    let mut specs = vec![
        line("name", "Job", &j.name, |j| &mut j.name),
        line("number", "Number", &j.number, |j| &mut j.number),
        line("part", "Part of the building", &j.part, |j| &mut j.part),
        line("client", "Client", &j.client, |j| &mut j.client),
        line("drawn_by", "Drawn by", &j.drawn_by, |j| &mut j.drawn_by),
        line("revision", "Revision", &j.revision, |j| &mut j.revision),
        line("date", "Date", &j.date, |j| &mut j.date),
    ];
    let job = j.clone();
    let north = angle("job.north_mdeg", "North", j.north_mdeg, move |north_mdeg| {
        Change::Job(Job { north_mdeg, ..job.clone() })
    });
    specs.push(north.usual("90° is up the sheet"));
    let job = j.clone();
    specs.push(notes("job.notes", "Notes", &j.notes, move |notes| Change::Job(Job { notes, ..job.clone() })));
    vec![("Job".to_owned(), specs)]
}

/// The fields of the datum; none when there is no datum.
pub(super) fn datum(plan: &Plan) -> Vec<Group> {
    let Some(d) = &plan.datum else { return Vec::new() };
    let coordinate = |key: &str, label: &str, value: Mm, set: fn(&mut Datum) -> &mut Mm| -> Spec {
        let datum = d.clone();
        place(format!("datum.{key}"), label, value, move |mm| {
            let mut datum = datum.clone();
            *set(&mut datum) = mm;
            Change::Datum(Some(datum))
        })
    };
    let note = {
        let datum = d.clone();
        text("datum.note", "How to find it on the roof", &d.note, move |note| {
            Change::Datum(Some(Datum { note, ..datum.clone() }))
        })
    };
    let specs = vec![
        note,
        coordinate("zero[0]", "Zero, to the right", d.zero.x, |d| &mut d.zero.x),
        coordinate("zero[1]", "Zero, up", d.zero.y, |d| &mut d.zero.y),
        coordinate("along[0]", "Second point, to the right", d.along.x, |d| &mut d.along.x),
        coordinate("along[1]", "Second point, up", d.along.y, |d| &mut d.along.y),
    ];
    vec![("Datum".to_owned(), specs)]
}
