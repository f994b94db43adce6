//! The kernels against numbers that are not ours: standards, handbook tables, worked examples.
//!
//! Each row carries its source and a mark. R: read in the source named. M: from memory, not opened. X: worked out from
//! the inputs that stand beside it, so that a reader can do it again. A tolerance has its reason beside it.

mod arrangement;
pub mod beams;
mod frames;
mod joints;
mod margins;
mod measured;
mod necks;
mod preload;
mod sections;
mod sharing;
mod strips;
mod threads;
mod tightening;
mod weakest;

/// How a published value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Read in the source named.
    R,
    /// From memory, not opened.
    M,
    /// Worked out from the stated inputs.
    X,
}

/// A value held against ours.
pub struct Row {
    /// What it is.
    pub what: &'static str,
    /// What the source says.
    pub published: f64,
    /// What we say.
    pub ours: f64,
    /// The largest difference, as part of the published value.
    pub tolerance: f64,
    /// Why that much.
    pub reason: &'static str,
    /// Where the value comes from.
    pub source: &'static str,
    /// How it is known.
    pub mark: Mark,
}

impl Row {
    fn told(&self) -> String {
        let Self { what, published, ours, tolerance, reason, source, mark } = self;
        format!(
            "{what}: ours {ours}, published {published}, at most {tolerance} of it off ({reason}); {mark:?}, {source}"
        )
    }
}

/// Fails with every row that is off.
pub fn hold(rows: &[Row]) {
    assert!(!rows.is_empty());
    // Asked for what holds, so that no number is off too.
    let holds = |r: &Row| (r.ours - r.published).abs() <= r.tolerance * r.published.abs();
    let wrong: Vec<String> = rows.iter().filter(|r| !holds(r)).map(Row::told).collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
#[should_panic(expected = "a row that is off")]
fn a_row_that_is_off_is_found() {
    hold(&[Row {
        what: "a row that is off",
        published: 100.0,
        ours: 100.2,
        tolerance: 1e-3,
        reason: "none",
        source: "none",
        mark: Mark::X,
    }]);
}

#[test]
#[should_panic(expected = "NaN")]
fn no_number_is_off() {
    hold(&[Row {
        what: "no number",
        published: 100.0,
        ours: f64::NAN,
        tolerance: 1.0,
        reason: "none",
        source: "none",
        mark: Mark::X,
    }]);
}
