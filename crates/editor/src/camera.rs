//! The camera: from plan millimetres to pixels of the surface and back.
//!
//! In: the size of the surface, pans and zooms. Out: exact inverse maps; the plan's y points up, the surface's down.
//! The scale stays between [`LEAST_SCALE`] and [`GREATEST_SCALE`], so no map can overflow. It draws nothing.

use crate::message::Px;
use baylap_core::geom::Pt;
use serde::{Deserialize, Serialize};

/// Pixels per mm at which 10 km still fit a phone.
pub const LEAST_SCALE: f64 = 3.0e-5;
/// Pixels per mm at which 1 mm is seen at arm's length.
pub const GREATEST_SCALE: f64 = 20.0;
/// No camera looks further from the origin than this, mm: 10,000 km holds national grids.
const FARTHEST: f64 = 1.0e10;

/// A camera on the plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Camera {
    /// Pixels per mm.
    pub scale: f64,
    /// What is in the middle of the surface: x, mm.
    pub x: f64,
    /// What is in the middle of the surface: y, mm.
    pub y: f64,
    /// Width of the surface, pixels.
    pub width: f64,
    /// Height of the surface, pixels.
    pub height: f64,
}

impl Default for Camera {
    /// Shows about 20 m of plan on a surface of usual size.
    fn default() -> Self {
        Self { scale: 0.04, x: 10_000.0, y: 6_000.0, width: 1000.0, height: 700.0 }
    }
}

impl Camera {
    /// The place on the surface of a point of the plan.
    #[allow(clippy::cast_precision_loss)]
    pub fn to_px(&self, p: Pt) -> Px {
        self.to_px_f(p.x as f64, p.y as f64)
    }

    /// The place on the surface of a place between the millimetres.
    pub fn to_px_f(&self, x: f64, y: f64) -> Px {
        Px::new(self.width / 2.0 + (x - self.x) * self.scale, self.height / 2.0 - (y - self.y) * self.scale)
    }

    /// The place on the plan under a pixel, between the millimetres.
    pub fn to_plan_f(&self, p: Px) -> (f64, f64) {
        (self.x + (p.x - self.width / 2.0) / self.scale, self.y - (p.y - self.height / 2.0) / self.scale)
    }

    /// The nearest whole millimetre under a pixel.
    #[allow(clippy::cast_possible_truncation)]
    pub fn to_plan(&self, p: Px) -> Pt {
        let (x, y) = self.to_plan_f(p);
        Pt::new(x.round() as i64, y.round() as i64)
    }

    /// How many mm so many pixels are.
    pub fn mm(&self, px: f64) -> f64 {
        px / self.scale
    }

    /// The six numbers of an SVG `matrix(a b c d e f)` from plan to surface.
    pub fn matrix(&self) -> [f64; 6] {
        let o = self.to_px_f(0.0, 0.0);
        [self.scale, 0.0, 0.0, -self.scale, o.x, o.y]
    }

    /// Zooms so that what is under a pixel stays there.
    pub fn zoom_about(&mut self, at: Px, factor: f64) {
        if !factor.is_finite() || factor <= 0.0 {
            return;
        }
        let (x, y) = self.to_plan_f(at);
        self.scale = (self.scale * factor).clamp(LEAST_SCALE, GREATEST_SCALE);
        let (x1, y1) = self.to_plan_f(at);
        self.look_at(self.x + x - x1, self.y + y - y1);
    }

    /// Moves what is seen by so many pixels (what is under the finger goes along).
    pub fn pan(&mut self, dx: f64, dy: f64) {
        self.look_at(self.x - dx / self.scale, self.y + dy / self.scale);
    }

    /// Puts a place in the middle.
    pub fn look_at(&mut self, x: f64, y: f64) {
        if x.is_finite() && y.is_finite() {
            self.x = x.clamp(-FARTHEST, FARTHEST);
            self.y = y.clamp(-FARTHEST, FARTHEST);
        }
    }

    /// Shows a box of the plan whole, with a margin in pixels.
    #[allow(clippy::cast_precision_loss)]
    pub fn fit(&mut self, lo: Pt, hi: Pt, margin: f64) {
        let (w, h) = ((hi.x.saturating_sub(lo.x)) as f64, (hi.y.saturating_sub(lo.y)) as f64);
        let room_x = (self.width - 2.0 * margin).max(self.width / 4.0).max(1.0);
        let room_y = (self.height - 2.0 * margin).max(self.height / 4.0).max(1.0);
        let scale = (room_x / w.max(1000.0)).min(room_y / h.max(1000.0));
        self.scale = scale.clamp(LEAST_SCALE, GREATEST_SCALE);
        self.look_at(lo.x as f64 + w / 2.0, lo.y as f64 + h / 2.0);
    }

    /// Gives the surface another size; the middle stays.
    pub fn resize(&mut self, width: f64, height: f64) {
        if width.is_finite() && height.is_finite() {
            self.width = width.clamp(1.0, 100_000.0);
            self.height = height.clamp(1.0, 100_000.0);
        }
    }

    /// The same camera with every number in its range, for one that comes from outside.
    pub(crate) fn sound(self) -> Self {
        let mut sound = Self::default();
        sound.resize(self.width, self.height);
        sound.look_at(self.x, self.y);
        if self.scale.is_finite() {
            sound.scale = self.scale.clamp(LEAST_SCALE, GREATEST_SCALE);
        }
        sound
    }

    /// Whether a point of the plan is on the surface, at least `margin` pixels from its edge.
    pub fn sees(&self, p: Pt, margin: f64) -> bool {
        let at = self.to_px(p);
        at.x >= margin && at.y >= margin && at.x <= self.width - margin && at.y <= self.height - margin
    }
}
