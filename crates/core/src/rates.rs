//! Rates: what the plan says of the speed of the work, with an example for all that it does not say.
//!
//! In: a plan. Out: every rate as a plain number, and the paths of the settings that are absent. No published norm was
//! found for the output of a gang, the day, or the plant: every example is marked as one, and whoever shows a figure that
//! rests on one says so. It computes no work.

use crate::plan::{Mm, Plan};

/// Every rate as a plain number. Areas an hour are hundredths of a m2, lengths an hour mm, for a gang of
/// [`Resolved::people`].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Resolved {
    /// People that the rates hold for, one at the least.
    pub people: u32,
    /// Priming, hundredths of a m2 an hour.
    pub prime: i64,
    /// Pouring and reinforcing, hundredths of a m2 an hour.
    pub pour: i64,
    /// Laying the protection sheet, hundredths of a m2 an hour.
    pub protect: i64,
    /// Upstands, mm an hour.
    pub upstand: Mm,
    /// Free edges, mm an hour.
    pub free_edge: Mm,
    /// Movement joints, mm an hour.
    pub joint: Mm,
    /// One penetration outside pitch pockets, minutes.
    pub penetration: u32,
    /// One pitch pocket, minutes.
    pub pocket: u32,
    /// One outlet, minutes.
    pub outlet: u32,
    /// Working day, minutes.
    pub day_minutes: u32,
    /// Start of the working day, minutes after midnight.
    pub day_start: u32,
    /// Bond test and setting out at the start of a day, minutes.
    pub first_thing: u32,
    /// From lighting the melter to the first litre, minutes.
    pub melt_start: u32,
    /// Litres a melter melts in an hour.
    pub melt_rate: u32,
    /// What a melter holds where it does not say, litres.
    pub melter_litres: u32,
    /// What one person carries, hundredths of a litre.
    pub bucket: i64,
    /// Walking with a full bucket, mm a minute.
    pub walk: Mm,
    /// From the end of a bay's details to its first pour at the least, minutes.
    pub lead: u32,
    /// Gas that melts 100 kg of membrane, hundredths of a kg.
    pub gas: i64,
    /// Girth of the elastomeric strip over joints, mm.
    pub joint_girth: Mm,
    /// Centres of the fixings of termination bars, mm.
    pub bar_centres: Mm,
    /// Depth that pitch pockets are filled to, mm.
    pub pocket_depth: Mm,
    /// Paths of the settings that are absent from the plan: an example stands in for each.
    pub examples: Vec<String>,
}

impl Resolved {
    /// Minutes of a day before the first bay is begun: the bond test and setting out, and the first litre of the melter lit
    /// at the start of work, whichever takes longer.
    pub fn before_bays(&self) -> u32 {
        self.first_thing.max(self.melt_start)
    }
}

/// What stands in for rates that the plan does not give.
pub mod example {
    use crate::plan::Mm;

    /// Priming, hundredths of a m2 an hour: example, no published norm.
    pub const PRIME: i64 = 12_000;
    /// Pouring and reinforcing, hundredths of a m2 an hour: example, no published norm.
    pub const POUR: i64 = 3_000;
    /// Laying the protection sheet, hundredths of a m2 an hour: example, no published norm.
    pub const PROTECT: i64 = 6_000;
    /// Upstands, mm an hour: example, no published norm.
    pub const UPSTAND: Mm = 6_000;
    /// Free edges, mm an hour: example, no published norm.
    pub const FREE_EDGE: Mm = 10_000;
    /// Movement joints, mm an hour: example, no published norm.
    pub const JOINT: Mm = 5_000;
    /// One penetration, minutes: example, no published norm.
    pub const PENETRATION: u32 = 20;
    /// One pitch pocket, both pours, minutes: example, no published norm.
    pub const POCKET: u32 = 45;
    /// One outlet, minutes: example, no published norm.
    pub const OUTLET: u32 = 40;
    /// Working day, minutes: example, no published norm.
    pub const DAY_MINUTES: u32 = 480;
    /// Start of the working day, minutes after midnight: example, no published norm.
    pub const DAY_START: u32 = 8 * 60;
    /// Bond test and setting out, minutes: example, no published norm.
    pub const FIRST_THING: u32 = 45;
    /// From lighting the melter to the first litre, minutes: example, no published norm. A state tender for double-boiler
    /// sealant melters wants application temperature within an hour from cold (trade.md section 8): road plant, a hint.
    pub const MELT_START: u32 = 60;
    /// Litres melted in an hour: example, no published norm.
    pub const MELT_RATE: u32 = 300;
    /// What a melter holds, litres: example; 165 US gal (625 l) is a federal specification for a bitumen kettle
    /// (trade.md section 8): road plant, a hint.
    pub const MELTER_LITRES: u32 = 625;
    /// What one person carries, hundredths of a litre: example, no published norm.
    pub const BUCKET: i64 = 1_200;
    /// Walking with a full bucket, mm a minute: example, no published norm.
    pub const WALK: Mm = 40_000;
    /// From details to the first pour, minutes: primer is touch dry in about an hour (CRCA s.6.1, trade.md M9).
    pub const LEAD: u32 = 60;
    /// Gas that melts 100 kg, hundredths of a kg: 100 kg x 2.0 kJ/kgK x 170 K / (46.35 MJ/kg x 0.5) = 1.467 kg (trade.md
    /// section 8). The half is the guess of that section: no efficiency of a melter is published.
    pub const GAS: i64 = 147;
    /// Girth of the strip over joints, mm: example, no published norm.
    pub const JOINT_GIRTH: Mm = 450;
    /// Centres of the fixings of termination bars, mm: example, no published norm.
    pub const BAR_CENTRES: Mm = 200;
    /// Depth of pitch pockets, mm: example, no published norm.
    pub const POCKET_DEPTH: Mm = 75;
}

/// The rates of a plan.
pub fn resolve(plan: &Plan) -> Resolved {
    let (gang, rates, detailing) = (&plan.gang, &plan.programme.rates, &plan.detailing);
    let mut absent = Absent::default();
    let mut out = Resolved {
        people: gang.people.max(1),
        pour: absent.or("gang.rate", gang.rate, example::POUR),
        day_minutes: absent.or("gang.day_minutes", gang.day_minutes, example::DAY_MINUTES),
        prime: absent.or("programme.rates.prime", rates.prime, example::PRIME),
        protect: absent.or("programme.rates.protect", rates.protect, example::PROTECT),
        upstand: absent.or("programme.rates.upstand", rates.upstand, example::UPSTAND),
        free_edge: absent.or("programme.rates.free_edge", rates.free_edge, example::FREE_EDGE),
        joint: absent.or("programme.rates.joint", rates.joint, example::JOINT),
        penetration: absent.or("programme.rates.penetration", rates.penetration, example::PENETRATION),
        pocket: absent.or("programme.rates.pocket", rates.pocket, example::POCKET),
        outlet: absent.or("programme.rates.outlet", rates.outlet, example::OUTLET),
        day_start: absent.or("programme.rates.day_start", rates.day_start, example::DAY_START),
        first_thing: absent.or("programme.rates.first_thing", rates.first_thing, example::FIRST_THING),
        melt_start: absent.or("programme.rates.melt_start", rates.melt_start, example::MELT_START),
        melt_rate: absent.or("programme.rates.melt_rate", rates.melt_rate, example::MELT_RATE),
        melter_litres: absent.or(
            "programme.rates.melter_litres",
            rates.melter_litres,
            example::MELTER_LITRES,
        ),
        bucket: absent.or("programme.rates.bucket", rates.bucket, example::BUCKET),
        walk: absent.or("programme.rates.walk", rates.walk, example::WALK),
        lead: absent.or("programme.rates.lead", rates.lead, example::LEAD),
        gas: absent.or("programme.rates.gas", rates.gas, example::GAS),
        joint_girth: absent.or("detailing.joint_girth", detailing.joint_girth, example::JOINT_GIRTH),
        bar_centres: absent.or("detailing.bar_centres", detailing.bar_centres, example::BAR_CENTRES),
        pocket_depth: absent.or("detailing.pocket_depth", detailing.pocket_depth, example::POCKET_DEPTH),
        examples: Vec::new(),
    };
    out.examples = absent.paths;
    out
}

/// The settings that were not there.
#[derive(Default)]
struct Absent {
    paths: Vec<String>,
}

impl Absent {
    fn or<T>(&mut self, path: &str, value: Option<T>, example: T) -> T {
        value.unwrap_or_else(|| {
            self.paths.push(path.to_owned());
            example
        })
    }
}

#[cfg(test)]
mod tests {
    //! What is absent is named, what is given is taken.
    use super::*;

    #[test]
    fn examples_are_named_and_what_is_given_is_not() {
        let bare = resolve(&Plan::default());
        assert_eq!(bare.examples.len(), 22, "every rate of an empty plan is an example");
        assert_eq!((bare.pour, bare.day_minutes), (example::POUR, example::DAY_MINUTES));
        let mut plan = Plan::default();
        plan.gang.rate = Some(2_500);
        plan.gang.people = 0;
        plan.programme.rates.gas = Some(0);
        plan.detailing.joint_girth = Some(300);
        let given = resolve(&plan);
        assert_eq!((given.pour, given.gas, given.joint_girth, given.people), (2_500, 0, 300, 1));
        for path in ["gang.rate", "programme.rates.gas", "detailing.joint_girth"] {
            assert!(bare.examples.iter().any(|p| p == path), "{path}");
            assert!(given.examples.iter().all(|p| p != path), "{path}");
        }
    }

    /// Every path named is a field of the plan file that is null when absent.
    #[test]
    fn paths_are_those_of_the_plan_file() {
        let plan = serde_json::to_value(Plan::default()).expect("plain data");
        for path in resolve(&Plan::default()).examples {
            let field = plan.pointer(&format!("/{}", path.replace('.', "/")));
            assert!(field.is_some_and(serde_json::Value::is_null), "{path}");
        }
    }
}
