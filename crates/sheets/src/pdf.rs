//! Writes pages as a vector PDF.
//!
//! In: pages in mm. Out: the bytes of a PDF 1.7 file with two built-in fonts, nothing embedded, no dates and no random
//! identifiers: the same pages give the same bytes. One mm on the page is one mm in the file.

use crate::clip::direction;
use crate::measure::CAPITALS;
use crate::page::{At, Ink, Page, Stroke, Words};
use crate::text::encode;
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

/// Points in one mm.
const POINTS: f64 = 72.0 / 25.4;

const CATALOG: i32 = 1;
const TREE: i32 = 2;
const PLAIN: i32 = 3;
const BOLD: i32 = 4;
const INFO: i32 = 5;
const FIRST_PAGE: i32 = 6;

/// The bytes of a PDF of these pages.
pub fn write(pages: &[Page], title: &str) -> Vec<u8> {
    let mut pdf = Pdf::new();
    pdf.set_version(1, 7);
    pdf.catalog(Ref::new(CATALOG)).pages(Ref::new(TREE));
    let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
    pdf.pages(Ref::new(TREE)).kids((0..count).map(|i| page_ref(i, 0))).count(count);
    fonts(&mut pdf);
    pdf.document_info(Ref::new(INFO)).title(TextStr(title)).producer(TextStr(crate::PROGRAM));
    for (page, i) in pages.iter().zip(0..count) {
        sheet(&mut pdf, page, i);
    }
    pdf.finish()
}

fn page_ref(index: i32, part: i32) -> Ref {
    Ref::new(FIRST_PAGE + index * 2 + part)
}

fn fonts(pdf: &mut Pdf) {
    for (id, name) in [(PLAIN, b"Helvetica".as_slice()), (BOLD, b"Helvetica-Bold")] {
        pdf.type1_font(Ref::new(id)).base_font(Name(name)).encoding_predefined(Name(b"WinAnsiEncoding"));
    }
}

fn sheet(pdf: &mut Pdf, page: &Page, index: i32) {
    let [width, height] = page.paper.size();
    let mut object = pdf.page(page_ref(index, 0));
    object.parent(Ref::new(TREE)).contents(page_ref(index, 1));
    object.media_box(Rect::new(0.0, 0.0, single(width * POINTS), single(height * POINTS)));
    object.resources().fonts().pair(Name(b"F1"), Ref::new(PLAIN)).pair(Name(b"F2"), Ref::new(BOLD));
    object.finish();
    pdf.stream(page_ref(index, 1), &content(page));
}

fn content(page: &Page) -> Vec<u8> {
    let mut pen = Pen { out: Content::new(), stroke: None };
    let scale = single(POINTS);
    pen.out.transform([scale, 0.0, 0.0, scale, 0.0, 0.0]);
    pen.out.set_line_cap(LineCapStyle::ButtCap).set_line_join(LineJoinStyle::MiterJoin).set_miter_limit(4.0);
    for ink in &page.ink {
        pen.put(ink);
    }
    pen.out.finish().to_vec()
}

struct Pen {
    out: Content,
    stroke: Option<Stroke>,
}

impl Pen {
    fn put(&mut self, ink: &Ink) {
        match ink {
            Ink::Lines { stroke, lines, closed } => {
                self.take(*stroke);
                for line in lines {
                    self.path(line);
                    if *closed {
                        self.out.close_path();
                    }
                }
                self.out.stroke();
            }
            Ink::Circle { stroke, centre, radius } => {
                self.take(*stroke);
                self.circle(*centre, *radius);
                self.out.stroke();
            }
            Ink::Fill { corners, black } => {
                self.out.set_fill_gray(if *black { 0.0 } else { 1.0 });
                self.path(corners);
                self.out.close_path().fill_even_odd();
                self.out.set_fill_gray(0.0);
            }
            Ink::Text(words) => self.words(words),
            Ink::Within(frame) => {
                self.out.save_state();
                self.path(&frame.corners());
                self.out.close_path().clip_nonzero().end_path();
            }
            Ink::Whole => {
                self.out.restore_state();
                self.stroke = None;
            }
        }
    }

    fn take(&mut self, stroke: Stroke) {
        if self.stroke == Some(stroke) {
            return;
        }
        self.out.set_line_width(single(stroke.width));
        let dashes = stroke.dash.tenths().iter().map(|t| single_of(*t) / 10.0);
        self.out.set_dash_pattern(dashes, 0.0);
        self.stroke = Some(stroke);
    }

    fn path(&mut self, line: &[At]) {
        for (i, [x, y]) in line.iter().map(|p| p.map(single)).enumerate() {
            if i == 0 {
                self.out.move_to(x, y);
            } else {
                self.out.line_to(x, y);
            }
        }
    }

    fn circle(&mut self, [x, y]: At, r: f64) {
        // Four cubic curves: off a true circle by less than 0.03 % of its radius.
        let k = r * 0.552_284_75;
        let quarter =
            |[cx, cy]: [f64; 2], [dx, dy]: [f64; 2]| [x + cx * r + dx * k, y + cy * r + dy * k].map(single);
        let turns = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]];
        let [sx, sy] = quarter(turns[0], [0.0, 0.0]);
        self.out.move_to(sx, sy);
        for i in 0..4 {
            let (from, to) = (turns[i], turns[(i + 1) % 4]);
            let ([ax, ay], [bx, by], [ex, ey]) =
                (quarter(from, to), quarter(to, from), quarter(to, [0.0, 0.0]));
            self.out.cubic_to(ax, ay, bx, by, ex, ey);
        }
        self.out.close_path();
    }

    fn words(&mut self, words: &Words) {
        let [cos, sin] = if words.turn_mdeg == 0 { [1.0, 0.0] } else { direction(words.turn_mdeg) };
        let [x, y] = words.at;
        let font = Name(if words.bold { b"F2" } else { b"F1" });
        self.out.begin_text().set_font(font, single(words.height * 1000.0 / CAPITALS));
        self.out.set_text_matrix([cos, sin, -sin, cos, x, y].map(single));
        self.out.show(Str(&encode(&words.text).bytes)).end_text();
    }
}

/// To the thousandth of a mm, as the file holds it.
#[allow(clippy::cast_possible_truncation)]
fn single(value: f64) -> f32 {
    ((value * 10_000.0).round() / 10_000.0) as f32
}

#[allow(clippy::cast_precision_loss)]
fn single_of(value: i64) -> f32 {
    value as f32
}
