//! The tables of the drainage sheet: classes, ponds, outlets, verdicts, edges in bad places, what was put in.
//!
//! In: plan, layout, its falls. Out: grids of text and sentences for pages and screen. Lengths are whole mm or metres with
//! three decimals, areas m² with two. A figure that was not worked out says why. Nothing is judged here.

use crate::falls::{depth, joined, outlet_tag};
use crate::figures::{degrees, fall, hundredths, litres_per_second, metres, mm, per_cent, square_metres};
use crate::reference::from_datum;
use crate::seam_marks::role;
use crate::table::{Grid, figures, words};
use baylap_core::Finding;
use baylap_core::geom::Pt;
use baylap_core::layout::falls::{FallClass, OutletWork, Pond, RuleUsed};
use baylap_core::layout::{Falls, Seam, SeamKind, SeamPart, Sink, Verdict};
use baylap_core::plan::{Intake, Mm, Mouth, Outlet, OutletKind, Plan};

/// Whether a finding is about levels, falls, water or outlets.
pub fn about_falls(finding: &Finding) -> bool {
    const STEMS: [&str; 18] = [
        "fall", "level", "pond", "outlet", "overflow", "drain", "water", "ridge", "low-line", "spot",
        "plane", "surface", "catch", "way-out", "rain", "flow", "blocked", "bay-edge",
    ];
    STEMS.iter().any(|stem| finding.code.contains(stem))
}

/// The rule set in one sentence.
pub fn rule_sentence(rule: &RuleUsed) -> String {
    format!("Judged by {}: least {}, design {}.", rule.name, fall(rule.least_ppm), fall(rule.design_ppm))
}

/// The rule set with its limits and its source.
pub fn rule_sentences(rule: &RuleUsed) -> Vec<String> {
    vec![
        format!(
            "{} Less than {} counts as flat.",
            rule_sentence(rule),
            fall(rule.flat_ppm)
        ),
        format!("Source: {}", rule.source),
        "Published rules differ in their figures and change with their editions: check which one binds the job.".to_owned(),
    ]
}

/// What was put in and what was assumed.
pub fn input_sentences(plan: &Plan, falls: &Falls) -> Vec<String> {
    let (input, drainage) = (&falls.input, &plan.drainage);
    let put_in = [
        (input.spots, "spot level"),
        (input.line_points, "point of level lines"),
        (input.planes, "fall plane"),
    ];
    let put_in = put_in.into_iter().filter(|(count, _)| *count > 0);
    let put_in: Vec<String> = put_in.map(|(count, what)| counted(count, what)).collect();
    let mut made = vec![format!("Put in: {}.", put_in.join(", "))];
    made.push(match (input.between, input.beyond) {
        (0, 0) => "Assumed: no level of any corner.".to_owned(),
        (between, 0) => {
            format!("Assumed: the levels of {}, from those round them.", counted(between, "corner"))
        }
        (0, beyond) => {
            format!("Assumed: the levels of {}, beyond those given.", counted(beyond, "corner"))
        }
        (between, beyond) => format!(
            "Assumed: the levels of {}, from those round them, and of {beyond} beyond those given.",
            counted(between, "corner")
        ),
    });
    made.push(match drainage.rain {
        Some(rain) => format!(
            "Rain: {} mm/h, {} of it runs off (the user's own).",
            hundredths(i64::from(rain) * 10),
            per_mille(drainage.runoff)
        ),
        None => "No rain given: flows not worked out.".to_owned(),
    });
    made.push(if drainage.wall_height > 0 {
        format!(
            "Walls above the roof: {} high, {} of their area added (the user's own).",
            drainage.wall_height,
            per_mille(drainage.wall_share)
        )
    } else {
        "Walls above the roof: none counted.".to_owned()
    });
    made.push(format!("Ponds shallower than {} mm are not reported.", drainage.least_pond));
    let open = plan.outlets.iter().filter(|o| o.intake.mouth.is_none()).count();
    if open > 0 {
        made.push(format!("Outlets without an opening given: {open}; what they take is not worked out."));
    }
    made
}

/// Area of each class.
pub fn class_grid(falls: &Falls) -> Grid {
    const CLASSES: [(FallClass, &str); 5] = [
        (FallClass::BackFall, "Back-fall"),
        (FallClass::Flat, "Flat"),
        (FallClass::BelowLeast, "Below the least"),
        (FallClass::BelowDesign, "Below the design fall"),
        (FallClass::Good, "Good"),
    ];
    let rule = &falls.rule;
    let between = |lo: i64, hi: i64| {
        if hi > lo { format!("{} to {}", fall(lo), fall(hi)) } else { "none by this rule set".to_owned() }
    };
    let whole: i64 = falls.class_areas.iter().sum();
    let row = |((class, name), area): ((FallClass, &str), i64)| {
        let limits = match class {
            FallClass::BackFall => "away from where its water must leave".to_owned(),
            FallClass::Flat => format!("less than {}", fall(rule.flat_ppm)),
            FallClass::BelowLeast => between(rule.flat_ppm, rule.least_ppm),
            FallClass::BelowDesign => between(rule.least_ppm.max(rule.flat_ppm), rule.design_ppm),
            FallClass::Good => format!("{} or more", fall(rule.design_ppm)),
        };
        vec![name.to_owned(), limits, square_metres(area), per_cent(area, whole)]
    };
    let mut rows: Vec<Vec<String>> = CLASSES.into_iter().zip(falls.class_areas).map(row).collect();
    rows.push(vec!["All".to_owned(), String::new(), square_metres(whole), per_cent(whole, whole)]);
    Grid { heads: vec![words("Class"), words("Fall"), figures("Area m²"), figures("Share")], rows }
}

/// The ponds.
pub fn pond_grid(plan: &Plan, falls: &Falls) -> Grid {
    let heads = vec![
        figures("Pond"),
        figures("Deepest"),
        figures("Area m²"),
        figures("Litres"),
        figures("kg"),
        figures("Water level"),
        figures("Deepest at"),
        figures("Spills at"),
        words("Water then goes to"),
    ];
    let row = |pond: &Pond| {
        vec![
            pond.number.to_string(),
            mm(depth(pond.depth_um)),
            square_metres(pond.size),
            litres(pond.volume),
            hundredths(pond.mass),
            mm(depth(pond.level_um)),
            place(plan, pond.deepest),
            pond.spill.map_or_else(|| "no way out".to_owned(), |at| place(plan, at)),
            sink(plan, pond.drains_to),
        ]
    };
    Grid { heads, rows: falls.ponds.iter().map(row).collect() }
}

/// What each outlet has to take and what it takes.
pub fn outlet_grid(plan: &Plan, falls: &Falls) -> Grid {
    let heads = vec![
        words("Outlet"),
        words("Opening"),
        figures("Level"),
        figures("Catchment m²"),
        figures("Walls m²"),
        figures("Flow l/s"),
        figures("Takes l/s"),
        figures("at head"),
        figures("Head needed"),
        words("Remark"),
    ];
    let row = |work: &OutletWork| {
        let outlet = plan.outlets.iter().find(|o| o.id == work.id);
        let intake = outlet.map(|o| &o.intake);
        let flow = |l: Option<i64>| l.map_or_else(dash, litres_per_second);
        vec![
            outlet_name(work.id, outlet),
            intake.map_or_else(dash, opening),
            work.level_um.map_or_else(dash, |um| mm(depth(um))),
            square_metres(work.size),
            square_metres(work.wall_area),
            flow(work.flow),
            flow(work.capacity),
            intake.filter(|_| work.capacity.is_some()).map_or_else(dash, |i| mm(i.head)),
            work.head_um.map_or_else(dash, |um| mm(depth(um))),
            remark(work, intake),
        ]
    };
    Grid { heads, rows: falls.outlets.iter().map(row).collect() }
}

/// What happens when each outlet is blocked.
pub fn blocked_grid(plan: &Plan, falls: &Falls) -> Grid {
    let heads = vec![
        words("Blocked"),
        figures("Depth over it"),
        figures("Pond m²"),
        figures("Litres"),
        figures("kg"),
        words("Water then goes to"),
    ];
    let row = |work: &OutletWork| {
        let blocked = work.blocked.as_ref()?;
        Some(vec![
            outlet_tag(work.id),
            mm(depth(blocked.depth_um)),
            square_metres(blocked.size),
            litres(blocked.volume),
            // 1 kg to the litre, as for ponds.
            litres(blocked.volume),
            sink(plan, blocked.goes_to),
        ])
    };
    Grid { heads, rows: falls.outlets.iter().filter_map(row).collect() }
}

/// Where all water goes, in one sentence: the parts make up the decks with levels.
pub fn sum_sentence(falls: &Falls) -> String {
    let catchments: i64 = falls.outlets.iter().map(|o| o.size).sum();
    format!(
        "To outlets {} m², over free edges {} m², with nowhere to go {} m²: {} m² in all.",
        square_metres(catchments),
        square_metres(falls.over_edges),
        square_metres(falls.trapped),
        square_metres(catchments + falls.over_edges + falls.trapped)
    )
}

/// Lengths by verdict.
pub fn length_grid(falls: &Falls) -> Grid {
    let heads = vec![
        words("Verdict"),
        figures("Bay edges m"),
        figures("Side laps m"),
        figures("End laps m"),
        words("Place"),
    ];
    let rows = falls.lengths.iter().map(|l| {
        let good = match l.verdict {
            Verdict::AtOutlet => "bad for bay edges and end laps",
            _ if role(SeamKind::BayEdge, Some(l.verdict)).is_some() => "bad",
            _ => "",
        };
        vec![
            verdict_name(l.verdict).to_owned(),
            metres(l.bay_edges),
            metres(l.side_laps),
            metres(l.end_laps),
            good.to_owned(),
        ]
    });
    Grid { heads, rows: rows.collect() }
}

/// Bay edges and laps in bad places, each with the nearest good place where one was found.
pub fn bad_grid(plan: &Plan, seams: &[Seam]) -> Grid {
    let heads = vec![
        words("What"),
        words("Between"),
        words("Verdict"),
        figures("Length"),
        figures("From"),
        figures("To"),
        words("Nearest good place"),
    ];
    let row = |seam: &Seam, part: &SeamPart| {
        let verdict = part.verdict.filter(|v| role(seam.kind, Some(*v)).is_some())?;
        let better = match part.better {
            Some(better) => {
                let way = degrees(better.direction_mdeg);
                format!("{} away, direction {way}, at {}", better.distance, place(plan, better.at))
            }
            None if seam.kind == SeamKind::BayEdge => "none found".to_owned(),
            // Laps go where their bay goes: no place is looked for.
            None => dash(),
        };
        Some(vec![
            kind_name(seam.kind).to_owned(),
            between(seam),
            verdict_name(verdict).to_owned(),
            mm(crate::clip::whole(part.a.distance(part.b))),
            place(plan, part.a),
            place(plan, part.b),
            better,
        ])
    };
    let rows = seams
        .iter()
        .flat_map(|seam| joined(&seam.parts).iter().filter_map(|part| row(seam, part)).collect::<Vec<_>>());
    Grid { heads, rows: rows.collect() }
}

/// What places are measured from.
pub const fn places_sentence(plan: &Plan) -> &'static str {
    if plan.datum.is_some() {
        "Places: along the datum line from its zero / square to it, left counting as plus. Levels: above the level datum."
    } else {
        "Places: plan x / y. Levels: above the level datum."
    }
}

/// A verdict in words.
pub const fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::WithFall => "runs with the fall",
        Verdict::Sheds => "across the fall, sheds",
        Verdict::Level => "on level deck",
        Verdict::Raised => "along a ridge",
        Verdict::FacesWater => "across the fall, faces the water",
        Verdict::LowLine => "along a low line",
        Verdict::InPond => "in a pond",
        Verdict::AtOutlet => "in the clear zone of an outlet",
    }
}

/// A kind of seam in words.
pub const fn kind_name(kind: SeamKind) -> &'static str {
    match kind {
        SeamKind::BayEdge => "bay edge",
        SeamKind::SideLap => "side lap",
        SeamKind::EndLap => "end lap",
    }
}

/// Where water goes, in words.
pub fn sink(plan: &Plan, sink: Sink) -> String {
    match sink {
        Sink::Outlet(id) => outlet_tag(id),
        Sink::Edge(id) => {
            let deck = plan.decks.iter().find(|d| d.id == id).map(|d| d.name.as_str());
            let opening = plan.openings.iter().find(|o| o.id == id).map(|o| o.name.as_str());
            match (deck, opening) {
                (Some(name), _) if !name.is_empty() => format!("over a free edge of {name}"),
                (_, Some("")) => "over a free edge of an opening".to_owned(),
                (_, Some(name)) => format!("over a free edge of {name}"),
                _ => "over a free edge".to_owned(),
            }
        }
        Sink::Nowhere => "nowhere".to_owned(),
    }
}

fn between(seam: &Seam) -> String {
    let [one, two] = seam.between;
    match seam.kind {
        SeamKind::BayEdge => format!("bays {one} and {two}, {} later", seam.top),
        SeamKind::SideLap | SeamKind::EndLap => format!("pieces {one} and {two}, {} on top", seam.top),
    }
}

fn outlet_name(id: u32, outlet: Option<&Outlet>) -> String {
    let tag = outlet_tag(id);
    let Some(outlet) = outlet else { return tag };
    let kind = match outlet.kind {
        OutletKind::Gravity => "",
        OutletKind::Overflow => ", overflow",
        OutletKind::Chute => ", chute",
        OutletKind::Siphonic => ", siphonic",
    };
    let name = if outlet.name.is_empty() { String::new() } else { format!(" {}", outlet.name) };
    format!("{tag}{name}{kind}")
}

fn opening(intake: &Intake) -> String {
    let strainer = if intake.strainer { ", strainer" } else { "" };
    let sill = if intake.sill == 0 { String::new() } else { format!(", sill {} up", intake.sill) };
    match intake.mouth {
        Some(Mouth::Round { diameter }) => format!("round {diameter}{strainer}{sill}"),
        Some(Mouth::Other { weir, area }) => {
            format!("weir {weir}, area {} m²{strainer}{sill}", metres(area / 1000))
        }
        None => format!("not given{strainer}{sill}"),
    }
}

fn remark(work: &OutletWork, intake: Option<&Intake>) -> String {
    let blocked = intake.is_some_and(|i| i.blocked);
    let said = match (work.flow, work.capacity) {
        _ if blocked => "taken to be blocked",
        (None, _) => "no rain given, flow not worked out",
        (Some(_), None) => "no opening given, not judged",
        (Some(flow), Some(most)) if flow > most => "takes too little",
        (Some(_), Some(_)) => "takes the flow",
    };
    let overflow = if work.overflow { "; works only when water rises to it" } else { "" };
    let level = if work.level_um.is_none() { "; no level here" } else { "" };
    format!("{said}{overflow}{level}")
}

/// A place as setting-out figures.
pub fn place(plan: &Plan, at: Pt) -> String {
    let [x, y]: [Mm; 2] = match &plan.datum {
        Some(datum) => from_datum(datum, at),
        None => [at.x, at.y],
    };
    format!("{x} / {y}")
}

/// Litres with one decimal, from mm3.
fn litres(volume: i64) -> String {
    let tenths = (volume + 50_000).div_euclid(100_000);
    format!("{}.{}", tenths.div_euclid(10), tenths.rem_euclid(10))
}

fn per_mille(share: u32) -> String {
    format!("{} %", hundredths(i64::from(share) * 10))
}

fn counted(count: u32, what: &str) -> String {
    match count {
        1 => format!("1 {what}"),
        _ if what.contains(" of ") => format!("{count} {}", what.replacen(" of ", "s of ", 1)),
        _ => format!("{count} {what}s"),
    }
}

fn dash() -> String {
    "-".to_owned()
}
