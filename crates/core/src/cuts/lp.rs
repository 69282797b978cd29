//! The least-cost mix of columns that covers every row: a small revised simplex method.
//!
//! In: rows `sum of columns >= need` and columns with a cost, which may be added while it runs. Out: how much of each
//! column, and the worth of each row (its dual). One pivot at a time, so that a caller can stop anywhere. The inverse of
//! the basis is held in full: good for some hundred rows. Only + - * / are used, so every machine does the same. Its
//! numbers are floating: nobody may take them for a proof.

/// Smallest number taken for more than nought.
const TINY: f64 = 1e-9;
/// Gain from which on a column is taken in; who prices columns must ask for more, or they are added and never used.
pub(super) const WORTH_IT: f64 = 2e-8;
/// Pivots after which the inverse is built anew.
const REBUILD: usize = 120;

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) cost: f64,
    /// Rows and how much of each it covers.
    pub(super) rows: Vec<(usize, f64)>,
}

/// A hair of difference between the rows keeps pivots from going round in circles.
fn hair(row: usize) -> f64 {
    1e-7 * (1.0 + ((row * 7919) % 101) as f64 / 101.0)
}

/// What stands in the basis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Basic {
    /// What covers a row at the price of a lack.
    Lack(usize),
    /// What takes up the surplus of a row.
    Surplus(usize),
    Column(usize),
}

/// The programme and its basis.
#[derive(Clone, Debug)]
pub(super) struct Lp {
    size: usize,
    lack: f64,
    /// Rows limited from above, whose basis begins with a surplus.
    limits: Vec<bool>,
    columns: Vec<Column>,
    basis: Vec<Basic>,
    in_basis: Vec<bool>,
    inverse: Vec<f64>,
    need: Vec<f64>,
    amount: Vec<f64>,
    worth: Vec<f64>,
    pivots: usize,
    /// Work of the last call, in multiplications.
    pub(super) work: u64,
}

impl Lp {
    /// Rows with their needs, the last of them limits: sums that may not fall below a negative number. A unit lacking
    /// costs `lack`.
    pub(super) fn new(need: &[f64], limits: usize, lack: f64) -> Self {
        let size = need.len();
        let is_limit: Vec<bool> = (0..size).map(|r| r + limits >= size).collect();
        let start = |(i, limit): (usize, &bool)| if *limit { Basic::Surplus(i) } else { Basic::Lack(i) };
        let mut lp = Self {
            size,
            lack,
            columns: Vec::new(),
            basis: is_limit.iter().enumerate().map(start).collect(),
            limits: is_limit,
            in_basis: Vec::new(),
            inverse: Vec::new(),
            need: Vec::new(),
            amount: Vec::new(),
            worth: Vec::new(),
            pivots: 0,
            work: 0,
        };
        let with_hair = |(r, n): (usize, &f64)| n + if lp.limits[r] { -hair(r) } else { hair(r) };
        lp.need = need.iter().enumerate().map(with_hair).collect();
        lp.reset();
        lp
    }

    /// The inverse, amounts and worths of the basis as it stands, which must be of lacks and surpluses only.
    fn reset(&mut self) {
        let n = self.size;
        self.inverse = vec![0.0; n * n];
        self.worth = vec![0.0; n];
        for r in 0..n {
            let sign = if matches!(self.basis[r], Basic::Surplus(_)) { -1.0 } else { 1.0 };
            self.inverse[r * n + r] = sign;
            self.worth[r] = if sign > 0.0 { self.lack } else { 0.0 };
        }
        self.amount = (0..n).map(|r| self.inverse[r * n + r] * self.need[r]).collect();
    }

    pub(super) fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Adds a column.
    pub(super) fn add(&mut self, column: Column) {
        self.columns.push(column);
        self.in_basis.push(false);
    }

    /// Worth of each row.
    pub(super) fn worth(&self) -> &[f64] {
        &self.worth
    }

    /// How much of each column is in the mix.
    pub(super) fn amounts(&self) -> Vec<f64> {
        let mut amounts = vec![0.0; self.columns.len()];
        for (b, x) in self.basis.iter().zip(&self.amount) {
            if let Basic::Column(j) = b {
                amounts[*j] = x.max(0.0);
            }
        }
        amounts
    }

    /// What a unit of a column costs beyond what it is worth.
    pub(super) fn dearness(&self, column: &Column) -> f64 {
        column.cost - column.rows.iter().map(|&(r, a)| a * self.worth[r]).sum::<f64>()
    }

    /// Takes in the column that is worth most beyond its cost; whether there was one.
    pub(super) fn pivot(&mut self) -> bool {
        self.work = self.columns.len() as u64 * 4;
        let Some((enters, gain)) = self.entering() else { return false };
        let direction = self.direction(enters);
        let Some(row) = self.leaving(&direction) else { return false };
        self.exchange(row, enters, gain, &direction);
        self.count_pivot();
        true
    }

    fn count_pivot(&mut self) {
        self.pivots += 1;
        if self.pivots.is_multiple_of(REBUILD) {
            self.rebuild();
        }
    }

    fn entering(&self) -> Option<(Basic, f64)> {
        let mut best: Option<(Basic, f64)> = None;
        let mut offer = |b: Basic, gain: f64| {
            if gain < -WORTH_IT && best.is_none_or(|(_, g)| gain < g) {
                best = Some((b, gain));
            }
        };
        for (j, c) in self.columns.iter().enumerate() {
            if !self.in_basis[j] {
                offer(Basic::Column(j), self.dearness(c));
            }
        }
        for (r, &w) in self.worth.iter().enumerate() {
            offer(Basic::Surplus(r), w);
        }
        best
    }

    /// How the amounts of the basis fall for a unit of what enters.
    fn direction(&mut self, enters: Basic) -> Vec<f64> {
        let n = self.size;
        let entries: Vec<(usize, f64)> = match enters {
            Basic::Column(j) => self.columns[j].rows.clone(),
            Basic::Surplus(r) => vec![(r, -1.0)],
            Basic::Lack(r) => vec![(r, 1.0)],
        };
        self.work += (n * entries.len()) as u64;
        let at = |row: &[f64]| entries.iter().map(|&(i, a)| row[i] * a).sum::<f64>();
        self.inverse.chunks_exact(n.max(1)).map(at).collect()
    }

    /// The row whose amount first falls to nought; of equals the one with the surest pivot.
    fn leaving(&self, direction: &[f64]) -> Option<usize> {
        let mut best: Option<(f64, f64, usize)> = None;
        for (r, &d) in direction.iter().enumerate() {
            if d <= 1e-8 {
                continue;
            }
            let ratio = self.amount[r].max(0.0) / d;
            let better = best
                .is_none_or(|(least, pivot, _)| ratio < least - TINY || (ratio < least + TINY && d > pivot));
            if better {
                best = Some((ratio, d, r));
            }
        }
        best.map(|(_, _, r)| r)
    }

    fn exchange(&mut self, row: usize, enters: Basic, gain: f64, direction: &[f64]) {
        if let Basic::Column(j) = self.basis[row] {
            self.in_basis[j] = false;
        }
        if let Basic::Column(j) = enters {
            self.in_basis[j] = true;
        }
        self.basis[row] = enters;
        let n = self.size;
        let pivot = direction[row];
        let mut top: Vec<f64> = self.inverse[row * n..(row + 1) * n].to_vec();
        top.iter_mut().for_each(|v| *v /= pivot);
        let enters_at = self.amount[row] / pivot;
        for (r, &d) in direction.iter().enumerate() {
            if r == row || (-1e-14..=1e-14).contains(&d) {
                continue;
            }
            self.work += n as u64;
            let line = &mut self.inverse[r * n..(r + 1) * n];
            line.iter_mut().zip(&top).for_each(|(v, t)| *v -= d * t);
            self.amount[r] -= d * enters_at;
        }
        self.amount[row] = enters_at;
        self.worth.iter_mut().zip(&top).for_each(|(w, t)| *w += gain * t);
        self.inverse[row * n..(row + 1) * n].copy_from_slice(&top);
    }

    /// Builds the inverse anew from the basis, so that small errors do not add up.
    fn rebuild(&mut self) {
        let old = self.basis.clone();
        self.return_to_start();
        let is_start = |b: &Basic, s: &[Basic]| s.contains(b);
        let start = self.basis.clone();
        let mut free: Vec<bool> = start.iter().map(|s| !is_start(s, &old)).collect();
        for enters in old.into_iter().filter(|b| !start.contains(b)) {
            let direction = self.direction(enters);
            let sure = |r: &usize| direction[*r].abs();
            let row = (0..self.size).filter(|&r| free[r]).max_by(|a, b| sure(a).total_cmp(&sure(b)));
            let Some(row) = row.filter(|r| sure(r) > TINY) else { continue };
            free[row] = false;
            let gain = self.gain(enters);
            self.exchange(row, enters, gain, &direction);
        }
    }

    fn return_to_start(&mut self) {
        let start = |(r, limit): (usize, &bool)| if *limit { Basic::Surplus(r) } else { Basic::Lack(r) };
        self.basis = self.limits.iter().enumerate().map(start).collect();
        self.in_basis.iter_mut().for_each(|b| *b = false);
        self.reset();
    }

    fn gain(&self, enters: Basic) -> f64 {
        match enters {
            Basic::Column(j) => self.dearness(&self.columns[j]),
            Basic::Surplus(r) => self.worth[r],
            Basic::Lack(r) => self.lack - self.worth[r],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn solved(need: &[f64], columns: &[(f64, &[(usize, f64)])]) -> (f64, Lp) {
        let limits = need.iter().filter(|n| **n < 0.0).count();
        let mut lp = Lp::new(need, limits, 1000.0);
        columns.iter().for_each(|(cost, rows)| lp.add(Column { cost: *cost, rows: rows.to_vec() }));
        while lp.pivot() {}
        let cost = lp.amounts().iter().zip(columns).map(|(x, c)| x * c.0).sum();
        (cost, lp)
    }

    #[test]
    fn the_dearer_mix_is_left() {
        // Two rows; the column that covers both is dearer than one alone, cheaper than two.
        let (cost, lp) =
            solved(&[1.0, 1.0], &[(2.0, &[(0, 1.0)]), (2.0, &[(1, 1.0)]), (3.0, &[(0, 1.0), (1, 1.0)])]);
        assert!((cost - 3.0).abs() < 1e-5, "{cost}");
        let worth: f64 = lp.worth().iter().sum();
        assert!((worth - 3.0).abs() < 1e-5, "the worth of the rows is the cost: {worth}");
    }

    #[test]
    fn a_limit_from_above_is_kept() {
        // At most one of the cheap column (its second row counts it), so two of the dear one.
        let (cost, _) = solved(&[3.0, -1.0], &[(1.0, &[(0, 1.0), (1, -1.0)]), (5.0, &[(0, 1.0)])]);
        assert!((cost - 11.0).abs() < 1e-5, "{cost}");
    }

    #[test]
    fn the_half_odd_cycle() {
        // Three rows, each column covers two: one and a half in all.
        let both = |a: usize, b: usize| vec![(a, 1.0), (b, 1.0)];
        let rows = [both(0, 1), both(1, 2), both(0, 2)];
        let columns: Vec<(f64, &[(usize, f64)])> = rows.iter().map(|r| (1.0, r.as_slice())).collect();
        let (cost, _) = solved(&[1.0, 1.0, 1.0], &columns);
        assert!((cost - 1.5).abs() < 1e-5, "{cost}");
    }
}
