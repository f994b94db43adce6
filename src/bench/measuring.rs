//! Where the sites of a case lie: taken from a measuring file or as typed, looked at before it is booked.

use thiserror::Error;

use crate::case::{CaseHead, MeasureUnit, Measured, read_measured};
use crate::catalog::Mistakes;
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::fit::arrangement::{Located, Looked, Oddity, Untold, look};
use crate::record::{Entry, SitesMeasured, View, ViewError, fits_a_row};
use crate::units::{CaseNumber, Length, Note, Tooth, teeth};

/// The largest file taken: a site takes a line of a hundred bytes.
pub const MOST_BYTES: usize = 256 << 10;

/// What was measured.
#[derive(Debug, Clone)]
pub enum MeasuredFrom {
    /// A file.
    File {
        /// Its name.
        name: Note,
        /// What it holds.
        text: String,
        /// What the person said of its unit.
        unit: Option<MeasureUnit>,
    },
    /// Coordinates in mm, and axes, as typed.
    Typed {
        /// Sites and where they lie.
        at: Vec<(Tooth, [Length; 3])>,
        /// Sites and which way their implants point.
        axes: Vec<(Tooth, [i32; 3])>,
    },
}

/// What is asked.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Measuring {
    pub case: CaseNumber,
    pub source: MeasuredFrom,
    /// Why it is taken although it looks wrong.
    pub because: Option<Note>,
}

/// Why nothing was booked.
#[derive(Debug, Error)]
pub enum MeasuringError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// The file.
    #[error(transparent)]
    Mistakes(#[from] Mistakes),
    /// Larger than any measuring of a mouth.
    #[error("{file} has {len} bytes: a measuring file of at most {MOST_BYTES} is read. Nothing was booked")]
    TooLong {
        /// Which file.
        file: String,
        /// How long.
        len: u64,
    },
    /// Not text.
    #[error("{0} is not text in UTF-8: save it as CSV in UTF-8. Nothing was booked")]
    NotText(String),
    /// No sites to measure.
    #[error(
        "case {0} has no sites on record: enter what is fitted first, 'spareseat case found {0} --site TOOTH …'. Nothing was booked"
    )]
    NoSites(CaseNumber),
    /// Typed twice.
    #[error("{0} stands in {1} more than once: expected once a site. Nothing was booked")]
    Twice(Tooth, &'static str),
    /// An axis of nothing.
    #[error("--axis {}=… needs --at {}=X,Y,Z: expected a place for every axis. Nothing was booked", .0.iso(), .0.iso())]
    AxisAlone(Tooth),
    /// Two at one point.
    #[error("{0} and {1} lie at the same point: expected a point a site. Nothing was booked")]
    OnePoint(Tooth, Tooth),
    /// It does not look like a jaw.
    #[error(
        "the coordinates for case {case} look wrong: {}. Nothing was booked. Measure again or mend them; if they are right all the same, say why, --because REASON",
        .odd.join("; ")
    )]
    Odd {
        /// Which case.
        case: CaseNumber,
        /// What looks wrong, one sentence each.
        odd: Vec<String>,
    },
    /// Nothing new.
    #[error("these coordinates are on record already for case {0}: nothing was booked")]
    Same(CaseNumber),
    /// More text than the record keeps.
    #[error("the texts of case {0} are too long to be kept together: shorten them")]
    TooLarge(CaseNumber),
}

impl Refusal for MeasuringError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::NoSites(_) | Self::Odd { .. } | Self::Same(_) => ExitClass::Facts,
            Self::Mistakes(_)
            | Self::TooLong { .. }
            | Self::NotText(_)
            | Self::Twice(..)
            | Self::AxisAlone(_)
            | Self::OnePoint(..)
            | Self::TooLarge(_) => ExitClass::Typed,
        }
    }
}

/// What was booked, and what the person should know of it.
#[derive(Debug, Clone, Default)]
pub struct Taken {
    /// Which sites, where.
    pub measured: Vec<Measured>,
    /// What looks wrong, one sentence each.
    pub odd: Vec<String>,
    /// What could not be told of them, one sentence each.
    pub untold: Vec<String>,
    /// The sites of the case that nobody has measured.
    pub lacking: Vec<Tooth>,
    /// Which restorations are taken from the default arch for it, one sentence each.
    pub assumed: Vec<String>,
}

/// The entry for a measuring, with what is to be said of it.
pub fn decide(view: &View, ask: &Measuring) -> Result<(Entry, Taken), Refused<MeasuringError>> {
    let head = lookup::case(view, &ask.case)?;
    if head.sites.is_empty() {
        return Err(MeasuringError::NoSites(ask.case.clone()).into());
    }
    let (measured, unit, source) = match &ask.source {
        MeasuredFrom::File { name, text, unit } => {
            let (measured, unit) =
                read_measured(name.as_str(), text, *unit, &head.sites).map_err(MeasuringError::from)?;
            (measured, unit, name.clone())
        }
        MeasuredFrom::Typed { at, axes } => {
            (typed(&head, at, axes)?, MeasureUnit::Mm, Note::new("typed").expect("a short word"))
        }
    };
    let kept: Vec<&Measured> =
        head.measured.iter().filter(|old| measured.iter().all(|m| m.site != old.site)).collect();
    if measured.iter().all(|m| head.measured.contains(m)) {
        return Err(MeasuringError::Same(ask.case.clone()).into());
    }
    let mut taken = Taken { measured: measured.clone(), ..Taken::default() };
    for upper in [true, false] {
        doubts(upper, &measured, &kept, unit, &mut taken);
    }
    if !taken.odd.is_empty() && ask.because.is_none() {
        return Err(MeasuringError::Odd { case: ask.case.clone(), odd: taken.odd }.into());
    }
    let after = CaseHead { measured: kept.into_iter().chain(&measured).cloned().collect(), ..head };
    if !fits_a_row(&after) {
        return Err(MeasuringError::TooLarge(ask.case.clone()).into());
    }
    still_assumed(view, &after, &mut taken)?;
    let (case, because) = (ask.case.clone(), ask.because.clone());
    Ok((Entry::Measured(SitesMeasured { case, source, because, measured }), taken))
}

fn typed(
    head: &CaseHead,
    at: &[(Tooth, [Length; 3])],
    axes: &[(Tooth, [i32; 3])],
) -> Result<Vec<Measured>, MeasuringError> {
    let twice = |all: &[Tooth]| all.iter().enumerate().find(|(n, t)| all[..*n].contains(t)).map(|(_, t)| *t);
    let sites: Vec<Tooth> = at.iter().map(|(t, _)| *t).collect();
    let with_axis: Vec<Tooth> = axes.iter().map(|(t, _)| *t).collect();
    for (all, option) in [(&sites, "--at"), (&with_axis, "--axis")] {
        if let Some(tooth) = twice(all) {
            return Err(MeasuringError::Twice(tooth, option));
        }
    }
    if let Some(alone) = with_axis.iter().find(|t| !sites.contains(t)) {
        return Err(MeasuringError::AxisAlone(*alone));
    }
    if let Some(tooth) = sites.iter().find(|t| !head.sites.contains(t)) {
        let sites = lookup::list(head.sites.iter().map(Tooth::to_string));
        return Err(NotFound::Site { case: head.number.clone(), tooth: *tooth, sites }.into());
    }
    for (n, (site, point)) in at.iter().enumerate() {
        if let Some((other, _)) = at[..n].iter().find(|(_, p)| p == point) {
            return Err(MeasuringError::OnePoint(*other, *site));
        }
    }
    let axis = |site| axes.iter().find(|(t, _)| *t == site).map(|(_, a)| *a);
    Ok(at.iter().map(|(site, p)| Measured { site: *site, position: *p, axis: axis(*site) }).collect())
}

/// What looks wrong in one jaw once these sites are measured, and what cannot be told.
fn doubts(upper: bool, new: &[Measured], kept: &[&Measured], unit: MeasureUnit, taken: &mut Taken) {
    let in_jaw = |m: &&Measured| m.site.is_upper() == upper;
    let new: Vec<&Measured> = new.iter().filter(in_jaw).collect();
    let kept: Vec<&Measured> = kept.iter().copied().filter(in_jaw).collect();
    if new.is_empty() {
        return;
    }
    let jaw = if upper { "upper" } else { "lower" };
    if !kept.is_empty() {
        let sites: Vec<Tooth> = kept.iter().map(|m| m.site).collect();
        taken.odd.push(format!(
            "{} of the {jaw} jaw would keep the coordinates of an earlier measuring, and two measurings have one frame only where somebody made sure of it",
            teeth(&sites)
        ));
    }
    let located = |m: &&Measured| Located {
        site: m.site,
        at: m.position.map(Length::number),
        axis: m.axis.map(|a| a.map(f64::from)),
    };
    let all: Vec<Located> = kept.iter().chain(&new).map(located).collect();
    let has_axes = all.iter().any(|l| l.axis.is_some());
    let Looked { odd, untold, off_the_arch } = look(&all);
    taken.odd.extend(odd.iter().map(|o| odd_words(o, jaw, unit, has_axes)));
    taken.untold.extend(untold.map(|u| untold_words(u, jaw)));
    if !off_the_arch.is_empty() {
        let sites = teeth(&off_the_arch);
        taken.untold.push(format!(
            "whether {sites} lies right cannot be told: the default arch ends at the second molars"
        ));
    }
}

fn odd_words(odd: &Oddity, jaw: &str, unit: MeasureUnit, has_axes: bool) -> String {
    match odd {
        Oddity::Size { times } => {
            let far = match *times {
                t if t < 0.1 => format!("only 1/{:.0} as far apart as", 1.0 / t),
                t if t < 10.0 => format!("{t:.1} times as far apart as"),
                t => format!("{t:.0} times as far apart as"),
            };
            let likely = likely_unit(unit, *times).map_or("; no unit explains it".to_owned(), |likely| {
                format!(", as if numbers in {likely} had been read as {}", unit.name())
            });
            format!("the sites of the {jaw} jaw lie {far} on the default arch{likely}")
        }
        Oddity::Mirrored { as_is_mm, mirrored_mm } => {
            let or = if has_axes {
                "the axes point into the implants"
            } else {
                "z does not point up, from the lower jaw to the upper"
            };
            format!(
                "the sites of the {jaw} jaw lie as in a mirror, {as_is_mm:.1} mm from the default arch and {mirrored_mm:.1} mm from its mirror image: left and right are exchanged, or {or}"
            )
        }
        Oddity::Exchanged { sites: [a, b], as_is_mm, exchanged_mm } => format!(
            "the rows of {a} and {b} look exchanged: {as_is_mm:.1} mm from the default arch as they stand, {exchanged_mm:.1} mm the other way round"
        ),
        Oddity::Distance { sites: [a, b], apart_mm, expected_mm } => {
            format!("{a} and {b} lie {apart_mm:.1} mm apart, on the default arch {expected_mm:.1} mm")
        }
        Oddity::Axis { site, other, degrees } => format!(
            "the axis of {site} stands {degrees:.0}° to that of {other}: expected all from the implant outwards"
        ),
    }
}

/// The unit in which the numbers would have the size of a jaw.
fn likely_unit(read_as: MeasureUnit, times: f64) -> Option<&'static str> {
    const UNITS_UM: [(&str, f64); 5] =
        [("µm", 1.0), ("mm", 1e3), ("cm", 1e4), ("inches", 25_400.0), ("m", 1e6)];
    let um = read_as.um() / times;
    // cm and inches lie a factor of 2.54 apart: nearer to one than to the other.
    let off = |(_, unit): &&(&str, f64)| (unit / um).ln().abs();
    let nearest = UNITS_UM.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(&nearest) < 1.6_f64.ln()).then_some(nearest.0)
}

fn untold_words(untold: Untold, jaw: &str) -> String {
    let (what, why) = match untold {
        Untold::Alone => ("unit, side and order", "there are no two of them that the default arch has"),
        Untold::Pair => ("left and right", "there are two of them"),
        Untold::InLine => ("left and right", "they lie nearly in line"),
    };
    let is = if untold == Untold::Alone { "are right" } else { "are exchanged" };
    format!("whether {what} {is} cannot be told for the sites of the {jaw} jaw: {why}")
}

/// Bridges that are taken from the default arch, since one of their sites was not measured.
fn still_assumed(view: &View, after: &CaseHead, taken: &mut Taken) -> Result<(), ViewError> {
    let lacks = |site: &&Tooth| after.measured.iter().all(|m| m.site != **site);
    taken.lacking = after.sites.iter().filter(lacks).copied().collect();
    for r in view.restorations(&after.number)?.iter().filter(|r| r.sites.len() > 1) {
        let missing: Vec<Tooth> = r.sites.iter().filter(lacks).copied().collect();
        if !missing.is_empty() && missing.len() < r.sites.len() {
            taken.assumed.push(format!(
                "nobody has measured {}: until then the whole bridge {} is taken from the default arch",
                teeth(&missing),
                r.span()
            ));
        }
    }
    Ok(())
}
