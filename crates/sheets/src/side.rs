//! The column beside a plan, filled from the top.
//!
//! In: a page, sentences. Out: heads, paragraphs and lines in the column on the right; a paragraph without room is left
//! out whole, and the caller is told.

use crate::page::{Align, At, Frame, Page};
use crate::scene::{Height, Width};
use crate::style::Paper;
use crate::text;
use crate::title::column;

/// The column.
pub struct Side<'a> {
    /// The page it is on.
    pub page: &'a mut Page,
    /// Room inside it.
    pub frame: Frame,
    /// Top of what is free.
    pub y: f64,
}

impl<'a> Side<'a> {
    /// An empty column, ruled off from the plan.
    pub fn new(page: &'a mut Page, paper: Paper) -> Self {
        let frame = column(paper);
        page.line(Width::Thin, &[frame.lo, [frame.lo[0], frame.hi[1]]]);
        let y = frame.hi[1];
        Self { page, frame: frame.inset(3.0 * paper.step()), y }
    }

    /// Where the middle of a north sign stands, at the top.
    pub fn north_at(&self) -> At {
        [f64::midpoint(self.frame.lo[0], self.frame.hi[0]), self.y - 13.0 * self.page.paper.step()]
    }

    /// A head.
    pub fn head(&mut self, words: &str) {
        let step = self.page.paper.step();
        self.page.bold(Height::Medium, Align::Left, [self.frame.lo[0], self.y - 5.0 * step], words);
        self.y -= 8.0 * step;
    }

    /// A paragraph, whole or not at all; says whether it was written.
    pub fn words(&mut self, words: &str) -> bool {
        let paper = self.page.paper;
        let height = paper.height(Height::Small);
        let lines = text::lines(words, self.frame.width(), height, false);
        #[allow(clippy::cast_precision_loss)]
        let tall = lines.len() as f64 * paper.pitch();
        if self.y - tall < self.frame.lo[1] {
            return false;
        }
        let at = [self.frame.lo[0], self.y - 2.5 * paper.step()];
        self.page.paragraph(at, self.frame.width(), words);
        self.y -= tall + 0.8 * paper.step();
        true
    }

    /// A line across it.
    pub fn rule(&mut self) {
        let step = self.page.paper.step();
        self.y -= 1.0 * step;
        self.page.line(Width::Thin, &[[self.frame.lo[0], self.y], [self.frame.hi[0], self.y]]);
        self.y -= 1.5 * step;
    }

    /// Takes a part of the column.
    pub fn cut(&mut self, height: f64) -> Frame {
        let top = self.y;
        self.y -= height;
        Frame { lo: [self.frame.lo[0], self.y], hi: [self.frame.hi[0], top] }
    }
}
