//! Tables, paragraphs and heads that flow from page to page.
//!
//! In: grids of text, sentences. Out: pages. A table that goes on repeats its heads; a row is never split; cells of
//! words break into lines, cells of figures never do.

use crate::page::{Align, At, Frame, Page};
use crate::scene::{Height, Width};
use crate::style::Paper;
use crate::table::{Grid, Head};
use crate::text;
use crate::title::body;

/// Pages being filled from top to bottom.
pub struct Flow {
    /// Pages so far.
    pub pages: Vec<Page>,
    paper: Paper,
    title: String,
    columns: u8,
    column: u8,
    y: f64,
}

impl Flow {
    /// A flow with its first page, in so many columns a page.
    pub fn new(paper: Paper, title: &str, columns: u8) -> Self {
        let columns = columns.max(1);
        let mut flow =
            Self { pages: Vec::new(), paper, title: title.to_owned(), columns, column: columns, y: 0.0 };
        flow.turn();
        flow
    }

    /// Room inside the margins: the column being filled.
    pub fn frame(&self) -> Frame {
        let page = body(self.paper).inset(5.0 * self.paper.step());
        let gap = 8.0 * self.paper.step();
        let width = (page.width() + gap) / f64::from(self.columns) - gap;
        let left = page.lo[0] + f64::from(self.column) * (width + gap);
        Frame { lo: [left, page.lo[1]], hi: [left + width, page.hi[1]] }
    }

    /// The page being filled.
    pub fn page(&mut self) -> &mut Page {
        if self.pages.is_empty() {
            self.turn();
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// Takes `height` mm (at A4) of the page, on a new one when this has no room; gives the top of what was taken.
    pub fn take(&mut self, height: f64) -> f64 {
        let height = height * self.paper.step();
        if self.y - height < self.frame().lo[1] {
            self.turn();
        }
        let top = self.y;
        self.y -= height;
        top
    }

    /// Whether `height` mm (at A4) are left on the page.
    pub fn has(&self, height: f64) -> bool {
        self.y - height * self.paper.step() >= self.frame().lo[1]
    }

    /// A head, kept together with at least `with` mm of what follows.
    pub fn head(&mut self, words: &str, with: f64) {
        if !self.has(9.0 + with) {
            self.turn();
        }
        let top = self.take(9.0);
        let x = self.frame().lo[0];
        let at = [x, top - 6.0 * self.paper.step()];
        let shown = text::fitted(words, self.frame().width(), self.paper.height(Height::Medium), true);
        self.page().bold(Height::Medium, Align::Left, at, &shown);
    }

    /// A paragraph of small text.
    pub fn paragraph(&mut self, words: &str) {
        let height = self.paper.height(Height::Small);
        for line in text::lines(words, self.frame().width(), height, false) {
            let top = self.take(4.6);
            // After taking room: the line may stand in the next column.
            let at = [self.frame().lo[0], top - 3.4 * self.paper.step()];
            self.page().text(Height::Small, Align::Left, at, &line);
        }
        self.gap(1.4);
    }

    /// A table. `row` is the least height of a row at A4, mm.
    pub fn table(&mut self, grid: &Grid, row: f64) {
        let widths = self.widths(grid);
        if !self.has(2.0 * row + 6.0) {
            self.turn();
        }
        self.heads(&grid.heads, &widths);
        for cells in &grid.rows {
            self.row(&grid.heads, cells, &widths, row);
        }
        self.gap(3.0);
    }

    /// White below what was written. It never begins a page: the last one would stay empty.
    fn gap(&mut self, height: f64) {
        self.y = (self.y - height * self.paper.step()).max(self.frame().lo[1]);
    }

    fn heads(&mut self, heads: &[Head], widths: &[f64]) {
        let top = self.take(6.4);
        let step = self.paper.step();
        let mut x = self.frame().lo[0];
        for (head, width) in heads.iter().zip(widths) {
            let (align, at) = place(head, x, *width, top - 4.2 * step, step);
            self.page().bold(Height::Small, align, at, head.name);
            x += width;
        }
        let (from, y) = (self.frame().lo[0], top - 6.2 * step);
        self.page().line(Width::Bold, &[[from, y], [x, y]]);
    }

    fn row(&mut self, heads: &[Head], cells: &[String], widths: &[f64], least: f64) {
        let step = self.paper.step();
        let height = self.paper.height(Height::Small);
        let air = 3.0 * step;
        let broken: Vec<Vec<String>> = cells
            .iter()
            .zip(widths)
            .zip(heads)
            .map(|((cell, width), head)| {
                if head.figures {
                    vec![cell.clone()]
                } else {
                    shortened(text::lines(cell, width - air, height, false))
                }
            })
            .collect();
        let count = broken.iter().map(Vec::len).max().unwrap_or(1).max(1);
        #[allow(clippy::cast_precision_loss)]
        let tall = (count as f64 * 4.6 + 1.2).max(least);
        if !self.has(tall) {
            self.turn();
            self.heads(heads, widths);
        }
        let top = self.take(tall);
        let mut x = self.frame().lo[0];
        for ((lines, width), head) in broken.iter().zip(widths).zip(heads) {
            let mut y = top - 3.9 * step;
            for line in lines {
                let (align, at) = place(head, x, *width, y, step);
                self.page().text(Height::Small, align, at, line);
                y -= 4.6 * step;
            }
            x += width;
        }
        let (from, y) = (self.frame().lo[0], top - tall * step);
        self.page().line(Width::Hatch, &[[from, y], [x, y]]);
    }

    /// Column widths: what the widest cell needs; when that is too much, columns of words share what is left.
    fn widths(&self, grid: &Grid) -> Vec<f64> {
        let height = self.paper.height(Height::Small);
        let air = 4.0 * self.paper.step();
        let needs: Vec<f64> = grid
            .heads
            .iter()
            .enumerate()
            .map(|(i, head)| {
                let cells = grid.rows.iter().filter_map(|row| row.get(i));
                let widest = cells.map(|c| text::width(c, height, false)).fold(0.0, f64::max);
                widest.max(text::width(head.name, height, true)) + air
            })
            .collect();
        let words = |i: usize| !grid.heads[i].figures;
        let of = |figures: bool| {
            needs.iter().enumerate().filter(move |(i, _)| words(*i) != figures).map(|(_, w)| *w)
        };
        let limit = level(of(false).collect(), self.frame().width() - of(true).sum::<f64>());
        needs
            .iter()
            .enumerate()
            .map(|(i, need)| if words(i) { need.min(limit).max(air) } else { *need })
            .collect()
    }

    /// Goes on in the next column or on the next page.
    fn turn(&mut self) {
        self.column += 1;
        if self.column >= self.columns {
            self.column = 0;
            self.pages.push(Page::new(self.paper, self.title.clone()));
        }
        self.y = self.frame().hi[1];
    }
}

fn place(head: &Head, x: f64, width: f64, y: f64, step: f64) -> (Align, At) {
    if head.figures { (Align::Right, [x + width - 2.0 * step, y]) } else { (Align::Left, [x + step, y]) }
}

/// The greatest width such that columns cut down to it fit the room together.
fn level(mut needs: Vec<f64>, mut room: f64) -> f64 {
    needs.sort_by(f64::total_cmp);
    let mut left = needs.len();
    for need in needs {
        #[allow(clippy::cast_precision_loss)]
        let share = room / left as f64;
        if need > share {
            return share;
        }
        room -= need;
        left -= 1;
    }
    f64::MAX
}

/// No more lines than fit a page together with the heads of a table; an ellipsis shows that there were more.
fn shortened(mut lines: Vec<String>) -> Vec<String> {
    const MOST: usize = 28;
    if lines.len() > MOST {
        lines.truncate(MOST - 1);
        lines.push("…".to_owned());
    }
    lines
}
