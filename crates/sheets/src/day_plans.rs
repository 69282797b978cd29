//! The plan of a day: what lies already, what is laid today, and where it is tested and read.
//!
//! In: plan, layout, one day, the places to read at, paper. Out: one page without border or title block. It shows the whole
//! roof where pieces can be told apart at that scale, else the bays of the day at the largest standard scale they fit, with
//! a key plan. Bays laid before are hatched, those of the day show their pieces, those to come are empty. Nothing is
//! measured from it: dimensions stand on the setting-out sheet.

use crate::clip;
use crate::dimension::Window;
use crate::draw::{SceneOptions, deck_scene};
use crate::fall_layers::FallLayers;
use crate::figures::hundredths;
use crate::key::{key_line, key_sign};
use crate::key_plan::{deck_bounds, key_plan, middle_of};
use crate::page::Page;
use crate::place::{course_ray, in_frame, on_plan};
use crate::scene::{Height, Mark, Role, Scene, Shape, Sign, Symbol, Text};
use crate::side::Side;
use crate::style::{Paper, SCALES};
use crate::title::{bars, drawing, north};
use crate::view::{View, paint};
use baylap_core::geom::{Points, Pt, ring};
use baylap_core::layout::Bay;
use baylap_core::layout::days::{Day, Days};
use baylap_core::records::{ReadingPlace, nominal};
use baylap_core::{About, Layout, Plan};
use std::collections::BTreeSet;

/// Pieces run together at smaller scales than this.
const PIECES_TO: i64 = 200;

/// Room kept free round what is shown, mm at A4: heights of upstands are written there.
const ROUND: f64 = 9.0;

/// What the plans of all days are drawn from.
#[derive(Clone, Copy)]
pub struct DayPlans<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its layout.
    pub layout: &'a Layout,
    /// The days of the layout.
    pub days: &'a Days,
    /// Where thickness is to be read, in all bays.
    pub places: &'a [ReadingPlace],
    /// The paper.
    pub paper: Paper,
}

/// The bays of a day.
pub(crate) fn bays_of(day: &Day) -> BTreeSet<u32> {
    day.turns.iter().map(|turn| turn.bay).collect()
}

impl DayPlans<'_> {
    /// The page of one day, under the title given.
    pub fn page(&self, day: &Day, title: &str) -> Page {
        let mut page = Page::new(self.paper, title);
        let view = self.view(day);
        page.scale = Some(view.scale);
        paint(&mut page, &self.scene(day, self.made_for(view.scale)), &view);
        bars(&mut page, view.scale);
        self.column(&mut page, day, &view);
        page
    }

    /// The whole roof where that is large enough, else the bays of the day.
    fn view(&self, day: &Day) -> View {
        let frame = drawing(self.paper);
        let kept = 2.0 * ROUND * self.paper.step();
        let fits = |(lo, hi): Window, scale: i64| {
            #[allow(clippy::cast_precision_loss)]
            let length = |from: i64, to: i64| (to - from) as f64 / scale as f64;
            length(lo.x, hi.x) <= frame.width() - kept && length(lo.y, hi.y) <= frame.height() - kept
        };
        let largest = |shown: Window| SCALES.into_iter().find(|s| fits(shown, *s));
        let smallest = SCALES[SCALES.len() - 1];
        let view = |(lo, hi): Window, scale: i64| View { frame, middle: middle_of(lo, hi), scale };
        let whole = deck_bounds(self.plan);
        match largest(whole).filter(|s| self.made_for(*s) <= PIECES_TO) {
            Some(scale) => view(whole, scale),
            None => {
                let own = self.bounds(day).unwrap_or(whole);
                view(own, largest(own).unwrap_or(smallest))
            }
        }
    }

    /// The scale that texts and hatches are made for.
    fn made_for(&self, scale: i64) -> i64 {
        scale * self.paper.step_per_cent() / 100
    }

    fn bounds(&self, day: &Day) -> Option<Window> {
        let bays = bays_of(day);
        let own = self.layout.bays.iter().filter(|bay| bays.contains(&bay.number));
        ring::bounds(own.flat_map(|bay| bay.area.iter().flatten().flatten()))
    }

    fn scene(&self, day: &Day, scale: i64) -> Scene {
        let today = bays_of(day);
        let mut shown = self.layout.clone();
        shown.pieces.retain(|piece| today.contains(&piece.bay));
        // Lines of courses would run on through bays that are not of the day.
        shown.zones.iter_mut().for_each(|zone| zone.courses.clear());
        let options = SceneOptions {
            scale,
            hatch: false,
            tint: false,
            pieces: scale <= PIECES_TO,
            sheet: false,
            findings: false,
            falls: FallLayers::NONE,
        };
        let mut scene = deck_scene(self.plan, &shown, options);
        self.free_numbers(&mut scene, &today, options.paper(45));
        let before = self.laid_before(day);
        for bay in self.layout.bays.iter().filter(|bay| before.contains(&bay.number)) {
            scene.marks.push(laid(bay, options.paper(40)));
        }
        let mut words = Vec::new();
        if let Some(at) = day.test_at {
            words.extend(put(&mut scene, (Sign::Bond, at), ("bond", 0), options));
        }
        for (place, set) in self.of_day(day).zip(1..) {
            let number = place.number.to_string();
            words.extend(put(&mut scene, (Sign::Reading, place.at), (&number, set), options));
        }
        // Before the numbers of pieces, which can slide along their courses; those of bays come first of all.
        let first =
            scene.texts.iter().position(|text| text.role != Role::BayNumber).unwrap_or(scene.texts.len());
        scene.texts.splice(first..first, words);
        scene.settle();
        scene
    }

    /// Lets the numbers of the day's bays slide along the courses, first along their own: signs stand where they would.
    fn free_numbers(&self, scene: &mut Scene, today: &BTreeSet<u32>, aside: i64) {
        let mut texts = Vec::with_capacity(scene.texts.len());
        for text in std::mem::take(&mut scene.texts) {
            let own = match text.about {
                Some(About::Bay(number)) if text.role == Role::BayNumber && today.contains(&number) => {
                    [0, aside, -aside].map(|off| self.sliding(&text, number, off))
                }
                _ => [None, None, None],
            };
            if own[0].is_none() {
                texts.push(text);
            }
            texts.extend(own.into_iter().flatten());
        }
        scene.texts = texts;
    }

    /// The number of a bay on a line along the courses, so far beside its own place.
    fn sliding(&self, text: &Text, number: u32, off: i64) -> Option<Text> {
        let bay = self.layout.bays.iter().find(|b| b.number == number)?;
        let frame = &self.layout.zones.iter().find(|z| z.number == bay.zone)?.frame;
        let [along, across] = in_frame(frame, bay.label).map(clip::whole);
        let ray = course_ray(frame, across + off);
        let spans = clip::inside(&ray, bay.area.iter().flatten());
        let [from, to] = spans.into_iter().max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0])))?;
        Some(Text {
            at: on_plan(frame, along, across + off),
            track: [ray.point(from), ray.point(to)],
            ..text.clone()
        })
    }

    /// Bays laid on days before.
    fn laid_before(&self, day: &Day) -> BTreeSet<u32> {
        self.days.days.iter().filter(|other| other.number < day.number).flat_map(bays_of).collect()
    }

    fn of_day(&self, day: &Day) -> impl Iterator<Item = &ReadingPlace> {
        let bays = bays_of(day);
        self.places.iter().filter(move |place| bays.contains(&place.bay))
    }

    fn column(&self, page: &mut Page, day: &Day, view: &View) {
        let step = self.paper.step();
        let mut side = Side::new(page, self.paper);
        north(side.page, side.north_at(), self.plan.job.north_mdeg);
        side.y -= 23.0 * step;
        let whole = deck_bounds(self.plan);
        let (lo, hi) = view.window();
        if whole.0.x < lo.x || whole.0.y < lo.y || whole.1.x > hi.x || whole.1.y > hi.y {
            key_plan(&mut side, self.plan, &[view.window()], 0);
            side.rule();
        }
        side.head("Key");
        for (role, words) in [(Role::BayHatch, "Laid before"), (Role::Piece, "Piece of today")] {
            let frame = side.cut(5.5 * step);
            key_line(side.page, role, [frame.lo[0], frame.hi[1]], words);
        }
        for (sign, words) in [(Sign::Reading, "Read thickness"), (Sign::Bond, "Bond test, first of all")] {
            let frame = side.cut(6.5 * step);
            key_sign(side.page, sign, [frame.lo[0], frame.hi[1]], words);
        }
        side.y -= 2.0 * step;
        side.rule();
        side.head("To be read");
        for sentence in self.readings(day) {
            side.words(&sentence);
        }
        side.rule();
        side.words("Bays without pieces and without hatch are still to come: nothing of them is laid today.");
        side.words("Offsets, chainages and diagonals: see the setting-out sheet.");
    }

    /// What is to be read, and against what.
    fn readings(&self, day: &Day) -> Vec<String> {
        let count = self.of_day(day).count();
        let mut said = vec![match count {
            0 => "No place to read at is known for this day.".to_owned(),
            1 => "One place, numbered in its bay.".to_owned(),
            n => format!("{n} places, numbered bay by bay."),
        }];
        said.push(match nominal(self.plan, false) {
            Some(coats) => {
                let under = self.plan.recording.allowance;
                let under = if under > 0 {
                    format!("; the plan allows {} mm less", hundredths(under))
                } else {
                    String::new()
                };
                format!("The coats come to {} mm{under}.", hundredths(coats))
            }
            None => "The plan does not say how thick the coats are: see the maker's data sheet.".to_owned(),
        });
        said.push(
            "A reading below that is built up and read again. Write each into the box of its number."
                .to_owned(),
        );
        said
    }
}

/// The hatch of a bay laid before.
fn laid(bay: &Bay, gap: i64) -> Mark {
    let rings: Vec<Points> = bay.area.iter().flatten().cloned().collect();
    let shape = Shape::Strokes(clip::hatch(&rings, LAID_TURN, gap));
    Mark { role: Role::BayHatch, about: Some(About::Bay(bay.number)), tint: 0, shape }
}

/// Turn of that hatch, thousandths of a degree: along no usual course.
const LAID_TURN: i32 = 52_000;

/// Puts a sign; gives its words at every place beside it, of which the first that has room is taken.
fn put(
    scene: &mut Scene,
    (sign, at): (Sign, Pt),
    (words, set): (&str, u32),
    options: SceneOptions,
) -> Vec<Text> {
    scene.symbols.push(Symbol { role: Role::Check, about: None, sign, at, turn_mdeg: 0 });
    let aside = if words.len() > 2 { 80 } else { 58 };
    let beside = [[aside, 0], [-aside, 0], [0, -50], [0, 52]];
    let aslant = [[aside, 42], [-aside, 42], [aside, -42], [-aside, -42]];
    let places = beside.into_iter().chain(aslant).map(|p: [i64; 2]| p.map(|t| options.paper(t)));
    places
        .map(|[x, y]| {
            let at = Pt::new(at.x + x, at.y + y);
            Text {
                role: Role::Check,
                about: None,
                text: words.to_owned(),
                at,
                track: [at; 2],
                turn_mdeg: 0,
                height: Height::Small,
                set,
                room: None,
            }
        })
        .collect()
}
