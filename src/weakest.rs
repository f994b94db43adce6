//! What breaks next: which part of a restoration reaches its limit first, and what the others carry while one is out.
//!
//! A comparison of one assembly with another under the same bite, never a prediction of how long something lasts. What
//! is not on record is not modelled and is named; the rest is answered even so.

mod loads;
mod members;
mod order;
mod swapped;
mod words;

use std::collections::BTreeMap;

use thiserror::Error;

use members::site_parts;

use crate::case::{
    CaseHead, CrownError, CrownFrom, Fitted, NoPlace, Restoration, Sites, crown_from, crown_words,
    from_the_platform, stored_crown,
};
use crate::desk::lookup::{self, NotFound};
use crate::desk::{ExitClass, Refusal, Refused};
use crate::matching::StandsOn;
use crate::mechanics::margin::{AtSite, Margin, MarginError};
use crate::record::{View, ViewError};
use crate::units::{CaseNumber, Length, Tooth};

pub use loads::{ANGLE_DEG, Biting, LoadCase, LoadSaid};
pub use members::{Class, RANKED_AT, ScrewJoint, SitePart};
pub use order::{First, Least, Order};
pub use swapped::{AtOneSite, add_order};

/// ρ, how far from its middle a joint still bears against tipping, mm: the middle of 3 to 6, an assumption.
pub const RHO_MM: f64 = 4.5;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct WeakestQuestion<'a> {
    /// Whose.
    pub case: &'a CaseNumber,
    /// A site of the restoration that is meant, where the case has several.
    pub at: Option<&'a str>,
    /// A site whose joint is out.
    pub without: Option<&'a str>,
    /// The bite, where somebody says one.
    pub said: LoadSaid,
    /// The crowns' height and from where it was measured, where somebody says one.
    pub crown: Option<(Length, CrownFrom)>,
}

/// Why there is no answer.
#[derive(Debug, Error)]
pub enum WeakestError {
    /// Something named is not on record.
    #[error(transparent)]
    NotFound(#[from] NotFound),
    /// Nothing stands there.
    #[error("no restoration is on record in case {0}: nothing there bites")]
    NoRestoration(CaseNumber),
    /// Nothing stands at that site.
    #[error("no restoration is on record at {0}: nothing there bites")]
    NothingAt(Tooth),
    /// Which one?
    #[error("case {case} has {} restorations ({}): say which with --at SITE", .spans.len(), .spans.join("; "))]
    #[allow(missing_docs)]
    Several { case: CaseNumber, spans: Vec<String> },
    /// A site of another restoration.
    #[error("{0} does not carry {1}: --without names a site that does")]
    OtherRestoration(Tooth, String),
    /// The only joint.
    #[error("{0} is the only site of its restoration: without it nothing is held")]
    OnlySite(Tooth),
    /// How tall?
    #[error(
        "the crown height of {0} is not on record: say it with --crown MM --from platform, or --from seat, up to where it bites"
    )]
    CrownHeight(String),
    /// Not measured from where it can be counted.
    #[error(transparent)]
    Crown(#[from] CrownError),
    /// A site that nobody measured and that the default arch has not.
    #[error(transparent)]
    NoPlace(#[from] NoPlace),
    /// Sites that cannot be worked with.
    #[error("the sites of {span} cannot be worked with: {why}")]
    #[allow(missing_docs)]
    Kernel { span: String, why: MarginError },
}

impl Weakest {
    /// 'bridge' or 'crown'.
    pub fn what(&self) -> &'static str {
        if self.stands_on == StandsOn::Bridge { "bridge" } else { "crown" }
    }
}

impl Refusal for WeakestError {
    fn class(&self) -> ExitClass {
        match self {
            Self::NotFound(e) => e.class(),
            Self::NoRestoration(_) | Self::NothingAt(_) | Self::OnlySite(_) => ExitClass::Facts,
            Self::Several { .. }
            | Self::OtherRestoration(..)
            | Self::CrownHeight(_)
            | Self::Crown(_)
            | Self::NoPlace(_)
            | Self::Kernel { .. } => ExitClass::Typed,
        }
    }
}

/// A site with the margins of its parts.
#[derive(Debug, Clone)]
pub struct Site {
    /// Which.
    pub site: Tooth,
    /// What stands there.
    pub assembly: Vec<Fitted>,
    /// Its parts, or what is missing to model any of them.
    pub parts: Result<Vec<(SitePart, Option<Margin>)>, String>,
}

/// What a site carries with all joints in and with one out, N: the most over the bites.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs)]
pub struct Shift {
    pub site: Tooth,
    pub sideways: [f64; 2],
    pub pressed: [f64; 2],
    pub pulled: [f64; 2],
}

/// The same with one joint out.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Without {
    pub site: Tooth,
    pub shifts: Vec<Shift>,
    pub breaks: Order,
    pub opens: Order,
}

/// The answer.
#[derive(Debug, Clone)]
#[allow(missing_docs)]
pub struct Weakest {
    pub case: CaseNumber,
    pub made_up: bool,
    pub restoration: Restoration,
    pub span: String,
    pub stands_on: StandsOn,
    /// From where the crown height counts, and from the platform where that is another number, by site.
    pub crown_from: CrownFrom,
    pub from_platform: BTreeMap<Tooth, Length>,
    pub biting: Biting,
    pub sites: Vec<Site>,
    pub breaks: Order,
    pub opens: Order,
    pub without: Option<Without>,
    /// What is not modelled, and what is missing for it.
    pub not_modelled: Vec<String>,
    /// What somebody must know before reading the order.
    pub careful: Vec<String>,
    pub assumed: Vec<String>,
}

/// What each site gets of each bite: first by bite, then by site.
struct Spread {
    all: Vec<Vec<AtSite>>,
    far_outside: bool,
}

impl Spread {
    fn of(biting: &Biting, sites_mm: &[[f64; 2]]) -> Result<Self, MarginError> {
        let mut spread = Self { all: Vec::new(), far_outside: false };
        for bite in &biting.bites {
            let (sites, far) = AtSite::all(sites_mm, &bite.load, RHO_MM)?;
            spread.far_outside |= far;
            spread.all.push(sites);
        }
        Ok(spread)
    }

    fn at(&self, site: usize) -> Vec<AtSite> {
        self.all.iter().map(|sites| sites[site]).collect()
    }
}

/// The margins of what is modelled at a site.
fn margins(parts: Vec<SitePart>, loads: &[AtSite]) -> Result<Vec<(SitePart, Option<Margin>)>, MarginError> {
    let one = |part: SitePart| {
        let member = part.member.as_ref().ok();
        let found = member.map(|m| m.margin(loads, part.below_mm, part.length_mm)).transpose()?;
        Ok((part, found))
    };
    parts.into_iter().map(one).collect()
}

/// What breaks and what opens first.
fn orders(sites: &[Site]) -> (Order, Order) {
    let all = || {
        sites.iter().flat_map(|s| {
            let parts = s.parts.iter().flatten();
            parts.filter_map(|(p, m)| Some((s.site, p, (*m)?)))
        })
    };
    let breaks = all().filter_map(|(site, p, m)| Some((p.class, site, &p.code, m.breaks?)));
    let opens = all().filter_map(|(site, p, m)| Some((p.class, site, &p.code, m.opens?)));
    (Order::of(breaks), Order::of(opens))
}

fn restoration<'a>(
    asked: &WeakestQuestion<'_>,
    case: &CaseHead,
    all: &'a [Restoration],
) -> Result<&'a Restoration, WeakestError> {
    if let Some(typed) = asked.at.or(asked.without) {
        let site = lookup::site(case, typed)?;
        return lookup::restoration_at(all, site).ok_or(WeakestError::NothingAt(site));
    }
    match all {
        [] => Err(WeakestError::NoRestoration(case.number.clone())),
        [one] => Ok(one),
        several => Err(WeakestError::Several {
            case: case.number.clone(),
            spans: several.iter().map(Restoration::span).collect(),
        }),
    }
}

/// Answers.
pub fn answer(view: &View, asked: &WeakestQuestion<'_>) -> Result<Weakest, Refused<WeakestError>> {
    let case = lookup::case(view, asked.case)?;
    let restorations = view.restorations(asked.case)?;
    let restoration = restoration(asked, &case, &restorations)?;
    let span = restoration.span();
    let there = assemblies(view, asked.case, restoration)?;
    let crown = match asked.crown {
        Some((typed, from)) => {
            Some(stored_crown(restoration, &there, typed, from).map_err(WeakestError::from)?)
        }
        None => restoration.crown_height.known().copied(),
    };
    let crown = crown.ok_or_else(|| WeakestError::CrownHeight(span.clone()))?;
    let biting = Biting::of(&case, restoration, crown.number(), asked.said).map_err(WeakestError::from)?;
    let kernel = |why| WeakestError::Kernel { span: span.clone(), why };
    let sites_mm: Vec<[f64; 2]> = biting.places.sites.iter().map(|p| p.plane).collect();
    let spread = Spread::of(&biting, &sites_mm).map_err(kernel)?;
    let mut sites = Vec::new();
    for (n, place) in biting.places.sites.iter().enumerate() {
        let assembly = there.get(&place.site).cloned().unwrap_or_default();
        let parts = match site_parts(view, &assembly)? {
            Ok(parts) => Ok(margins(parts, &spread.at(n)).map_err(kernel)?),
            Err(missing) => Err(missing),
        };
        sites.push(Site { site: place.site, assembly, parts });
    }
    let (breaks, opens) = orders(&sites);
    let without = asked.without.map(|typed| without(&case, restoration, typed, &biting, &sites, &spread));
    let mut weakest = Weakest {
        case: case.number.clone(),
        made_up: case.made_up,
        restoration: restoration.clone(),
        stands_on: restoration.stands_on(),
        span,
        not_modelled: words::not_modelled(&sites),
        careful: words::careful(&sites, spread.far_outside),
        assumed: words::assumed(&biting, &case),
        crown_from: crown_from(restoration, &there),
        from_platform: from_the_platform(restoration, &there, crown),
        biting,
        sites,
        breaks,
        opens,
        without: without.transpose()?,
    };
    let whose = if asked.crown.is_some() { "as said" } else { "as on record" };
    let words = crown_words(restoration, &there, crown);
    weakest.assumed.insert(1, format!("the crown height {whose}: {words}"));
    Ok(weakest)
}

/// What stands at the sites of a restoration now.
fn assemblies(view: &View, case: &CaseNumber, restoration: &Restoration) -> Result<Sites, ViewError> {
    restoration.sites.iter().map(|t| Ok((*t, view.assembly(case, *t)?))).collect()
}

/// The same restoration with the joint at one site out.
fn without(
    case: &CaseHead,
    restoration: &Restoration,
    typed: &str,
    biting: &Biting,
    sites: &[Site],
    whole: &Spread,
) -> Result<Without, Refused<WeakestError>> {
    let lost = lookup::site(case, typed)?;
    let span = restoration.span();
    let Some(out) = sites.iter().position(|s| s.site == lost) else {
        return Err(WeakestError::OtherRestoration(lost, span).into());
    };
    let left: Vec<[f64; 2]> =
        biting.places.sites.iter().filter(|p| p.site != lost).map(|p| p.plane).collect();
    if left.is_empty() {
        return Err(WeakestError::OnlySite(lost).into());
    }
    let kernel = |why| WeakestError::Kernel { span: span.clone(), why };
    let spread = Spread::of(biting, &left).map_err(kernel)?;
    let (mut shifts, mut after) = (Vec::new(), Vec::new());
    for (n, site) in sites.iter().enumerate().filter(|(n, _)| *n != out) {
        let loads = spread.at(if n > out { n - 1 } else { n });
        shifts.push(shift(site.site, &whole.at(n), &loads));
        let parts = match &site.parts {
            Ok(parts) => {
                let parts = parts.iter().map(|(p, _)| p.clone()).collect();
                Ok(margins(parts, &loads).map_err(kernel)?)
            }
            Err(missing) => Err(missing.clone()),
        };
        after.push(Site { site: site.site, assembly: site.assembly.clone(), parts });
    }
    let (breaks, opens) = orders(&after);
    Ok(Without { site: lost, shifts, breaks, opens })
}

fn shift(site: Tooth, before: &[AtSite], after: &[AtSite]) -> Shift {
    let most =
        |of: &dyn Fn(&AtSite) -> f64| [before, after].map(|all| all.iter().map(of).fold(0.0, f64::max));
    Shift {
        site,
        sideways: most(&|a| a.across_n()),
        pressed: most(&|a| a.axial_n),
        pulled: most(&|a| -a.axial_n),
    }
}
