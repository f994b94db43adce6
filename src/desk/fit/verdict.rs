//! The verdict for the laboratory, read off the numbers in one place.

use super::Exchange;
use super::bridge::Bridge;
use super::seated::Seated;
use super::words::{NOTHING, apart, percent};
use crate::case::{Bands, NO_LIMIT_IS_EVIDENCE};
use crate::catalog::Position;
use crate::fit::scatter::{DRAWS, SEED};
use crate::matching::{Finding, Level, StandsOn};
use crate::record::FitWord;
use crate::units::{Length, teeth};

/// The verdict and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The verdict.
    pub verdict: FitWord,
    /// Why, heaviest first; sentences without an end mark.
    pub because: Vec<String>,
    /// What is taken for granted in it.
    pub assumed: Vec<String>,
    /// The widest gap, tilt or displacement that it was judged by, mm; none where not enough is known.
    pub judged_by: Option<f64>,
}

/// Rules of matching that the numbers here answer in full.
pub const ANSWERED: [&str; 5] = ["seat-height", "offset", "angle", "index-variant", "lean"];

/// How far a gap that was computed on the default arch may be off, as a share of it: our own assumption, since arches of
/// one jaw differ in width by about that much.
const ARCH_MARGIN: f64 = 0.25;

/// The share of draws that must keep the fit for the whole to be said to keep it: our own choice.
const MOST_DRAWS: f64 = 0.95;

/// The verdict.
pub fn judge(
    bridge: &Bridge,
    exchanges: &[Exchange],
    seated: &Result<Seated, Vec<String>>,
    bands: &Bands,
) -> Judged {
    let assumed = seated.as_ref().map_or_else(|_| Vec::new(), |s| assumed(bridge, s, bands));
    let said = |level: Level| -> Vec<String> {
        let of = |e: &Exchange| {
            let telling = move |f: &&Finding| f.level == level && !ANSWERED.contains(&f.rule);
            let say = |f: &Finding| format!("{} at {}: {}", e.candidate.part.code, e.site, f.effect);
            e.candidate.judgement.findings.iter().filter(telling).map(say).collect::<Vec<_>>()
        };
        exchanges.iter().flat_map(of).collect()
    };
    let (against, unknown) = (said(Level::Against), said(Level::Unknown));
    let mut judged = match seated {
        Err(missing) => Judged {
            verdict: FitWord::NotEnoughKnown,
            because: missing.iter().map(|what| format!("not known: {what}")).collect(),
            assumed,
            judged_by: None,
        },
        Ok(seated) => {
            let (gap, said) = heaviest(bridge, seated);
            let (verdict, because) = by_numbers(bridge, exchanges, seated, bands, (gap, said));
            Judged { verdict, because, assumed, judged_by: Some(gap) }
        }
    };
    if !unknown.is_empty() && judged.verdict.may_go_in() {
        judged.verdict = FitWord::NotEnoughKnown;
    }
    judged.because.splice(0..0, unknown);
    if !against.is_empty() {
        judged.verdict = FitWord::DoesNotKeepTheFit;
        judged.because.splice(0..0, against);
    }
    judged
}

/// What the numbers alone say.
fn by_numbers(
    bridge: &Bridge,
    exchanges: &[Exchange],
    seated: &Seated,
    bands: &Bands,
    (gap, mut because): (f64, Vec<String>),
) -> (FitWord, Vec<String>) {
    let [keeps, doubtful, check] = [bands.keeps, bands.doubtful, bands.check].map(Length::number);
    let is_assumed = seated.places.is_assumed() && bridge.stands_on() == StandsOn::Bridge;
    let least = if is_assumed { gap * (1.0 - ARCH_MARGIN) } else { gap };
    if least > check {
        return (FitWord::DoesNotKeepTheFit, because);
    }
    let mut doubts = Vec::new();
    if gap > check {
        doubts.push(format!(
            "over {} where the sites are assumed to be: on their true places it may lie within it",
            apart(check)
        ));
    } else if gap > doubtful {
        doubts.push(format!("over {}: doubtful", apart(doubtful)));
    } else if gap > keeps {
        doubts.push(format!("over {}, within {}", apart(keeps), apart(check)));
    } else if is_assumed && gap * (1.0 + ARCH_MARGIN) > keeps {
        doubts.push(format!("the sites are assumed: on their true places it may pass {}", apart(keeps)));
    }
    doubts.extend(scattered(seated, bands));
    doubts.extend(lifted(bridge, seated, keeps));
    doubts.extend(exchanges.iter().filter_map(play));
    if doubts.is_empty() {
        return (FitWord::KeepsTheFit, because);
    }
    because.extend(doubts);
    (FitWord::CheckAtTryIn, because)
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
fn lifted(bridge: &Bridge, seated: &Seated, keeps: f64) -> Option<String> {
    let lift = seated.rest.lift;
    let whole = bridge.stands_on() == StandsOn::Bridge && bridge.carriers.iter().all(|c| c.change.is_some());
    (whole && lift.abs() > keeps).then(|| {
        let way = if lift > 0.0 { "higher" } else { "lower" };
        format!(
            "all its seats move alike: the bridge stands {} {way} as a whole: bite, gum, cleaning",
            apart(lift.abs())
        )
    })
}

/// How far a seat beside the axis goes when its index has a play of 3°.
fn play(e: &Exchange) -> Option<String> {
    let offset = e.candidate.part.offset.known()?.number();
    (e.position == Position::Abutment && offset > 0.0).then(|| {
        let moved = 2.0 * offset * (PLAY / 2.0).to_radians().sin();
        format!(
            "the play of {} in its index is not on record: {PLAY}° of it would move the seat at {} by {}",
            e.candidate.part.code,
            e.site,
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
