//! The canopy with falls, built by hand: 12 x 8 m, falling four ways to a low line of 4 m, whose east end lies 12 mm too
//! low and holds a pond; one outlet at its west end, one by the south-east corner. Verdicts of every kind stand on the two
//! bay edges and one side lap. Figures follow from the levels; areas of catchments are set by hand and make up the deck.

use crate::canopy;
use baylap_core::geom::{Points, Pt, Region, ring};
use baylap_core::layout::falls::{
    Better, Blocked, Contour, Facet, FallClass, LevelInput, OutletWork, Pond, RuleUsed, VerdictLength,
};
use baylap_core::layout::{Falls, Layout, Seam, SeamKind, SeamPart, Sink, Verdict};
use baylap_core::plan::{
    FallRule, LevelLine, LevelLineKind, LevelPoint, Mm, Mouth, Outlet, OutletKind, Plan, SpotLevel,
};
use baylap_core::{About, Finding};
use baylap_sheets::place::turn_of;

/// Corners of the surface: the deck's, then west and east end of the low line. Places in mm, levels in mm.
pub(crate) const POINTS: [[Mm; 3]; 6] =
    [[0, 0, 150], [12_000, 0, 150], [12_000, 8000, 150], [0, 8000, 150], [4000, 4000, 50], [8000, 4000, 38]];

const FACETS: [[u32; 3]; 6] = [[0, 1, 5], [0, 5, 4], [1, 2, 5], [2, 3, 4], [2, 4, 5], [3, 0, 4]];

/// The plan: that of the canopy with levels, rain and two outlets.
pub(crate) fn plan() -> Plan {
    let mut plan = canopy::plan();
    plan.openings.clear();
    for (index, [x, y, level]) in POINTS.into_iter().enumerate() {
        let id = 20 + u32::try_from(index).expect("small");
        plan.levels.spots.push(SpotLevel { id, at: Pt::new(x, y), level });
    }
    let points = [4, 5].map(|i| LevelPoint { at: at(i), level: Some(POINTS[i][2]) }).to_vec();
    plan.levels.lines.push(LevelLine { id: 30, kind: LevelLineKind::LowLine, points });
    plan.drainage.rain = Some(750);
    plan.drainage.wall_height = 3000;
    plan.outlets[0].at = at(4);
    plan.outlets[0].name = "West".to_owned();
    plan.outlets[0].intake.mouth = Some(Mouth::Round { diameter: 100 });
    let spare =
        Outlet { id: 7, at: Pt::new(10_800, 1000), kind: OutletKind::Overflow, ..plan.outlets[0].clone() };
    plan.outlets.push(spare);
    plan.outlets[1].name = String::new();
    plan.outlets[1].intake.mouth = None;
    plan
}

/// The layout.
pub(crate) fn layout() -> Layout {
    let mut layout = canopy::layout();
    layout.seams = seams();
    layout.falls = Some(falls(&layout.seams));
    layout.findings.push(
        Finding::warning(
            "pond",
            About::Plan(1),
            "Water stands 12 deep over 3.64 m² near the east end of the low line.",
            "Lower the deck at the spill by 12, or put an outlet at the deepest place.",
        )
        .at(Pt::new(8600, 4300)),
    );
    layout
}

fn at(index: usize) -> Pt {
    let [x, y, _] = POINTS[index];
    Pt::new(x, y)
}

/// The place on the line between two corners of the surface that has a level.
fn at_level(one: usize, two: usize, level: f64) -> Pt {
    let [a, b] = [one, two].map(|i| POINTS[i].map(|c| c as f64));
    let t = (level - a[2]) / (b[2] - a[2]);
    let place = |axis: usize| baylap_sheets::clip::whole(a[axis] + t * (b[axis] - a[axis]));
    Pt::new(place(0), place(1))
}

/// A facet with the fall of the plane through its corners.
pub(crate) fn sloped(like: Facet, points: &[[i64; 3]], corners: [u32; 3]) -> Facet {
    let [a, b, c] = corners.map(|i| points[i as usize].map(|c| c as f64));
    let (p, q) = ([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
    let normal = [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];
    // Water runs down the gradient: the normal's level part over its upright part.
    let down = [normal[0] / normal[2], normal[1] / normal[2]];
    let steep = (down[0] * down[0] + down[1] * down[1]).sqrt() * 1e6;
    let fall_ppm = baylap_sheets::clip::whole(steep);
    let class = match fall_ppm {
        ..2000 => FallClass::Flat,
        2000..12_500 => FallClass::BelowLeast,
        12_500..25_000 => FallClass::BelowDesign,
        _ => FallClass::Good,
    };
    Facet { corners, fall_ppm, direction_mdeg: turn_of(down), class, ..like }
}

fn facet(corners: [u32; 3]) -> Facet {
    let plain = Facet {
        corners,
        deck: 1,
        fall_ppm: 0,
        direction_mdeg: 0,
        class: FallClass::Flat,
        drains_to: Sink::Outlet(4),
    };
    sloped(plain, &POINTS.map(|p| p.map(|c| c * 1000)), corners)
}

fn falls(seams: &[Seam]) -> Falls {
    let pond_ring = vec![at(4), at_level(5, 0, 50.0), at_level(5, 1, 50.0), at_level(5, 2, 50.0)];
    let pond_size = i64::try_from(ring::doubled_area(&pond_ring) / 2).expect("small");
    let facets: Vec<Facet> = FACETS.into_iter().map(facet).collect();
    let mut class_areas = [0; 5];
    for facet in &facets {
        let corners: Points = facet.corners.iter().map(|i| at(*i as usize)).collect();
        class_areas[facet.class as usize] += i64::try_from(ring::doubled_area(&corners) / 2).expect("small");
    }
    let round = [0, 0, 1, 2, 2, 3, 0].into_iter().zip([4, 5, 5, 5, 4, 4, 4]);
    let contour = |level: Mm| Contour {
        level,
        lines: vec![round.clone().map(|(one, two)| at_level(two, one, level as f64)).collect()],
    };
    Falls {
        rule: RuleUsed {
            rule: FallRule::Bs6229,
            name: "BS 6229:2018".to_owned(),
            source: "Figures as several pages report them; the standard itself was not read, and an edition of 2025 replaces it."
                .to_owned(),
            least_ppm: 12_500,
            design_ppm: 25_000,
            flat_ppm: 2000,
        },
        points: POINTS.map(|p| p.map(|c| c * 1000)).to_vec(),
        facets,
        class_areas,
        ponds: vec![Pond {
            number: 1,
            deck: 1,
            area: vec![vec![pond_ring]],
            size: pond_size,
            level_um: 50_000,
            depth_um: 12_000,
            deepest: at(5),
            // A pyramid: a third of area times depth.
            volume: pond_size * 4,
            mass: pond_size * 4 / 10_000,
            spill: Some(at(4)),
            drains_to: Sink::Outlet(4),
        }],
        outlets: outlets(),
        over_edges: 0,
        trapped: 0,
        contours: [60, 80, 100, 120, 140].map(contour).to_vec(),
        low_lines: vec![[at(4), at(5)], [at(4), at(0)], [at(4), at(3)], [at(5), at(1)], [at(5), at(2)]],
        ridges: vec![],
        input: LevelInput { spots: 6, line_points: 2, planes: 0, between: 3, beyond: 1 },
        lengths: lengths(seams),
    }
}

fn outlets() -> Vec<OutletWork> {
    let area =
        |points: &[[Mm; 2]]| -> Vec<Region> { vec![vec![points.iter().map(|p| Pt::from(*p)).collect()]] };
    let main = area(&[[0, 0], [9000, 0], [9000, 2000], [12_000, 2000], [12_000, 8000], [0, 8000]]);
    let spare = area(&[[9000, 0], [12_000, 0], [12_000, 2000], [9000, 2000]]);
    let blocked =
        Blocked { depth_um: 62_400, size: 41_000_000, volume: 900_000_000, goes_to: Sink::Outlet(7) };
    vec![
        OutletWork {
            id: 4,
            overflow: false,
            level_um: Some(50_000),
            catchment: main,
            size: 90_000_000,
            wall_area: 0,
            // D3 of trade.md scaled: 90 m2 at 75 mm/h are 1.875 l/s; D5: 2.761 l/s at 100 and 35.
            flow: Some(1875),
            capacity: Some(2761),
            head_um: Some(27_040),
            blocked: Some(blocked),
        },
        OutletWork {
            id: 7,
            overflow: true,
            level_um: Some(112_400),
            catchment: spare,
            size: 6_000_000,
            wall_area: 0,
            flow: Some(125),
            capacity: None,
            head_um: None,
            blocked: None,
        },
    ]
}

fn seams() -> Vec<Seam> {
    let edge = |y: Mm, between: [u32; 2], verdicts: &[(Mm, Verdict)]| {
        let mut from = 0;
        let part = |(to, verdict): &(Mm, Verdict)| {
            let better = (*verdict == Verdict::InPond).then(|| Better {
                at: Pt::new(9000, 6400),
                distance: 800,
                direction_mdeg: 90_000,
                along: true,
            });
            let part = SeamPart { a: Pt::new(from, y), b: Pt::new(*to, y), verdict: Some(*verdict), better };
            from = *to;
            part
        };
        let parts = verdicts.iter().map(part).collect();
        Seam { kind: SeamKind::BayEdge, between, top: between[1], parts }
    };
    let mut lap = edge(
        3750,
        [4, 5],
        &[(3000, Verdict::WithFall), (9000, Verdict::FacesWater), (12_000, Verdict::Sheds)],
    );
    lap.kind = SeamKind::SideLap;
    vec![
        edge(
            2825,
            [1, 2],
            &[(2000, Verdict::WithFall), (10_000, Verdict::FacesWater), (12_000, Verdict::Raised)],
        ),
        edge(
            5600,
            [2, 3],
            &[
                (4000, Verdict::Sheds),
                (6000, Verdict::LowLine),
                (8000, Verdict::InPond),
                (10_000, Verdict::AtOutlet),
                (12_000, Verdict::Level),
            ],
        ),
        lap,
    ]
}

fn lengths(seams: &[Seam]) -> Vec<VerdictLength> {
    const ALL: [Verdict; 8] = [
        Verdict::WithFall,
        Verdict::Sheds,
        Verdict::Level,
        Verdict::Raised,
        Verdict::FacesWater,
        Verdict::LowLine,
        Verdict::InPond,
        Verdict::AtOutlet,
    ];
    let sum = |verdict: Verdict, kind: SeamKind| -> Mm {
        let parts = seams.iter().filter(|s| s.kind == kind).flat_map(|s| &s.parts);
        parts.filter(|p| p.verdict == Some(verdict)).map(|p| p.b.x - p.a.x).sum()
    };
    ALL.map(|verdict| VerdictLength {
        verdict,
        bay_edges: sum(verdict, SeamKind::BayEdge),
        side_laps: sum(verdict, SeamKind::SideLap),
        end_laps: sum(verdict, SeamKind::EndLap),
    })
    .to_vec()
}
