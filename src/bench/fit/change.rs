//! How far a part moves the seat it carries, from two parts' numbers: the adapter between parts and kernels.

use crate::case::Fitted;
use crate::catalog::{Lean, Part, Side, Value};
use crate::fit::moving::{Upper, moved};
use crate::fit::stack::{Height, change as height_change};
use crate::units::{Length, Tooth};

use super::SeatChange;

/// The change of a seat, or what is not known for it, one sentence each.
pub type Change = Result<SeatChange, Vec<String>>;

/// Which way an angled part is put in; nothing said: as the fitted one leaned, as near as its index allows.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Turned {
    /// By so many steps of its index.
    pub steps: Option<i8>,
    /// Leaning this way.
    pub lean: Option<Lean>,
}

impl Turned {
    /// As the fitted one.
    pub const NOT: Self = Self { steps: None, lean: None };
}

/// The change at `site` when `part` stands where `fitted` stood.
pub fn change(site: Tooth, fitted: &Fitted, part: &Part, turned: Turned) -> Change {
    let mut missing = Vec::new();
    let old = numbers(site, &fitted.part, "fitted", &mut missing);
    let new = numbers(site, part, "new", &mut missing);
    let (Some(old), Some(new)) = (old, new) else { return Err(missing) };
    let leaned = if old.leans() { fitted_lean(site, fitted, &mut missing) } else { Some(None) };
    let leans = if new.leans() {
        new_lean(site, fitted, part, turned, leaned.flatten(), &mut missing)
    } else {
        Some(0.0)
    };
    let (Some(leaned), Some(leans)) = (leaned, leans) else { return Err(missing) };
    let tolerance = |numbers: &Numbers, part: &Part| numbers.tolerance.ok_or_else(|| part.code.clone());
    Ok(SeatChange {
        moved: moved(&old.upper(leaned.unwrap_or(0.0)), &new.upper(leans)),
        height: height_change(&[old.stacked()], &[new.stacked()]),
        tolerances: [tolerance(&old, &fitted.part), tolerance(&new, part)],
        leans: [leaned, new.leans().then_some(leans)],
    })
}

/// The numbers that decide where a seat stands.
struct Numbers {
    height: f64,
    offset: f64,
    angle: f64,
    tolerance: Option<f64>,
}

impl Numbers {
    fn leans(&self) -> bool {
        self.angle > 0.0 || self.offset > 0.0
    }

    fn stacked(&self) -> Height {
        Height { nominal: self.height, tolerance: self.tolerance }
    }

    fn upper(&self, lean: f64) -> Upper {
        Upper { height: self.height, offset: self.offset, angle: self.angle, lean }
    }
}

fn numbers(site: Tooth, part: &Part, which: &str, missing: &mut Vec<String>) -> Option<Numbers> {
    let mut need = |what: &str, value: Option<f64>| {
        if value.is_none() {
            missing.push(format!(
                "{what} of the {which} part at {site}, {}: measure it or ask its maker",
                part.code
            ));
        }
        value
    };
    let height = need("the seat height", part.seat_height.known().map(|l| l.number()));
    // What does not apply to a part is nothing it could have: no angle, no offset.
    let offset =
        need("the sideways offset", known_or_none(&part.offset).map(|l| l.map_or(0.0, Length::number)));
    let angle =
        need("the angle", known_or_none(&part.angle).map(|a| a.map_or(0.0, |a| a.number().to_radians())));
    let tolerance = part.length_tolerance.known().map(|l| l.number());
    Some(Numbers { height: height?, offset: offset?, angle: angle?, tolerance })
}

fn known_or_none<T: Copy>(value: &Value<T>) -> Option<Option<T>> {
    match value {
        Value::Known(v) => Some(Some(*v)),
        Value::NotApplicable => Some(None),
        Value::Unknown => None,
    }
}

/// Round the implant's axis, from buccal by way of mesial, radians.
fn direction(lean: Lean) -> f64 {
    let degrees = match lean {
        Lean::Buccal => 0.0,
        Lean::Mesial => 90.0,
        Lean::Oral => 180.0,
        Lean::Distal => 270.0,
        Lean::At(angle) => angle.number(),
    };
    f64::to_radians(degrees)
}

/// Which way the fitted part leans: it is on record, or somebody has to look before it comes out.
#[allow(clippy::option_option, reason = "none: not known; some none: a straight part")]
fn fitted_lean(site: Tooth, fitted: &Fitted, missing: &mut Vec<String>) -> Option<Option<f64>> {
    match fitted.lean {
        Value::Known(lean) => Some(Some(direction(lean))),
        _ => {
            missing.push(format!(
                "which way the fitted part at {site}, {}, leans: look before it comes out, 'spareseat case found … --lean'",
                fitted.part.code
            ));
            None
        }
    }
}

fn new_lean(
    site: Tooth,
    fitted: &Fitted,
    part: &Part,
    turned: Turned,
    leaned: Option<f64>,
    missing: &mut Vec<String>,
) -> Option<f64> {
    if let Some(lean) = turned.lean {
        return Some(direction(lean));
    }
    let Some(leaned) = leaned else {
        if !fitted.part.is_angled() {
            missing.push(format!(
                "which way the new part at {site}, {}, is to lean: say --lean {}=buccal, mesial, oral, distal or degrees",
                part.code,
                site.iso()
            ));
        }
        return None;
    };
    let off = half_step(site, &fitted.part, part, missing)?;
    let steps = f64::from(turned.steps.unwrap_or(0)) + off;
    if steps == 0.0 {
        return Some(leaned);
    }
    let Some(count) = part.seat(Side::Below).and_then(|s| s.index.known().copied()) else {
        missing.push(format!("how many index positions the new part at {site}, {}, has", part.code));
        return None;
    };
    Some(leaned + steps * std::f64::consts::TAU / f64::from(count))
}

/// The other variant leans between the directions of this one, half a step off at the least.
fn half_step(site: Tooth, fitted: &Part, part: &Part, missing: &mut Vec<String>) -> Option<f64> {
    let variant = |part: &Part| part.seat(Side::Below).and_then(|s| known_or_none(&s.variant));
    match (variant(fitted), variant(part)) {
        (Some(a), Some(b)) if a == b => Some(0.0),
        (Some(Some(_)), Some(Some(_))) => Some(0.5),
        _ if fitted.code == part.code => Some(0.0),
        _ => {
            missing.push(format!(
                "whether {} and {} at {site} lean over a flat or a corner of their index",
                fitted.code, part.code
            ));
            None
        }
    }
}
