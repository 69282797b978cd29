//! Fields of rolls, laps, sheet and membrane.
//!
//! In: a plan. Out: its products as fields. What is beside them as usual is common practice, no source: the maker's data
//! sheet overrides every one.

use super::spec::{Digits, Spec, choice, number, optional_length, optional_number, small, text};
use super::{Group, Outcome};
use crate::change::Change;
use baylap_core::Plan;
use baylap_core::plan::{Laying, Mm, NarrowCourse, Prices, Products, RollKind, Slitting};

const MANY: i64 = 1_000_000;

const NARROW: &[(NarrowCourse, &str, &str)] = &[
    (NarrowCourse::MoveFirst, "move_first", "Move the first course"),
    (NarrowCourse::GrowLaps, "grow_laps", "Let the side laps grow"),
    (NarrowCourse::Leave, "leave", "Lay it as it falls"),
];

const LAYING: &[(Laying, &str, &str)] = &[
    (Laying::Cut, "cut", "Every piece cut to length"),
    (Laying::RunOn, "run_on", "Run on: the next roll laps where one ends"),
    (Laying::Mixed, "mixed", "Cut, and run on where that costs less"),
];

const SLITTING: &[(Slitting, &str, &str)] = &[
    (Slitting::None, "none", "Nothing: full width everywhere"),
    (Slitting::OuterCourses, "outer_courses", "First and last courses"),
    (Slitting::AnyPiece, "any_piece", "Any piece that needs less width"),
];

const STRIPS: &[(bool, &str, &str)] = &[
    (false, "apart", "Their own material"),
    (true, "from_rolls", "These rolls, offcuts of the field first"),
];

/// Beside a price that nobody has changed.
const EXAMPLE: &str = "an example, type yours";

/// The fields of the products.
pub(super) fn groups(plan: &Plan) -> Vec<Group> {
    let p = &plan.products;
    let mut all: Vec<Group> = p.rolls.iter().enumerate().map(|(n, roll)| roll_group(p, n, roll)).collect();
    all.push(("Laying and cutting".to_owned(), laying(p)));
    let example = p.prices == Prices::default();
    let prices_title = if example { "Prices: an example, type yours over it" } else { "Prices" };
    all.push((prices_title.to_owned(), prices(p)));
    all.push(("Laps".to_owned(), laps(p)));
    all.push(("Courses and pieces".to_owned(), courses(p)));
    all.push(("Edges".to_owned(), edges(p)));
    all.push(("Membrane".to_owned(), membrane(p)));
    all.push(("Protection sheet".to_owned(), sheet(p)));
    all
}

/// A size of the products.
fn size(p: &Products, key: &str, label: &str, least: Mm, set: fn(&mut Products) -> &mut Mm) -> Spec {
    let (mut old, path) = (p.clone(), format!("products.{key}"));
    let value = *set(&mut old);
    small(path, label, value, least, move |mm| {
        let mut products = old.clone();
        *set(&mut products) = mm;
        Change::Products(products)
    })
}

/// A number of the products that is no length.
fn amount(p: &Products, key: &str, label: &str, digits: Digits, set: fn(&mut Products) -> &mut i64) -> Spec {
    let (mut old, path) = (p.clone(), format!("products.{key}"));
    let value = *set(&mut old);
    number(path, label, value, digits, move |v| {
        let mut products = old.clone();
        *set(&mut products) = v;
        Change::Products(products)
    })
}

fn roll_group(p: &Products, n: usize, roll: &RollKind) -> Group {
    let path = |key: &str| format!("products.rolls[{n}].{key}");
    let with = |set: fn(&mut RollKind, i64)| {
        let old = p.clone();
        move |v: i64| {
            let mut products = old.clone();
            set(&mut products.rolls[n], v);
            Change::Products(products)
        }
    };
    let old = p.clone();
    let name = text(path("name"), "Name", &roll.name, move |name| {
        let mut products = old.clone();
        products.rolls[n].name = name;
        Change::Products(products)
    });
    let old = p.clone();
    let on_hand = roll.on_hand.map(i64::from);
    let on_hand = optional_number(path("on_hand"), "On hand", on_hand, Digits::whole(0, MANY), move |v| {
        let mut products = old.clone();
        products.rolls[n].on_hand = v.and_then(|v| u32::try_from(v).ok());
        Change::Products(products)
    });
    let specs = vec![
        name,
        small(path("width"), "Width", roll.width, 1, with(|r, mm| r.width = mm)),
        small(path("length"), "Length", roll.length, 1, with(|r, mm| r.length = mm)),
        on_hand.usual("empty: as many as needed"),
        roll_price(p, n, roll),
    ];
    let title = if p.rolls.len() == 1 { "Roll".to_owned() } else { format!("Roll, kind {}", n + 1) };
    (title, specs)
}

/// The price of a kind of roll. The first kind's is the price that the others go by when they have none of their own.
fn roll_price(p: &Products, n: usize, roll: &RollKind) -> Spec {
    let old = p.clone();
    let money = Digits::hundredths(MANY * 1000);
    let path = format!("products.rolls[{n}].price");
    let set = move |price| {
        let mut products = old.clone();
        products.rolls[n].price = price;
        Change::Products(products)
    };
    let hint = if n == 0 { "empty: as under Prices" } else { "empty: by its area, as the first kind" };
    optional_number(path, "Price of one", roll.price, money, set).usual(hint)
}

fn laying(p: &Products) -> Vec<Spec> {
    let old = p.clone();
    let laying = choice("products.laying", "Pieces", Some(p.laying), LAYING, move |laying| {
        Outcome::Change(Change::Products(Products { laying, ..old.clone() }))
    });
    let old = p.clone();
    let slitting = choice("products.slitting", "Slit along the roll", Some(p.slitting), SLITTING, move |v| {
        Outcome::Change(Change::Products(Products { slitting: v, ..old.clone() }))
    });
    let old = p.clone();
    let strips =
        choice("products.upstand_strips", "Upstand strips from", Some(p.upstand_strips), STRIPS, move |v| {
            Outcome::Change(Change::Products(Products { upstand_strips: v, ..old.clone() }))
        });
    vec![laying, slitting, strips]
}

fn prices(p: &Products) -> Vec<Spec> {
    let example = Prices::default();
    let one = |key: &str, label: &str, set: fn(&mut Prices) -> &mut i64| {
        let (mut old, mut usual) = (p.clone(), example);
        let value = *set(&mut old.prices);
        let money = Digits { places: 2, least: 0, most: MANY * 1000 };
        let spec = number(format!("products.prices.{key}"), label, value, money, move |v| {
            let mut products = old.clone();
            *set(&mut products.prices) = v;
            Change::Products(products)
        });
        if value == *set(&mut usual) { spec.usual(EXAMPLE) } else { spec }
    };
    vec![
        one("roll", "One roll", |p| &mut p.roll),
        one("lap_metre", "A metre of side lap", |p| &mut p.lap_metre),
        one("cut", "A cut across", |p| &mut p.cut),
        one("end_lap", "An end lap", |p| &mut p.end_lap),
        one("slit_metre", "A metre slit", |p| &mut p.slit_metre),
    ]
}

fn laps(p: &Products) -> Vec<Spec> {
    vec![
        size(p, "side_lap", "Side lap", 0, |p| &mut p.side_lap).usual("usually 50 to 75 mm"),
        size(p, "end_lap", "End lap", 0, |p| &mut p.end_lap).usual("never below the maker's"),
        size(p, "stagger", "Stagger of end laps", 0, |p| &mut p.stagger).usual("usually 300 mm"),
    ]
}

fn courses(p: &Products) -> Vec<Spec> {
    let old = p.clone();
    let narrow =
        choice("products.narrow_course", "A narrow last course", Some(p.narrow_course), NARROW, move |v| {
            Outcome::Change(Change::Products(Products { narrow_course: v, ..old.clone() }))
        });
    vec![
        size(p, "least_strip", "Least width of a course", 0, |p| &mut p.least_strip).usual("usually 300 mm"),
        narrow,
        size(p, "least_piece", "Least length of a piece", 0, |p| &mut p.least_piece).usual("usually 1000 mm"),
        size(p, "longest_piece", "Longest piece", 1, |p| &mut p.longest_piece),
        size(p, "least_offcut", "Shortest rest worth keeping", 0, |p| &mut p.least_offcut),
        size(p, "kerf", "Lost per cut", 0, |p| &mut p.kerf),
    ]
}

fn edges(p: &Products) -> Vec<Spec> {
    vec![
        size(p, "clear", "Clear of an upstand", 0, |p| &mut p.clear),
        size(p, "foot", "Foot of an upstand", 0, |p| &mut p.foot).usual("at least clear plus side lap"),
        size(p, "edge_gap", "Clear of a free edge", 0, |p| &mut p.edge_gap),
        size(p, "collar", "Collar of a penetration", 0, |p| &mut p.collar),
    ]
}

fn membrane(p: &Products) -> Vec<Spec> {
    let coat = |n: usize| {
        let old = p.clone();
        let path = format!("products.coats[{n}]");
        let label = format!("Coat {}", n + 1);
        let thickness = Digits { places: 2, least: 0, most: MANY };
        let spec = number(path, &label, p.coats[n], thickness, move |v| {
            let mut products = old.clone();
            products.coats[n] = v;
            Change::Products(products)
        });
        spec.unit("mm").usual("usually 3 mm")
    };
    let mut specs: Vec<Spec> = (0..p.coats.len()).map(coat).collect();
    specs.push(amount(p, "density", "Density", Digits::whole(1, MANY), |p| &mut p.density).unit("kg/m³"));
    specs.push(amount(p, "block", "Mass of a block", Digits::hundredths(MANY), |p| &mut p.block).unit("kg"));
    let primer = Digits::hundredths(MANY);
    specs.push(
        amount(p, "primer_coverage", "Primer covers, per litre", primer, |p| &mut p.primer_coverage)
            .unit("m²"),
    );
    specs.push(amount(p, "primer_tin", "Primer in a tin", primer, |p| &mut p.primer_tin).unit("l"));
    specs
}

fn sheet(p: &Products) -> Vec<Spec> {
    let old = p.clone();
    let end_lap = optional_length("products.sheet_end_lap", "End lap", p.sheet_end_lap, move |mm| {
        Change::Products(Products { sheet_end_lap: mm, ..old.clone() })
    });
    vec![
        size(p, "sheet_width", "Width", 1, |p| &mut p.sheet_width),
        size(p, "sheet_length", "Length", 1, |p| &mut p.sheet_length),
        size(p, "sheet_lap", "Side lap", 0, |p| &mut p.sheet_lap),
        end_lap.usual("empty: as the side lap"),
        size(p, "sheet_off_laps", "Off the laps below", 0, |p| &mut p.sheet_off_laps)
            .usual("no source: your own practice"),
    ]
}
