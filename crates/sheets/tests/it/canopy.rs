//! A plan and a layout built by hand: a canopy of 12 x 8 m, nine courses in three bays, one end lap a course in the
//! last bay. Sizes are simple enough to check on paper: pitch 925, clear 50 all round.

use baylap_core::geom::{Pt, Region};
use baylap_core::layout::{
    Bay, Course, Details, Frame, Layout, Piece, Roll, Strip, Totals, UpstandSum, Waste, Zone,
};
use baylap_core::plan::{
    Corner, Datum, Deck, Edge, FreeKind, Melter, Mm, Opening, Outlet, OutletKind, Penetration, Place, Plan,
    RollKind, Shape, UpstandKind,
};
use baylap_core::{About, Finding};

const LENGTH: Mm = 12_000;
const BREADTH: Mm = 8000;
const PITCH: Mm = 925;

fn rectangle(lo: [Mm; 2], hi: [Mm; 2]) -> Vec<Pt> {
    [[lo[0], lo[1]], [hi[0], lo[1]], [hi[0], hi[1]], [lo[0], hi[1]]].map(Pt::from).to_vec()
}

fn region(lo: [Mm; 2], hi: [Mm; 2]) -> Vec<Region> {
    vec![vec![rectangle(lo, hi)]]
}

/// The plan.
pub(crate) fn plan() -> Plan {
    let mut plan = Plan::default();
    plan.job.name = "Canopy over the bicycle stands".to_owned();
    plan.job.number = "0417".to_owned();
    plan.job.part = "Roof level 1".to_owned();
    plan.job.client = "An invented client".to_owned();
    plan.job.drawn_by = "A. Planner".to_owned();
    plan.job.revision = "B".to_owned();
    plan.job.date = "2026-03-02".to_owned();
    plan.job.north_mdeg = Some(75_000);
    let mut corners: Vec<Corner> = rectangle([0, 0], [LENGTH, BREADTH])
        .into_iter()
        .map(|at| Corner { at, edge: Edge::default() })
        .collect();
    corners[1].edge = Edge::Free { kind: FreeKind::Gutter };
    plan.decks.push(Deck { id: 1, name: String::new(), ring: corners });
    let hatch = rectangle([5000, 6100], [6200, 7300]);
    plan.openings.push(Opening {
        id: 2,
        name: "Hatch".to_owned(),
        ring: hatch
            .into_iter()
            .map(|at| Corner { at, edge: Edge::Upstand { height: 200, kind: UpstandKind::Kerb } })
            .collect(),
    });
    plan.penetrations.push(Penetration {
        id: 3,
        name: "Pipe".to_owned(),
        shape: Shape::Circle { centre: Pt::new(3000, 2400), diameter: 150 },
        pocket: None,
        collar: None,
    });
    plan.outlets.push(Outlet {
        id: 4,
        name: "Outlet".to_owned(),
        at: Pt::new(10_800, 1000),
        bowl: 300,
        kind: OutletKind::Gravity,
        clear_zone: 500,
        ..Outlet::default()
    });
    plan.ways.push(Place { id: 5, name: "Ladder".to_owned(), at: Pt::new(-600, 400) });
    plan.melters.push(Melter { id: 6, name: "Melter".to_owned(), at: Pt::new(-1500, 6000), litres: None });
    plan.datum = Some(Datum {
        zero: Pt::new(0, 0),
        along: Pt::new(LENGTH, 0),
        note: "inside face of the south parapet".to_owned(),
    });
    plan
}

/// The layout.
pub(crate) fn layout() -> Layout {
    let mut layout = Layout {
        format: baylap_core::layout::FORMAT.to_owned(),
        version: 1,
        job: plan().job.name,
        ..Layout::default()
    };
    let frame = Frame { origin_um: [50_000, 50_000], along: [1.0, 0.0], across: [0.0, 1.0] };
    layout.zones.push(Zone {
        number: 1,
        deck: 1,
        frame,
        direction_mdeg: 0,
        area: region([0, 0], [LENGTH, BREADTH]),
        field: region([50, 50], [LENGTH, BREADTH - 50]),
        courses: (0..9)
            .map(|i| Course { number: i + 1, from: Mm::from(i) * PITCH, to: Mm::from(i) * PITCH + 1000 })
            .collect(),
    });
    pieces(&mut layout);
    bays(&mut layout);
    rolls(&mut layout);
    layout.details = Details {
        upstands: vec![
            UpstandSum { kind: UpstandKind::Parapet, height: 150, length: 32_000 },
            UpstandSum { kind: UpstandKind::Kerb, height: 200, length: 4800 },
        ],
        free_edges: 8000,
        joints: 0,
        penetrations: 1,
        pockets: 0,
        outlets: 1,
    };
    layout.findings = vec![
        Finding::error(
            "outlet-in-bay-edge",
            About::Plan(4),
            "The outlet's clear zone meets a bay edge.",
            "Move the outlet 200 up.",
        )
        .at(Pt::new(10_800, 1500)),
        Finding::note("narrow-course", About::Zone(1), "The last course is narrow.", "Nothing needs doing."),
    ];
    totals(&mut layout);
    layout
}

fn pieces(layout: &mut Layout) {
    for course in 0..9 {
        // Courses 7 to 9 have an end lap, stepped from course to course.
        let split = (course >= 6).then(|| 5000 + Mm::from(course - 6) * 400);
        let ends = split.map_or(vec![(0, 11_950, 0, 0)], |at| vec![(0, at + 75, 0, 75), (at, 11_950, 75, 0)]);
        for (from, to, lap_from, lap_to) in ends {
            let number = u32::try_from(layout.pieces.len()).expect("few pieces") + 1;
            let lo = Mm::from(course) * PITCH;
            let hi = (lo + 1000).min(7900);
            layout.pieces.push(Piece {
                number,
                zone: 1,
                bay: course / 3 + 1,
                course: course + 1,
                from,
                to,
                across: [lo, lo + 1000],
                length: to - from,
                lap_from,
                lap_to,
                lap_before: if course > 0 { 75 } else { 0 },
                lap_after: if course < 8 { 75 } else { 0 },
                as_laid: region([50 + from, 50 + lo], [50 + to, 50 + hi]),
                area: (to - from) * (hi - lo),
                roll: 0,
                roll_from: 0,
                roll_across: 0,
            });
        }
    }
}

fn bays(layout: &mut Layout) {
    let edges = [0, 3 * PITCH + 50, 6 * PITCH + 50, BREADTH];
    for i in 0..3_u32 {
        let (lo, hi) = (edges[i as usize], edges[i as usize + 1]);
        let number = i + 1;
        layout.bays.push(Bay {
            number,
            zone: 1,
            courses: [3 * i + 1, 3 * i + 3],
            area: region([0, lo], [LENGTH, hi]),
            size: LENGTH * (hi - lo),
            length: LENGTH,
            pieces: layout.pieces.iter().filter(|p| p.bay == number).map(|p| p.number).collect(),
            label: Pt::new(LENGTH / 2, Mm::midpoint(lo, hi)),
            beside: [number.saturating_sub(1), number + 1]
                .into_iter()
                .filter(|n| (1..=3).contains(n))
                .collect(),
        });
    }
}

/// Pieces in number order on to rolls of 50 m.
fn rolls(layout: &mut Layout) {
    let mut roll = Roll { number: 1, width: 1000, length: 50_000, rest: 50_000, ..Roll::default() };
    for piece in &mut layout.pieces {
        if roll.rest < piece.length {
            let next = Roll { number: roll.number + 1, rest: 50_000, pieces: Vec::new(), ..roll.clone() };
            layout.rolls.push(core::mem::replace(&mut roll, next));
        }
        piece.roll = roll.number;
        piece.roll_from = roll.length - roll.rest;
        roll.rest -= piece.length;
        roll.pieces.push(piece.number);
    }
    roll.kept = true;
    layout.rolls.push(roll);
}

fn totals(layout: &mut Layout) {
    let pieces = u32::try_from(layout.pieces.len()).expect("few pieces");
    layout.totals = Totals {
        deck_area: 94_560_000,
        measured_area: 96_000_000,
        field_area: 93_000_000,
        pieces,
        bays: 3,
        cut_length: layout.pieces.iter().map(|p| p.length).sum(),
        side_lap_length: 95_600,
        end_laps: 3,
        rolls: u32::try_from(layout.rolls.len()).expect("few rolls"),
        rolls_least: 3,
        proved: true,
        roll_area: 150_000_000,
        waste: Waste { laps: 7_000_000, trim: 2_000_000, scrap: 4_000_000, offcuts: 42_000_000 },
        membrane_kg: 681,
        blocks: 38,
        primer_litres: 24,
        primer_tins: 1,
        sheet_area: 104_000_000,
        sheet_rolls: 6,
        upstand_area: 11_000_000,
        ..Totals::default()
    };
}

/// The same job with slit pieces, strips, three kinds of roll and a run that goes on from one roll to the next: both
/// pieces of course 9 are 480 wide and lie side by side on roll 3, the first piece of course 8 ends with roll 4.
pub(crate) fn slit_layout() -> Layout {
    let mut layout = layout();
    let mut rest = [50_000; 2];
    for piece in &mut layout.pieces {
        if piece.course == 9 {
            piece.across[1] = piece.across[0] + 480;
            piece.roll_across = if piece.from == 0 { 0 } else { 480 };
            (piece.roll, piece.roll_from) = (3, 0);
        } else if piece.course == 8 && piece.from == 0 {
            (piece.roll, piece.roll_from) = (4, 20_000 - piece.length);
        } else {
            let rest = &mut rest[piece.roll as usize - 1];
            piece.roll_from = 50_000 - *rest;
            *rest -= piece.length;
        }
    }
    let strip = |number: u32, [length, width]: [Mm; 2], roll: u32, [roll_from, roll_across]: [Mm; 2]| Strip {
        number,
        at: Pt::new(0, Mm::from(number) * 1000),
        length,
        width,
        roll,
        roll_from,
        roll_across,
        from_offcut: roll < 5,
    };
    layout.strips = vec![
        strip(1, [12_075, 300], 3, [6150, 0]),
        strip(2, [8075, 300], 3, [6150, 300]),
        strip(3, [8075, 300], 3, [6150, 600]),
        strip(4, [4000, 300], 3, [14_225, 600]),
        strip(5, [14_525, 450], 4, [0, 0]),
        strip(6, [14_525, 450], 4, [0, 450]),
        strip(7, [1275, 350], 5, [0, 0]),
    ];
    let rolls = [
        (0, 1000, 50_000, rest[0]),
        (0, 1000, 50_000, rest[1]),
        (1, 1000, 20_000, 1775),
        (1, 1000, 20_000, 0),
        (2, 500, 10_000, 8725),
    ];
    let roll = |((kind, width, length, rest), number): ((u32, Mm, Mm, Mm), u32)| Roll {
        number,
        kind,
        width,
        length,
        rest,
        kept: rest > 0,
        pieces: layout.pieces.iter().filter(|p| p.roll == number).map(|p| p.number).collect(),
        strips: layout.strips.iter().filter(|s| s.roll == number).map(|s| s.number).collect(),
        kerf: 0,
    };
    layout.rolls = rolls.into_iter().zip(1..).map(roll).collect();
    layout.totals.rolls = 4;
    layout.totals.strip_rolls = 1;
    layout.totals.strips_from_offcuts =
        layout.strips.iter().filter(|s| s.from_offcut).map(|s| s.length * s.width).sum();
    layout.totals.rolls_by_length = 3;
    layout.totals.rolls_by_area = 2;
    layout.totals.proved = false;
    layout
}

/// The plan of [`slit_layout`].
pub(crate) fn slit_plan() -> Plan {
    let mut plan = plan();
    plan.products.upstand_strips = true;
    for (name, width, length) in [("short", 1000, 20_000), ("narrow", 500, 10_000)] {
        plan.products.rolls.push(RollKind {
            name: name.to_owned(),
            width,
            length,
            on_hand: None,
            price: None,
        });
    }
    plan
}
