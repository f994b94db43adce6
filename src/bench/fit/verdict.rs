//! The verdict for the laboratory, read off the numbers in one place.

use super::bridge::Bridge;
use super::seated::Seated;
use super::words::{NOTHING, apart, percent};
use crate::case::{Bands, NO_LIMIT_IS_EVIDENCE};
use crate::catalog::Part;
use crate::fit::scatter::{DRAWS, SEED};
use crate::matching::{Finding, Judgement, Level, StandsOn};
use crate::record::FitWord;
use crate::units::{Length, Tooth, teeth};

/// The verdict and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The verdict.
    pub verdict: FitWord,
    /// Why, heaviest first; sentences without an end mark.
    pub because: Vec<String>,
    /// What is taken for granted in it.
    pub assumed: Vec<String>,
    /// What it was judged by, mm: the widest gap, tilt or displacement of the drawings, or what half of all pairs pass,
    /// whichever is larger; none where not enough is known.
    pub judged_by: Option<f64>,
}

/// Rules of matching that are not repeated where the numbers stand: the numbers say the same, and by how much.
pub const ANSWERED: [&str; 5] = ["seat-height", "offset", "angle", "index-variant", "lean"];

/// The one of them that is answered by who asks, with a direction.
const LEAN: &str = "lean";

/// How far a gap that was computed on the default arch may be off, as a share of it: our own assumption, since arches of
/// one jaw differ in width by about that much.
const ARCH_MARGIN: f64 = 0.25;

/// The share of draws that must keep the fit for the whole to be said to keep it: our own choice.
const MOST_DRAWS: f64 = 0.95;

/// The share of draws beyond the last band that is said before anything else: our own choice.
const SAID_FIRST: f64 = 0.05;

/// What the numbers alone say: neither the rules nor what breaks next are in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Numbers {
    /// Their verdict.
    pub verdict: FitWord,
    /// See [`Judged::judged_by`].
    pub judged_by: Option<f64>,
    /// Why, heaviest first; sentences without an end mark.
    pub because: Vec<String>,
}

impl Numbers {
    /// Of a bridge on its seats; `abutments` are those that come in.
    pub fn of(
        bridge: &Bridge,
        abutments: &[(Tooth, &Part)],
        seated: &Result<Seated, Vec<String>>,
        bands: &Bands,
    ) -> Self {
        match seated {
            Err(missing) => Self {
                verdict: FitWord::NotEnoughKnown,
                judged_by: None,
                because: missing.iter().map(|what| format!("not known: {what}")).collect(),
            },
            Ok(seated) => by_numbers(bridge, abutments, seated, bands),
        }
    }

    /// As one sentence without an end mark; at most `most` reasons.
    pub fn sentence(&self, most: usize) -> String {
        let because = &self.because[..self.because.len().min(most)];
        format!("{}: {}", self.verdict.words(), because.join("; "))
    }
}

/// The verdict: what the rules of matching say of each part, and what the numbers say of all.
pub fn judge(
    bridge: &Bridge,
    parts: &[(Tooth, &Part, &Judgement)],
    seated: &Result<Seated, Vec<String>>,
    numbers: &Numbers,
    bands: &Bands,
) -> Judged {
    let said = |level: Level, of: &dyn Fn(&str) -> bool| -> Vec<String> {
        let each = |(site, part, judgement): &(Tooth, &Part, &Judgement)| {
            let telling = |f: &&Finding| f.level == level && of(f.rule);
            let say = |f: &Finding| format!("{} at {site}: {}", part.code, f.effect);
            judgement.findings.iter().filter(telling).map(say).collect::<Vec<_>>()
        };
        parts.iter().flat_map(each).collect()
    };
    let Numbers { mut verdict, judged_by, mut because } = numbers.clone();
    let others = |rule: &str| !ANSWERED.contains(&rule);
    let (mut against, mut unknown) = (said(Level::Against, &others), said(Level::Unknown, &others));
    // A rule that refuses a seat which moved is not outvoted by a gap that lies within the bands: one part, one answer.
    // Only which way a part leans may be told here, where 'swap' could not be told it.
    if verdict.may_go_in() {
        against.extend(said(Level::Against, &|rule| ANSWERED.contains(&rule)));
        unknown.extend(said(Level::Unknown, &|rule| ANSWERED.contains(&rule) && rule != LEAN));
    }
    if !unknown.is_empty() && verdict.may_go_in() {
        verdict = FitWord::NotEnoughKnown;
    }
    because.splice(0..0, unknown);
    if !against.is_empty() {
        verdict = FitWord::DoesNotKeepTheFit;
        because.splice(0..0, against);
    }
    let assumed = seated.as_ref().map_or_else(|_| Vec::new(), |s| assumed(bridge, s, bands));
    Judged { verdict, because, assumed, judged_by }
}

/// What the numbers alone say.
fn by_numbers(bridge: &Bridge, abutments: &[(Tooth, &Part)], seated: &Seated, bands: &Bands) -> Numbers {
    let [keeps, doubtful, check] = [bands.keeps, bands.doubtful, bands.check].map(Length::number);
    let (drawn, mut because) = heaviest(bridge, seated);
    let median = seated.scatter.as_ref().map_or(0.0, |s| s.median);
    let gap = drawn.max(median);
    let half =
        if median > drawn { format!("half of all pairs pass {}: ", apart(median)) } else { String::new() };
    let is_assumed = seated.places.is_assumed() && bridge.stands_on() == StandsOn::Bridge;
    let least = if is_assumed { gap * (1.0 - ARCH_MARGIN) } else { gap };
    let scattered = scattered(seated, bands);
    // Where the drawings themselves pass the last band, that is said first: every draw around them does as well.
    let said_first =
        drawn <= check && seated.scatter.as_ref().is_some_and(|s| 1.0 - s.within[2] > SAID_FIRST);
    if said_first {
        because.splice(0..0, scattered.clone());
    }
    let judged_by = Some(gap);
    if least > check {
        return Numbers { verdict: FitWord::DoesNotKeepTheFit, judged_by, because };
    }
    let mut doubts = Vec::new();
    if gap > check {
        doubts.push(format!(
            "{half}over {} where the sites are assumed to be: on their true places it may lie within it",
            apart(check)
        ));
    } else if gap > doubtful {
        doubts.push(format!("{half}over {}: doubtful", apart(doubtful)));
    } else if gap > keeps {
        doubts.push(format!("{half}over {}, within {}", apart(keeps), apart(check)));
    } else if is_assumed && gap * (1.0 + ARCH_MARGIN) > keeps {
        doubts.push(format!("the sites are assumed: on their true places it may pass {}", apart(keeps)));
    }
    if !said_first {
        doubts.extend(scattered);
    }
    doubts.extend(lifted(bridge, seated, keeps));
    doubts.extend(abutments.iter().filter_map(|(site, part)| play(*site, part)));
    let verdict = if doubts.is_empty() && !said_first { FitWord::KeepsTheFit } else { FitWord::CheckAtTryIn };
    because.extend(doubts);
    Numbers { verdict, judged_by, because }
}

/// The worst of gap, tilt and displacement, mm, and all that is worth saying of them, worst first.
fn heaviest(bridge: &Bridge, seated: &Seated) -> (f64, Vec<String>) {
    let (site, end) = seated.worst();
    let (gap, at) = (site.worst(), seated.ends()[end]);
    let mut all: Vec<(f64, String)> = Vec::new();
    if bridge.stands_on() == StandsOn::Bridge {
        let said = if gap > NOTHING {
            format!(
                "it stands open by {} at {} (widest edge) when the screw at tooth {} alone is tightened",
                apart(gap),
                site.site,
                at.iso()
            )
        } else {
            "by the drawings every seat of the bridge is closed".to_owned()
        };
        all.push((gap, said));
    } else {
        let rise = site.moved.rise;
        let said = match rise {
            _ if rise.abs() <= NOTHING => "by the drawings the crown stands as high as before".to_owned(),
            r if r > 0.0 => format!(
                "the crown stands {} higher: high in the bite, neighbour contacts tight, gum left open",
                apart(r)
            ),
            r => format!(
                "the crown stands {} lower: out of the bite, neighbour contacts lost, gum pressed",
                apart(-r)
            ),
        };
        all.push((rise.abs(), said));
    }
    for site in &seated.sites {
        let tilt = site.moved.tilt_gap(site.seat.radius);
        if tilt > NOTHING {
            let degrees = site.moved.tilt.to_degrees();
            all.push((
                tilt,
                format!(
                    "the seat at {} is tilted by {degrees:.1}°: {} open at its edge",
                    site.site,
                    apart(tilt)
                ),
            ));
        }
        if site.moved.sideways > NOTHING {
            let sideways = site.moved.sideways;
            all.push((
                sideways,
                format!("the seat at {} stands {} beside its old place", site.site, apart(sideways)),
            ));
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    (all[0].0, all.into_iter().map(|(_, said)| said).collect())
}

/// What parts of one drawing do.
fn scattered(seated: &Seated, bands: &Bands) -> Vec<String> {
    if !seated.no_tolerance.is_empty() {
        return vec![format!(
            "nobody states the length tolerance of {}: how far two pieces of one drawing differ is not known",
            seated.no_tolerance.join(", ")
        )];
    }
    let Some(scatter) = &seated.scatter else { return Vec::new() };
    // On an assumed arch the share itself is uncertain; it is compared as it is, the places being said beside it.
    if scatter.within[0] >= MOST_DRAWS {
        return Vec::new();
    }
    vec![format!(
        "two pieces within their drawings still differ: of {DRAWS} pairs {} stay within {}, {} pass {}",
        percent(scatter.within[0]),
        bands_apart(bands.keeps),
        percent(1.0 - scatter.within[2]),
        bands_apart(bands.check),
    )]
}

fn bands_apart(band: Length) -> String {
    apart(band.number())
}

/// All seats alike: it sits as before, and stands elsewhere.
fn lifted(bridge: &Bridge, seated: &Seated, keeps: f64) -> Vec<String> {
    let lift = seated.rest.lift;
    let whole = bridge.stands_on() == StandsOn::Bridge && bridge.carriers.iter().all(|c| c.change.is_some());
    if !whole || lift.abs() <= keeps {
        return Vec::new();
    }
    let way = if lift > 0.0 { "higher" } else { "lower" };
    let mut all = vec![format!(
        "all its seats move alike: the bridge stands {} {way} as a whole: bite, gum, cleaning",
        apart(lift.abs())
    )];
    if seated.places.sites.iter().any(|p| p.axis.is_none()) {
        all.push(format!(
            "whether the implants stand parallel was not measured: for each degree between two of them their seats move {} apart",
            apart(lift.abs() * 1_f64.to_radians().sin())
        ));
    }
    all
}

/// How far a seat beside the axis goes when its index has a play of 3°.
fn play(site: Tooth, part: &Part) -> Option<String> {
    let offset = part.offset.known()?.number();
    (offset > 0.0).then(|| {
        let moved = 2.0 * offset * (PLAY / 2.0).to_radians().sin();
        format!(
            "the play of {} in its index is not on record: {PLAY}° of it would move the seat at {site} by {}",
            part.code,
            apart(moved)
        )
    })
}

/// A play that is met, degrees: an assumption, only to show what it would do.
const PLAY: f64 = 3.0;

fn assumed(bridge: &Bridge, seated: &Seated, bands: &Bands) -> Vec<String> {
    let bridge_stands = bridge.stands_on() == StandsOn::Bridge;
    let what = if bridge_stands { "bridge" } else { "crown" };
    let mut all = vec![format!(
        "the {what} is rigid, was passive as built, and sits on flat rings; its path of insertion is the axis of its seats"
    )];
    if !bridge_stands {
        // Where a single crown stands in the arch changes nothing.
    } else if seated.places.is_assumed() {
        let lacking = &seated.places.lacking;
        all.push(format!(
            "where the sites are is ASSUMED: nobody measured {}, so the mean arch of the jaw is taken (Noroozi 2001, Angle Orthod 71:386; crown widths from memory); a gap may be off by a quarter. 'spareseat case measured {} FILE.csv' enters true places",
            teeth(lacking),
            bridge.case.number
        ));
    } else {
        all.push("where the sites are was measured".to_owned());
    }
    all.push(format!(
        "the bands: up to {} keeps the fit, over {} doubtful, over {} no; because: {}. {NO_LIMIT_IS_EVIDENCE}",
        bands_apart(bands.keeps),
        bands_apart(bands.doubtful),
        bands_apart(bands.check),
        bands.because
    ));
    if let Some(scatter) = &seated.scatter {
        all.push(format!(
            "{} draws, evenly within the length tolerance of both parts, fixed seed {SEED:#x}; a share is uncertain by up to {}",
            scatter.draws,
            percent(scatter.error(0.5)),
        ));
    }
    all.push("how a joint settles under its screw is not in these numbers; published for one coping on one replica: 3 to 21 µm by the form of the joint (J Prosthet Dent 2013;109:37)".to_owned());
    all
}
