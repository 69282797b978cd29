//! The lists of the setting-out sheet as typed rows: bays, pieces, rolls, details, quantities.
//!
//! In: plan and layout. Out: rows that the PDF, the CSV files and the screen share, so that all three show the same
//! figures. Lengths stay whole mm in the rows; [`Grid`] holds them as the sheets write them.

use crate::figures::{hundredths, metres, mm, per_cent, square_metres};
use crate::reference::{References, from_datum};
use baylap_core::geom::Region;
use baylap_core::layout::{Bay, Layout, Piece, Strip, UpstandSum};
use baylap_core::plan::{Mm, UpstandKind};
use baylap_core::{Finding, Plan, Severity};
use std::collections::BTreeMap;
use std::fmt::Write;

/// A table as text: what a page, a file or a screen can show without knowing what it is about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Grid {
    /// Heads of the columns.
    pub heads: Vec<Head>,
    /// Cells, row by row.
    pub rows: Vec<Vec<String>>,
}

/// Head of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// What is in it.
    pub name: &'static str,
    /// Whether it holds figures, which stand on the right.
    pub figures: bool,
}

/// A column of figures.
pub(crate) const fn figures(name: &'static str) -> Head {
    Head { name, figures: true }
}

/// A column of words.
pub(crate) const fn words(name: &'static str) -> Head {
    Head { name, figures: false }
}

/// One row of the piece table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceRow {
    /// Number of the piece.
    pub piece: u32,
    /// Zone it lies in.
    pub zone: u32,
    /// Bay it belongs to.
    pub bay: u32,
    /// Course it lies in.
    pub course: u32,
    /// Running chainage of its start.
    pub start: Mm,
    /// Running chainage of its end.
    pub stop: Mm,
    /// Running offset of its first edge.
    pub offset: Mm,
    /// Cut length.
    pub length: Mm,
    /// Cut width.
    pub width: Mm,
    /// Roll it is cut from.
    pub roll: u32,
    /// Where on the roll its cut starts.
    pub roll_from: Mm,
    /// Where across the roll it is slit from, when it is narrower than the roll.
    pub roll_across: Option<Mm>,
    /// Roll that ended inside the run, when the piece laps on to its last piece.
    pub run_on: Option<u32>,
    /// End laps at its start and end; 0 where there is none.
    pub end_laps: [Mm; 2],
    /// Side laps with the courses before and after; 0 where there is none.
    pub side_laps: [Mm; 2],
}

/// The piece table.
pub fn piece_rows(layout: &Layout, references: &References) -> Vec<PieceRow> {
    let run_ons = run_ons(layout);
    let widths: BTreeMap<u32, Mm> = layout.rolls.iter().map(|r| (r.number, r.width)).collect();
    let row = |piece: &Piece| PieceRow {
        run_on: run_ons.get(&piece.number).copied(),
        roll_across: widths
            .get(&piece.roll)
            .filter(|&&width| piece.across[1] - piece.across[0] < width)
            .map(|_| piece.roll_across),
        ..piece_row(piece, references)
    };
    layout.pieces.iter().map(row).collect()
}

/// Pieces that lap on to the last piece of a roll that ended inside their run, each with that roll.
pub fn run_ons(layout: &Layout) -> BTreeMap<u32, u32> {
    let lengths: BTreeMap<u32, Mm> = layout.rolls.iter().map(|r| (r.number, r.length)).collect();
    let ended = |p: &&Piece| lengths.get(&p.roll) == Some(&(p.roll_from + p.length)) && p.lap_to > 0;
    // By where the next piece must start: a run has one piece that ends at a place.
    let ends: BTreeMap<(u32, u32, Mm), u32> =
        layout.pieces.iter().filter(ended).map(|p| ((p.zone, p.course, p.to - p.lap_to), p.roll)).collect();
    let onto = |p: &Piece| {
        let roll = *ends.get(&(p.zone, p.course, p.from))?;
        (p.lap_from > 0 && roll != p.roll).then_some((p.number, roll))
    };
    layout.pieces.iter().filter_map(onto).collect()
}

fn piece_row(piece: &Piece, references: &References) -> PieceRow {
    let from = references.of(piece.zone);
    PieceRow {
        piece: piece.number,
        zone: piece.zone,
        bay: piece.bay,
        course: piece.course,
        start: from.chainage(piece.from),
        stop: from.chainage(piece.to),
        offset: from.offset(piece.across[0]),
        length: piece.length,
        width: piece.across[1] - piece.across[0],
        roll: piece.roll,
        roll_from: piece.roll_from,
        roll_across: None,
        run_on: None,
        end_laps: [piece.lap_from, piece.lap_to],
        side_laps: [piece.lap_before, piece.lap_after],
    }
}

/// The piece table as text. What only slit pieces and running on need has its columns only where there is some.
pub fn piece_grid(rows: &[PieceRow]) -> Grid {
    let slit = rows.iter().any(|r| r.roll_across.is_some());
    let run_on = rows.iter().any(|r| r.run_on.is_some());
    let mut heads = vec![
        figures("Piece"),
        figures("Bay"),
        figures("Zone"),
        figures("Course"),
        figures("Offset"),
        figures("Start"),
        figures("Stop"),
        figures("Cut length"),
        figures("Width"),
        figures("Roll"),
        figures("From on roll"),
        figures("End laps"),
        figures("Side laps"),
    ];
    heads.extend(slit.then_some(figures("Across roll")));
    heads.extend(run_on.then_some(words("Run on")));
    let rows = rows.iter().map(|r| {
        let mut cells = vec![
            r.piece.to_string(),
            r.bay.to_string(),
            r.zone.to_string(),
            r.course.to_string(),
            mm(r.offset),
            mm(r.start),
            mm(r.stop),
            mm(r.length),
            mm(r.width),
            r.roll.to_string(),
            mm(r.roll_from),
            laps(r.end_laps),
            laps(r.side_laps),
        ];
        cells.extend(slit.then(|| r.roll_across.map_or_else(|| "-".to_owned(), mm)));
        cells.extend(run_on.then(|| r.run_on.map_or_else(String::new, |n| format!("from roll {n}"))));
        cells
    });
    Grid { heads, rows: rows.collect() }
}

fn laps(both: [Mm; 2]) -> String {
    let one = |lap: Mm| if lap == 0 { "-".to_owned() } else { lap.to_string() };
    format!("{} / {}", one(both[0]), one(both[1]))
}

/// One row of the bay table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BayRow {
    /// Number of the bay.
    pub bay: u32,
    /// Zone it lies in.
    pub zone: u32,
    /// First and last course.
    pub courses: [u32; 2],
    /// Area, mm2.
    pub area: i64,
    /// Length and width when it is a rectangle.
    pub sides: Option<[Mm; 2]>,
    /// Both diagonals are this long when it is a rectangle.
    pub diagonal: Option<Mm>,
    /// Pieces in it.
    pub pieces: usize,
    /// Thickness readings asked for.
    pub readings: i64,
}

/// The bay table, in pouring order.
pub fn bay_rows(layout: &Layout) -> Vec<BayRow> {
    layout.bays.iter().map(bay_row).collect()
}

fn bay_row(bay: &Bay) -> BayRow {
    let sides = rectangle(&bay.area);
    BayRow {
        bay: bay.number,
        zone: bay.zone,
        courses: bay.courses,
        area: bay.size,
        sides,
        diagonal: sides.map(diagonal),
        pieces: bay.pieces.len(),
        readings: readings(bay.size),
    }
}

/// Thickness readings for an area: one in every 10 m2 begun (a published figure for fluid-applied decks), at least one.
pub const fn readings(area: i64) -> i64 {
    const EACH: i64 = 10_000_000;
    let count = (area + EACH - 1) / EACH;
    if count < 1 { 1 } else { count }
}

/// Length of the diagonals of a rectangle, nearest mm.
#[allow(clippy::cast_precision_loss)]
pub fn diagonal([a, b]: [Mm; 2]) -> Mm {
    crate::clip::whole((a as f64 * a as f64 + b as f64 * b as f64).sqrt())
}

/// Longer and shorter side of an area that is one rectangle, at any angle; corners may be off by the rounding to mm.
pub fn rectangle(area: &[Region]) -> Option<[Mm; 2]> {
    let [region] = area else { return None };
    let [outer] = region.as_slice() else { return None };
    let corners = corners(outer);
    let [a, b, c, d] = corners.as_slice() else { return None };
    let sides = [a.distance(*b), b.distance(*c), c.distance(*d), d.distance(*a)];
    let diagonals = [a.distance(*c), b.distance(*d)];
    let alike = |x: f64, y: f64| (x - y).abs() <= 2.5;
    if !alike(sides[0], sides[2]) || !alike(sides[1], sides[3]) || !alike(diagonals[0], diagonals[1]) {
        return None;
    }
    let [one, two] = [f64::midpoint(sides[0], sides[2]), f64::midpoint(sides[1], sides[3])];
    Some([crate::clip::whole(one.max(two)), crate::clip::whole(one.min(two))])
}

/// Corners of a ring where it turns by more than the rounding to mm can.
fn corners(ring: &[baylap_core::geom::Pt]) -> Vec<baylap_core::geom::Pt> {
    let count = ring.len();
    (0..count)
        .filter(|&i| {
            let (a, b) = (ring[(i + count - 1) % count], ring[(i + 1) % count]);
            crate::clip::Ray::through(a, b).is_none_or(|line| line.off(ring[i]).abs() > 1.5)
        })
        .map(|i| ring[i])
        .collect()
}

/// The bay table as text.
pub fn bay_grid(rows: &[BayRow]) -> Grid {
    let heads = vec![
        figures("Bay"),
        figures("Zone"),
        words("Courses"),
        figures("Area m²"),
        words("Length x width"),
        figures("Diagonals"),
        figures("Pieces"),
    ];
    let rows = rows.iter().map(|r| {
        vec![
            r.bay.to_string(),
            r.zone.to_string(),
            format!("{} to {}", r.courses[0], r.courses[1]),
            square_metres(r.area),
            r.sides.map_or_else(|| "not a rectangle".to_owned(), |[a, b]| format!("{a} x {b}")),
            r.diagonal.map_or_else(|| "-".to_owned(), mm),
            r.pieces.to_string(),
        ]
    });
    Grid { heads, rows: rows.collect() }
}

/// What a cut gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// A piece of the field.
    Piece {
        /// Its number.
        piece: u32,
        /// Its bay.
        bay: u32,
        /// Its course.
        course: u32,
        /// Roll that ended inside its run, when it laps on to its last piece.
        run_on: Option<u32>,
    },
    /// A strip for an upstand.
    Strip {
        /// Its number.
        strip: u32,
    },
}

/// One cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutRow {
    /// Roll it is cut from.
    pub roll: u32,
    /// Roll width.
    pub roll_width: Mm,
    /// Roll length.
    pub roll_length: Mm,
    /// What it gives.
    pub cut: Cut,
    /// Where the cut starts on the roll.
    pub from: Mm,
    /// Where it ends on the roll.
    pub to: Mm,
    /// Where it starts across the roll.
    pub across: Mm,
    /// Cut length.
    pub length: Mm,
    /// Cut width.
    pub width: Mm,
}

/// The cut list, roll by roll in order from the free end, then across.
pub fn cut_rows(layout: &Layout) -> Vec<CutRow> {
    let pieces: BTreeMap<u32, &Piece> = layout.pieces.iter().map(|p| (p.number, p)).collect();
    let strips: BTreeMap<u32, &Strip> = layout.strips.iter().map(|s| (s.number, s)).collect();
    let run_ons = run_ons(layout);
    let mut rows = Vec::new();
    for roll in &layout.rolls {
        let row = |cut, [from, across, length, width]: [Mm; 4]| CutRow {
            roll: roll.number,
            roll_width: roll.width,
            roll_length: roll.length,
            cut,
            from,
            to: from + length,
            across,
            length,
            width,
        };
        let of_pieces = roll.pieces.iter().filter_map(|number| pieces.get(number)).map(|p| {
            let run_on = run_ons.get(&p.number).copied();
            let cut = Cut::Piece { piece: p.number, bay: p.bay, course: p.course, run_on };
            row(cut, [p.roll_from, p.roll_across, p.length, p.across[1] - p.across[0]])
        });
        let of_strips =
            roll.strips.iter().filter_map(|number| strips.get(number)).map(|s| {
                row(Cut::Strip { strip: s.number }, [s.roll_from, s.roll_across, s.length, s.width])
            });
        let mut own: Vec<CutRow> = of_pieces.chain(of_strips).collect();
        own.sort_by_key(|r| (r.from, r.across));
        rows.extend(own);
    }
    rows
}

/// Pieces narrower than their rolls, as text.
pub fn slit_grid(rows: &[CutRow]) -> Grid {
    let heads = vec![
        figures("Roll"),
        figures("Piece"),
        figures("Bay"),
        figures("Cut length"),
        figures("Width"),
        figures("From on roll"),
        figures("To on roll"),
        figures("Across from"),
        figures("Across to"),
    ];
    let row = |r: &CutRow| match r.cut {
        Cut::Piece { piece, bay, .. } if r.width < r.roll_width => Some(vec![
            r.roll.to_string(),
            piece.to_string(),
            bay.to_string(),
            mm(r.length),
            mm(r.width),
            mm(r.from),
            mm(r.to),
            mm(r.across),
            mm(r.across + r.width),
        ]),
        _ => None,
    };
    Grid { heads, rows: rows.iter().filter_map(row).collect() }
}

/// One strip for an upstand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StripRow {
    /// Its number.
    pub strip: u32,
    /// Length, end laps included.
    pub length: Mm,
    /// Girth.
    pub width: Mm,
    /// Roll it is cut from.
    pub roll: u32,
    /// Where it starts on the roll.
    pub roll_from: Mm,
    /// Where it starts across the roll.
    pub roll_across: Mm,
    /// Where its middle stands: along the datum line and to its left, or plan x and y where there is no datum.
    pub place: [Mm; 2],
    /// Whether it comes from what the field left of its roll.
    pub from_offcut: bool,
}

/// The strips.
pub fn strip_rows(plan: &Plan, layout: &Layout) -> Vec<StripRow> {
    let place = |s: &Strip| match &plan.datum {
        Some(datum) => from_datum(datum, s.at),
        None => [s.at.x, s.at.y],
    };
    let row = |s: &Strip| StripRow {
        strip: s.number,
        length: s.length,
        width: s.width,
        roll: s.roll,
        roll_from: s.roll_from,
        roll_across: s.roll_across,
        place: place(s),
        from_offcut: s.from_offcut,
    };
    layout.strips.iter().map(row).collect()
}

/// What the places of the strips are measured from.
pub const fn strip_places(plan: &Plan) -> &'static str {
    if plan.datum.is_some() {
        "Place: middle of the strip, along the datum line from its zero and square to it, left counting as plus. Girth: height \
         of the upstand and foot. Length: with an end lap for the corner or the next strip (dressing round corners by one \
         end lap is common practice, no published source)."
    } else {
        "Place: middle of the strip, plan x and y. Girth: height of the upstand and foot. Length: with an end lap for the \
         corner or the next strip (dressing round corners by one end lap is common practice, no published source)."
    }
}

/// The strips as text.
pub fn strip_grid(rows: &[StripRow]) -> Grid {
    let heads = vec![
        words("Strip"),
        figures("Length"),
        figures("Girth"),
        figures("Roll"),
        figures("From on roll"),
        figures("Across roll"),
        figures("Place"),
        words("Cut from"),
    ];
    let rows = rows.iter().map(|r| {
        vec![
            format!("S{}", r.strip),
            mm(r.length),
            mm(r.width),
            r.roll.to_string(),
            mm(r.roll_from),
            mm(r.roll_across),
            format!("{} / {}", r.place[0], r.place[1]),
            if r.from_offcut { "what the field left" } else { "a roll for strips" }.to_owned(),
        ]
    });
    Grid { heads, rows: rows.collect() }
}

/// The rolls beside the limits, in one sentence; nothing where no roll is opened for the field.
pub fn limit_sentence(layout: &Layout) -> Option<String> {
    let totals = &layout.totals;
    if totals.rolls == 0 {
        return None;
    }
    let mut text = format!("Rolls for the field: {}, {}.", totals.rolls, rolls_remark(layout));
    if totals.rolls_by_length > totals.rolls_by_area {
        let _ = write!(
            text,
            " The least cut length of any direction and start fills {}.",
            totals.rolls_by_length
        );
    }
    if totals.rolls_by_area > 0 {
        let _ = write!(text, " The area of the field alone fills {}.", totals.rolls_by_area);
    }
    let waste = waste_of(layout);
    let _ = write!(text, " Waste, with nothing credited for what is kept: {}.", of_rolls(layout, waste));
    Some(text)
}

/// A quantity with two figures that are never mixed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuantityRow {
    /// What.
    pub name: String,
    /// The figure, with its unit.
    pub figure: String,
    /// How it is reached or where its inputs come from.
    pub remark: String,
}

fn quantity(name: &str, figure: String, remark: impl Into<String>) -> QuantityRow {
    QuantityRow { name: name.to_owned(), figure, remark: remark.into() }
}

/// What is done before the main deck.
pub fn detail_rows(layout: &Layout) -> Vec<QuantityRow> {
    let details = &layout.details;
    let mut rows: Vec<QuantityRow> = details
        .upstands
        .iter()
        .map(|sum: &UpstandSum| {
            let name = format!("{}, {} high", upstand_name(sum.kind), sum.height);
            quantity(&name, format!("{} m", metres(sum.length)), "length along the face")
        })
        .collect();
    rows.push(quantity(
        "Free edges",
        format!("{} m", metres(details.free_edges)),
        "drips, verges, gutter lips",
    ));
    rows.push(quantity(
        "Movement joints",
        format!("{} m", metres(details.joints)),
        "nothing is laid across them",
    ));
    rows.push(quantity("Penetrations", details.penetrations.to_string(), "each with its collar"));
    rows.push(quantity(
        "Pitch pockets",
        details.pockets.to_string(),
        "filled in two pours, the first to half height",
    ));
    rows.push(quantity("Outlets", details.outlets.to_string(), "bowls kept clear of reinforcement"));
    rows.push(quantity(
        "Upstand reinforcement",
        format!("{} m²", square_metres(layout.totals.upstand_area)),
        "length x (height + foot)",
    ));
    rows
}

/// Trade name of a kind of upstand.
pub const fn upstand_name(kind: UpstandKind) -> &'static str {
    match kind {
        UpstandKind::Parapet => "Parapet",
        UpstandKind::Wall => "Wall",
        UpstandKind::Kerb => "Kerb",
        UpstandKind::Plinth => "Plinth",
        UpstandKind::Threshold => "Threshold",
    }
}

/// Measured quantities: net, for payment.
pub fn measured_rows(layout: &Layout) -> Vec<QuantityRow> {
    let totals = &layout.totals;
    let area = |a: i64| format!("{} m²", square_metres(a));
    vec![
        quantity(
            "Deck as measured",
            area(totals.measured_area),
            "net, laps not added, voids up to 1.00 m² not deducted",
        ),
        quantity("Deck, net of every void", area(totals.deck_area), "outline less openings and penetrations"),
        quantity("Field", area(totals.field_area), "what the main reinforcement covers"),
    ]
}

/// Ordered quantities: gross, for the merchant.
pub fn ordered_rows(plan: &Plan, layout: &Layout) -> Vec<QuantityRow> {
    let (totals, products) = (&layout.totals, &plan.products);
    let area = |a: i64| format!("{} m²", square_metres(a));
    let coats: Vec<String> = products.coats.iter().map(|c| hundredths(*c)).collect();
    let mut rows = roll_rows(plan, layout);
    rows.extend([
        quantity(
            "Cut lengths",
            format!("{} m", metres(totals.cut_length)),
            format!("{} pieces", totals.pieces),
        ),
        quantity(
            "Side laps",
            format!("{} m", metres(totals.side_lap_length)),
            format!("{} end laps", totals.end_laps),
        ),
        quantity("Lying double in laps", area(totals.waste.laps), of_rolls(layout, totals.waste.laps)),
        quantity("Trim", area(totals.waste.trim), of_rolls(layout, totals.waste.trim)),
        quantity("Scrap and kerf", area(totals.waste.scrap), of_rolls(layout, totals.waste.scrap)),
        quantity("Offcuts kept", area(totals.waste.offcuts), of_rolls(layout, totals.waste.offcuts)),
    ]);
    rows.extend(strip_quantities(layout));
    rows.extend([
        quantity(
            "Membrane",
            format!("{} kg", totals.membrane_kg),
            format!(
                "inputs (the user's own): coats {} mm, density {} kg/m³",
                coats.join(" + "),
                products.density
            ),
        ),
        quantity(
            "Blocks",
            totals.blocks.to_string(),
            format!("input (the user's own): {} kg each", hundredths(products.block)),
        ),
        quantity(
            "Primer",
            format!("{} l", totals.primer_litres),
            format!("input (the user's own): {} m² a litre", hundredths(products.primer_coverage)),
        ),
        quantity(
            "Primer tins",
            totals.primer_tins.to_string(),
            format!("input (the user's own): {} l each", hundredths(products.primer_tin)),
        ),
        quantity(
            "Protection sheet",
            area(totals.sheet_area),
            match &layout.protection {
                Some(sheet) => format!("{} pieces as cut, by its layout", sheet.totals.pieces),
                None => format!("by area, with laps of {} (the user's own)", products.sheet_lap),
            },
        ),
        quantity(
            "Protection sheet rolls",
            totals.sheet_rolls.to_string(),
            format!("inputs (the user's own): {} x {}", products.sheet_width, products.sheet_length),
        ),
    ]);
    rows
}

/// The rolls to order: in all, by kind where there are several, and beside the limits.
fn roll_rows(plan: &Plan, layout: &Layout) -> Vec<QuantityRow> {
    let totals = &layout.totals;
    let mut rows = vec![quantity("Rolls of reinforcement", totals.rolls.to_string(), rolls_remark(layout))];
    let mut kinds: BTreeMap<u32, (u32, Mm, Mm)> = BTreeMap::new();
    for roll in &layout.rolls {
        kinds.entry(roll.kind).or_insert((0, roll.width, roll.length)).0 += 1;
    }
    if kinds.len() > 1 {
        for (kind, (count, width, length)) in kinds {
            let name = plan.products.rolls.get(kind as usize).map_or("", |k| k.name.as_str());
            rows.push(quantity(&format!("Rolls {width} x {length}"), count.to_string(), name));
        }
    }
    if totals.rolls_by_length > totals.rolls_by_area {
        rows.push(quantity(
            "Limit by cut length",
            totals.rolls_by_length.to_string(),
            "rolls that the least cut length of any direction and start fills, nothing slit",
        ));
    }
    if totals.rolls_by_area > 0 {
        rows.push(quantity(
            "Limit by area",
            totals.rolls_by_area.to_string(),
            "rolls that the area of the field alone fills",
        ));
    }
    let waste = waste_of(layout);
    let area = format!("{} m²", square_metres(waste));
    let remark = format!("{}, nothing credited for what is kept", of_rolls(layout, waste));
    rows.push(quantity("Waste in all", area, remark));
    rows
}

/// Rolls and offcuts that went into strips.
fn strip_quantities(layout: &Layout) -> Vec<QuantityRow> {
    let totals = &layout.totals;
    if layout.strips.is_empty() {
        return Vec::new();
    }
    let area = format!("{} m²", square_metres(totals.strips_from_offcuts));
    vec![
        quantity("Strips from what is left", area, of_rolls(layout, totals.strips_from_offcuts)),
        quantity(
            "Rolls for upstand strips",
            totals.strip_rolls.to_string(),
            format!("beyond those of the field; {} strips in all", layout.strips.len()),
        ),
    ]
}

/// All of the field's rolls that is neither field nor strips.
fn waste_of(layout: &Layout) -> i64 {
    let waste = &layout.totals.waste;
    waste.laps + waste.trim + waste.scrap + waste.offcuts
}

fn rolls_remark(layout: &Layout) -> String {
    let totals = &layout.totals;
    if totals.proved {
        "proved the least for these pieces".to_owned()
    } else {
        format!("never fewer than {} for these pieces", totals.rolls_least)
    }
}

fn of_rolls(layout: &Layout, area: i64) -> String {
    format!("{} of the rolls opened", per_cent(area, layout.totals.roll_area))
}

/// Quantities as text.
pub fn quantity_grid(rows: &[QuantityRow]) -> Grid {
    let heads = vec![words("Item"), figures("Quantity"), words("Remark")];
    let rows = rows.iter().map(|r| vec![r.name.clone(), r.figure.clone(), r.remark.clone()]);
    Grid { heads, rows: rows.collect() }
}

/// Findings as text.
pub fn finding_grid(layout: &Layout) -> Grid {
    finding_grid_of(&layout.findings)
}

/// Some of the findings as text.
pub fn finding_grid_of<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Grid {
    let heads = vec![words("Kind"), words("What is wrong"), words("What to do")];
    let rows = findings.into_iter().map(|finding| {
        let kind = match finding.severity {
            Severity::Error => "Error",
            Severity::Warning => "Warning",
            Severity::Note => "Note",
        };
        vec![kind.to_owned(), finding.text.clone(), finding.mend.clone()]
    });
    Grid { heads, rows: rows.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use baylap_core::geom::Pt;

    #[test]
    fn one_reading_in_every_ten_square_metres() {
        // trade.md, section 3, derived tests: 237 m2 needs 24, one per 10 m2, rounded up.
        assert_eq!(readings(237_000_000), 24);
        assert_eq!(readings(240_000_000), 24);
        assert_eq!(readings(1), 1);
    }

    #[test]
    fn diagonals_of_a_squared_bay() {
        // Pythagoras, 3-4-5 (users.md S10).
        assert_eq!(diagonal([4000, 3000]), 5000);
        assert_eq!(diagonal([12_000, 2775]), 12_317);
    }

    #[test]
    fn a_rectangle_is_known_at_any_angle_and_with_points_on_its_edges() {
        let ring = |points: &[[i64; 2]]| vec![vec![points.iter().map(|&[x, y]| Pt::new(x, y)).collect()]];
        let level: Vec<Region> = ring(&[[0, 0], [6000, 0], [12_000, 0], [12_000, 2775], [0, 2775]]);
        assert_eq!(rectangle(&level), Some([12_000, 2775]));
        // 3-4-5 turned: sides 5000 and 2500.
        let turned: Vec<Region> = ring(&[[0, 0], [4000, 3000], [2500, 5000], [-1500, 2000]]);
        assert_eq!(rectangle(&turned), Some([5000, 2500]));
        let skew: Vec<Region> = ring(&[[0, 0], [4000, 0], [4500, 3000], [500, 3000]]);
        assert_eq!(rectangle(&skew), None);
    }
}
