//! The plan of the roof: an overview, and details at a larger scale when the overview is too small to set out from.
//!
//! In: plan, layout, paper. Out: pages without border or title block. The scale is the largest standard one at which
//! the whole roof fits one page; nothing is ever shrunk to fit. Details are windows in rows from the top left, with
//! match lines and a key plan; windows with no deck are left out.

use crate::caution;
use crate::dimension::{Window, cropped, dimension};
use crate::drainage_plan;
use crate::draw::{SceneOptions, deck_scene};
use crate::fall_layers::FallLayers;
use crate::figures::square_metres;
use crate::key::key_line;
use crate::key_plan::{deck_bounds, key_plan, middle_of};
use crate::page::{At, Frame, Page};
use crate::protection_sheets::HOW;
use crate::reference::{References, sentences};
use crate::scene::{Dash, Height, Mark, Role, Scene, Shape, Text, Width};
use crate::side::Side;
use crate::style::{Paper, SCALES};
use crate::table::{BayRow, bay_rows};
use crate::text;
use crate::title::{bars, drawing, north};
use crate::view::{View, paint};
use baylap_core::Plan;
use baylap_core::geom::{Pt, Region, ring};
use baylap_core::layout::Layout;
use std::collections::BTreeSet;

/// Room kept free for running offsets on the left of and below the roof, mm at A4.
const ROOM_FOR_OFFSETS: f64 = 24.0;

/// Room kept free on the other sides, mm at A4.
const ROOM_ROUND: f64 = 9.0;

/// An overview smaller than this gets detail sheets.
const OVERVIEW_TO: i64 = 200;

/// An overview smaller than this shows bays without courses and pieces: their lines would run together.
const PIECES_TO: i64 = 250;

/// No more detail sheets than this: a larger job gets smaller details, and one too large even for those gets none.
const MOST_DETAILS: usize = 60;

/// No more windows than this are looked at for deck in them.
const MOST_WINDOWS: i64 = 20_000;

/// What a plan is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Setting out: bays, courses and pieces with their dimensions.
    SettingOut,
    /// Falls and drainage, for the designer.
    Drainage,
    /// The protection sheet: where its laps lie.
    Protection,
}

impl Purpose {
    /// The overview's title.
    const fn plan(self) -> &'static str {
        match self {
            Purpose::SettingOut => "Setting-out plan",
            Purpose::Drainage => "Falls and drainage",
            Purpose::Protection => "Protection sheet, plan",
        }
    }

    /// The title of a detail before its number.
    const fn detail(self) -> &'static str {
        match self {
            Purpose::SettingOut => "Setting-out detail",
            Purpose::Drainage => "Drainage detail",
            Purpose::Protection => "Protection sheet, detail",
        }
    }
}

/// The pages of the plan: the overview first. `first` is the number of the overview's sheet.
pub fn plan_pages(
    plan: &Plan,
    layout: &Layout,
    paper: Paper,
    (purpose, first): (Purpose, usize),
) -> Vec<Page> {
    let job = Job { plan, layout, paper, purpose, references: References::new(plan, layout) };
    let view = job.overview_view();
    if job.made_for(view.scale) <= OVERVIEW_TO {
        return vec![job.overview(&view, None)];
    }
    let details = Details { tiling: job.tiling(), first: first + 1 };
    let mut pages = vec![job.overview(&view, Some(&details))];
    let drawn = job.drawn(details.tiling.scale);
    pages.extend((0..details.tiling.tiles.len()).map(|index| job.detail(&details, index, &drawn)));
    pages
}

/// The overview alone.
pub fn overview_page(plan: &Plan, layout: &Layout, paper: Paper, purpose: Purpose) -> Page {
    let job = Job { plan, layout, paper, purpose, references: References::new(plan, layout) };
    job.overview(&job.overview_view(), None)
}

/// The scale of the overview of a roof on a paper.
pub fn overview_scale(plan: &Plan, layout: &Layout, paper: Paper) -> i64 {
    let references = References::new(plan, layout);
    let purpose = Purpose::SettingOut;
    Job { plan, layout, paper, purpose, references }.overview_view().scale
}

struct Job<'a> {
    plan: &'a Plan,
    layout: &'a Layout,
    paper: Paper,
    purpose: Purpose,
    references: References,
}

/// Windows of one size over the roof.
struct Tiling {
    scale: i64,
    tiles: Vec<Tile>,
}

/// The detail sheets: their windows, and the number of the first.
struct Details {
    tiling: Tiling,
    first: usize,
}

/// One window.
struct Tile {
    column: i64,
    row: i64,
    middle: [f64; 2],
    window: Window,
}

impl Job<'_> {
    fn overview_view(&self) -> View {
        let step = self.paper.step();
        let frame = drawing(self.paper);
        let kept = (ROOM_FOR_OFFSETS + ROOM_ROUND) * step;
        let room = [frame.width() - kept, frame.height() - kept];
        let fits = |(lo, hi): Window, scale: i64| {
            length(hi.x - lo.x, scale) <= room[0] && length(hi.y - lo.y, scale) <= room[1]
        };
        let (decks, all) = (deck_bounds(self.plan), self.bounds());
        let scale = SCALES.into_iter().find(|s| fits(decks, *s)).unwrap_or(SCALES[SCALES.len() - 1]);
        let (lo, hi) = if fits(all, scale) { all } else { decks };
        // The roof stands in the middle of what the offsets leave free.
        #[allow(clippy::cast_precision_loss)]
        let shift = (ROOM_FOR_OFFSETS - ROOM_ROUND) / 2.0 * step * scale as f64;
        let middle = middle_of(lo, hi).map(|m| m - shift);
        View { frame, middle, scale }
    }

    /// Bounds of the decks with what stands beside them. Only the decks decide the scale.
    fn bounds(&self) -> Window {
        let plan = self.plan;
        let (lo, hi) = deck_bounds(self.plan);
        let places = plan.ways.iter().map(|w| w.at).chain(plan.melters.iter().map(|m| m.at));
        let all: Vec<Pt> = places.chain(plan.datum.iter().map(|d| d.zero)).chain([lo, hi]).collect();
        ring::bounds(&all).unwrap_or((lo, hi))
    }

    fn overview(&self, view: &View, details: Option<&Details>) -> Page {
        let mut page = Page::new(self.paper, self.purpose.plan());
        page.scale = Some(view.scale);
        let mut scene = self.scene(view, &self.drawn(view.scale));
        if let Some(details) = details {
            windows(&mut scene, details);
        }
        paint(&mut page, &scene, view);
        bars(&mut page, view.scale);
        let count = details.map_or(0, |d| d.tiling.tiles.len());
        match self.purpose {
            Purpose::SettingOut => self.overview_column(&mut page, view, count),
            Purpose::Drainage => drainage_plan::column(&mut page, self.plan, self.layout, count),
            Purpose::Protection => self.protection_column(&mut page),
        }
        page
    }

    /// The roof drawn for a scale, without what belongs to one window.
    fn drawn(&self, scale: i64) -> Scene {
        deck_scene(self.plan, self.layout, self.options(scale))
    }

    fn options(&self, scale: i64) -> SceneOptions {
        let scale = self.made_for(scale);
        let pieces = scale <= PIECES_TO;
        let falls = FallLayers::LEVELS;
        let setting_out =
            SceneOptions { scale, hatch: true, tint: false, pieces, sheet: false, findings: true, falls };
        match self.purpose {
            Purpose::SettingOut => setting_out,
            Purpose::Drainage => {
                let falls = FallLayers::ALL;
                SceneOptions { hatch: false, pieces: false, findings: false, falls, ..setting_out }
            }
            Purpose::Protection => {
                let falls = FallLayers::NONE;
                SceneOptions {
                    hatch: false,
                    pieces: false,
                    sheet: true,
                    findings: false,
                    falls,
                    ..setting_out
                }
            }
        }
    }

    /// The scale that texts, hatches and ticks are made for: they are larger on A3, as if the plan were smaller.
    fn made_for(&self, scale: i64) -> i64 {
        scale * self.paper.step_per_cent() / 100
    }

    fn scene(&self, view: &View, drawn: &Scene) -> Scene {
        let mut scene = drawn.clone();
        if self.purpose == Purpose::Drainage {
            drainage_plan::order(&mut scene, self.layout, self.options(view.scale));
            return scene;
        }
        if self.purpose == Purpose::Protection {
            return scene;
        }
        let both = (self.plan, self.layout);
        dimension(&mut scene, both, &self.references, self.options(view.scale), view.window());
        scene
    }

    fn overview_column(&self, page: &mut Page, view: &View, details: usize) {
        let scale = self.made_for(view.scale);
        let mut side = Side::new(page, self.paper);
        north(side.page, side.north_at(), self.plan.job.north_mdeg);
        side.y -= 23.0 * self.paper.step();
        side.head("Cautions");
        for caution in caution::SHORT {
            side.words(caution);
        }
        side.rule();
        side.head("Measured from");
        let from = sentences(self.plan, self.layout, &self.references);
        let written = from.iter().take(2).filter(|sentence| side.words(sentence)).count();
        if written < from.len() {
            side.words("Further: see the sheet of zones and bays.");
        }
        if self.layout.zones.is_empty() {
            side.words("Nothing is laid yet.");
        }
        side.rule();
        if details > 0 {
            side.words("Set out from the detail sheets; this one shows where they lie.");
        } else if scale > OVERVIEW_TO {
            side.words("Too large for detail sheets: split the job into plans of one roof each.");
        }
        if scale <= PIECES_TO {
            side.words("Offsets run to the first edge of each course and to the second edge of the last.");
            let lap = self.plan.products.side_lap;
            if !self.options(view.scale).shows_band(lap) {
                side.words("Side laps: too narrow to draw here, see the piece table.");
            }
        }
        for name in self.off_sheet(view) {
            side.words(&format!("Off this sheet: {name}."));
        }
    }

    fn protection_column(&self, page: &mut Page) {
        let mut side = Side::new(page, self.paper);
        north(side.page, side.north_at(), self.plan.job.north_mdeg);
        side.y -= 23.0 * self.paper.step();
        side.head("Key");
        for (role, words) in [
            (Role::BayEdge, "Bay edge"),
            (Role::SheetLap, "Lap of the sheet"),
            (Role::SheetNear, "Near a lap below"),
        ] {
            let frame = side.cut(4.8 * self.paper.step());
            key_line(side.page, role, [frame.lo[0], frame.hi[1]], words);
        }
        side.y -= 3.0 * self.paper.step();
        side.rule();
        for sentence in HOW {
            side.words(sentence);
        }
        let off = self.plan.products.sheet_off_laps;
        side.words(&format!("Laps keep {off} mm off those of the reinforcement that run the same way."));
        side.words("Lines run along the middle of laps. Offsets and lengths: see the tables that follow.");
    }

    /// Ways and melters too far away to be on the overview.
    fn off_sheet(&self, view: &View) -> Vec<String> {
        let (lo, hi) = view.window();
        let off = |p: Pt| p.x < lo.x || p.x > hi.x || p.y < lo.y || p.y > hi.y;
        let named = |name: &str, what: &str| if name.is_empty() { what.to_owned() } else { name.to_owned() };
        let ways = self.plan.ways.iter().filter(|w| off(w.at)).map(|w| named(&w.name, "a way on and off"));
        let melters = self.plan.melters.iter().filter(|m| off(m.at)).map(|m| named(&m.name, "a melter"));
        ways.chain(melters).collect()
    }

    /// The largest scale for details that does not need too many sheets; at the smallest the first sheets only.
    fn tiling(&self) -> Tiling {
        let fit = |scale: &i64| self.tiles(*scale, MOST_DETAILS);
        // Nothing is chalked out from a drainage sheet: fewer and smaller details show more of where water runs.
        let scales: &[i64] = match self.purpose {
            Purpose::SettingOut => &[100, 200, 250, 500],
            Purpose::Drainage | Purpose::Protection => &[200, 250, 500],
        };
        scales.iter().find_map(fit).unwrap_or(Tiling { scale: 500, tiles: Vec::new() })
    }

    #[allow(clippy::cast_precision_loss)]
    fn tiles(&self, scale: i64, most: usize) -> Option<Tiling> {
        let frame = self.detail_frame();
        let [width, height] = [frame.width(), frame.height()].map(|side| crate::clip::whole(side) * scale);
        let (lo, hi) = deck_bounds(self.plan);
        let columns = (hi.x - lo.x).div_euclid(width) + 1;
        let rows = (hi.y - lo.y).div_euclid(height) + 1;
        let mut tiling = Tiling { scale, tiles: Vec::new() };
        if columns.saturating_mul(rows) > MOST_WINDOWS {
            return None;
        }
        // The windows together are centred on the roof.
        let left = lo.x - (columns * width - (hi.x - lo.x)) / 2;
        let top = hi.y + (rows * height - (hi.y - lo.y)) / 2;
        for row in 0..rows {
            for column in 0..columns {
                let corner = Pt::new(left + column * width, top - (row + 1) * height);
                let window = (corner, Pt::new(corner.x + width, corner.y + height));
                if self.has_deck(window) {
                    let middle = middle_of(window.0, window.1);
                    tiling.tiles.push(Tile { column, row, middle, window });
                }
            }
        }
        (tiling.tiles.len() <= most).then_some(tiling)
    }

    fn has_deck(&self, window: Window) -> bool {
        if !self.layout.bays.is_empty() {
            return self.layout.bays.iter().any(|bay| seen(&bay.area, window) > 0);
        }
        self.plan.decks.iter().any(|deck| {
            let points: Vec<Pt> = deck.ring.iter().map(|c| c.at).collect();
            ring::doubled_area(&cropped(&points, window)) != 0
        })
    }

    /// Frame of a detail: a strip round it stays free for match lines.
    fn detail_frame(&self) -> Frame {
        drawing(self.paper).inset(6.0 * self.paper.step())
    }

    fn detail(&self, details: &Details, index: usize, drawn: &Scene) -> Page {
        let tiling = &details.tiling;
        let tile = &tiling.tiles[index];
        let count = tiling.tiles.len();
        let mut page = Page::new(self.paper, format!("{} {} of {count}", self.purpose.detail(), index + 1));
        page.scale = Some(tiling.scale);
        let view = View { frame: self.detail_frame(), middle: tile.middle, scale: tiling.scale };
        paint(&mut page, &self.scene(&view, drawn), &view);
        self.match_lines(&mut page, tiling, tile, details.first);
        bars(&mut page, tiling.scale);
        self.detail_column(&mut page, tiling, index);
        page
    }

    fn match_lines(&self, page: &mut Page, tiling: &Tiling, tile: &Tile, first: usize) {
        let frame = self.detail_frame();
        let step = self.paper.step();
        let [a, b, c, d] = frame.corners();
        let sheet = |column: i64, row: i64| {
            tiling.tiles.iter().position(|t| (t.column, t.row) == (column, row)).map(|i| first + i)
        };
        let low = 4.3 * step;
        let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], c[1])];
        let sides: [([At; 2], Option<usize>, At, i32); 4] = [
            ([a, b], sheet(tile.column, tile.row + 1), [middle[0], a[1] - low], 0),
            ([c, d], sheet(tile.column, tile.row - 1), [middle[0], c[1] + low - 2.5 * step], 0),
            ([b, c], sheet(tile.column + 1, tile.row), [b[0] + low, middle[1]], 90_000),
            ([d, a], sheet(tile.column - 1, tile.row), [a[0] - low + 2.5 * step, middle[1]], 90_000),
        ];
        for (line, neighbour, at, turn) in sides {
            let Some(number) = neighbour else { continue };
            page.lines(Width::Heavy, Dash::Chain, vec![line.to_vec()], false);
            turned(page, at, turn, &format!("Match line: sheet {number}"));
        }
    }

    fn detail_column(&self, page: &mut Page, tiling: &Tiling, index: usize) {
        let tile = &tiling.tiles[index];
        let mut side = Side::new(page, self.paper);
        north(side.page, side.north_at(), self.plan.job.north_mdeg);
        side.y -= 23.0 * self.paper.step();
        let windows: Vec<Window> = tiling.tiles.iter().map(|t| t.window).collect();
        key_plan(&mut side, self.plan, &windows, index);
        side.rule();
        if self.purpose == Purpose::Drainage {
            side.words("What lines, marks and hatches mean: see sheet 1.");
            return;
        }
        side.head("Bays seen here");
        let bays: Vec<BayRow> = bay_rows(self.layout);
        for (row, bay) in bays.iter().zip(&self.layout.bays) {
            if seen(&bay.area, tile.window) > LEAST_SEEN && !side.words(&bay_words(row)) {
                break;
            }
        }
        side.words("What offsets and chainages run from: see sheet 1.");
    }
}

/// A bay of which less than this is seen (mm2) is not listed beside a detail.
const LEAST_SEEN: i128 = 250_000;

/// How much of an area a window shows, mm2.
fn seen(area: &[Region], window: Window) -> i128 {
    area.iter().flatten().map(|r| ring::doubled_area(&cropped(r, window))).sum::<i128>() / 2
}

/// Draws on the overview where the detail sheets lie.
fn windows(scene: &mut Scene, details: &Details) {
    let mut sides: BTreeSet<[Pt; 2]> = BTreeSet::new();
    for (i, tile) in details.tiling.tiles.iter().enumerate() {
        let (lo, hi) = tile.window;
        let corners = [lo, Pt::new(hi.x, lo.y), hi, Pt::new(lo.x, hi.y)];
        // Each side once: dashes drawn twice fill each other's gaps.
        sides.extend(ring::edges(&corners).map(|(a, b)| [a.min(b), a.max(b)]));
        let inset = (hi.y - lo.y) / 6;
        let at = Pt::new(i64::midpoint(lo.x, hi.x), hi.y - inset);
        scene.texts.insert(
            0,
            Text {
                role: Role::Dimension,
                about: None,
                text: format!("Sheet {}", details.first + i),
                at,
                track: [at, Pt::new(at.x, lo.y + inset)],
                turn_mdeg: 0,
                set: 0,
                height: Height::Small,
                room: None,
            },
        );
    }
    let shape = Shape::Strokes(sides.into_iter().collect());
    scene.marks.push(Mark { role: Role::Window, about: None, tint: 0, shape });
    scene.settle();
}

/// One line about a bay.
fn bay_words(row: &BayRow) -> String {
    let area = square_metres(row.area);
    match (row.sides, row.diagonal) {
        (Some([a, b]), Some(diagonal)) => {
            format!("Bay {}: {area} m², {a} x {b}, both diagonals {diagonal}", row.bay)
        }
        _ => format!("Bay {}: {area} m²", row.bay),
    }
}

fn turned(page: &mut Page, at: At, turn_mdeg: i32, words: &str) {
    let height = page.paper.height(Height::Small);
    let half = text::width(words, height, false) / 2.0;
    let start = if turn_mdeg == 0 { [at[0] - half, at[1]] } else { [at[0], at[1] - half] };
    page.ink.push(crate::page::Ink::Text(crate::page::Words {
        at: start,
        turn_mdeg,
        height,
        bold: false,
        text: words.to_owned(),
    }));
}

#[allow(clippy::cast_precision_loss)]
fn length(plan_mm: i64, scale: i64) -> f64 {
    plan_mm as f64 / scale as f64
}
