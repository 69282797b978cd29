//! A page as a standalone SVG picture.
//!
//! In: a page in mm. Out: the same lines, areas and texts at true scale, pure black on white. It draws what the PDF does,
//! in the type that the reader has for Helvetica; nothing is embedded.

use crate::measure::CAPITALS;
use crate::page::{At, Ink, Page, Stroke, Words};
use crate::svg::escaped;
use core::fmt::Write;

/// The picture.
pub fn page_svg(page: &Page) -> String {
    let [width, height] = page.paper.size();
    let mut picture = Picture { out: String::new(), height, clips: 0 };
    let _ = write!(
        picture.out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" \
         font-family=\"Helvetica, Arial, sans-serif\" fill=\"none\" stroke-miterlimit=\"4\"><title>{}</title><rect \
         width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>",
        escaped(&page.title)
    );
    page.ink.iter().for_each(|ink| picture.put(ink));
    picture.out.push_str("</svg>\n");
    picture.out
}

struct Picture {
    out: String,
    height: f64,
    clips: u32,
}

impl Picture {
    // Writing to a string cannot fail: results of `write!` are dropped throughout.
    fn put(&mut self, ink: &Ink) {
        match ink {
            Ink::Lines { stroke, lines, closed } => {
                self.out.push_str("<path d=\"");
                lines.iter().for_each(|line| self.run(line, *closed));
                self.out.push('"');
                self.stroke(*stroke);
            }
            Ink::Circle { stroke, centre: [x, y], radius } => {
                let y = self.height - y;
                let _ = write!(self.out, "<circle cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{radius:.3}\"");
                self.stroke(*stroke);
            }
            Ink::Fill { corners, black } => {
                self.out.push_str("<path d=\"");
                self.run(corners, true);
                let ink = if *black { "#000" } else { "#fff" };
                let _ = write!(self.out, "\" fill=\"{ink}\" fill-rule=\"evenodd\"/>");
            }
            Ink::Text(words) => self.words(words),
            Ink::Within(frame) => {
                self.clips += 1;
                let (n, top) = (self.clips, self.height - frame.hi[1]);
                let _ = write!(
                    self.out,
                    "<clipPath id=\"w{n}\"><rect x=\"{:.3}\" y=\"{top:.3}\" width=\"{:.3}\" height=\"{:.3}\"/></clipPath><g \
                     clip-path=\"url(#w{n})\">",
                    frame.lo[0],
                    frame.width(),
                    frame.height()
                );
            }
            Ink::Whole => self.out.push_str("</g>"),
        }
    }

    fn run(&mut self, line: &[At], closed: bool) {
        for (i, [x, y]) in line.iter().enumerate() {
            let _ = write!(self.out, "{}{x:.3} {:.3}", if i == 0 { 'M' } else { 'L' }, self.height - y);
        }
        if closed {
            self.out.push('z');
        }
    }

    #[allow(clippy::cast_precision_loss)]
    fn stroke(&mut self, stroke: Stroke) {
        let _ = write!(self.out, " stroke=\"#000\" stroke-width=\"{:.3}\"", stroke.width);
        let dashes: Vec<String> =
            stroke.dash.tenths().iter().map(|t| format!("{:.1}", *t as f64 / 10.0)).collect();
        if !dashes.is_empty() {
            let _ = write!(self.out, " stroke-dasharray=\"{}\"", dashes.join(" "));
        }
        self.out.push_str("/>");
    }

    fn words(&mut self, words: &Words) {
        let [x, y] = words.at;
        let weight = if words.bold { " font-weight=\"700\"" } else { "" };
        let _ = write!(
            self.out,
            "<text transform=\"translate({x:.3} {:.3}) rotate({})\" font-size=\"{:.3}\" textLength=\"{:.3}\"{weight} \
             fill=\"#000\">{}</text>",
            self.height - y,
            -f64::from(words.turn_mdeg) / 1000.0,
            words.height * 1000.0 / CAPITALS,
            words.width(),
            escaped(&words.text)
        );
    }
}
