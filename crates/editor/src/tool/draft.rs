//! What is being drawn, not yet part of the plan.
//!
//! In: points and what is typed. Out: the next point, and whether the drawing is complete.
//!
//! ```text
//! Ready --place--> Drawing --place--> Drawing --finish, close--> done
//!   ^                 |  ^---take back---|
//!   '-----cancel------'
//! ```

use super::entry::{Entry, Slot, slots};
use super::{Form, Tool};
use crate::snap::{Snap, SnapKind, unit, vector};
use baylap_core::geom::Pt;
use baylap_core::plan::Mm;

/// How far off the end of a typed direction lies, mm.
const FAR: Mm = 100_000;
/// The most corners drawn at one go; more come from files.
const MOST_POINTS: usize = 5000;

/// Points set so far, what was taken back, and what is typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Draft {
    points: Vec<Pt>,
    /// The level typed for each point, of ridges and low lines.
    levels: Vec<Option<Mm>>,
    taken_back: Vec<(Pt, Option<Mm>)>,
    /// Of a plane of fall, once it is settled: the part it holds for, none for the whole deck.
    area: Option<Vec<Pt>>,
    /// What is typed.
    pub(crate) entry: Entry,
}

/// What came of placing a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Placed {
    /// It was set; more can follow.
    Goes,
    /// It was the last one, or the first again: the drawing is complete.
    Complete,
    /// It is where the last one is: nothing was set.
    Same,
}

impl Draft {
    /// Points set so far.
    pub(crate) fn points(&self) -> &[Pt] {
        &self.points
    }

    /// The level typed for each point.
    pub(crate) fn levels(&self) -> &[Option<Mm>] {
        &self.levels
    }

    /// Of a plane of fall: the part it holds for, when that is settled; empty for the whole deck.
    pub(crate) fn area(&self) -> Option<&[Pt]> {
        self.area.as_deref()
    }

    /// Whether anything is drawn or typed.
    pub(crate) fn is_empty(&self) -> bool {
        self.points.is_empty() && self.area.is_none() && self.entry.is_empty()
    }

    /// What is drawn just now: of a plane of fall first its area, then the way that water runs.
    pub(crate) const fn form(&self, tool: Tool) -> Form {
        match (tool, &self.area) {
            (Tool::Plane, Some(_)) => Form::Stretch,
            _ => tool.form(),
        }
    }

    /// The fields that can be typed now.
    pub(crate) const fn slots(&self, tool: Tool) -> &'static [Slot] {
        slots(tool, self.form(tool), self.points.len())
    }

    /// What to do next.
    pub(crate) const fn hint(&self, tool: Tool) -> &'static str {
        match (tool, &self.area, self.points.len()) {
            (Tool::Plane, Some(_), 0) => "Click where the level is known; type the level first.",
            (Tool::Plane, Some(_), _) => "Click the way water runs, or type direction and fall, then Enter.",
            (tool, _, points) => tool.hint(points),
        }
    }

    /// Settles the part that a plane of fall holds for: the ring drawn, or with one point the whole deck about it.
    pub(crate) fn settle_area(&mut self) {
        self.taken_back.clear();
        if self.points.len() == 1 {
            self.area = Some(Vec::new());
        } else {
            self.levels.clear();
            self.area = Some(std::mem::take(&mut self.points));
        }
    }

    /// Sets a point.
    pub(crate) fn place(&mut self, tool: Tool, snap: &Snap) -> Placed {
        let form = self.form(tool);
        let line = matches!(tool, Tool::LowLine | Tool::Ridge);
        let level = self.entry.value(self.slots(tool), Slot::Level).ok().flatten().filter(|_| line);
        self.entry.clear();
        if snap.kind == SnapKind::Close {
            return Placed::Complete;
        }
        if self.points.last() == Some(&snap.at) {
            return Placed::Same;
        }
        self.taken_back.clear();
        self.points.push(snap.at);
        self.levels.push(level);
        match form {
            Form::Place => Placed::Complete,
            Form::Box | Form::Stretch if self.points.len() == 2 => Placed::Complete,
            _ if self.points.len() >= MOST_POINTS => Placed::Complete,
            _ => Placed::Goes,
        }
    }

    /// Takes back the last point.
    pub(crate) fn take_back(&mut self) -> Option<Pt> {
        self.entry.clear();
        let Some(last) = self.points.pop() else {
            // A plane's area is taken up again where it was closed.
            self.points = self.area.take()?;
            self.levels = vec![None; self.points.len()];
            return self.points.last().copied();
        };
        if self.points.is_empty() {
            self.area = self.area.take().filter(|a| !a.is_empty());
        }
        self.taken_back.push((last, self.levels.pop().flatten()));
        Some(last)
    }

    /// Sets the point taken back last again.
    pub(crate) fn set_again(&mut self) -> Option<Pt> {
        self.entry.clear();
        let (again, level) = self.taken_back.pop()?;
        self.points.push(again);
        self.levels.push(level);
        Some(again)
    }

    /// Whether a point taken back can be set again.
    pub(crate) fn can_set_again(&self) -> bool {
        !self.taken_back.is_empty()
    }

    /// One sentence when too few points are set to finish.
    pub(crate) fn complete(&self, tool: Tool) -> Result<(), String> {
        let (least, what) = match self.form(tool) {
            Form::Ring => (3, "A ring needs three corners"),
            Form::Line => (2, "A line needs two points"),
            Form::Box | Form::Stretch => (2, "Two points are needed"),
            Form::Place => (1, "A place is needed"),
            Form::Nothing => return Err("Nothing is being drawn: take up a tool first.".to_owned()),
        };
        if self.points.len() >= least {
            return Ok(());
        }
        Err(format!("{what} and {} set: place more, or press Escape.", set(self.points.len())))
    }

    /// The next point: where the pointer is, held to what is typed.
    ///
    /// # Errors
    /// One sentence when what is typed is no size.
    pub(crate) fn aim(&self, tool: Tool, pointer: Snap, base: [i64; 2]) -> Result<Snap, String> {
        let Some(&last) = self.points.last().filter(|_| !self.entry.is_empty()) else { return Ok(pointer) };
        let slots = self.slots(tool);
        let typed = |slot| self.entry.value(slots, slot);
        let at = if tool == Tool::Plane && self.area.is_some() {
            let Some(mdeg) = typed(Slot::Direction)? else { return Ok(pointer) };
            // So far away that the direction is kept to the thousandth of a degree.
            Side { before: None, last, base }.end(pointer.at, Some(FAR), Some(mdeg))
        } else if tool.form() == Form::Box {
            corner_of_box(last, pointer.at, typed(Slot::Width)?, typed(Slot::Depth)?)
        } else {
            let before = self.points.iter().rev().nth(1).copied();
            let (length, direction) = (typed(Slot::Length)?, typed(Slot::Direction)?);
            if length.is_none() && direction.is_none() {
                return Ok(pointer);
            }
            Side { before, last, base }.end(pointer.at, length, direction)
        };
        Ok(Snap { at, kind: SnapKind::Typed, guide: None })
    }
}

fn set(n: usize) -> String {
    match n {
        0 => "none is".to_owned(),
        1 => "one is".to_owned(),
        n => format!("{n} are"),
    }
}

/// The opposite corner of a rectangle with typed sizes, on the side of the pointer.
fn corner_of_box(first: Pt, pointer: Pt, width: Option<Mm>, depth: Option<Mm>) -> Pt {
    let side = |from: Mm, to: Mm, typed: Option<Mm>| match typed {
        Some(size) if to < from => from - size,
        Some(size) => from + size,
        None => to,
    };
    Pt::new(side(first.x, pointer.x, width), side(first.y, pointer.y, depth))
}

/// The side that comes next.
struct Side {
    before: Option<Pt>,
    last: Pt,
    base: [i64; 2],
}

impl Side {
    /// Its end, from what is typed and for the rest from the pointer.
    #[allow(clippy::cast_precision_loss)]
    fn end(&self, pointer: Pt, length: Option<Mm>, mdeg: Option<i64>) -> Pt {
        let dir = mdeg.map_or_else(|| self.direction(pointer), direction_of);
        let length = length.map_or_else(|| self.along(dir, pointer), |mm| mm as f64);
        let from = vector(self.last);
        crate::snap::round([from[0] + dir[0] * length, from[1] + dir[1] * length])
    }

    /// Towards the pointer; when it is at the last point, to the left of the side before, or along the base line.
    fn direction(&self, pointer: Pt) -> [f64; 2] {
        let (last, before) = (self.last, self.before);
        let to_pointer = unit([pointer.x - last.x, pointer.y - last.y]);
        let left = before.and_then(|b| unit([b.y - last.y, last.x - b.x]));
        to_pointer.or(left).or_else(|| unit(self.base)).unwrap_or([1.0, 0.0])
    }

    /// How far the pointer is along a direction; 1 mm at least.
    fn along(&self, dir: [f64; 2], pointer: Pt) -> f64 {
        let (from, to) = (vector(self.last), vector(pointer));
        (dir[0] * (to[0] - from[0]) + dir[1] * (to[1] - from[1])).max(1.0)
    }
}

/// The unit vector of an angle; exact along the axes.
#[allow(clippy::cast_precision_loss)]
fn direction_of(mdeg: i64) -> [f64; 2] {
    match mdeg.rem_euclid(360_000) {
        0 => [1.0, 0.0],
        90_000 => [0.0, 1.0],
        180_000 => [-1.0, 0.0],
        270_000 => [0.0, -1.0],
        other => {
            let rad = other as f64 / 180_000.0 * std::f64::consts::PI;
            [libm::cos(rad), libm::sin(rad)]
        }
    }
}

/// Direction from one point to another, thousandths of a degree anticlockwise from +x, 0 to 359 999.
#[allow(clippy::cast_possible_truncation)]
pub(crate) fn mdeg_between(from: Pt, to: Pt) -> i64 {
    let d = [vector(to)[0] - vector(from)[0], vector(to)[1] - vector(from)[1]];
    let rad = libm::atan2(d[1], d[0]);
    ((rad * 180_000.0 / std::f64::consts::PI).round() as i64).rem_euclid(360_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn free(x: i64, y: i64) -> Snap {
        Snap { at: Pt::new(x, y), kind: SnapKind::Free, guide: None }
    }

    #[track_caller]
    fn check(points: &[[i64; 2]], typed: [&str; 2], pointer: [i64; 2], expect: [i64; 2]) {
        let mut draft = Draft { points: points.iter().map(|&p| p.into()).collect(), ..Draft::default() };
        let slots = draft.slots(Tool::Deck);
        for text in typed {
            text.chars().for_each(|c| assert!(draft.entry.push(slots, c), "{c}"));
            assert!(draft.entry.next(slots));
        }
        let aim = draft.aim(Tool::Deck, free(pointer[0], pointer[1]), [1, 0]).expect("it reads");
        assert_eq!(<[i64; 2]>::from(aim.at), expect);
    }

    #[test]
    fn a_typed_length_goes_towards_the_pointer() {
        check(&[[0, 0]], ["3,2", ""], [100, 0], [3200, 0]);
        check(&[[0, 0]], ["5 m", ""], [30, 40], [3000, 4000]);
    }

    #[test]
    fn a_typed_direction_wins_over_the_pointer() {
        check(&[[0, 0]], ["2000", "90"], [100, 0], [0, 2000]);
        check(&[[0, 0]], ["1000", "45"], [100, 0], [707, 707]);
        check(&[[0, 0]], ["", "180"], [-700, 300], [-700, 0]);
    }

    #[test]
    fn with_the_pointer_on_the_corner_the_side_turns_left() {
        check(&[[0, 0], [5000, 0]], ["3000", ""], [5000, 0], [5000, 3000]);
        check(&[[0, 0]], ["3000", ""], [0, 0], [3000, 0]);
    }

    #[test]
    fn angles_between_points() {
        for (to, mdeg) in
            [([1, 0], 0), ([0, 1], 90_000), ([-1, 0], 180_000), ([0, -1], 270_000), ([1, 1], 45_000)]
        {
            assert_eq!(mdeg_between(Pt::new(0, 0), to.into()), mdeg);
        }
    }
}
