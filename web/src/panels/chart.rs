//! A small chart of what was tried, with what was taken marked on it.
//!
//! In: points in order along x. Out: an SVG that is read by eye, by ear and by keys: arrow keys go from point to point,
//! Enter or a click holds one; a finger picks first and holds with the button below. It is as wide as its place, legible
//! at 320 px, and black on white on paper. It knows nothing of roofs.

use crate::text;
use leptos::prelude::*;
use std::fmt::Write;
use std::sync::Arc;
use wasm_bindgen::JsCast;

/// Size of the drawing, px of its own.
const WIDE: f64 = 360.0;
const HIGH: f64 = 168.0;
/// Room left, above, right and below of the field of the chart.
const LEFT: f64 = 52.0;
const TOP: f64 = 32.0;
const RIGHT: f64 = 14.0;
const BELOW: f64 = 34.0;
/// Room between the axis and the first point, px.
const AIR: f64 = 10.0;
/// Width of a letter, about, px.
const LETTER: f64 = 6.4;
/// How near a click must be to a point to mean it, px.
const NEAR: f64 = 14.0;

/// One point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Dot {
    /// Its place along x.
    pub(crate) x: i64,
    /// Its value.
    pub(crate) y: i64,
    /// Which of the shapes it has.
    pub(crate) shape: usize,
    /// What is written over it, where there is room.
    pub(crate) label: String,
    /// What it says, in words.
    pub(crate) words: String,
}

/// A chart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Chart {
    /// What runs along x, with its unit.
    pub(crate) x_name: String,
    /// What runs up, with its unit.
    pub(crate) y_name: &'static str,
    /// Least and greatest x.
    pub(crate) x: [i64; 2],
    /// Places along x with their words.
    pub(crate) x_marks: Vec<(i64, String)>,
    /// Values with their words.
    pub(crate) y_marks: Vec<(i64, String)>,
    /// Whether the points are joined.
    pub(crate) joined: bool,
    /// The points, in order along x.
    pub(crate) dots: Vec<Dot>,
    /// Which one is taken.
    pub(crate) taken: usize,
}

impl Chart {
    fn range(&self) -> (i64, i64) {
        let values = self.dots.iter().map(|d| d.y);
        let (lo, hi) = (values.clone().min().unwrap_or(0), values.max().unwrap_or(0));
        let air = ((hi - lo) / 12).max(1);
        (lo - air, hi + air)
    }

    #[allow(clippy::cast_precision_loss)]
    fn px(&self, x: i64) -> f64 {
        let span = (self.x[1] - self.x[0]).max(1) as f64;
        LEFT + AIR + (x - self.x[0]) as f64 / span * (WIDE - LEFT - RIGHT - 2.0 * AIR)
    }

    #[allow(clippy::cast_precision_loss)]
    fn py(&self, y: i64) -> f64 {
        let (lo, hi) = self.range();
        HIGH - BELOW - (y - lo) as f64 / (hi - lo).max(1) as f64 * (HIGH - TOP - BELOW)
    }

    /// The point that a place of the drawing means: the lowest of those near it, else the nearest along x.
    fn nearest(&self, px: f64) -> Option<usize> {
        let off = |d: &Dot| (self.px(d.x) - px).abs();
        let all = || self.dots.iter().enumerate();
        let near = all().filter(|(_, d)| off(d) <= NEAR / 2.0).min_by_key(|(_, d)| d.y);
        near.or_else(|| all().min_by(|a, b| off(a.1).total_cmp(&off(b.1)))).map(|(n, _)| n)
    }

    /// Axes, marks, line and points.
    fn drawing(&self) -> String {
        let mut out = String::new();
        let (right, floor) = (WIDE - RIGHT, HIGH - BELOW);
        for (y, words) in &self.y_marks {
            let at = self.py(*y);
            let _ = write!(
                out,
                "<path class=\"grid\" d=\"M{LEFT} {at:.1}H{right}\"/><text class=\"y\" x=\"{:.1}\" y=\"{:.1}\">{words}</text>",
                LEFT - 5.0,
                at + 4.0
            );
        }
        let _ = write!(out, "<path class=\"axis\" d=\"M{LEFT} {TOP}V{floor}H{right}\"/>");
        for (x, words) in &self.x_marks {
            let at = self.px(*x);
            let _ = write!(
                out,
                "<path class=\"axis\" d=\"M{at:.1} {floor}v4\"/><text class=\"x\" x=\"{at:.1}\" y=\"{:.1}\">{words}</text>",
                floor + 15.0
            );
        }
        let _ = write!(
            out,
            "<text class=\"x\" x=\"{:.1}\" y=\"{:.1}\">{}</text><text class=\"name\" x=\"2\" y=\"11\">{}</text>",
            f64::midpoint(LEFT, right),
            HIGH - 4.0,
            self.x_name,
            self.y_name
        );
        self.points(&mut out);
        out
    }

    fn points(&self, out: &mut String) {
        if self.joined {
            let _ = write!(out, "<path class=\"line\" d=\"");
            for (n, d) in self.dots.iter().enumerate() {
                let _ =
                    write!(out, "{}{:.1} {:.1}", if n == 0 { 'M' } else { 'L' }, self.px(d.x), self.py(d.y));
            }
            out.push_str("\"/>");
        } else {
            for d in &self.dots {
                let _ =
                    write!(out, "<path class=\"dot\" d=\"{}\"/>", shape(d.shape, self.px(d.x), self.py(d.y)));
            }
        }
        let Some(taken) = self.dots.get(self.taken) else { return };
        let (x, y) = (self.px(taken.x), self.py(taken.y));
        let _ = write!(
            out,
            "<path class=\"taken-line\" d=\"M{x:.1} {y:.1}V{:.1}\"/><path class=\"taken\" d=\"M{:.1} {y:.1}a5.5 5.5 0 1 0 11 0a5.5 5.5 0 1 0-11 0\"/>",
            HIGH - BELOW,
            x - 5.5
        );
        self.labels(out);
    }

    /// The words over the points, the one taken first, where they do not cover one another.
    fn labels(&self, out: &mut String) {
        let mut order: Vec<usize> = (0..self.dots.len()).filter(|n| *n != self.taken).collect();
        order.insert(0, self.taken);
        let mut set: Vec<(f64, f64, f64)> = Vec::new();
        for d in order.into_iter().filter_map(|n| self.dots.get(n)).filter(|d| !d.label.is_empty()) {
            #[allow(clippy::cast_precision_loss)]
            let half = d.label.chars().count() as f64 * LETTER / 2.0 + 2.0;
            let x = self.px(d.x).clamp(LEFT + half, WIDE - half);
            let y = self.py(d.y) - 9.0;
            if set.iter().all(|(ox, oy, oh)| (ox - x).abs() > oh + half || (oy - y).abs() > 13.0) {
                set.push((x, y, half));
                let _ = write!(out, "<text class=\"x label\" x=\"{x:.1}\" y=\"{y:.1}\">{}</text>", d.label);
            }
        }
    }
}

/// Circle, square, triangle, square on its corner.
fn shape(n: usize, x: f64, y: f64) -> String {
    match n % 4 {
        0 => format!("M{:.1} {y:.1}a3.2 3.2 0 1 0 6.4 0a3.2 3.2 0 1 0-6.4 0", x - 3.2),
        1 => format!("M{:.1} {:.1}h6v6h-6z", x - 3.0, y - 3.0),
        2 => format!("M{x:.1} {:.1}l3.8 6.6h-7.6z", y - 4.2),
        _ => format!("M{x:.1} {:.1}l4 4-4 4-4-4z", y - 4.0),
    }
}

/// A chart as plain SVG, for paper.
pub(crate) fn printed(chart: &Chart) -> String {
    format!("<svg class=\"chart\" viewBox=\"0 0 {WIDE} {HIGH}\">{}</svg>", chart.drawing())
}

/// A chart that can be gone over and held from.
#[component]
pub(crate) fn ChartView(
    /// What it shows.
    chart: Memo<Arc<Chart>>,
    /// Its name.
    name: String,
    /// Name for tests.
    testid: &'static str,
    /// Called with the x of the point gone over, and with nothing when none is.
    over: impl Fn(Option<i64>) + Copy + Send + Sync + 'static,
    /// Called with the x of a point to be held.
    hold: impl Fn(i64) + Copy + Send + Sync + 'static,
) -> impl IntoView {
    // The point gone over; that taken when none is.
    let cursor = RwSignal::new(None::<usize>);
    Effect::new(move |_| {
        chart.track();
        cursor.set(None);
    });
    let by_finger = StoredValue::new(false);
    let at = move || chart.with(|c| cursor.get().unwrap_or(c.taken).min(c.dots.len().saturating_sub(1)));
    let go = move |n: usize| {
        cursor.set(Some(n));
        over(chart.with_untracked(|c| c.dots.get(n).map(|d| d.x)));
    };
    let leave = move || {
        cursor.set(None);
        over(None);
    };
    let pick = move |n: usize| {
        if let Some(x) = chart.with_untracked(|c| c.dots.get(n).map(|d| d.x)) {
            hold(x);
        }
    };
    let words = move || chart.with(|c| c.dots.get(at()).map(|d| d.words.clone()).unwrap_or_default());
    let ring = move || {
        chart.with(|c| {
            let d = c.dots.get(cursor.get()?)?;
            let (x, y) = (c.px(d.x), c.py(d.y));
            Some(format!(
                "M{x:.1} {TOP}V{:.1}M{:.1} {y:.1}a4 4 0 1 0 8 0a4 4 0 1 0-8 0",
                HIGH - BELOW,
                x - 4.0
            ))
        })
    };
    let place = move |event: &web_sys::MouseEvent| -> Option<usize> {
        let svg = event.current_target()?.dyn_into::<web_sys::Element>().ok()?;
        let box_ = svg.get_bounding_client_rect();
        let px = (f64::from(event.client_x()) - box_.x()) / box_.width().max(1.0) * WIDE;
        chart.with_untracked(|c| c.nearest(px))
    };
    let key = move |event: web_sys::KeyboardEvent| {
        let last = chart.with_untracked(|c| c.dots.len().saturating_sub(1));
        let here = untrack(at);
        match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => go((here + 1).min(last)),
            "ArrowLeft" | "ArrowDown" => go(here.saturating_sub(1)),
            "PageUp" => go((here + 10).min(last)),
            "PageDown" => go(here.saturating_sub(10)),
            "Home" => go(0),
            "End" => go(last),
            "Enter" | " " => pick(here),
            "Escape" if cursor.get_untracked().is_some() => leave(),
            _ => return,
        }
        event.prevent_default();
        event.stop_propagation();
    };
    view! {
        <div class="chart-part" data-testid=testid>
            <svg
                class="chart live"
                viewBox=format!("0 0 {WIDE} {HIGH}")
                tabindex="0"
                role="slider"
                aria-label=name
                aria-description=text::CHART_KEYS
                aria-valuemin="1"
                aria-valuemax=move || chart.with(|c| c.dots.len())
                aria-valuenow=move || at() + 1
                aria-valuetext=words
                on:keydown=key
                on:blur=move |_| leave()
                on:pointerdown=move |event| by_finger.set_value(event.pointer_type() != "mouse")
                on:pointermove=move |event| {
                    if let Some(n) = place(&event) {
                        go(n);
                    }
                }
                on:pointerleave=move |event| {
                    if event.pointer_type() == "mouse" {
                        leave();
                    }
                }
                on:click=move |event| {
                    let Some(n) = place(&event) else { return };
                    if by_finger.get_value() { go(n) } else { pick(n) }
                }
            >
                <g inner_html=move || chart.with(|c| c.drawing())></g>
                <path class="cursor" d=ring></path>
            </svg>
            <p class="chart-words">
                <span>{words}</span>
                <Show when=move || cursor.get().is_some()>
                    // Before the chart loses the focus and forgets which point it was.
                    <button
                        type="button"
                        class="plain"
                        tabindex="-1"
                        on:pointerdown=move |event| {
                            event.prevent_default();
                            pick(untrack(at));
                        }
                    >
                        {text::HOLD_THIS}
                    </button>
                </Show>
            </p>
        </div>
    }
    .into_any()
}
