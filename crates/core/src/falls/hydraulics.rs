//! Arithmetic of roof drainage: runoff, what outlets and pipes take, areas that rain reaches.
//!
//! In and out: plain numbers; each function names its units, and none knows a plan. Formulas are those of EN 12056-3 as
//! widely restated; the standard itself was not read, so check them against it before relying on them. US formulas and the
//! Wyly-Eaton one for leaders stand at the end, for reading jobs drawn in those units. Nothing here is a requirement.

use crate::plan::Mouth;

/// Share of its flow that an outlet keeps behind a strainer or grating. From memory of EN 12056-3, not checked.
pub const BEHIND_STRAINER: f64 = 0.5;

/// Slope of wind-driven rain: 26 degrees to the vertical, one across for two down. EN 12056-3, 4.3, as reported.
pub const WIND_DRIVEN: f64 = 0.5;

/// Runoff, l/s, of rain in l/(s m2) on an area in m2 of which a share runs off.
pub fn runoff(rain: f64, area: f64, share: f64) -> f64 {
    rain * area * share
}

/// Rain in l/(s m2) from rain in mm/h.
pub fn rain_from_mm_per_hour(rain: f64) -> f64 {
    rain / 3600.0
}

/// Rain in mm/h from rain in l/(s m2).
pub fn mm_per_hour(rain: f64) -> f64 {
    rain * 3600.0
}

/// Rain in l/(s m2) from rain in l/(s ha).
pub fn rain_from_per_hectare(rain: f64) -> f64 {
    rain / 10_000.0
}

/// Rain in l/(s ha) from rain in l/(s m2).
pub fn per_hectare(rain: f64) -> f64 {
    rain * 10_000.0
}

/// What emergency overflows must take, l/s: the rain they are planned for less what the outlets take, both in l/(s ha), on
/// an area in m2 of which a share runs off. German practice, as reported.
pub fn emergency_runoff(heavy: f64, design: f64, share: f64, area: f64) -> f64 {
    (heavy - design * share) * area / 10_000.0
}

/// What an opening takes, l/s, at a depth of water over it in mm: a weir while shallow, an orifice when deep. `strained`
/// says whether a strainer or grating is in front of it.
pub fn capacity(mouth: Mouth, strained: bool, head: f64) -> f64 {
    let form = Form::of(mouth);
    let head = head.max(0.0);
    let taken = if head <= form.turn() { form.weir(head) } else { form.orifice(head) };
    kept(strained) * taken
}

/// Depth of water over an opening, mm, at which it takes a flow in l/s: [`capacity`] turned round. Infinite when the
/// opening takes nothing.
pub fn head_for(mouth: Mouth, strained: bool, flow: f64) -> f64 {
    let form = Form::of(mouth);
    let flow = flow.max(0.0) / kept(strained);
    if flow <= 0.0 {
        0.0
    } else if flow <= form.weir(form.turn()) {
        libm::cbrt((flow / form.length * form.weir_divisor) * (flow / form.length * form.weir_divisor))
    } else {
        let root = flow / form.area * form.orifice_divisor;
        root * root
    }
}

/// Length of weir, mm, that takes a flow in l/s at a depth in mm.
pub fn weir_length(flow: f64, head: f64) -> f64 {
    flow * 24_000.0 / (head * head.sqrt())
}

/// What a vertical pipe of an inside diameter in mm takes, l/s, when this share of it is filled: 0.20 to 0.33 by EN 12056-3
/// as reported, with a roughness of 0.25 mm.
pub fn pipe_capacity(diameter: f64, filled: f64) -> f64 {
    const ROUGHNESS: f64 = 0.25;
    2.5e-4 * libm::pow(ROUGHNESS, -0.167) * libm::pow(diameter, 2.667) * libm::pow(filled, 1.667)
}

/// Area, m2, that rain reaches on a roof of a length and a breadth in plan: level roofs, rain straight down.
pub fn level_area(length: f64, breadth: f64) -> f64 {
    length * breadth
}

/// Area, m2, that wind-driven rain reaches on a pitched roof: length, breadth in plan, and the height from eaves to ridge.
pub fn wind_driven_area(length: f64, breadth: f64, height: f64) -> f64 {
    length * (breadth + height * WIND_DRIVEN)
}

/// Area, m2, that rain square to the slope reaches: length and length along the slope.
pub fn sloping_area(length: f64, slope_length: f64) -> f64 {
    length * slope_length
}

/// Area that walls add to the roof they drain on to, in the square of the unit of `faces`: a share of the greatest elevation
/// that they present together to rain from any one side. Each face is a vector square to its wall, out from it, as long as
/// the wall's area. One wall alone adds its share of its whole area.
pub fn wall_area(faces: &[[f64; 2]], share: f64) -> f64 {
    share * greatest_elevation(faces)
}

/// The greatest area that faces present to one side: the greatest sum of the parts of them that point one way.
pub fn greatest_elevation(faces: &[[f64; 2]]) -> f64 {
    // The best way to look is along the sum of the faces seen. Which are seen changes only where a face is seen edge on, so
    // the faces on one side of each face's own plane, with and without those edge on, are all there is to try.
    let mut best: f64 = 0.0;
    for face in faces {
        for way in [[face[1], -face[0]], [-face[1], face[0]]] {
            let (mut seen, mut ahead, mut behind) = ([0.0; 2], [0.0; 2], [0.0; 2]);
            for other in faces {
                let facing = other[0] * way[0] + other[1] * way[1];
                let along = other[0] * face[0] + other[1] * face[1];
                let edge_on = facing.abs() <= 1e-12 * (length(*other) * length(way));
                let sum = match (edge_on, along > 0.0, facing > 0.0) {
                    (true, true, _) => &mut ahead,
                    (true, false, _) => &mut behind,
                    (false, _, true) => &mut seen,
                    (false, _, false) => continue,
                };
                *sum = [sum[0] + other[0], sum[1] + other[1]];
            }
            for more in [ahead, behind] {
                best = best.max(length([seen[0] + more[0], seen[1] + more[1]]));
            }
        }
    }
    best
}

/// Runoff in US gallons a minute of rain in in/h on square feet. The constant is exact: 231 in3 to the gallon.
pub fn us_runoff(rain: f64, square_feet: f64) -> f64 {
    rain * square_feet * 144.0 / (231.0 * 60.0)
}

/// Runoff in US gallons a minute with the constant rounded as US tables print it.
pub fn us_runoff_as_printed(rain: f64, square_feet: f64) -> f64 {
    0.0104 * rain * square_feet
}

/// What a vertical leader of a diameter in inches takes, US gallons a minute, when this share of it is filled: Wyly and
/// Eaton. From memory, not checked.
pub fn leader_capacity(diameter: f64, filled: f64) -> f64 {
    27.8 * libm::pow(filled, 5.0 / 3.0) * libm::pow(diameter, 8.0 / 3.0)
}

/// Rain load, pounds per square foot: depths of water in inches up to the overflow and above it. IBC 1611.1.
pub fn rain_load_psf(static_head: f64, above: f64) -> f64 {
    5.2 * (static_head + above)
}

/// Rain load, kPa: depths of water in mm up to the overflow and above it. From memory of IBC 1611.1, not checked.
pub fn rain_load_kpa(static_head: f64, above: f64) -> f64 {
    0.0098 * (static_head + above)
}

/// An opening as its formulas see it: `length * h^1.5 / weir_divisor`, `area * h^0.5 / orifice_divisor`.
struct Form {
    length: f64,
    weir_divisor: f64,
    area: f64,
    orifice_divisor: f64,
}

impl Form {
    #[allow(clippy::cast_precision_loss)]
    fn of(mouth: Mouth) -> Self {
        match mouth {
            Mouth::Round { diameter } => {
                let diameter = diameter.max(0) as f64;
                Self {
                    length: diameter,
                    weir_divisor: 7500.0,
                    area: diameter * diameter,
                    orifice_divisor: 15_000.0,
                }
            }
            Mouth::Other { weir, area } => Self {
                length: weir.max(0) as f64,
                weir_divisor: 24_000.0,
                area: area.max(0) as f64,
                orifice_divisor: 12_000.0,
            },
        }
    }

    /// Depth at which the weir turns into an orifice: both take the same there. Half the diameter of a round opening.
    fn turn(&self) -> f64 {
        if self.length > 0.0 {
            self.area / self.length * (self.weir_divisor / self.orifice_divisor)
        } else {
            0.0
        }
    }

    fn weir(&self, head: f64) -> f64 {
        self.length * head * head.sqrt() / self.weir_divisor
    }

    fn orifice(&self, head: f64) -> f64 {
        self.area * head.sqrt() / self.orifice_divisor
    }
}

fn kept(strained: bool) -> f64 {
    if strained { BEHIND_STRAINER } else { 1.0 }
}

fn length(vector: [f64; 2]) -> f64 {
    (vector[0] * vector[0] + vector[1] * vector[1]).sqrt()
}
