//! A page as data: black lines, white and black areas, texts, in mm from its lower left corner.
//!
//! In: lines and texts in mm. Out: a list that [`crate::pdf`] writes and tests look at. Everything is drawn in the
//! order given. It knows nothing of roofs.

use crate::scene::{Dash, Height, Width};
use crate::style::Paper;
use crate::text;

/// A place on the page, mm.
pub type At = [f64; 2];

/// A rectangle of the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Lower left corner.
    pub lo: At,
    /// Upper right corner.
    pub hi: At,
}

impl Frame {
    /// Width, mm.
    pub fn width(&self) -> f64 {
        self.hi[0] - self.lo[0]
    }

    /// Height, mm.
    pub fn height(&self) -> f64 {
        self.hi[1] - self.lo[1]
    }

    /// Its corners, anticlockwise.
    pub fn corners(&self) -> [At; 4] {
        [self.lo, [self.hi[0], self.lo[1]], self.hi, [self.lo[0], self.hi[1]]]
    }

    /// The same rectangle made smaller all round.
    #[must_use]
    pub fn inset(&self, by: f64) -> Self {
        Self { lo: [self.lo[0] + by, self.lo[1] + by], hi: [self.hi[0] - by, self.hi[1] - by] }
    }
}

/// How a line is inked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Width, mm.
    pub width: f64,
    /// Dashes.
    pub dash: Dash,
}

/// One thing on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Ink {
    /// Lines of one pen; each runs from place to place.
    Lines {
        /// The pen.
        stroke: Stroke,
        /// The lines.
        lines: Vec<Vec<At>>,
        /// Whether the last place of each joins its first.
        closed: bool,
    },
    /// A circle.
    Circle {
        /// The pen.
        stroke: Stroke,
        /// Its middle.
        centre: At,
        /// Its radius, mm.
        radius: f64,
    },
    /// A filled area: black, or white to clear what lies under a text.
    Fill {
        /// Its corners.
        corners: Vec<At>,
        /// Whether it is black.
        black: bool,
    },
    /// A text.
    Text(Words),
    /// What follows is drawn inside this rectangle only, until [`Ink::Whole`].
    Within(Frame),
    /// Ends [`Ink::Within`].
    Whole,
}

/// A text on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    /// Start of its base line.
    pub at: At,
    /// Its turn, thousandths of a degree anticlockwise.
    pub turn_mdeg: i32,
    /// Height of its capitals, mm.
    pub height: f64,
    /// Whether it is bold.
    pub bold: bool,
    /// The text.
    pub text: String,
}

impl Words {
    /// Its width, mm.
    pub fn width(&self) -> f64 {
        text::width(&self.text, self.height, self.bold)
    }
}

/// Where a text stands with respect to the place given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// It starts there.
    Left,
    /// Its middle is there.
    Middle,
    /// It ends there.
    Right,
}

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Its paper.
    pub paper: Paper,
    /// What the sheet shows, for the title block.
    pub title: String,
    /// Scale of its plan, when it has one.
    pub scale: Option<i64>,
    /// What is on it.
    pub ink: Vec<Ink>,
}

impl Page {
    /// An empty page.
    pub fn new(paper: Paper, title: impl Into<String>) -> Self {
        Self { paper, title: title.into(), scale: None, ink: Vec::new() }
    }

    /// A line of a width class.
    pub fn line(&mut self, width: Width, points: &[At]) {
        self.lines(width, Dash::Solid, vec![points.to_vec()], false);
    }

    /// Lines of one pen.
    pub fn lines(&mut self, width: Width, dash: Dash, lines: Vec<Vec<At>>, closed: bool) {
        if !lines.is_empty() {
            let stroke = Stroke { width: self.paper.width(width), dash };
            self.ink.push(Ink::Lines { stroke, lines, closed });
        }
    }

    /// A rectangle.
    pub fn frame(&mut self, width: Width, frame: &Frame) {
        self.lines(width, Dash::Solid, vec![frame.corners().to_vec()], true);
    }

    /// A filled area.
    pub fn fill(&mut self, corners: &[At], black: bool) {
        self.ink.push(Ink::Fill { corners: corners.to_vec(), black });
    }

    /// A level text of a height class; `at` is on its base line.
    pub fn text(&mut self, height: Height, align: Align, at: At, words: &str) {
        self.write(height, false, align, at, words);
    }

    /// A level bold text.
    pub fn bold(&mut self, height: Height, align: Align, at: At, words: &str) {
        self.write(height, true, align, at, words);
    }

    /// Lines of small text under each other, the first with its base line at `at`; gives the base line below the last.
    pub fn paragraph(&mut self, at: At, room: f64, words: &str) -> f64 {
        let height = self.paper.height(Height::Small);
        let mut y = at[1];
        for line in text::lines(words, room, height, false) {
            self.text(Height::Small, Align::Left, [at[0], y], &line);
            y -= self.paper.pitch();
        }
        y
    }

    /// All its texts.
    pub fn words(&self) -> impl Iterator<Item = &Words> {
        self.ink.iter().filter_map(|ink| match ink {
            Ink::Text(words) => Some(words),
            _ => None,
        })
    }

    fn write(&mut self, height: Height, bold: bool, align: Align, at: At, words: &str) {
        if words.is_empty() {
            return;
        }
        let height = self.paper.height(height);
        let width = text::width(words, height, bold);
        let x = match align {
            Align::Left => at[0],
            Align::Middle => at[0] - width / 2.0,
            Align::Right => at[0] - width,
        };
        self.ink.push(Ink::Text(Words {
            at: [x, at[1]],
            turn_mdeg: 0,
            height,
            bold,
            text: words.to_owned(),
        }));
    }
}
