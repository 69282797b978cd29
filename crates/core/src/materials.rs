//! Materials: what each bay, each day and the job take.
//!
//! In: a plan, its layout, the work of the bays, the days. Out: figures to order and carry by: laps, cuts and whole units in
//! them; nothing measured is mixed in. Every figure is worked out from exact areas and lengths and rounded up once, so the
//! days' kilograms and litres add up to the job's but for less than one unit a day; the blocks of a day are whole, so those
//! of all days may be a block a day more than the job's. Lengths, fixings, rolls and the protection sheet add up exactly:
//! the sheet is that of its pieces as cut, bay by bay, once it is laid out.
//! Details that others do ahead count on the day they are done. It cuts nothing and plans no day.

use crate::layout::days::{BayWork, Day, Days, Materials};
use crate::layout::{Bay, Layout};
use crate::plan::{DetailsBy, Plan};
use crate::quantities::{ceil, sheet_gross};
use crate::rates::{self, Resolved};
use crate::work;
use std::collections::BTreeMap;

/// Fills in the materials of each day and of the job.
pub fn fill(plan: &Plan, layout: &Layout, days: &mut Days) {
    let (job, each) = {
        let store = Store::new(plan, layout, &days.bays);
        (store.of_job(), store.of_days(&days.days))
    };
    days.materials = job;
    for (day, materials) in days.days.iter_mut().zip(each) {
        day.materials = materials;
    }
}

/// A layout and its work, ready to be asked what parts of it take.
#[derive(Debug)]
pub struct Store<'a> {
    plan: &'a Plan,
    layout: &'a Layout,
    rates: Resolved,
    bays: Vec<(&'a Bay, &'a BayWork)>,
    /// For each roll, by its place in the layout: the bays its pieces are laid in, and those its strips stand in.
    uses: Vec<Uses>,
}

/// Numbers of the bays that a roll serves.
#[derive(Clone, Debug, Default)]
struct Uses {
    pieces: Vec<u32>,
    strips: Vec<u32>,
}

/// What is done of a bay at one time.
#[derive(Clone, Copy, Debug)]
struct Part<'a> {
    bay: &'a Bay,
    work: &'a BayWork,
    field: bool,
    details: bool,
}

impl<'a> Store<'a> {
    /// A layout with the work of its bays.
    pub fn new(plan: &'a Plan, layout: &'a Layout, work: &'a [BayWork]) -> Self {
        let by_number: BTreeMap<u32, &BayWork> = work.iter().map(|w| (w.bay, w)).collect();
        let bays = layout.bays.iter().filter_map(|b| Some((b, *by_number.get(&b.number)?))).collect();
        Self { plan, layout, rates: rates::resolve(plan), bays, uses: uses(layout) }
    }

    /// The whole job. Rolls part-used are those with a rest worth keeping: they come back.
    pub fn of_job(&self) -> Materials {
        let parts: Vec<Part<'_>> = self.bays.iter().map(|&(bay, work)| whole(bay, work)).collect();
        let rolls = self.layout.rolls.iter();
        Materials {
            rolls_up: rolls.clone().map(|r| r.number).collect(),
            rolls_part: rolls.filter(|r| r.kept).map(|r| r.number).collect(),
            ..self.sum(&parts)
        }
    }

    /// Each bay, in the order of the layout. Rolls part-used are those that later bays go on with.
    pub fn of_bays(&self) -> Vec<Materials> {
        let at: BTreeMap<u32, usize> =
            self.bays.iter().enumerate().map(|(i, (bay, _))| (bay.number, i)).collect();
        let spans = self.spans(&at, &at);
        let one = |(i, &(bay, work)): (usize, &(&Bay, &BayWork))| {
            with_rolls(self.sum(&[whole(bay, work)]), &spans, i)
        };
        self.bays.iter().enumerate().map(one).collect()
    }

    /// Each day. Rolls part-used are those that later days go on with.
    pub fn of_days(&self, days: &[Day]) -> Vec<Materials> {
        let by_gang = self.plan.programme.details == DetailsBy::Gang;
        let mut poured = BTreeMap::new();
        let mut detailed = BTreeMap::new();
        for (n, day) in days.iter().enumerate() {
            for turn in &day.turns {
                poured.entry(turn.bay).or_insert(n);
            }
            if !by_gang {
                for bay in &day.details_of {
                    detailed.entry(*bay).or_insert(n);
                }
            }
        }
        // What nobody does ahead is done with the pour.
        for (bay, n) in &poured {
            detailed.entry(*bay).or_insert(*n);
        }
        let spans = self.spans(&poured, &detailed);
        let of_day = |n: usize| {
            let part = |&(bay, work): &(&'a Bay, &'a BayWork)| {
                let field = poured.get(&bay.number) == Some(&n);
                let details = detailed.get(&bay.number) == Some(&n);
                (field || details).then_some(Part { bay, work, field, details })
            };
            let parts: Vec<Part<'_>> = self.bays.iter().filter_map(part).collect();
            with_rolls(self.sum(&parts), &spans, n)
        };
        (0..days.len()).map(of_day).collect()
    }

    /// For each roll its number and the first and the last time it is cut from, where it is at all.
    fn spans(&self, poured: &BTreeMap<u32, usize>, detailed: &BTreeMap<u32, usize>) -> Vec<Span> {
        let span = |(uses, roll): (&Uses, &crate::layout::Roll)| {
            let pieces = uses.pieces.iter().filter_map(|bay| poured.get(bay));
            let times: Vec<usize> =
                pieces.chain(uses.strips.iter().filter_map(|bay| detailed.get(bay))).copied().collect();
            Some(Span { roll: roll.number, first: *times.iter().min()?, last: *times.iter().max()? })
        };
        self.uses.iter().zip(&self.layout.rolls).filter_map(span).collect()
    }

    /// Protection sheet of the fields among some parts, mm2: as cut where it is laid out, else by their area.
    fn sheet_area(&self, parts: &[Part<'_>], area: i128) -> i64 {
        let Some(sheet) = &self.layout.protection else { return sheet_gross(area, &self.plan.products) };
        let poured = |bay: u32| parts.iter().any(|p| p.field && p.bay.number == bay);
        sheet.bays.iter().filter(|b| poured(b.bay)).map(|b| b.cut_area).sum()
    }

    fn sum(&self, parts: &[Part<'_>]) -> Materials {
        let products = &self.plan.products;
        let density = i128::from(products.density);
        let coats: i128 = products.coats.iter().map(|c| i128::from(*c)).sum();
        let fields = || parts.iter().filter(|p| p.field);
        let details = || parts.iter().filter(|p| p.details).map(|p| p.work);
        let area: i128 = fields().map(|p| i128::from(p.bay.size)).sum();
        let millilitres: i128 = details().map(|w| i128::from(w.details_millilitres)).sum();
        // mm2 x 1/100 mm x kg/m3: 10^2 and 10^9 to come back to kg; millilitres: 10^6.
        let membrane_kg = ceil(area * coats * density, 100_000_000_000);
        let details_kg = ceil(millilitres * density, 1_000_000);
        let kg = i128::from(membrane_kg) + i128::from(details_kg);
        let strip = details().map(|w| w.joints).sum();
        let upstands = || details().flat_map(|w| &w.upstands).map(|u| u.length);
        let centres = i128::from(self.rates.bar_centres);
        Materials {
            membrane_kg,
            details_kg,
            blocks: ceil(kg * 100, i128::from(products.block)),
            primer_litres: ceil(area, 10_000 * i128::from(products.primer_coverage)),
            sheet_area: self.sheet_area(parts, area),
            strip,
            strip_area: strip * self.rates.joint_girth,
            bar: upstands().sum(),
            fixings: upstands().map(|length| ceil(i128::from(length), centres)).sum(),
            gas: ceil(kg * i128::from(self.rates.gas), 100),
            ..Materials::default()
        }
    }
}

/// All that is done of a bay.
fn whole<'a>(bay: &'a Bay, work: &'a BayWork) -> Part<'a> {
    Part { bay, work, field: true, details: true }
}

/// First and last time that a roll is cut from.
#[derive(Clone, Copy, Debug)]
struct Span {
    roll: u32,
    first: usize,
    last: usize,
}

fn with_rolls(materials: Materials, spans: &[Span], at: usize) -> Materials {
    let numbers = |is: &dyn Fn(&Span) -> bool| spans.iter().filter(|s| is(s)).map(|s| s.roll).collect();
    Materials {
        rolls_up: numbers(&|s| s.first == at),
        rolls_part: numbers(&|s| s.first <= at && s.last > at),
        ..materials
    }
}

fn uses(layout: &Layout) -> Vec<Uses> {
    let index: BTreeMap<u32, usize> = layout.rolls.iter().enumerate().map(|(i, r)| (r.number, i)).collect();
    let mut uses = vec![Uses::default(); layout.rolls.len()];
    for piece in &layout.pieces {
        if let Some(&i) = index.get(&piece.roll) {
            uses[i].pieces.push(piece.bay);
        }
    }
    let at = work::bays_at(&layout.bays, layout.strips.iter().map(|s| s.at));
    for (strip, bay) in layout.strips.iter().zip(at) {
        if let (Some(&i), Some(bay)) = (index.get(&strip.roll), bay) {
            uses[i].strips.push(layout.bays[bay].number);
        }
    }
    uses
}

#[cfg(test)]
mod tests {
    //! The demo jobs put into days of two bays: what the days take adds up to the job, and the job to the layout's totals.
    use super::*;
    use crate::layout::days::Turn;
    use crate::{lay_quick, model};

    fn job(text: &str, strips: bool) -> (Plan, Layout, Days) {
        let mut plan = crate::plan::file::read(text.as_bytes()).expect("demo plans read");
        plan.products.upstand_strips = strips;
        let layout = lay_quick(&plan);
        let model = model::check(&plan, &mut Vec::new());
        let bays = work::of_bays(&plan, &model, &layout.bays);
        let day = |(bays, number): (&[Bay], u32)| Day {
            number,
            turns: bays.iter().map(|b| Turn { bay: b.number, gang: 1, from: 0, to: 1 }).collect(),
            ..Day::default()
        };
        let days = layout.bays.chunks(2).zip(1..).map(day).collect();
        let days = Days { bays, days, ..Days::default() };
        (plan, layout, days)
    }

    #[test]
    fn days_add_up_to_the_job() {
        for (name, text) in crate::work::DEMOS {
            for strips in [false, true] {
                let (plan, layout, mut days) = job(text, strips);
                fill(&plan, &layout, &mut days);
                let (all, each) = (&days.materials, &days.days);
                let sum =
                    |of: &dyn Fn(&Materials) -> i64| -> i64 { each.iter().map(|d| of(&d.materials)).sum() };
                let mut up: Vec<u32> = each.iter().flat_map(|d| d.materials.rolls_up.clone()).collect();
                up.sort_unstable();
                let rolls: Vec<u32> = layout.rolls.iter().map(|r| r.number).collect();
                assert_eq!((&up, &all.rolls_up), (&rolls, &rolls), "{name}: every roll goes up once");
                assert!(!rolls.is_empty(), "{name}");
                let exact: [&dyn Fn(&Materials) -> i64; 4] =
                    [&|m| m.strip, &|m| m.bar, &|m| m.fixings, &|m| m.strip_area];
                for of in exact {
                    assert_eq!(sum(of), of(all), "{name}");
                }
                let room = each.len() as i64;
                let rounded: [&dyn Fn(&Materials) -> i64; 4] =
                    [&|m| m.membrane_kg, &|m| m.details_kg, &|m| m.primer_litres, &|m| m.sheet_area];
                for of in rounded {
                    assert!((of(all)..of(all) + room).contains(&sum(of)), "{name}: {} {}", sum(of), of(all));
                }
                // A block more a day, and the kilogram that each of two roundings may be over.
                let blocks = sum(&|m| m.blocks);
                assert!((all.blocks..=all.blocks + 2 * room).contains(&blocks), "{name}");
                assert!(each.last().is_some_and(|d| d.materials.rolls_part.is_empty()), "{name}");
            }
        }
    }

    /// The totals of the layout are worked out from the area of the decks at once; the bays partition the decks.
    #[test]
    fn the_job_is_what_the_layout_adds_up() {
        for (name, text) in crate::work::DEMOS {
            let (plan, layout, mut days) = job(text, false);
            fill(&plan, &layout, &mut days);
            let (all, totals) = (&days.materials, &layout.totals);
            assert!((all.membrane_kg - totals.membrane_kg).abs() <= 1, "{name}");
            assert!((all.primer_litres - totals.primer_litres).abs() <= 1, "{name}");
            assert!((all.sheet_area - totals.sheet_area).abs() <= 1000, "{name}");
            assert_eq!(all.strip, days.bays.iter().map(|w| w.joints).sum::<i64>(), "{name}");
        }
    }

    /// 100 m2 at 6 mm and 1.2 kg/l: 7.2 kg/m2, 720 kg, 40 blocks of 18 kg; primer 25.0 l at 4 m2/l, 16.7 at 6 (CRCA s.6.1,
    /// M9; trade.md section 3, derived there); gas 100 kg for 1.467 kg (section 8).
    #[test]
    fn a_hundred_square_metres() {
        let mut plan = Plan::default();
        let bay = Bay { number: 1, size: 100_000_000, ..Bay::default() };
        let layout = Layout { bays: vec![bay], ..Layout::default() };
        let work = [BayWork { bay: 1, joints: 2_000, ..BayWork::default() }];
        let all = Store::new(&plan, &layout, &work).of_job();
        assert_eq!((all.membrane_kg, all.blocks, all.primer_litres, all.gas), (720, 40, 25, 1_059));
        assert_eq!((all.strip, all.strip_area), (2_000, 2_000 * rates::example::JOINT_GIRTH));
        plan.products.primer_coverage = 600;
        assert_eq!(Store::new(&plan, &layout, &work).of_job().primer_litres, 17);
    }

    /// 1.100 m and 0.450 m of upstand, fixings at 200 mm: 6 and 3. 46.8 l of details at 1.2 kg/l: 56.16 kg.
    #[test]
    fn bars_and_details() {
        let upstand = |length| crate::layout::days::UpstandWork {
            kind: crate::plan::UpstandKind::Kerb,
            height: 150,
            length,
            girth: 300,
        };
        let work = [BayWork {
            bay: 1,
            upstands: vec![upstand(1_100), upstand(450)],
            details_millilitres: 46_800,
            ..BayWork::default()
        }];
        let layout = Layout { bays: vec![Bay { number: 1, ..Bay::default() }], ..Layout::default() };
        let mut plan = Plan::default();
        plan.detailing.bar_centres = Some(200);
        let all = Store::new(&plan, &layout, &work).of_job();
        assert_eq!((all.bar, all.fixings, all.details_kg, all.blocks), (1_550, 9, 57, 4));
    }

    #[test]
    fn details_done_ahead_count_on_their_day() {
        let (mut plan, layout, mut days) = job(crate::work::DEMOS[4].1, true);
        plan.programme.details = DetailsBy::Others { people: 2 };
        let last = days.days.len() - 1;
        days.days[0].details_of = layout.bays.iter().map(|b| b.number).collect();
        fill(&plan, &layout, &mut days);
        assert_eq!(days.days[0].materials.bar, days.materials.bar);
        assert_eq!(days.days[last].materials.bar, 0);
        assert!(days.days[last].materials.membrane_kg > 0);
    }
}
