//! Reading a bare outline: GeoJSON areas in metres, in place of a plan.
//!
//! In: GeoJSON text (Polygon, MultiPolygon, Feature, FeatureCollection, GeometryCollection; RFC 7946 and the older
//! form with a `crs` member) in a projected system in metres. Out: a plan with a deck for each polygon and an opening
//! for each hole, with default edges, products and gang. Coordinates are rounded to whole millimetres; when they are
//! too far from zero (national grids) a whole-metre origin is taken off and noted in the job's notes. Lines and points
//! in the file are left out and counted in the notes. Areas in degrees are refused, never guessed at.

use super::{FileError, error, limits, text_of};
use crate::geom::Pt;
use crate::plan::{Corner, Deck, Edge, Job, Opening, Plan, Ring, UpstandKind};
use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny, SeqAccess, Visitor};
use serde_json::Value;
use std::fmt;

/// Reads a bare outline in GeoJSON.
///
/// # Errors
/// One sentence with the place when it is not sound GeoJSON with an area, is in degrees, or is too large.
pub fn read_bare_outline(bytes: &[u8]) -> Result<Plan, FileError> {
    let text = text_of(bytes)?;
    let top: Object = serde_json::from_str(text).map_err(|e| error::of_json(text, &e))?;
    let mut areas = Areas::default();
    areas.gather(&top, "").map_err(|e| e.placed_in(text))?;
    check_crs(&top)?;
    let extent = areas.extent().ok_or(FileError::NoOutline)?;
    check_degrees(&extent)?;
    let origin = origin_of(&extent)?;
    let plan = areas.into_plan(origin)?;
    limits::check(&plan)?;
    Ok(plan)
}

/// Any GeoJSON object; members that do not matter here are passed over.
#[derive(Deserialize)]
struct Object {
    #[serde(rename = "type")]
    kind: Option<String>,
    crs: Option<Value>,
    coordinates: Option<Nest>,
    geometry: Option<Box<Object>>,
    geometries: Option<Vec<Object>>,
    features: Option<Vec<Object>>,
}

/// Numbers in lists in lists: the coordinates before the type is known.
enum Nest {
    Number(f64),
    List(Vec<Nest>),
    Other,
}

impl<'de> Deserialize<'de> for Nest {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(NestVisitor)
    }
}

struct NestVisitor;

impl<'de> Visitor<'de> for NestVisitor {
    type Value = Nest;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("coordinates in square brackets")
    }

    fn visit_f64<E>(self, v: f64) -> Result<Nest, E> {
        Ok(Nest::Number(v))
    }

    #[allow(clippy::cast_precision_loss)] // far beyond any coordinate that is taken
    fn visit_i64<E>(self, v: i64) -> Result<Nest, E> {
        Ok(Nest::Number(v as f64))
    }

    #[allow(clippy::cast_precision_loss)] // far beyond any coordinate that is taken
    fn visit_u64<E>(self, v: u64) -> Result<Nest, E> {
        Ok(Nest::Number(v as f64))
    }

    fn visit_unit<E>(self) -> Result<Nest, E> {
        Ok(Nest::Other)
    }

    fn visit_bool<E>(self, _: bool) -> Result<Nest, E> {
        Ok(Nest::Other)
    }

    fn visit_str<E>(self, _: &str) -> Result<Nest, E> {
        Ok(Nest::Other)
    }

    fn visit_map<A: serde::de::MapAccess<'de>>(self, mut map: A) -> Result<Nest, A::Error> {
        while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
        Ok(Nest::Other)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Nest, A::Error> {
        let mut list = Vec::new();
        while let Some(one) = seq.next_element()? {
            list.push(one);
        }
        Ok(Nest::List(list))
    }
}

/// A place in metres.
type Metres = (f64, f64);

/// Polygons in metres: the outer ring, then the holes.
#[derive(Default)]
struct Areas {
    polygons: Vec<Vec<Vec<Metres>>>,
    /// Lines, points and empty features that were passed over.
    left_out: usize,
}

/// Least and greatest coordinates.
struct Extent {
    least: Metres,
    most: Metres,
}

impl Areas {
    fn gather(&mut self, object: &Object, path: &str) -> Result<(), FileError> {
        let inner = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
        match object.kind.as_deref() {
            Some("Polygon") => {
                let rings = polygon(coordinates(object, path)?, &inner("coordinates"))?;
                self.polygons.push(rings);
            }
            Some("MultiPolygon") => {
                let at = inner("coordinates");
                for (i, one) in list(coordinates(object, path)?, &at)?.iter().enumerate() {
                    self.polygons.push(polygon(one, &format!("{at}[{i}]"))?);
                }
            }
            Some("Feature") => match &object.geometry {
                Some(geometry) => self.gather(geometry, &inner("geometry"))?,
                None => self.left_out += 1,
            },
            Some("FeatureCollection") => self.gather_all(object.features.as_deref(), &inner("features"))?,
            Some("GeometryCollection") => {
                self.gather_all(object.geometries.as_deref(), &inner("geometries"))?
            }
            Some("Point" | "MultiPoint" | "LineString" | "MultiLineString") => self.left_out += 1,
            Some(other) => {
                let what = format!("{} is not a GeoJSON type", error::short(other));
                return Err(FileError::field(inner("type"), what, "write Polygon or MultiPolygon"));
            }
            None => {
                return Err(FileError::field(
                    path,
                    "the GeoJSON \"type\" is missing",
                    "write Polygon or MultiPolygon",
                ));
            }
        }
        Ok(())
    }

    fn gather_all(&mut self, objects: Option<&[Object]>, path: &str) -> Result<(), FileError> {
        let objects =
            objects.ok_or_else(|| FileError::field(path, "the list is missing", "fetch a whole copy"))?;
        objects.iter().enumerate().try_for_each(|(i, one)| self.gather(one, &format!("{path}[{i}]")))
    }

    fn extent(&self) -> Option<Extent> {
        let mut points = self.polygons.iter().flatten().flatten();
        let &first = points.next()?;
        Some(points.fold(Extent { least: first, most: first }, |e, &(x, y)| Extent {
            least: (e.least.0.min(x), e.least.1.min(y)),
            most: (e.most.0.max(x), e.most.1.max(y)),
        }))
    }

    fn into_plan(self, origin: Metres) -> Result<Plan, FileError> {
        let mut plan = Plan { job: Job { notes: self.notes(origin), ..Job::default() }, ..Plan::default() };
        let several = self.polygons.len() > 1;
        let mut id = 0;
        for polygon in &self.polygons {
            for (i, ring) in polygon.iter().enumerate() {
                let points = whole_mm(ring, origin);
                if points.len() < 3 {
                    continue;
                }
                id += 1;
                if i == 0 {
                    let name = if several { format!("Deck {}", plan.decks.len() + 1) } else { String::new() };
                    plan.decks.push(Deck { id, name, ring: ring_of(points, &Edge::default()) });
                } else {
                    let kerb = Edge::Upstand { height: 150, kind: UpstandKind::Kerb };
                    plan.openings.push(Opening { id, name: String::new(), ring: ring_of(points, &kerb) });
                }
            }
        }
        if plan.decks.is_empty() { Err(FileError::NoOutline) } else { Ok(plan) }
    }

    fn notes(&self, (x, y): Metres) -> String {
        let mut notes = Vec::new();
        if (x, y) != (0.0, 0.0) {
            notes.push(format!("Coordinates of the file less {x:.0} m in x and {y:.0} m in y."));
        }
        if self.left_out > 0 {
            notes.push(format!("{} things of the file that are no areas were left out.", self.left_out));
        }
        notes.join(" ")
    }
}

fn coordinates<'a>(object: &'a Object, path: &str) -> Result<&'a Nest, FileError> {
    object.coordinates.as_ref().ok_or_else(|| {
        FileError::field(path, "the \"coordinates\" are missing", "fetch a whole copy of the file")
    })
}

fn list<'a>(nest: &'a Nest, path: &str) -> Result<&'a [Nest], FileError> {
    match nest {
        Nest::List(list) => Ok(list),
        _ => Err(FileError::field(path, "there is no list of coordinates", "write GeoJSON coordinates")),
    }
}

fn polygon(nest: &Nest, path: &str) -> Result<Vec<Vec<Metres>>, FileError> {
    list(nest, path)?.iter().enumerate().map(|(i, ring)| positions(ring, &format!("{path}[{i}]"))).collect()
}

fn positions(nest: &Nest, path: &str) -> Result<Vec<Metres>, FileError> {
    list(nest, path)?.iter().enumerate().map(|(i, one)| position(one, &format!("{path}[{i}]"))).collect()
}

/// A position: x and y, and maybe a height that does not matter here.
fn position(nest: &Nest, path: &str) -> Result<Metres, FileError> {
    match list(nest, path)? {
        [Nest::Number(x), Nest::Number(y), rest @ ..] if rest.len() < 3 => Ok((*x, *y)),
        _ => Err(FileError::field(path, "there is no position", "write one as [x, y] in metres")),
    }
}

/// A `crs` member that names longitude and latitude.
fn check_crs(top: &Object) -> Result<(), FileError> {
    let Some(crs) = &top.crs else { return Ok(()) };
    let name = crs.pointer("/properties/name").and_then(Value::as_str).unwrap_or_default();
    let last = name.rsplit([':', '/']).next().unwrap_or_default();
    if matches!(last.to_ascii_uppercase().as_str(), "CRS84" | "CRS84H" | "4326" | "4979" | "4258") {
        return Err(FileError::Degrees { why: format!("its crs is {}", error::short(name)) });
    }
    Ok(())
}

/// Coordinates that could be degrees and would be less than a metre across in metres.
fn check_degrees(extent: &Extent) -> Result<(), FileError> {
    let (least, most) = (extent.least, extent.most);
    let fits = least.0 >= -180.0 && most.0 <= 180.0 && least.1 >= -90.0 && most.1 <= 90.0;
    if fits && most.0 - least.0 < 1.0 && most.1 - least.1 < 1.0 {
        return Err(FileError::Degrees { why: "in metres it would be less than 1 m across".to_owned() });
    }
    Ok(())
}

/// The whole-metre origin to take off: zero when the coordinates are near enough to it.
fn origin_of(extent: &Extent) -> Result<Metres, FileError> {
    #[allow(clippy::cast_precision_loss)]
    let limit = (limits::COORDINATE / 1000) as f64;
    let (least, most) = (extent.least, extent.most);
    let size = (most.0 - least.0).max(most.1 - least.1);
    if size > limit {
        #[allow(clippy::cast_possible_truncation)] // a cast from f64 to i64 stops at the ends
        return Err(FileError::TooWide { metres: size as i64, limit: limits::COORDINATE / 1000 });
    }
    let near = [least.0, least.1, most.0, most.1].iter().all(|c| c.abs() <= limit);
    Ok(if near { (0.0, 0.0) } else { (least.0.floor(), least.1.floor()) })
}

/// A ring in whole mm, closed, without repeated corners.
fn whole_mm(ring: &[Metres], origin: Metres) -> Vec<Pt> {
    #[allow(clippy::cast_possible_truncation)] // within the limits, by `origin_of`
    let mm = |c: f64, o: f64| libm::round((c - o) * 1000.0) as i64;
    let mut points: Vec<Pt> = ring.iter().map(|&(x, y)| Pt::new(mm(x, origin.0), mm(y, origin.1))).collect();
    points.dedup();
    while points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    points
}

fn ring_of(points: Vec<Pt>, edge: &Edge) -> Ring {
    points.into_iter().map(|at| Corner { at, edge: edge.clone() }).collect()
}
