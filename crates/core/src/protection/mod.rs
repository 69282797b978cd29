//! Protection: the sheet over the membrane, laid bay by bay in courses of its own.
//!
//! In: a plan, its checked decks, the zones as laid, a layout whose bays stand in the order they are laid. Out: the courses
//! of sheet of each bay, their pieces, laps and rolls; and findings where a lap comes to lie nearer to one of the
//! reinforcement than asked. The sheet covers the decks, all of them; it is laid with each bay, along the courses, and its
//! sealed laps keep off the laps of the reinforcement that run the same way. Where a bay is still to be joined on to, the
//! sheet stops short (see `edges`), and the bay that joins covers what was left. Pipes and outlets are cut round on the
//! roof and not deducted. It asks nothing of falls: the reinforcement's order has settled which way water runs.

mod bay;
mod board;
mod deep;
mod edges;
mod ends;
mod joints;
mod laps;
mod patches;
mod rims;
mod rolls;
mod stops;
mod strips;

use crate::finding::{About, Finding};
use crate::geom::{Pt, Region, ring};
use crate::layout::protection::{Protection, SheetBay, SheetPiece};
use crate::layout::{Course, Layout};
use crate::model::Model;
use crate::numbering::{LaidZone, count};
use crate::plan::{Mm, Plan};
use board::Board;
use edges::Edge;
use joints::Joint;
use laps::Band;
use rims::Floor;
use stops::Kept;

/// Code of the finding that the sheet leaves places bare.
pub(crate) const LEFT_BARE: &str = "sheet-leaves-bare";

/// Lays the sheet; `None` when its rolls cover nothing, or where a zone has no courses to lay it along.
pub fn lay(plan: &Plan, model: &Model, laid: &[LaidZone], layout: &Layout) -> Option<Protection> {
    let rules = Rules::of(plan, layout)?;
    let sheets = Sheets::new(rules, model, laid, layout)?;
    let mut done = Done::default();
    let strips: Vec<Vec<[Mm; 2]>> = (0..layout.bays.len())
        .map(|bay| {
            let (strips, mut own) = bay::lay(&sheets, bay, &mut done);
            own.sort_by_key(|p| (p.course, p.from, p.to));
            done.pieces.append(&mut own);
            strips
        })
        .collect();
    let bare = bare(model, layout, done.pieces.iter().flat_map(|p| &p.as_laid));
    let floors: Vec<Floor> = (0..sheets.boards.len()).map(|zone| Floor::new(&sheets, zone)).collect();
    let laid = patches::put_on((&sheets, &floors), &strips, done.pieces, &bare);
    let laps = laps::find(&sheets, &laid);
    let near_edges = laps::near_edges((&sheets, &floors), &laid, &laps);
    let mut sheet =
        Protection { bays: bays_out(layout, &strips, &laid), laps, near_edges, ..Protection::default() };
    sheet.deep = deep::find(model, &laid);
    sheet.pieces = laid.into_iter().zip(1..).map(|(p, number)| piece_out(layout, p, number)).collect();
    sheet.bare = self::bare(model, layout, sheet.pieces.iter().flat_map(|p| &p.as_laid));
    rolls::cut(&plan.products, &sheets.rules, &mut sheet);
    Some(sheet)
}

/// The bays of the sheet with their courses and the numbers of their pieces, patches last.
fn bays_out(layout: &Layout, strips: &[Vec<[Mm; 2]>], laid: &[Laid]) -> Vec<SheetBay> {
    let mut first = 1;
    let bays = layout.bays.iter().zip(strips).enumerate();
    bays.map(|(i, (bay, strips))| {
        let own: Vec<&Laid> = laid.iter().filter(|p| p.bay == i).collect();
        let numbers = first..first + count(own.len());
        first = numbers.end;
        SheetBay {
            bay: bay.number,
            zone: bay.zone,
            courses: strips
                .iter()
                .zip(1..)
                .map(|(&[from, to], number)| Course { number, from, to })
                .collect(),
            pieces: numbers.collect(),
            cut_area: own.iter().map(|p| (p.to - p.from) * (p.across[1] - p.across[0])).sum(),
        }
    })
    .collect()
}

/// What of the decks no piece covers. Small bays between slanting walls can leave a corner that no course reaches.
fn bare<'a>(model: &Model, layout: &Layout, laid: impl Iterator<Item = &'a Region>) -> Vec<Region> {
    let deck: Vec<Region> = layout.zones.iter().flat_map(|z| z.area.iter().cloned()).collect();
    let laid: Vec<Region> = laid.cloned().collect();
    bay::thick(model.canvas.difference_with(&model.canvas.rings(&deck), Vec::new(), &laid))
}

/// Findings about the rolls of sheet.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    let products = &plan.products;
    let end = products.sheet_end_lap.unwrap_or(products.sheet_lap);
    if products.sheet_width <= products.sheet_lap || products.sheet_length <= 2 * end {
        let text = format!(
            "Rolls of protection sheet of {} by {} mm cover nothing with laps of {} and {end} mm.",
            products.sheet_width, products.sheet_length, products.sheet_lap
        );
        let about = About::Setting("products.sheet_width".into());
        findings.push(Finding::error(
            "sheet-covers-nothing",
            about,
            text,
            "Take wider rolls or smaller laps.",
        ));
    }
}

/// Places that the sheet leaves bare, and laps of it that lie nearer to the reinforcement's than asked.
pub fn remark(plan: &Plan, layout: &Layout, findings: &mut Vec<Finding>) {
    let Some(sheet) = &layout.protection else { return };
    findings.extend(left_bare(layout, sheet));
    findings.extend(four_deep(layout, sheet));
    let near: Vec<_> = sheet.laps.iter().filter(|lap| lap.off.is_some()).collect();
    let Some(worst) = near.iter().min_by_key(|lap| (lap.off, -lap.near, lap.pieces)) else { return };
    let bay = sheet.pieces[worst.pieces[1] as usize - 1].bay;
    let metres = sheet.totals.near;
    let edges = match sheet.near_edges.len() {
        0 => String::new(),
        1 => " So does 1 edge of a piece beside them.".to_owned(),
        n => format!(" So do {n} edges of pieces beside them."),
    };
    let text = format!(
        "{} of {} laps of the protection sheet run nearer than {} mm to a lap of the reinforcement, over {}.{} m in all; the nearest is in bay {bay}.{edges}",
        near.len(),
        sheet.laps.len(),
        plan.products.sheet_off_laps,
        metres / 1000,
        metres % 1000 / 100
    );
    let mend =
        "See the list of the protection sheet; another roll width or a smaller distance may keep them off.";
    let about = About::Setting("products.sheet_off_laps".into());
    findings.push(Finding::note("sheet-laps-near", about, text, mend).at(worst.at));
}

fn left_bare(layout: &Layout, sheet: &Protection) -> Option<Finding> {
    let area = |region: &Region| ring::doubled_area_of(std::slice::from_ref(region)) / 2;
    let largest = sheet.bare.iter().max_by_key(|region| area(region))?;
    let at = *largest.first()?.first()?;
    let number = layout.bay_at(at).map_or(0, |i| layout.bays[i].number);
    let all: i128 = sheet.bare.iter().map(area).sum();
    let text = format!(
        "The protection sheet leaves {} bare, {}.{:02} m2 in all; the largest is in bay {number}.",
        if sheet.bare.len() == 1 { "1 place".to_owned() } else { format!("{} places", sheet.bare.len()) },
        all / 1_000_000,
        all / 10_000 % 100
    );
    let mend = "Lay a piece over it on the roof, lapped all round; the plan of the sheet shows where.";
    Some(Finding::warning(LEFT_BARE, About::Bay(number), text, mend).at(at))
}

fn four_deep(layout: &Layout, sheet: &Protection) -> Option<Finding> {
    let at = *sheet.deep.first()?;
    let number = layout.bay_at(at).map_or(0, |i| layout.bays[i].number);
    let places =
        if sheet.deep.len() == 1 { "1 place".to_owned() } else { format!("{} places", sheet.deep.len()) };
    let text = format!(
        "Four pieces of the protection sheet or more lie on one another at {places}; the first is in bay {number}."
    );
    let mend = "Cut a corner off one of the inner pieces there, as far as the laps allow, so that the sheet lies flat.";
    Some(Finding::note("sheet-four-deep", About::Bay(number), text, mend).at(at))
}

/// What is asked of the sheet, mm.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rules {
    /// Width of its rolls.
    width: Mm,
    /// Length of its rolls.
    length: Mm,
    /// Its side lap.
    side: Mm,
    /// Its end lap.
    end: Mm,
    /// Distance of its laps from those of the reinforcement.
    off: Mm,
    /// How far it stops short of a lap that is still to be made.
    open: Mm,
    /// Distance between its end laps in neighbouring courses.
    stagger: Mm,
    /// Least width of a course.
    least_strip: Mm,
    /// Least length of a piece of a run in several.
    least_piece: Mm,
    /// Side lap of the reinforcement.
    side_lap: Mm,
    /// End lap of the reinforcement.
    end_lap: Mm,
}

impl Rules {
    fn of(plan: &Plan, layout: &Layout) -> Option<Self> {
        let products = &plan.products;
        let (side, off) = (products.sheet_lap.max(0), products.sheet_off_laps.max(0));
        let end = products.sheet_end_lap.unwrap_or(side).max(0);
        let pairs = || layout.zones.iter().flat_map(|z| z.courses.windows(2));
        let pitch = pairs().map(|w| w[1].from - w[0].from).min().unwrap_or(products.sheet_width);
        let side_lap = pairs().map(|w| w[0].to - w[1].from).max().unwrap_or(0);
        let rules = Self {
            width: products.sheet_width,
            length: products.sheet_length,
            side,
            end,
            off,
            // More than half a course left open would leave nothing of it under the sheet.
            open: off.min(pitch / 2),
            stagger: products.stagger.max(0),
            least_strip: products.least_strip.max(0),
            least_piece: products.least_piece.clamp(0, products.sheet_length / 4),
            side_lap,
            end_lap: products.end_lap.max(0),
        };
        (rules.width > side && rules.length > 2 * end).then_some(rules)
    }
}

/// Everything that the sheet is laid by.
pub(crate) struct Sheets<'a> {
    rules: Rules,
    model: &'a Model,
    layout: &'a Layout,
    /// For each zone its board.
    boards: Vec<Board>,
    /// For each zone the end laps of its reinforcement.
    end_laps: Vec<Vec<Band>>,
    /// For each bay its area in the frame of its zone.
    flats: Vec<Vec<Region>>,
    /// Bounds of these.
    bounds: Vec<(Pt, Pt)>,
    edges: Vec<Edge>,
    /// Laps of the reinforcement from bay to bay.
    joints: Vec<Joint>,
}

impl<'a> Sheets<'a> {
    fn new(rules: Rules, model: &'a Model, laid: &[LaidZone], layout: &'a Layout) -> Option<Self> {
        let boards: Option<Vec<Board>> = laid.iter().map(|zone| board(zone, layout)).collect();
        let boards = boards?;
        let zone_of = |bay: &crate::layout::Bay| bay.zone as usize - 1;
        let flats: Vec<Vec<Region>> =
            layout.bays.iter().map(|bay| boards[zone_of(bay)].flat(&bay.area)).collect();
        let bounds = flats.iter().map(|f| ring::bounds(f.iter().flatten().flatten()).unwrap_or_default());
        let edges = edges::find(layout, model, &boards, &rules);
        Some(Self {
            rules,
            model,
            layout,
            end_laps: (1..).zip(&boards).map(|(zone, _)| end_laps(layout, zone)).collect(),
            bounds: bounds.collect(),
            joints: joints::find(layout, &edges, &rules),
            edges,
            flats,
            boards,
        })
    }

    fn zone_of(&self, bay: usize) -> usize {
        self.layout.bays[bay].zone as usize - 1
    }

    /// Edges of a bay with bays after it.
    fn edges_of(&self, low: usize) -> impl Iterator<Item = &Edge> {
        let start = self.edges.partition_point(|edge| edge.low < low);
        self.edges[start..].iter().take_while(move |edge| edge.low == low)
    }

    /// The bays before one that its sheet may reach: those it touches, those of its zone that lie at its corners, and those
    /// that another left something open on for it.
    fn before(&self, bay: usize, kept: &[Kept]) -> Vec<usize> {
        let (lo, hi) = self.bounds[bay];
        let reach = self.rules.open + self.rules.side_lap.max(self.rules.end_lap);
        let touches = |e: usize| self.edges.iter().any(|edge| edge.low == e && edge.high == bay);
        let beside = |e: usize| {
            let (a, b) = self.bounds[e];
            self.zone_of(e) == self.zone_of(bay)
                && a.x <= hi.x + reach
                && lo.x <= b.x + reach
                && a.y <= hi.y + reach
                && lo.y <= b.y + reach
        };
        let left_on = |e: usize| {
            let (a, b) = self.bounds[e];
            kept.iter().filter(|k| k.high == bay && self.zone_of(k.low) == self.zone_of(e)).any(|k| {
                a.x <= k.u[1]
                    && k.u[0] <= b.x
                    && a.y <= k.v[1] + self.rules.width
                    && k.v[0] - self.rules.width <= b.y
            })
        };
        (0..bay).filter(|&e| beside(e) || touches(e) || left_on(e)).collect()
    }
}

/// What is laid already.
#[derive(Clone, Debug, Default)]
pub(crate) struct Done {
    /// The pieces.
    pieces: Vec<Laid>,
    /// What their bays left open at their ends.
    kept: Vec<Kept>,
}

/// A piece of sheet before it is numbered.
#[derive(Clone, Debug)]
pub(crate) struct Laid {
    /// Zone, from 0.
    zone: usize,
    /// Bay, from 0.
    bay: usize,
    /// Course in its bay, from 0.
    course: usize,
    from: Mm,
    to: Mm,
    across: [Mm; 2],
    /// What it covers in the frame, whether there is deck or not.
    cover: Vec<Region>,
    /// As laid, in the frame.
    flat: Vec<Region>,
    /// As laid, on the plan.
    as_laid: Vec<Region>,
    /// Area as laid, mm2.
    area: i64,
}

impl Laid {
    /// Whether it covers all of its rectangle, as far as there is deck.
    fn is_plain(&self) -> bool {
        self.cover.len() == 1 && self.cover[0].len() == 1 && self.cover[0][0].len() == 4
    }

    /// Whether it lies on all of its rectangle.
    fn is_whole(&self) -> bool {
        let [ring] = self.flat.iter().flatten().collect::<Vec<_>>()[..] else { return false };
        let on = |p: &Pt| {
            (p.x == self.from || p.x == self.to) && self.across[0] <= p.y && p.y <= self.across[1]
                || (p.y == self.across[0] || p.y == self.across[1]) && self.from <= p.x && p.x <= self.to
        };
        let area = (self.to - self.from) * (self.across[1] - self.across[0]);
        ring.iter().all(on) && ring::doubled_area(ring) == 2 * i128::from(area)
    }
}

/// The board of a zone; `None` when nothing is laid in it.
fn board(zone: &LaidZone, layout: &Layout) -> Option<Board> {
    let courses = zone.courses.as_ref()?;
    let number = zone.zone.number;
    let starts = layout.pieces.iter().filter(|p| p.zone == number && p.lap_from > 0).map(|p| p.from);
    let areas = layout.bays.iter().filter(|b| b.zone == number).flat_map(|b| &b.area);
    Some(Board::new(courses, starts.collect(), areas))
}

/// End laps of the reinforcement of a zone.
fn end_laps(layout: &Layout, zone: u32) -> Vec<Band> {
    let pieces = layout.pieces.iter().filter(|p| p.zone == zone && p.lap_from > 0);
    pieces.map(|p| Band { along: [p.from, p.from + p.lap_from], across: p.across }).collect()
}

fn piece_out(layout: &Layout, piece: Laid, number: u32) -> SheetPiece {
    SheetPiece {
        number,
        zone: count(piece.zone) + 1,
        bay: layout.bays[piece.bay].number,
        course: count(piece.course) + 1,
        from: piece.from,
        to: piece.to,
        across: piece.across,
        length: piece.to - piece.from,
        as_laid: piece.as_laid,
        area: piece.area,
        roll: 0,
        roll_from: 0,
        roll_across: 0,
    }
}
