//! What it takes to shut the gaps of a bridge that no longer fits: the frame as a grillage on its seats.
//!
//! The frame is a row of nodes in the plane of the seats, joined in order by straight beams that bend (EI) and twist
//! (GJ). Each node has three unknowns: its lift and two rotations. A seat that was moved by δ imposes that lift; what
//! has to be applied at each seat to hold the frame there follows.
//!
//! **The range.** Nobody knows how firmly a seat holds the frame's slope, and it matters more than anything: two
//! implants 14 mm apart, one 100 µm taller, take no force at all when the seats are pinned (the frame tilts) and
//! 1026 N when they are flush. So [`shut`] gives both ends. The flush end is an **upper bound**: supports do not give,
//! nor does the frame shear (for a connector as thick as a third of the span, that alone would take off a fifth).
//! The pinned end tilts as far as it must; with three seats that are not in line it is always nothing.
//!
//! **Never unknown.** The loads come from imposed lifts alone, so the frame takes the shape of least energy, and the
//! forces are the same for every such shape. A frame that can still move as a rigid piece (all free, one pin, pins in
//! one line) has defined forces; the motion that costs nothing is taken out before solving.
//!
//! Checked against handbook beams in tests/numeric/beams.rs.

mod section;
mod solve;

pub use section::Section;

use thiserror::Error;

/// The most nodes of a frame: more than twice the teeth there are.
pub const MOST_NODES: usize = 80;

/// Nodes nearer than this part of the frame's length stand at one point: a joint so short would only hold rounding.
const ONE_POINT: f64 = 1e-4;

/// How a seat holds the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hold {
    /// The lift is imposed and the slope held: the seat is closed all round.
    Flush,
    /// The lift is imposed, the slope is free.
    Pinned,
    /// Nothing is imposed: a corner of the frame, a pontic, a free end.
    Free,
}

/// A point of the frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Node {
    /// Where, mm.
    pub x_mm: f64,
    /// Where, mm.
    pub y_mm: f64,
    /// How far the seat moved along the path of insertion since the frame fitted, µm, + taller. Means nothing where
    /// the node is free.
    pub rise_um: f64,
    /// How it is held.
    pub hold: Hold,
}

/// A frame on its seats.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// In the order in which beams join them.
    pub nodes: Vec<Node>,
    /// The beams' section, the same all along.
    pub section: Section,
    /// Elastic modulus, GPa.
    pub modulus_gpa: f64,
    /// Poisson's ratio, from 0 to 0.5.
    pub poisson: f64,
}

/// What must be applied to the frame at a node to hold it where it is imposed.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Effort {
    /// Force along the seat's axis, N: + the frame must be pulled down onto its seat, − it presses on its seat.
    /// The sum over all nodes is nothing.
    pub force_n: f64,
    /// Moment about the x axis, right-handed with z up, N·mm; nothing unless flush.
    pub moment_x_nmm: f64,
    /// Moment about the y axis, N·mm; nothing unless flush.
    pub moment_y_nmm: f64,
}

impl Effort {
    /// Size of the moment, N·mm.
    pub fn moment_nmm(&self) -> f64 {
        self.moment_x_nmm.hypot(self.moment_y_nmm)
    }
}

/// Both ends of the range, node by node.
#[derive(Debug, Clone, PartialEq)]
pub struct Shut {
    /// Every seat pinned.
    pub pinned: Vec<Effort>,
    /// Every seat flush; the upper bound.
    pub flush: Vec<Effort>,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ShutError {
    /// A frame of nothing.
    #[error("a frame without nodes: expected at least one")]
    NoNodes,
    /// A frame of too many.
    #[error("{0} nodes: expected at most {most}", most = MOST_NODES)]
    TooMany(usize),
    /// A coordinate or rise that is no number.
    #[error("node {node}: {what} of {value}: expected a finite number")]
    NotFinite {
        /// Which, from 1.
        node: usize,
        /// Which number of it.
        what: &'static str,
        /// What it was.
        value: f64,
    },
    /// Two nodes with nothing between them.
    #[error(
        "nodes {first} and {second} stand at one point, or nearer than a ten-thousandth of the frame's length: expected a beam between any two"
    )]
    OnePoint {
        /// From 1.
        first: usize,
        /// From 1.
        second: usize,
    },
    /// A size of the section, or the modulus, that is no size.
    #[error("{what} of {value}: expected a number over 0, such as {example}")]
    NotPositive {
        /// Which number.
        what: &'static str,
        /// What it was.
        value: f64,
        /// One that would do.
        example: f64,
    },
    /// No ratio a material has.
    #[error("a Poisson's ratio of {0}: expected 0 to 0.5, such as 0.3")]
    Poisson(f64),
    /// Sizes so far apart that the forces found are rounding and do not balance, or are beyond any number.
    #[error("these sizes are too far apart to be worked with: expected mm, µm and GPa as in a bridge")]
    TooFarApart,
}

/// The efforts with every node held as it says.
///
/// # Errors
/// No nodes or too many, two at one point, a number that is none, or sizes the arithmetic cannot hold.
pub fn efforts(frame: &Frame) -> Result<Vec<Effort>, ShutError> {
    check(frame)?;
    let holds: Vec<Hold> = frame.nodes.iter().map(|n| n.hold).collect();
    solve::efforts(frame, &holds)
}

/// Both ends of the range: every node that is held taken as pinned, and as flush; free nodes stay free.
///
/// ```
/// use spareseat::fit::shut::{Frame, Hold, Node, Section, shut};
///
/// let seat = |x_mm, rise_um| Node { x_mm, y_mm: 0.0, rise_um, hold: Hold::Flush };
/// let frame = Frame {
///     nodes: vec![seat(0.0, 0.0), seat(14.0, 100.0)],
///     section: Section { height_mm: 4.0, width_mm: 4.0 },
///     modulus_gpa: 110.0,
///     poisson: 0.3,
/// };
/// let range = shut(&frame)?;
/// assert_eq!(range.pinned[0].force_n.round(), 0.0);
/// assert_eq!(range.flush[0].force_n.round(), 1026.0);
/// assert_eq!(range.flush[0].moment_nmm().round(), 7184.0);
/// # Ok::<(), spareseat::fit::shut::ShutError>(())
/// ```
///
/// # Errors
/// As [`efforts`].
pub fn shut(frame: &Frame) -> Result<Shut, ShutError> {
    check(frame)?;
    let all = |held: Hold| -> Vec<Hold> {
        frame.nodes.iter().map(|n| if n.hold == Hold::Free { Hold::Free } else { held }).collect()
    };
    Ok(Shut {
        pinned: solve::efforts(frame, &all(Hold::Pinned))?,
        flush: solve::efforts(frame, &all(Hold::Flush))?,
    })
}

/// Refuses what no frame can be.
fn check(frame: &Frame) -> Result<(), ShutError> {
    let nodes = &frame.nodes;
    if nodes.is_empty() {
        return Err(ShutError::NoNodes);
    }
    if nodes.len() > MOST_NODES {
        return Err(ShutError::TooMany(nodes.len()));
    }
    for (n, node) in nodes.iter().enumerate() {
        let rise = if node.hold == Hold::Free { 0.0 } else { node.rise_um };
        for (what, value) in [("an x", node.x_mm), ("a y", node.y_mm), ("a rise", rise)] {
            if !value.is_finite() {
                return Err(ShutError::NotFinite { node: n + 1, what, value });
            }
        }
    }
    for (what, value, example) in [
        ("a section height", frame.section.height_mm, 4.0),
        ("a section width", frame.section.width_mm, 4.0),
        ("a modulus", frame.modulus_gpa, 110.0),
    ] {
        if !(value.is_finite() && value > 0.0) {
            return Err(ShutError::NotPositive { what, value, example });
        }
    }
    if !(0.0..=0.5).contains(&frame.poisson) {
        return Err(ShutError::Poisson(frame.poisson));
    }
    apart(nodes)
}

/// Refuses two nodes at one point.
fn apart(nodes: &[Node]) -> Result<(), ShutError> {
    let pairs = || {
        nodes.iter().enumerate().flat_map(|(a, p)| {
            let distance = move |q: &Node| (p.x_mm - q.x_mm).hypot(p.y_mm - q.y_mm);
            nodes.iter().enumerate().skip(a + 1).map(move |(b, q)| (a, b, distance(q)))
        })
    };
    let longest = pairs().map(|(.., d)| d).fold(0.0, f64::max);
    if !longest.is_finite() {
        return Err(ShutError::TooFarApart);
    }
    match pairs().find(|(.., d)| *d <= ONE_POINT * longest) {
        Some((a, b, _)) => Err(ShutError::OnePoint { first: a + 1, second: b + 1 }),
        None => Ok(()),
    }
}
