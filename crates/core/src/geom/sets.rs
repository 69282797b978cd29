//! Disjoint sets: what belongs together once everything that touches is joined.
//!
//! In: pairs of members that touch. Out: for each member the least member of its set. It knows nothing of shapes.

/// Disjoint sets, for joining parts that touch.
#[derive(Clone, Debug)]
pub struct Sets {
    parent: Vec<usize>,
}

impl Sets {
    /// So many sets of one.
    pub fn new(count: usize) -> Self {
        Self { parent: (0..count).collect() }
    }

    /// The least member of the set of `i`.
    pub fn find(&mut self, i: usize) -> usize {
        let mut root = i;
        while self.parent[root] != root {
            root = self.parent[root];
        }
        let mut at = i;
        while self.parent[at] != root {
            at = std::mem::replace(&mut self.parent[at], root);
        }
        root
    }

    /// Joins the sets of `i` and `j`.
    pub fn join(&mut self, i: usize, j: usize) {
        let (a, b) = (self.find(i), self.find(j));
        self.parent[a.max(b)] = a.min(b);
    }
}
