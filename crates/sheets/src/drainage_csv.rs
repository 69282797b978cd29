//! Ponds, outlets, and edges and laps as CSV files for spreadsheets.
//!
//! In: plan and layout. Out: comma-separated text with one line of heads, units in the heads; nothing but the heads where
//! no falls are known. A cell that was not worked out is empty.

use crate::csv_lists::{Sheet, guarded};
use crate::drainage_tables::{kind_name, verdict_name};
use crate::figures::metres;
use baylap_core::Plan;
use baylap_core::geom::Pt;
use baylap_core::layout::{Layout, Sink};

/// The ponds: one line each, deepest first.
pub fn pond_list_csv(layout: &Layout) -> String {
    let mut sheet = Sheet::new(&[
        "job",
        "pond",
        "deck",
        "depth_mm",
        "level_mm",
        "area_mm2",
        "volume_mm3",
        "mass_kg",
        "deepest_x_mm",
        "deepest_y_mm",
        "spill_x_mm",
        "spill_y_mm",
        "goes_to",
    ]);
    for pond in layout.falls.iter().flat_map(|f| &f.ponds) {
        let mut cells = vec![guarded(&layout.job), pond.number.to_string(), pond.deck.to_string()];
        cells.extend([metres(pond.depth_um), metres(pond.level_um)]);
        cells.extend([pond.size.to_string(), pond.volume.to_string(), metres(pond.mass * 10)]);
        cells.extend(place(Some(pond.deepest)));
        cells.extend(place(pond.spill));
        cells.push(sink(pond.drains_to));
        sheet.line(cells);
    }
    sheet.finish()
}

/// The outlets: one line each, in the order of the plan.
pub fn outlet_list_csv(plan: &Plan, layout: &Layout) -> String {
    let mut sheet = Sheet::new(&[
        "job",
        "outlet_id",
        "name",
        "x_mm",
        "y_mm",
        "overflow",
        "level_mm",
        "catchment_mm2",
        "wall_mm2",
        "flow_l_s",
        "capacity_l_s",
        "head_needed_mm",
        "blocked_depth_mm",
        "blocked_area_mm2",
        "blocked_volume_mm3",
        "blocked_goes_to",
    ]);
    let some = |value: Option<i64>| value.map_or_else(String::new, metres);
    for work in layout.falls.iter().flat_map(|f| &f.outlets) {
        let outlet = plan.outlets.iter().find(|o| o.id == work.id);
        let mut cells = vec![guarded(&layout.job), work.id.to_string()];
        cells.push(outlet.map_or_else(String::new, |o| guarded(&o.name)));
        cells.extend(place(outlet.map(|o| o.at)));
        cells.extend([if work.overflow { "yes" } else { "no" }.to_owned(), some(work.level_um)]);
        cells.extend([work.size.to_string(), work.wall_area.to_string()]);
        cells.extend([some(work.flow), some(work.capacity), some(work.head_um)]);
        cells.extend(match &work.blocked {
            Some(b) => [metres(b.depth_um), b.size.to_string(), b.volume.to_string(), sink(b.goes_to)],
            None => [const { String::new() }; 4],
        });
        sheet.line(cells);
    }
    sheet.finish()
}

/// Bay edges and laps: one line a part of one verdict, good places too.
pub fn seam_list_csv(layout: &Layout) -> String {
    let mut sheet = Sheet::new(&[
        "job",
        "what",
        "one",
        "other",
        "on_top",
        "verdict",
        "from_x_mm",
        "from_y_mm",
        "to_x_mm",
        "to_y_mm",
        "length_mm",
        "better_x_mm",
        "better_y_mm",
        "better_distance_mm",
    ]);
    for seam in &layout.seams {
        for part in &seam.parts {
            let mut cells = vec![guarded(&layout.job), kind_name(seam.kind).to_owned()];
            cells.extend([seam.between[0], seam.between[1], seam.top].map(|n| n.to_string()));
            cells.push(part.verdict.map_or_else(String::new, |v| verdict_name(v).to_owned()));
            cells.extend(place(Some(part.a)));
            cells.extend(place(Some(part.b)));
            cells.push(crate::clip::whole(part.a.distance(part.b)).to_string());
            cells.extend(place(part.better.map(|b| b.at)));
            cells.push(part.better.map_or_else(String::new, |b| b.distance.to_string()));
            sheet.line(cells);
        }
    }
    sheet.finish()
}

fn place(at: Option<Pt>) -> [String; 2] {
    at.map_or_else(|| [const { String::new() }; 2], |p| [p.x, p.y].map(|c| c.to_string()))
}

fn sink(sink: Sink) -> String {
    match sink {
        Sink::Outlet(id) => format!("outlet {id}"),
        Sink::Edge(id) => format!("free edge of {id}"),
        Sink::Nowhere => "nowhere".to_owned(),
    }
}
