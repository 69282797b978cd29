//! A scene as a standalone SVG picture, for print from the browser and for documents.
//!
//! In: a scene and its scale. Out: SVG in true mm of paper, pure black on white, with the widths and dashes of the
//! sheets; one path a role. Texts are placed as on the sheets, so that none lies on another.

use crate::clip::direction;
use crate::label::{Taken, Wish, take};
use crate::scene::{Role, Scene, Text, TextKey};
use crate::sign;
use crate::text;
use baylap_core::geom::Pt;
use core::fmt::Write;
use std::collections::BTreeSet;

/// The picture at 1:`scale`, with `margin` mm of paper round it.
#[allow(clippy::cast_precision_loss)]
pub fn scene_svg(scene: &Scene, scale: i64, margin: i64) -> String {
    let (lo, hi) = scene.bounds().unwrap_or((Pt::new(0, 0), Pt::new(1, 1)));
    let edge = margin * scale;
    let (x, y) = (lo.x - edge, -hi.y - edge);
    let (width, height) = (hi.x - lo.x + 2 * edge, hi.y - lo.y + 2 * edge);
    let mm = |plan: i64| plan as f64 / scale as f64;
    let mut out = String::new();
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{:.2}mm\" height=\"{:.2}mm\" viewBox=\"{x} {y} {width} {height}\" \
         font-family=\"Helvetica, Arial, sans-serif\"><rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" \
         fill=\"#fff\"/>",
        mm(width),
        mm(height)
    );
    for group in scene.paths().iter().filter(|g| !g.role.is_tint() && !g.data.is_empty()) {
        out.push_str(&path(group.role, &group.data, scale));
    }
    out.push_str(&texts(scene, scale));
    for symbol in &scene.symbols {
        let _ = write!(
            out,
            "<g class=\"{}\" transform=\"translate({} {}) rotate({}) scale({})\" stroke=\"#000\" stroke-width=\"3.5\"><path \
             d=\"{}\" fill=\"#fff\"/><path d=\"{}\" fill=\"#000\" stroke=\"none\"/></g>",
            symbol.role.class(),
            symbol.at.x,
            -symbol.at.y,
            -f64::from(symbol.turn_mdeg) / 1000.0,
            scale as f64 / 10.0,
            symbol.sign.outline(),
            symbol.sign.filling()
        );
    }
    out.push_str("</svg>\n");
    out
}

fn path(role: Role, data: &str, scale: i64) -> String {
    let pen = role.pen();
    let dashes: Vec<String> = pen.dash.tenths().iter().map(|t| (t * scale / 10).to_string()).collect();
    let dashes =
        if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dashes.join(" ")) };
    let width = pen.width.hundredths() * scale / 100;
    format!(
        "<path class=\"{}\" d=\"{data}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{width}\"{dashes}/>",
        role.class()
    )
}

#[allow(clippy::cast_precision_loss)]
fn texts(scene: &Scene, scale: i64) -> String {
    let mut out = String::new();
    let half = 3.0 * scale as f64;
    let mut taken: Vec<Taken> =
        scene.symbols.iter().map(|s| sign::room(s, [s.at.x as f64, s.at.y as f64], half)).collect();
    let mut said: BTreeSet<TextKey<'_>> = BTreeSet::new();
    for text in &scene.texts {
        if !said.contains(&text.key())
            && let Some(at) = place(text, scale as f64, &mut taken)
        {
            said.insert(text.key());
            out.push_str(&words(text, at, scale as f64));
        }
    }
    out
}

#[allow(clippy::cast_precision_loss)]
fn place(label: &Text, scale: f64, taken: &mut Vec<Taken>) -> Option<[f64; 2]> {
    let height = label.height.tenths() as f64 / 10.0 * scale;
    let size = [text::width(&label.text, height, bold(label.role)) + scale, height + scale];
    if label.room.is_some_and(|[along, across]| (along as f64) < size[0] || (across as f64) < size[1]) {
        return None;
    }
    let float = |p: Pt| [p.x as f64, p.y as f64];
    let wish = Wish { at: float(label.at), track: label.track.map(float), turn_mdeg: label.turn_mdeg, size };
    take(&wish, taken, |_| true)
}

#[allow(clippy::cast_precision_loss)]
fn words(label: &Text, [x, y]: [f64; 2], scale: f64) -> String {
    let height = label.height.tenths() as f64 / 10.0 * scale;
    let [cos, sin] = direction(label.turn_mdeg);
    // The base line lies half the height of a capital below the middle.
    let (x, y) = (x + height / 2.0 * sin, y - height / 2.0 * cos);
    let weight = if bold(label.role) { " font-weight=\"700\"" } else { "" };
    format!(
        "<text class=\"{}\" transform=\"translate({:.0} {:.0}) rotate({})\" text-anchor=\"middle\" font-size=\"{:.0}\"{weight} \
         stroke=\"#fff\" stroke-width=\"{:.0}\" paint-order=\"stroke\">{}</text>",
        label.role.class(),
        x,
        -y,
        -f64::from(label.turn_mdeg) / 1000.0,
        height * 1000.0 / crate::measure::CAPITALS,
        scale * 0.8,
        escaped(&label.text)
    )
}

fn bold(role: Role) -> bool {
    matches!(role, Role::BayNumber | Role::PieceNumber)
}

/// Text as XML content.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML 1.0 has no way to write these.
            '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => {}
            _ => out.push(letter),
        }
    }
    out
}
