//! The lists of the drainage sheet: classes, ponds, outlets, edges and laps, findings, what was put in, cautions.
//!
//! In: plan, layout with its falls, paper. Out: pages without border or title block. Every pond, outlet and bad place
//! appears, and so does what was assumed.

use crate::caution;
use crate::drainage_tables as tables;
use crate::list::Flow;
use crate::page::Page;
use crate::style::Paper;
use crate::table::{Grid, finding_grid_of};
use baylap_core::Plan;
use baylap_core::layout::{Falls, Layout};

/// Least height of a row of a table at A4, mm.
const ROW: f64 = 5.8;

/// The pages.
pub fn pages(plan: &Plan, (layout, falls): (&Layout, &Falls), paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Drainage tables", 1);
    flow.head("Judged by", 30.0);
    tables::rule_sentences(&falls.rule).iter().for_each(|s| flow.paragraph(s));
    flow.head("Put in and assumed", 30.0);
    flow.paragraph(&tables::input_sentences(plan, falls).join(" "));
    flow.paragraph(tables::places_sentence(plan));
    flow.head("Classes of fall", 45.0);
    flow.table(&tables::class_grid(falls), ROW);
    ponds(&mut flow, plan, falls);
    outlets(&mut flow, plan, falls);
    seams(&mut flow, plan, layout, falls);
    flow.head("Findings about falls and drainage", 25.0);
    let findings: Vec<_> = layout.findings.iter().filter(|f| tables::about_falls(f)).collect();
    let nothing = "The program found nothing to say about falls and drainage. That is not an approval.";
    table_or(&mut flow, &finding_grid_of(findings), nothing);
    let mut made = flow.pages;
    made.extend(cautions(paper));
    made
}

fn ponds(flow: &mut Flow, plan: &Plan, falls: &Falls) {
    flow.head("Ponds", 30.0);
    if !falls.ponds.is_empty() {
        flow.paragraph(
            "An outlet at its deepest place drains a pond, and so does lowering the deck at the place where it spills by its \
             greatest depth. Depths are those of a deck as levelled, without what its load bends it and without what laps stand \
             up.",
        );
    }
    table_or(flow, &tables::pond_grid(plan, falls), "No water stands on the surface as put in.");
}

fn outlets(flow: &mut Flow, plan: &Plan, falls: &Falls) {
    flow.head("Outlets", 35.0);
    let none =
        if plan.outlets.is_empty() { "There is no outlet in the plan." } else { "No outlet was worked out." };
    table_or(flow, &tables::outlet_grid(plan, falls), none);
    flow.paragraph(&tables::sum_sentence(falls));
    let blocked = tables::blocked_grid(plan, falls);
    if !blocked.rows.is_empty() {
        flow.head("One outlet blocked, the others open", 30.0);
        flow.table(&blocked, ROW);
    }
}

fn seams(flow: &mut Flow, plan: &Plan, layout: &Layout, falls: &Falls) {
    flow.head("Edges and laps by what they do to the water", 40.0);
    flow.paragraph(
        "No published rule was found for the edges of bays. Construction and movement joints belong on raised lines, so that \
         water runs away from them (MIL-HDBK-1001/5, 14.3.2); the verdicts carry that over to bay edges and laps.",
    );
    table_or(flow, &tables::length_grid(falls), "No edges or laps were judged.");
    let bad = tables::bad_grid(plan, &layout.seams);
    flow.head("Edges and laps in bad places", 30.0);
    table_or(flow, &bad, "None.");
}

fn table_or(flow: &mut Flow, grid: &Grid, nothing: &str) {
    if grid.rows.is_empty() {
        flow.paragraph(nothing);
    } else {
        flow.table(grid, ROW);
    }
}

fn cautions(paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "Cautions", 2);
    for (head, sentences) in caution::DRAINAGE {
        flow.head(head, 12.0);
        sentences.iter().for_each(|sentence| flow.paragraph(sentence));
    }
    flow.pages
}
