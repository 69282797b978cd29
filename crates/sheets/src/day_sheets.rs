//! The sheets of the days: one look at all of them, then for each day its plan and what its gangs lay, carry up, cut and record.
//!
//! In: plan, layout, paper. Out: pages without border or title block; none before the order of the bays is known. Every bay
//! and every piece stands on one day, in the order the bays are begun. Times count from the start of work, and stand by
//! the clock where the plan says when work begins. Every figure is the layout's own; rates that are examples are named.

use crate::caution;
use crate::day_plans::DayPlans;
use crate::figures::{hundredths, metres, square_metres};
use crate::list::Flow;
use crate::list_sheets::sign_off_table;
use crate::page::{Align, Frame, Page};
use crate::reference::References;
use crate::scene::{Height, Width};
use crate::style::Paper;
use crate::table::{self, Grid, figures, words};
use baylap_core::Plan;
use baylap_core::layout::Layout;
use baylap_core::layout::days::{Day, DayJoint, Days, Materials, MelterDay, Turn};
use baylap_core::records::{ReadingPlace, reading_places};

/// Least height of a row of a table at A4, mm.
const ROW: f64 = 5.8;

/// All pages, the days in order.
pub fn pages(plan: &Plan, layout: &Layout, paper: Paper) -> Vec<Page> {
    let Some(days) = layout.days.as_ref().filter(|d| !d.days.is_empty()) else { return Vec::new() };
    let places = reading_places(plan, layout);
    let plans = DayPlans { plan, layout, days, places: &places, paper };
    let mut pages = overview(days, paper);
    for day in &days.days {
        pages.push(plans.page(day, &format!("{}, plan", title(day))));
        pages.extend(day_pages(&plans, day));
    }
    pages
}

/// Every day in a row.
fn overview(days: &Days, paper: Paper) -> Vec<Page> {
    let mut flow = Flow::new(paper, "The days", 1);
    let heads = vec![
        figures("Day"),
        words("Date"),
        words("Bays, in the order they are begun"),
        figures("Membrane, kg"),
        figures("Blocks"),
        figures("Primer, l"),
        figures("Rolls up"),
        figures("Part rolls"),
        figures("Gas, kg"),
    ];
    let several = days.gangs.len() > 1;
    let row = |day: &Day| {
        let m = &day.materials;
        let bay = |t: &Turn| if several { format!("{} ({})", t.bay, t.gang) } else { t.bay.to_string() };
        vec![
            day.number.to_string(),
            day.date.map_or_else(String::new, |d| d.to_string()),
            day.turns.iter().map(bay).collect::<Vec<_>>().join(", "),
            (m.membrane_kg + m.details_kg).to_string(),
            m.blocks.to_string(),
            m.primer_litres.to_string(),
            m.rolls_up.len().to_string(),
            m.rolls_part.len().to_string(),
            hundredths(m.gas),
        ]
    };
    flow.table(&Grid { heads, rows: days.days.iter().map(row).collect() }, ROW);
    if several {
        let name = |(n, g): (usize, &baylap_core::layout::days::GangOut)| {
            let name = if g.name.is_empty() { String::new() } else { format!(" {}", g.name) };
            format!("gang {}{name}, {} people", n + 1, g.people)
        };
        let gangs: Vec<String> = days.gangs.iter().enumerate().map(name).collect();
        flow.paragraph(&format!("Behind each bay its gang: {}.", gangs.join("; ")));
    }
    if !days.details_before.is_empty() {
        let bays: Vec<String> = days.details_before.iter().map(u32::to_string).collect();
        flow.paragraph(&format!(
            "Upstands, joints and penetrations of bays {} are done before the first day; {} working days are counted for them.",
            bays.join(", "),
            days.days_ahead
        ));
    }
    if let Some(finish) = days.finish {
        flow.paragraph(&format!("With the days allowed for weather it ends on {finish}."));
    }
    flow.paragraph(&rates_sentence(days));
    flow.pages
}

/// What the times rest on.
fn rates_sentence(days: &Days) -> String {
    match days.examples.len() {
        0 => "Times rest on the rates given for this gang.".to_owned(),
        n => format!(
            "Times rest on rates; {n} of them are examples that nobody has confirmed, as no norm is published for a gang's \
             output. The page lists them at the stage Days."
        ),
    }
}

/// The title of a day's pages.
fn title(day: &Day) -> String {
    let date = day.date.map_or_else(String::new, |d| format!(", {d}"));
    format!("Day {}{date}", day.number)
}

/// One day.
fn day_pages(plans: &DayPlans<'_>, day: &Day) -> Vec<Page> {
    let DayPlans { plan, layout, days, places, paper } = *plans;
    let mut flow = Flow::new(paper, &title(day), 1);
    let in_day = |bay: u32| day.turns.iter().any(|t| t.bay == bay);
    first_thing(&mut flow, layout, day);
    flow.head("Bays, in the order they are begun", 20.0);
    flow.table(&turns(plan, layout, (days, day)), ROW);
    flow.head("To have on the roof", 20.0);
    flow.table(&materials(&day.materials, before(days, day)), ROW);
    for melter in &day.melters {
        flow.paragraph(&melter_sentence(plan, melter));
    }
    let references = References::new(plan, layout);
    let pieces: Vec<_> =
        table::piece_rows(layout, &references).into_iter().filter(|r| in_day(r.bay)).collect();
    if !pieces.is_empty() {
        flow.head("Pieces to lay, and the rolls they are cut from", 25.0);
        flow.table(&table::piece_grid(&pieces), ROW);
    }
    if !day.joints.is_empty() {
        flow.head("Joints left open at the end of the day", 15.0);
        for joint in &day.joints {
            flow.paragraph(&joint_sentence(joint));
        }
    }
    if !day.details_of.is_empty() {
        let bays: Vec<String> = day.details_of.iter().map(u32::to_string).collect();
        flow.paragraph(&format!(
            "Ahead of the gang on this day: upstands, joints and penetrations of bays {}.",
            bays.join(", ")
        ));
    }
    flow.head("To be filled in", 30.0);
    let rows: Vec<_> = table::bay_rows(layout).into_iter().filter(|r| in_day(r.bay)).collect();
    sign_off_table(&mut flow, &rows);
    reading_boxes(&mut flow, &places.iter().filter(|p| in_day(p.bay)).copied().collect::<Vec<_>>());
    flow.pages
}

/// A box to write in for each place where thickness is read, bay by bay.
fn reading_boxes(flow: &mut Flow, places: &[ReadingPlace]) {
    if places.is_empty() {
        return;
    }
    flow.head("Thickness at the numbered places of the day's plan, mm", 12.0);
    let step = flow.page().paper.step();
    let (label, wide) = (16.0 * step, 16.0 * step);
    let mut abreast = 1;
    while label + f64::from(abreast + 1) * wide <= flow.frame().width() {
        abreast += 1;
    }
    for bay in places.chunk_by(|a, b| a.bay == b.bay) {
        for row in bay.chunks(usize::try_from(abreast).unwrap_or(1)) {
            let top = flow.take(10.0);
            let left = flow.frame().lo[0];
            let base = top - 6.0 * step;
            flow.page().text(Height::Small, Align::Left, [left, base], &format!("Bay {}", row[0].bay));
            for (i, place) in (0_u32..).zip(row) {
                let x = left + label + f64::from(i) * wide;
                flow.page().frame(Width::Thin, &Frame { lo: [x, top - 9.0 * step], hi: [x + wide, top] });
                let at = [x + step, top - 3.4 * step];
                flow.page().text(Height::Small, Align::Left, at, &place.number.to_string());
            }
        }
    }
}

/// What comes before the first pour, cautions among it.
fn first_thing(flow: &mut Flow, layout: &Layout, day: &Day) {
    flow.paragraph(&caution::SHORT.join(" "));
    if let Some(bay) = day.test_at.and_then(|at| layout.bay_at(at)).map(|i| layout.bays[i].number) {
        flow.paragraph(&format!(
            "First of all the bond test, in bay {bay} (common practice, no published source). No pour before it holds."
        ));
    }
}

fn turns(plan: &Plan, layout: &Layout, (days, day): (&Days, &Day)) -> Grid {
    let several = days.gangs.len() > 1;
    let mut heads = vec![figures("Bay")];
    if several {
        heads.push(figures("Gang"));
    }
    heads.extend([
        words(if plan.programme.rates.day_start.is_some() { "From, to" } else { "Hours from start of work" }),
        figures("Area, m²"),
        figures("Pieces"),
        figures("Upstands, m"),
        figures("Joints, m"),
        figures("Pipes, pockets, outlets"),
        figures("Buckets"),
    ]);
    let row = |turn: &Turn| {
        let bay = layout.bays.iter().find(|b| b.number == turn.bay);
        let work = days.bays.iter().find(|w| w.bay == turn.bay);
        let upstands = work.map_or(0, |w| w.upstands.iter().map(|u| u.length).sum());
        let things = work.map_or(0, |w| w.penetrations.len() + w.pockets.len() + w.outlets.len());
        let mut cells = vec![turn.bay.to_string()];
        if several {
            cells.push(turn.gang.to_string());
        }
        cells.extend([
            times(plan, turn),
            square_metres(bay.map_or(0, |b| b.size)),
            bay.map_or(0, |b| b.pieces.len()).to_string(),
            metres(upstands),
            metres(work.map_or(0, |w| w.joints)),
            things.to_string(),
            work.map_or(0, |w| w.loads).to_string(),
        ]);
        cells
    };
    Grid { rows: day.turns.iter().map(row).collect(), heads }
}

/// When a bay is begun and done.
fn times(plan: &Plan, turn: &Turn) -> String {
    let start = plan.programme.rates.day_start;
    let at = |minutes: u32| match start {
        Some(start) => {
            let minutes = start.saturating_add(minutes);
            format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60)
        }
        None => format!("{}:{:02}", minutes / 60, minutes % 60),
    };
    format!("{} to {}", at(turn.from), at(turn.to))
}

/// Rolls that lay part-used at the end of the day before.
fn before<'a>(days: &'a Days, day: &Day) -> &'a [u32] {
    let before = days.days.iter().find(|d| d.number + 1 == day.number);
    before.map_or(&[], |d| d.materials.rolls_part.as_slice())
}

/// What a day takes; what it takes none of is left out.
fn materials(m: &Materials, from_before: &[u32]) -> Grid {
    let numbers = |rolls: &[u32]| rolls.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let count = |rolls: &[u32]| i64::try_from(rolls.len()).unwrap_or(i64::MAX);
    let rows = [
        ("Membrane, field", m.membrane_kg, format!("{} kg", m.membrane_kg), String::new()),
        ("Membrane, details", m.details_kg, format!("{} kg", m.details_kg), String::new()),
        ("Blocks to melt", m.blocks, m.blocks.to_string(), String::new()),
        ("Primer", m.primer_litres, format!("{} l", m.primer_litres), String::new()),
        ("Rolls to carry up", count(&m.rolls_up), m.rolls_up.len().to_string(), numbers(&m.rolls_up)),
        (
            "Part rolls from the day before",
            count(from_before),
            from_before.len().to_string(),
            numbers(from_before),
        ),
        (
            "Part rolls left over",
            count(&m.rolls_part),
            m.rolls_part.len().to_string(),
            numbers(&m.rolls_part),
        ),
        ("Protection sheet", m.sheet_area, format!("{} m²", square_metres(m.sheet_area)), String::new()),
        ("Uncured elastomeric strip", m.strip, format!("{} m", metres(m.strip)), String::new()),
        ("Termination bar", m.bar, format!("{} m", metres(m.bar)), String::new()),
        ("Fixings", m.fixings, m.fixings.to_string(), String::new()),
        ("Gas", m.gas, format!("{} kg", hundredths(m.gas)), String::new()),
    ];
    let heads = vec![words("Item"), figures("How much"), words("Roll numbers")];
    let some = rows.into_iter().filter(|(_, n, ..)| *n > 0);
    Grid { heads, rows: some.map(|(name, _, figure, rolls)| vec![name.to_owned(), figure, rolls]).collect() }
}

fn melter_sentence(plan: &Plan, m: &MelterDay) -> String {
    let placed = plan.melters.iter().find(|placed| placed.id == m.melter);
    let name = match placed.map(|p| p.name.trim()) {
        None => "Melter".to_owned(),
        Some("") => format!("Melter {}", m.melter),
        Some(name) => format!("Melter {name}"),
    };
    let short = m.short_at.map_or_else(String::new, |at| {
        format!(
            " It runs short {}:{:02} hours after the start of work: light it earlier, or pour less.",
            at / 60,
            at % 60
        )
    });
    format!("{name}: {} l drawn, {} l melted by the last pour.{short}", m.drawn, m.melted)
}

fn joint_sentence(joint: &DayJoint) -> String {
    let DayJoint { laid, next, length, bad } = *joint;
    let worse = if bad > 0 {
        format!(", {} m of it in a pond, at an outlet or along a low line", metres(bad))
    } else {
        String::new()
    };
    format!("Bay {laid} towards bay {next}: {} m{worse}.", metres(length))
}
