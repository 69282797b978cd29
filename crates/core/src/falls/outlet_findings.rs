//! What there is to say about outlets: each sentence with its place and what to do.
//!
//! In: decks with their water and the outlets on them. Out: findings. None is a requirement: thresholds are common
//! practice without a source, and where a published rule is the reason the sentence names it and how it is known.

use super::blocked::Standing;
use super::feet::over_upstand;
use super::mesh::{Beyond, Mesh};
use super::outlets::{Placed, Site};
use crate::finding::{About, Finding};
use crate::geom::Pt;
use crate::layout::falls::Sink;
use crate::plan::OutletKind;

/// An outlet that catches less than this share of its deck stands too high or too near another. Common practice, no source.
const LITTLE: f64 = 0.01;

/// Water deeper than this over a blocked outlet is told of, mm. Common practice, no source.
const DEEP: f64 = 100.0;

/// Tells what is wrong with outlets.
pub(super) fn tell(sites: &[Site], placed: &[Placed], findings: &mut Vec<Finding>) {
    for site in sites {
        let own: Vec<&Placed> = placed.iter().filter(|p| std::ptr::eq(p.site, site)).collect();
        tell_of_deck(site, &own, findings);
        for one in &own {
            let say = [
                catches_little(one),
                over_capacity(one),
                siphonic(one),
                overflow_low(one, &own),
                overflow_high(one),
                blocked_way(one, &own),
                blocked_deep(one),
            ];
            findings.extend(say.into_iter().flatten());
        }
    }
}

/// Says when a deck walled all round has one way out only, or no overflow.
fn tell_of_deck(site: &Site, own: &[&Placed], findings: &mut Vec<Finding>) {
    let walled = !site.mesh.beyond.iter().flatten().any(|b| matches!(b, Beyond::Open(_)));
    let drains = &site.mesh.drains;
    let Some(first) = own.first().filter(|_| walled && !drains.is_empty()) else { return };
    let (about, deck) = (About::Plan(site.mesh.deck), site.mesh.deck);
    if drains.len() == 1 {
        let text = format!(
            "Deck {deck} is walled all round and has a single drainage point, so one blocked outlet leaves the water no way out."
        );
        let mend = "Add an outlet or an overflow; published guides, as reported, ask for two drainage points even on small roofs.";
        findings.push(Finding::warning("one-drainage-point", about, text, mend).at(first.outlet.at));
    } else if !drains.iter().any(|d| d.overflow) {
        let text = format!("Deck {deck} is walled all round and has no overflow.");
        let mend = "Add an overflow, or check that the outlets cover for each other; NHBC Standards 2021, 7.1.5, as read in part, asks for overflows.";
        findings.push(Finding::note("no-overflow", about, text, mend).at(first.outlet.at));
    }
}

fn catches_little(one: &Placed) -> Option<Finding> {
    let drain = one.drain.filter(|d| !d.overflow)?;
    let mesh = one.site.mesh;
    let areas = one.site.parts.areas();
    let (own, deck) =
        (areas.get(&Sink::Outlet(drain.id)).copied().unwrap_or(0.0), areas.values().sum::<f64>());
    if own >= LITTLE * deck {
        return None;
    }
    let start = format!("Outlet {} catches {} of the {} m2 of its deck", drain.id, metres(own), metres(deck));
    let above = drain.level - mesh.z[drain.point];
    let text = if above >= 1.0 {
        format!("{start}: its rim stands {above:.0} mm above the deck.")
    } else {
        let (rest, water) = one.site.with(|d| d.id != drain.id);
        let path = super::flow::Flow::new(&rest, &water).path_from_point(drain.point);
        let last = path.points.last().copied().unwrap_or(mesh.at[drain.point]);
        let lower = mesh.z[drain.point] - level_at(mesh, last).unwrap_or(mesh.z[drain.point]);
        format!(
            "{start}: it stands {lower:.0} mm higher than where the water beside it runs, {}.",
            place_of(path.sink)
        )
    };
    let mend = "Move it to a low point, lower it, or shape the falls towards it.";
    Some(Finding::warning("outlet-catches-little", About::Plan(drain.id), text, mend).at(one.outlet.at))
}

fn over_capacity(one: &Placed) -> Option<Finding> {
    let (flow, capacity) = one.work.flow.zip(one.work.capacity).filter(|(flow, capacity)| flow > capacity)?;
    let id = one.outlet.id;
    let text = format!(
        "Outlet {id} has to take {} l/s and takes {} l/s with {} mm of water over it.",
        litres(flow),
        litres(capacity),
        one.outlet.intake.head
    );
    let mend = match one.work.head_um {
        Some(head) => format!(
            "Take a larger outlet or add one, or allow for {} mm of water over it; the maker's data sheet decides.",
            (head + 999) / 1000
        ),
        None => String::from("Take a larger outlet or add one; the maker's data sheet decides."),
    };
    Some(Finding::warning("outlet-over-capacity", About::Plan(id), text, mend).at(one.outlet.at))
}

fn siphonic(one: &Placed) -> Option<Finding> {
    if one.outlet.kind != OutletKind::Siphonic || one.outlet.intake.mouth.is_none() {
        return None;
    }
    let id = one.outlet.id;
    let text = format!("What siphonic outlet {id} takes is not worked out from its opening.");
    let mend = "Compare its flow with the maker's data sheet for the whole siphonic system.";
    Some(Finding::note("outlet-siphonic", About::Plan(id), text, mend).at(one.outlet.at))
}

/// An overflow that lies below the water that stands or runs there anyway.
#[allow(clippy::cast_precision_loss)]
fn overflow_low(one: &Placed, own: &[&Placed]) -> Option<Finding> {
    let drain = one.drain.filter(|d| d.overflow)?;
    let (mesh, flood) = one.site.with(|d| !d.overflow);
    let normal = flood.water[drain.point];
    let say = |code: &str, text: String, mend: &str| {
        Some(Finding::warning(code, About::Plan(drain.id), text, mend).at(one.outlet.at))
    };
    if !normal.is_finite() {
        let text = format!("Overflow {} is the only way out for the water beside it.", drain.id);
        return say(
            "overflow-only-way-out",
            text,
            "Add an outlet at the low point, or make this one an outlet.",
        );
    }
    if drain.level <= normal {
        let text = format!(
            "Overflow {} lets water out at {:.0} mm, and the deck or the water that stands there without it is at {normal:.0} mm.",
            drain.id, drain.level
        );
        return say("overflow-low", text, "Raise its sill above the water that normally stands there.");
    }
    let Sink::Outlet(id) = super::flow::Flow::new(&mesh, &flood).path_from_point(drain.point).sink else {
        return None;
    };
    let other = own.iter().find(|p| p.outlet.id == id)?;
    let head = other.work.head_um.map_or(other.outlet.intake.head as f64, |um| um as f64 / 1000.0);
    let running = other.drain?.level + head;
    if drain.level > running {
        return None;
    }
    let text = format!(
        "Overflow {} lets water out at {:.0} mm, and outlet {id} works with water up to {running:.0} mm.",
        drain.id, drain.level
    );
    say(
        "overflow-low",
        text,
        "Raise its sill above the water over the outlet, so that it only runs when that is blocked.",
    )
}

/// An overflow that lies above the lowest upstand round it.
fn overflow_high(one: &Placed) -> Option<Finding> {
    let drain = one.drain.filter(|d| d.overflow)?;
    let site = one.site;
    let (level, point) = over_upstand(site.mesh, &site.feet, &site.mesh.neighbours(), drain.point)?;
    if drain.level < level {
        return None;
    }
    let place = whole_mm(site.mesh.at[point]);
    let text = format!(
        "Overflow {} lets water out at {:.0} mm, and water runs over the upstand at ({}, {}) before it stands so high.",
        drain.id, drain.level, place.x, place.y
    );
    let mend = "Lower its sill, or raise the upstand.";
    Some(
        Finding::warning("overflow-high", About::Plan(drain.id), text, mend)
            .at(whole_mm(site.mesh.at[point])),
    )
}

/// Says where the water of a blocked outlet goes when that is nowhere, over an upstand, or more than an overflow takes.
fn blocked_way(one: &Placed, own: &[&Placed]) -> Option<Finding> {
    let (standing, id) = (one.blocked.as_ref()?, one.outlet.id);
    let about = About::Plan(id);
    if let Some((level, point)) = standing.over {
        let place = whole_mm(one.site.mesh.at[point]);
        let depth = standing.depth;
        let text = format!(
            "With outlet {id} blocked water stands {depth:.0} mm deep over it and runs over the upstand at ({}, {}), at {level:.0} mm.",
            place.x, place.y
        );
        let mend = "Add an overflow below the top of the upstand, or raise the upstand.";
        return Some(Finding::warning("blocked-over-upstand", about, text, mend).at(place));
    }
    if standing.goes_to.is_none() {
        let text = format!("With outlet {id} blocked its water has no way out.");
        let mend = "Add an overflow or another outlet.";
        return Some(Finding::warning("blocked-no-way-out", about, text, mend).at(one.outlet.at));
    }
    let other = own.iter().find(|p| standing.goes_to == Some(Sink::Outlet(p.outlet.id)))?;
    let (flow, capacity) = (one.work.flow? + other.work.flow?, other.work.capacity?);
    // One that is too small as it is has been told of already.
    if one.drain.is_none() || flow <= capacity || other.work.flow > other.work.capacity {
        return None;
    }
    let what = if other.drain?.overflow { "overflow" } else { "outlet" };
    let text = format!(
        "With outlet {id} blocked {what} {} has to take {} l/s and takes {} l/s.",
        other.outlet.id,
        litres(flow),
        litres(capacity)
    );
    let mend = "Allow for deeper water there, take a larger one, or add another.";
    Some(Finding::warning("blocked-over-capacity", about, text, mend).at(other.outlet.at))
}

fn blocked_deep(one: &Placed) -> Option<Finding> {
    let Standing { depth, size, volume, goes_to, .. } = *one.blocked.as_ref()?;
    if depth < DEEP {
        return None;
    }
    let id = one.outlet.id;
    let goes = goes_to.map_or_else(String::new, |sink| format!(" before it goes {}", place_of(sink)));
    let text = format!(
        "With outlet {id} blocked water stands {depth:.0} mm deep over it, on {} m2 and {:.1} t in all{goes}.",
        metres(size),
        volume / 1e9
    );
    let mend = "Have the structure checked for this load by whoever is licensed to, or add an overflow.";
    Some(Finding::note("blocked-deep", About::Plan(id), text, mend).at(one.outlet.at))
}

/// Where water goes, as the end of a sentence.
pub(super) fn place_of(sink: Sink) -> String {
    match sink {
        Sink::Outlet(id) => format!("to outlet {id}"),
        Sink::Edge(id) => format!("over a free edge of {id}"),
        Sink::Nowhere => String::from("nowhere"),
    }
}

/// Level of the surface at the place where a path ends: of the point of the mesh or the facet there.
fn level_at(mesh: &Mesh, place: [f64; 2]) -> Option<f64> {
    let here = (0..mesh.at.len()).filter(|&p| super::flow::apart(mesh.at[p], place) <= super::flow::SAME);
    here.map(|p| mesh.z[p]).min_by(f64::total_cmp).or_else(|| {
        let facet = (0..mesh.facets.len()).find(|&f| super::flow::holds(mesh, f, place))?;
        Some(mesh.level_on(facet, place))
    })
}

fn metres(area: f64) -> String {
    format!("{:.1}", area / 1e6)
}

fn litres(thousandths: i64) -> String {
    let hundredths = (thousandths + 5).div_euclid(10);
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

#[allow(clippy::cast_possible_truncation)]
fn whole_mm(place: [f64; 2]) -> Pt {
    Pt::new(place[0].round() as i64, place[1].round() as i64)
}
