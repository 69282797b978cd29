//! Melting: what each melter holds through a day, and when it runs short.
//!
//! In: the turns of a day, the work of their bays, the rates. Out: for each melter drawn from the litres drawn, the litres
//! it can have melted, its level through the day, and the minute at which it first has too little. A melter is lit at the
//! start of the day, empty; its first litre is there when it has started up; from then it melts evenly while there is
//! room. A bay draws evenly while it is poured, its details while they are done. Litres are hot. Heat by the formula of
//! trade.md section 8; how fast a melter melts is the user's input. Details that others do ahead are drawn evenly over
//! the day. It moves nothing: a day that runs short is told, not mended.

use crate::finding::{About, Finding};
use crate::layout::days::{BayWork, Day, Days, MelterDay, Turn};
use crate::plan::{Id, Plan};
use crate::rates::Resolved;
use crate::work::hot;
use std::collections::BTreeMap;

/// What is drawn evenly over some minutes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Draw {
    /// First minute of the day.
    pub from: u32,
    /// Last minute.
    pub to: u32,
    /// Litres, hot.
    pub litres: f64,
}

/// A melter: what it holds and how fast it melts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pot {
    /// Litres it holds.
    pub holds: f64,
    /// Litres it melts in an hour.
    pub rate: f64,
    /// Minutes from lighting to the first litre.
    pub start: u32,
}

/// Fills in the melters of each day.
pub fn fill(plan: &Plan, rates: &Resolved, days: &mut Days) {
    let Days { bays, days, .. } = days;
    for day in days {
        day.melters = of_day(plan, rates, bays, day);
    }
}

/// Findings about melters that run short, one for each melter: its first day, and how many days there are.
pub fn remark(days: &Days, findings: &mut Vec<Finding>) {
    let mut short: BTreeMap<Id, (u32, u32, u32)> = BTreeMap::new();
    for day in &days.days {
        for (melter, minute) in day.melters.iter().filter_map(|m| Some((m.melter, m.short_at?))) {
            short.entry(melter).or_insert((day.number, minute, 0)).2 += 1;
        }
    }
    for (melter, (day, minute, count)) in short {
        let who = if melter == 0 { "The melter".to_owned() } else { format!("Melter {melter}") };
        let about = if melter == 0 { About::Job } else { About::Plan(melter) };
        let days = if count > 1 { format!("; in all on {count} days") } else { String::new() };
        let text = format!(
            "{who} runs short on day {day}, {} h {} min after the start of work{days}.",
            minute / 60,
            minute % 60
        );
        let mend = "Light it earlier, pour fewer bays in the day, or bring a larger or second melter.";
        findings.push(Finding::warning("melter-short", about, text, mend));
    }
}

/// The melters of a day, by id. `work` is that of all bays, in any order.
pub fn of_day(plan: &Plan, rates: &Resolved, work: &[BayWork], day: &Day) -> Vec<MelterDay> {
    let bay = |number: u32| work.iter().find(|w| w.bay == number);
    let by_gang = plan.programme.details == crate::plan::DetailsBy::Gang;
    let mut draws: BTreeMap<Id, Vec<Draw>> = BTreeMap::new();
    for turn in &day.turns {
        let Some(work) = bay(turn.bay) else { continue };
        let gang = turn.gang.saturating_sub(1) as usize;
        let melter = work.melters.get(gang).copied().unwrap_or(0);
        draws.entry(melter).or_default().extend(of_turn(turn, work, gang, by_gang));
    }
    if !by_gang {
        for work in day.details_of.iter().filter_map(|n| bay(*n)) {
            let melter = work.melters.first().copied().unwrap_or(0);
            let to = rates.day_minutes.max(rates.melt_start + 1);
            let draw = Draw { from: rates.melt_start, to, litres: litres(work.details_millilitres) };
            draws.entry(melter).or_default().push(draw);
        }
    }
    draws.into_iter().map(|(id, draws)| through_day(id, &pot(plan, rates, id), &draws)).collect()
}

/// A melter through a day.
pub fn through_day(melter: Id, pot: &Pot, draws: &[Draw]) -> MelterDay {
    let end = draws.iter().map(|d| d.to).max().unwrap_or(0);
    let mut marks: Vec<u32> = draws.iter().flat_map(|d| [d.from, d.to]).chain([0, pot.start, end]).collect();
    marks.retain(|m| *m <= end);
    marks.sort_unstable();
    marks.dedup();
    let mut state = State { level: 0.0, melted: 0.0, short_at: None, points: vec![(0.0, 0.0)] };
    for pair in marks.windows(2) {
        let drawn: f64 = draws.iter().map(|d| d.rate_between(pair[0], pair[1])).sum();
        let melting = if pair[0] >= pot.start { pot.rate / 60.0 } else { 0.0 };
        state.go(f64::from(pair[0]), f64::from(pair[1]), Flow { melting, drawn, holds: pot.holds });
    }
    MelterDay {
        melter,
        drawn: whole(libm::ceil(draws.iter().map(|d| d.litres).sum::<f64>() - SPECK)),
        melted: whole(libm::floor(state.melted + SPECK)),
        short_at: state.short_at.map(|t| whole(libm::floor(t + SPECK))),
        level: points(&state.points),
    }
}

/// Gas that melts membrane, kg: `mass x cp x rise / (value x share) / 1000`, with the mass in kg, cp in kJ/kgK, the rise in
/// C, the net value in MJ/kg and the share of it that reaches the membrane (trade.md section 8).
pub fn gas(mass: f64, cp: f64, rise: f64, value: f64, share: f64) -> f64 {
    mass * cp * rise / (value * share) / 1000.0
}

/// Litres smaller than this are rounding.
const SPECK: f64 = 1e-6;

fn pot(plan: &Plan, rates: &Resolved, id: Id) -> Pot {
    let own = plan.melters.iter().find(|m| m.id == id).and_then(|m| m.litres);
    Pot {
        holds: f64::from(own.unwrap_or(rates.melter_litres)),
        rate: f64::from(rates.melt_rate),
        start: rates.melt_start,
    }
}

/// What a bay draws in its turn: its details while they are done, its field while it is poured and carried.
fn of_turn(turn: &Turn, work: &BayWork, gang: usize, by_gang: bool) -> Vec<Draw> {
    let minutes = work.minutes.get(gang).copied().unwrap_or_default();
    let details = (turn.from + minutes.prime).min(turn.to);
    let pour = (details + minutes.details).min(turn.to);
    let end = turn.to.saturating_sub(minutes.protect).max(pour);
    let mut draws = vec![Draw { from: pour, to: end, litres: litres(work.millilitres) }];
    if by_gang && work.details_millilitres > 0 {
        draws.push(Draw { from: details, to: pour, litres: litres(work.details_millilitres) });
    }
    // What takes no time is taken over a minute.
    for draw in &mut draws {
        draw.to = draw.to.max(draw.from + 1);
    }
    draws
}

#[allow(clippy::cast_precision_loss)]
fn litres(cold: i64) -> f64 {
    hot(cold) as f64 / 1000.0
}

impl Draw {
    /// Litres a minute between two minutes that none of its ends lies between.
    fn rate_between(&self, from: u32, to: u32) -> f64 {
        let within = self.from <= from && to <= self.to && self.to > self.from;
        if within { self.litres / f64::from(self.to - self.from) } else { 0.0 }
    }
}

/// Rates that hold for a while, litres a minute, and what the melter holds.
#[derive(Clone, Copy)]
struct Flow {
    melting: f64,
    drawn: f64,
    holds: f64,
}

struct State {
    level: f64,
    melted: f64,
    short_at: Option<f64>,
    points: Vec<(f64, f64)>,
}

impl State {
    /// Goes on from one minute to another.
    fn go(&mut self, from: f64, to: f64, flow: Flow) {
        let net = flow.melting - flow.drawn;
        let reach = |bound: f64| (bound - self.level) / net;
        // Full or empty on the way: from then the level stays.
        let turn = if net > 0.0 {
            reach(flow.holds)
        } else if net < 0.0 {
            reach(0.0)
        } else {
            f64::INFINITY
        };
        let turn = (from + turn.max(0.0)).min(to);
        let rising = turn - from;
        self.level = (self.level + net * rising).clamp(0.0, flow.holds.max(0.0));
        self.melted += flow.melting * rising;
        self.points.push((turn, self.level));
        if to - turn > SPECK {
            if net > 0.0 {
                self.melted += flow.drawn * (to - turn);
            } else if net < 0.0 {
                self.short_at.get_or_insert(turn);
                self.melted += flow.melting * (to - turn);
            }
            self.points.push((to, self.level));
        }
    }
}

/// Minutes and litres, whole, each minute once.
fn points(all: &[(f64, f64)]) -> Vec<[u32; 2]> {
    let mut out: Vec<[u32; 2]> = Vec::new();
    for &(minute, litres) in all {
        let point = [whole(libm::round(minute)), whole(libm::round(litres))];
        match out.last_mut() {
            Some(last) if last[0] == point[0] => *last = point,
            _ => out.push(point),
        }
    }
    out
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(value: f64) -> u32 {
    value.clamp(0.0, f64::from(u32::MAX)) as u32
}

#[cfg(test)]
mod tests {
    //! Balances in closed form, and values of trade.md section 8.
    use super::*;
    use crate::layout::days::Minutes;
    use crate::plan::Melter;

    const POT: Pot = Pot { holds: 200.0, rate: 120.0, start: 60 };

    fn draw(from: u32, to: u32, litres: f64) -> Draw {
        Draw { from, to, litres }
    }

    /// 2 l a minute from minute 60: 120 l at minute 120; then 4 l a minute drawn leaves net -2, empty at 180.
    #[test]
    fn it_runs_short_when_the_store_is_drawn() {
        let day = through_day(7, &POT, &[draw(120, 240, 480.0)]);
        assert_eq!((day.melter, day.drawn, day.short_at), (7, 480, Some(180)));
        // 120 by minute 120, 2 a minute for 120 minutes more.
        assert_eq!(day.melted, 360);
        assert_eq!(day.level, [[0, 0], [60, 0], [120, 120], [180, 0], [240, 0]]);
    }

    /// Full (200 l) at minute 160 and no more melted until minute 200; 2.5 l a minute then leaves 200 - 0.5 x 100 = 150.
    #[test]
    fn a_full_melter_melts_no_more() {
        let day = through_day(1, &POT, &[draw(200, 300, 250.0)]);
        assert_eq!((day.drawn, day.melted, day.short_at), (250, 400, None));
        assert_eq!(day.level, [[0, 0], [60, 0], [160, 200], [200, 200], [300, 150]]);
        // Drawn more slowly than it melts, it stays full: what is drawn is melted again.
        let slow = through_day(1, &POT, &[draw(200, 300, 100.0)]);
        assert_eq!((slow.melted, slow.level.last()), (300, Some(&[300, 200])));
    }

    /// Drawn before it has started up: short at once.
    #[test]
    fn nothing_is_there_before_it_has_started_up() {
        let day = through_day(1, &POT, &[draw(30, 90, 60.0)]);
        assert_eq!((day.drawn, day.melted, day.short_at), (60, 60, Some(30)));
    }

    /// Two gangs at one melter: 1 l a minute each from minute 60, 2 l a minute melted: never short, nothing over. A drop more
    /// and it is short at once.
    #[test]
    fn two_gangs_draw_together() {
        let even = [draw(60, 160, 100.0), draw(60, 160, 100.0)];
        assert_eq!(through_day(1, &POT, &even).short_at, None);
        let more = [draw(60, 160, 100.0), draw(60, 160, 110.0)];
        assert_eq!(through_day(1, &POT, &more).short_at, Some(60));
        assert_eq!(
            through_day(1, &POT, &[]),
            MelterDay { melter: 1, level: vec![[0, 0]], ..MelterDay::default() }
        );
    }

    /// 2,000 kg, cp 2.0, from 10 to 180 C: 680 MJ; 14.67 kg of propane at 46.35 MJ/kg, 29.34 kg at one half (trade.md
    /// section 8, derived there). The example rate is the same for 100 kg.
    #[test]
    fn heat_and_gas() {
        assert!((2_000.0 * 2.0 * 170.0 / 1000.0 - 680.0_f64).abs() < 1e-9);
        assert!((gas(2_000.0, 2.0, 170.0, 46.35, 1.0) - 14.67).abs() < 0.005);
        assert!((gas(2_000.0, 2.0, 170.0, 46.35, 0.5) - 29.34).abs() < 0.005);
        let hundred = gas(100.0, 2.0, 170.0, 46.35, 0.5) * 100.0;
        assert_eq!(whole(libm::round(hundred)), u32::try_from(crate::rates::example::GAS).expect("small"));
    }

    /// 6 mm cold gauged molten is 6.586 mm; 1.200 kg/l cold is 1.0933 hot; 1,000 l hot are 1,093 kg = 151.8 m2 at 7.2 kg/m2
    /// (trade.md sections 3 and 8, derived there).
    #[test]
    fn hot_volumes() {
        assert_eq!(hot(6_000), 6_586);
        let density = 1_200.0 / 1.0976;
        assert!((density - 1_093.3_f64).abs() < 0.05);
        assert!((density / 7.2 - 151.8).abs() < 0.06);
    }

    #[test]
    fn a_melter_that_runs_short_is_told_once() {
        let melter = |melter, short_at| MelterDay { melter, short_at, ..MelterDay::default() };
        let day = |number, melters| Day { number, melters, ..Day::default() };
        let days = vec![
            day(1, vec![melter(3, None), melter(0, Some(61))]),
            day(2, vec![melter(3, Some(125))]),
            day(3, vec![melter(3, Some(90))]),
        ];
        let mut findings = Vec::new();
        remark(&Days { days, ..Days::default() }, &mut findings);
        let told: Vec<(&About, &str)> = findings.iter().map(|f| (&f.about, f.text.as_str())).collect();
        assert_eq!(
            told,
            [
                (&About::Job, "The melter runs short on day 1, 1 h 1 min after the start of work."),
                (
                    &About::Plan(3),
                    "Melter 3 runs short on day 2, 2 h 5 min after the start of work; in all on 2 days."
                ),
            ]
        );
    }

    #[test]
    fn the_melters_of_a_day() {
        let melters = vec![Melter { id: 3, litres: Some(1_000), ..Melter::default() }];
        let mut plan = Plan { melters, ..Plan::default() };
        let minutes = Minutes { prime: 10, details: 20, pour: 60, haul: 30, protect: 40 };
        let work = BayWork {
            bay: 1,
            millilitres: 100_000,
            details_millilitres: 10_000,
            melters: vec![3],
            minutes: vec![minutes],
            ..BayWork::default()
        };
        let day = Day { turns: vec![Turn { bay: 1, gang: 1, from: 100, to: 260 }], ..Day::default() };
        let rates = crate::rates::resolve(&plan);
        let melters = of_day(&plan, &rates, std::slice::from_ref(&work), &day);
        // 110 l cold are 120.736 hot; details from minute 110 to 130, the field to 220.
        assert_eq!((melters.len(), melters[0].melter, melters[0].drawn), (1, 3, 121));
        let minutes: Vec<u32> = melters[0].level.iter().map(|p| p[0]).collect();
        assert_eq!(minutes, [0, 60, 110, 130, 220]);
        plan.programme.details = crate::plan::DetailsBy::Others { people: 1 };
        let ahead = Day { details_of: vec![1], ..Day::default() };
        assert_eq!(of_day(&plan, &rates, std::slice::from_ref(&work), &ahead)[0].drawn, 11);
        let mut days = Days { bays: vec![work], days: vec![day, ahead], ..Days::default() };
        fill(&plan, &rates, &mut days);
        // The field alone, now that others do the details: 100 l cold.
        assert_eq!(days.days.iter().map(|d| d.melters[0].drawn).collect::<Vec<_>>(), [110, 11]);
    }
}
