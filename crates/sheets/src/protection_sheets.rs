//! The protection sheet on paper: its courses by bay with their patches, its rolls, what is near laps of the reinforcement.
//!
//! In: plan and layout. Out: tables for the pages of lists, and the lines of its laps for the plan. Nothing where the sheet
//! is not laid out. Pieces of sheet are written with a P before their number: reinforcement has numbers of its own.

use crate::clip;
use crate::figures::{metres, square_metres};
use crate::list::Flow;
use crate::page::Page;
use crate::place::{course_ray, on_plan};
use crate::reference::References;
use crate::scene::{Mark, Role, Scene, Shape};
use crate::style::Paper;
use crate::table::{Grid, figures, words};
use baylap_core::geom::Pt;
use baylap_core::layout::protection::{Protection, SheetBay, SheetEdge, SheetLap, SheetLapKind, SheetPiece};
use baylap_core::layout::{Layout, Zone};
use baylap_core::plan::Mm;
use baylap_core::{About, Plan};
use std::collections::BTreeMap;

/// Least height of a row of a table at A4, mm.
const ROW: f64 = 5.8;

/// How the sheet is laid, in two sentences.
pub(crate) const HOW: [&str; 2] = [
    "Laid with each bay, along its courses, sealed at every lap. It stops short of an edge that is still to be joined, so that \
     the next bay's reinforcement laps on bare membrane; the next bay covers the strip and laps on.",
    "Common practice, no published source: the maker's data sheet says how wide its laps are and how they are sealed.",
];

/// The pages of the sheet; none where it is not laid out.
pub fn pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    let Some(sheet) = &layout.protection else { return Vec::new() };
    let references = References::new(plan, layout);
    let mut flow = Flow::new(paper, "Protection sheet", 2);
    HOW.iter().for_each(|sentence| flow.paragraph(sentence));
    flow.paragraph(&in_all(plan, sheet));
    flow.head("Courses of sheet, bay by bay", 30.0);
    flow.table(&course_grid(sheet, &references), ROW);
    flow.paragraph(
        "Offset: running offset of the first edge. Width: as cut. Pieces: number, then running chainages of start and stop; \
         what lies beyond the deck or on an edge still to be joined is cut off. Patches are laid last in their bay.",
    );
    flow.head("Laps and edges near a lap of the reinforcement", 30.0);
    let near = near_grid(layout, sheet);
    if near.rows.is_empty() {
        let off = plan.products.sheet_off_laps;
        flow.paragraph(&format!(
            "None runs nearer than {off} mm to a lap of the reinforcement that runs the same way."
        ));
    } else {
        flow.table(&near, ROW);
    }
    if !sheet.deep.is_empty() {
        flow.head("Four pieces or more on one another", 15.0);
        flow.paragraph(&four_deep(sheet));
    }
    flow.head("Rolls of sheet", 30.0);
    flow.table(&roll_grid(sheet), ROW);
    flow.pages
}

/// The laps of the sheet as lines along their middle.
pub(crate) fn draw(scene: &mut Scene, layout: &Layout) {
    let Some(sheet) = &layout.protection else { return };
    let zones: BTreeMap<u32, &Zone> = layout.zones.iter().map(|z| (z.number, z)).collect();
    for lap in &sheet.laps {
        let [low, top] = lap.pieces.map(|n| &sheet.pieces[n as usize - 1]);
        let Some(zone) = zones.get(&top.zone) else { continue };
        let role = if lap.off.is_some() { Role::SheetNear } else { Role::SheetLap };
        let strokes = middle(zone, lap, [low, top]);
        let mark = Mark { role, about: Some(About::Bay(top.bay)), tint: 0, shape: Shape::Strokes(strokes) };
        scene.marks.push(mark);
    }
}

/// The middle of a lap, where both pieces lie; nothing over a drawn line, which is drawn itself.
fn middle(zone: &Zone, lap: &SheetLap, [low, top]: [&SheetPiece; 2]) -> Vec<[Pt; 2]> {
    let half = |[a, b]: [Mm; 2]| Mm::midpoint(a, b);
    let line = match lap.kind {
        SheetLapKind::Side => Some(course_ray(&zone.frame, half(lap.across))),
        SheetLapKind::End => {
            let u = half(lap.along);
            clip::Ray::through(on_plan(&zone.frame, u, lap.across[0]), on_plan(&zone.frame, u, lap.across[1]))
        }
        SheetLapKind::ZoneLine => None,
    };
    let Some(line) = line else { return Vec::new() };
    let one = clip::inside(&line, low.as_laid.iter().flatten());
    let two = clip::inside(&line, top.as_laid.iter().flatten());
    clip::strokes(&line, &clip::shared(&one, &two))
}

/// What it comes to.
fn in_all(plan: &Plan, sheet: &Protection) -> String {
    let (products, totals) = (&plan.products, &sheet.totals);
    let end = products.sheet_end_lap.unwrap_or(products.sheet_lap);
    format!(
        "{} pieces from {} rolls of {} x {} mm, at least {} of these; {} m² as cut. Side laps {} mm, {} m; end laps {end} mm, {} m. All \
         are the user's inputs.",
        totals.pieces,
        totals.rolls,
        products.sheet_width,
        products.sheet_length,
        totals.rolls_least,
        square_metres(totals.cut_area),
        products.sheet_lap,
        metres(totals.side_laps + totals.line_laps),
        metres(totals.end_laps),
    )
}

/// Where four pieces or more lie on one another.
pub fn four_deep(sheet: &Protection) -> String {
    let places: Vec<String> = sheet.deep.iter().map(|at| format!("{}, {}", at.x, at.y)).collect();
    format!("At x, y of the plan: {}.", places.join("; "))
}

/// A row for each course of sheet of each bay, then one for each of its patches.
pub fn course_grid(sheet: &Protection, references: &References) -> Grid {
    let heads = vec![
        figures("Bay"),
        figures("Zone"),
        figures("Course"),
        figures("Offset"),
        figures("Width"),
        words("Pieces: start to stop"),
    ];
    Grid { heads, rows: sheet.bays.iter().flat_map(|bay| bay_rows(sheet, bay, references)).collect() }
}

fn bay_rows(sheet: &Protection, bay: &SheetBay, references: &References) -> Vec<Vec<String>> {
    let from = references.of(bay.zone);
    let pieces: Vec<&SheetPiece> = bay.pieces.iter().map(|n| &sheet.pieces[*n as usize - 1]).collect();
    let span =
        |p: &&SheetPiece| format!("P{} {} to {}", p.number, from.chainage(p.from), from.chainage(p.to));
    let row = |course: String, [lo, hi]: [Mm; 2], own: Vec<String>| {
        let (offset, width) = (from.offset(lo).to_string(), (hi - lo).to_string());
        vec![bay.bay.to_string(), bay.zone.to_string(), course, offset, width, own.join("; ")]
    };
    let courses = bay.courses.iter().map(|course| {
        let own = pieces.iter().filter(|p| p.course == course.number).map(span).collect();
        row(course.number.to_string(), [course.from, course.to], own)
    });
    let is_patch = |p: &&&SheetPiece| bay.courses.iter().all(|course| course.number != p.course);
    let patches = pieces.iter().filter(is_patch).map(|p| row("patch".to_owned(), p.across, vec![span(p)]));
    courses.chain(patches).collect()
}

/// A row for each lap nearer to one of the reinforcement than asked, then one for each edge beside them.
pub fn near_grid(layout: &Layout, sheet: &Protection) -> Grid {
    let heads = vec![
        figures("Bay"),
        words("Lap"),
        words("Of pieces"),
        figures("Off mm"),
        figures("Over m"),
        words("At x, y of the plan"),
    ];
    let way = |kind| if kind == SheetLapKind::End { "end" } else { "side" };
    let bay_of = |piece: u32| sheet.pieces[piece as usize - 1].bay.to_string();
    let lap = |lap: &SheetLap| {
        Some(vec![
            bay_of(lap.pieces[1]),
            way(lap.kind).to_owned(),
            format!("P{}, P{}", lap.pieces[0], lap.pieces[1]),
            lap.off?.to_string(),
            metres(lap.near),
            format!("{}, {}", lap.at.x, lap.at.y),
        ])
    };
    let edge = |edge: &SheetEdge| {
        let zone = sheet.pieces[edge.piece as usize - 1].zone;
        let zone = layout.zones.iter().find(|z| z.number == zone)?;
        let half = |[a, b]: [Mm; 2]| Mm::midpoint(a, b);
        let at = on_plan(&zone.frame, half(edge.along), half(edge.across));
        Some(vec![
            bay_of(edge.piece),
            format!("{} edge", way(edge.kind)),
            format!("P{}", edge.piece),
            edge.off.to_string(),
            metres(edge.along[1] - edge.along[0] + edge.across[1] - edge.across[0]),
            format!("{}, {}", at.x, at.y),
        ])
    };
    let rows = sheet.laps.iter().filter_map(lap).chain(sheet.near_edges.iter().filter_map(edge));
    Grid { heads, rows: rows.collect() }
}

/// A row for each roll.
pub fn roll_grid(sheet: &Protection) -> Grid {
    let heads = vec![figures("Roll"), words("Pieces: cut length x width"), figures("Rest"), words("Kept")];
    let cut = |n: &u32| {
        let p = &sheet.pieces[*n as usize - 1];
        format!("P{n} {} x {}", p.length, p.across[1] - p.across[0])
    };
    let rows = sheet.rolls.iter().map(|roll| {
        let kept = if roll.kept { "yes" } else { "no" };
        let pieces: Vec<String> = roll.pieces.iter().map(cut).collect();
        vec![roll.number.to_string(), pieces.join("; "), roll.rest.to_string(), kept.to_owned()]
    });
    Grid { heads, rows: rows.collect() }
}
