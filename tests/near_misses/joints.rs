//! What the ports of a part meet at its site, and what geometry says of that: does it pass, does it bear, is there room?
//!
//! A joint is looked at from the part that would come in. What it stands on or goes into must be known whole; of what
//! stands on it only the seat of the bridge, which is what the bridge comes down with.

use semver::{Version, VersionReq};
use spareseat::catalog::Position;

use super::rows::{AT_BEST_CHANGE, FAILS, MAY_NOT_GO_IN, Span};
use super::sheet::{Cell, Sheet};

/// Why a joint is not what it must be, and what verdicts that leaves.
pub type Reason = (Span, String);

/// A head must be wider than the bore under it by this much: our own margin.
pub const HEAD_OVER_BORE: i64 = 300;
/// The least ring on which two seats must touch, along a radius: our own margin.
pub const LEAST_CONTACT: i64 = 100;

/// The other parts at the site.
pub type Others = [(Position, Sheet)];

/// What a lower port of a part in this position stands on or goes into, the first that has such a port.
fn below(position: Position, port: &str) -> &'static [Position] {
    use Position::{
        Abutment, AbutmentScrew, Base, Cylinder, Framework, HealingCap, Implant, ProstheticScrew,
    };
    match (position, port) {
        // A screw's head rests on what it holds down.
        (AbutmentScrew, "head-seat") => &[Abutment, Base, Cylinder, Framework],
        (ProstheticScrew, "head-seat") => &[Cylinder, Framework, Base],
        // The prosthetic screw's thread is in the abutment or in the head of the abutment's own screw.
        (ProstheticScrew, "thread") => &[Abutment, AbutmentScrew],
        (HealingCap, "thread") => &[Abutment, AbutmentScrew, Implant],
        (HealingCap | Cylinder | Framework, "seat") => &[Abutment, Implant],
        _ => &[Implant],
    }
}

/// The part that the lower port of a part in this position meets.
pub fn mate_below<'a>(position: Position, port: &str, others: &'a Others) -> Option<&'a Sheet> {
    let kind = port.split(' ').next().unwrap_or_default();
    let upper = format!("{kind} above");
    let mut there = below(position, kind).iter().filter_map(|at| others.iter().find(|(p, _)| p == at));
    if position == Position::AbutmentScrew && kind == "head-seat" {
        // It holds down the first that stands there, whatever is known of that one's shoulder.
        return there.next().map(|(_, part)| part).filter(|part| part.has_port(&upper));
    }
    there.map(|(_, part)| part).find(|part| part.has_port(&upper))
}

/// The parts whose lower port meets the upper port of a part in this position.
pub fn mates_above<'a>(position: Position, port: &str, others: &'a Others) -> Vec<&'a Sheet> {
    let kind = port.split(' ').next().unwrap_or_default();
    let lower = format!("{kind} below");
    let meets = |at: Position| {
        // Asked the other way round: does its lower port come to us before it comes to another one?
        let mut places = below(at, kind).iter();
        places.find_map(|p| {
            if *p == position {
                return Some(true);
            }
            let (_, part) = others.iter().find(|(there, _)| there == p)?;
            let held = at == Position::AbutmentScrew && kind == "head-seat";
            (held || part.has_port(&format!("{kind} above"))).then_some(false)
        }) == Some(true)
    };
    others.iter().filter(|(at, part)| part.has_port(&lower) && meets(*at)).map(|(_, part)| part).collect()
}

/// Little room, which a part that is in the mouth has all the same and another one is not trusted with.
pub const TIGHT: &str = "less than a pitch is left at the ground of the hole";

/// Everything that geometry holds against the part at this site; `known` asks what its mates leave unsaid as well.
pub fn against(position: Position, part: &Sheet, others: &Others, known: bool) -> Vec<Reason> {
    let mut reasons = Vec::new();
    for port in ["seat below", "thread below", "head-seat below"].into_iter().filter(|p| part.has_port(p)) {
        let Some(mate) = mate_below(position, port, others) else {
            if known {
                reasons.push((MAY_NOT_GO_IN, format!("nothing on record meets its {port}")));
            }
            continue;
        };
        reasons.extend(joint(port, mate, part, true));
        if known {
            reasons.extend(unsaid(port, mate, part));
        }
    }
    for port in ["seat above", "thread above", "head-seat above"].into_iter().filter(|p| part.has_port(p)) {
        for mate in mates_above(position, port, others) {
            reasons.extend(joint(port, part, mate, false));
            let is_bridge = ["framework", "cylinder"].contains(&mate.text("kind"));
            if known && port == "seat above" && is_bridge {
                let missing =
                    ["offers", "accepts", "outer", "engaging"].map(|key| format!("seat below/{key}"));
                for at in missing.into_iter().filter(|at| unknown(mate, at)) {
                    reasons.push((MAY_NOT_GO_IN, format!("the bridge's {at} is not known")));
                }
            }
        }
    }
    reasons
}

fn unknown(part: &Sheet, at: &str) -> bool {
    !matches!(part.cell(at), Cell::Known(_))
}

/// Whether a maker says that the two go together.
fn go_together(a: &Sheet, b: &Sheet) -> bool {
    let names = |who: &Sheet, code: &str| match who.cell("belongs_to") {
        Cell::Known(list) => list.as_array().is_some_and(|l| l.iter().any(|c| c == code)),
        _ => false,
    };
    names(a, b.text("code")) || names(b, a.text("code"))
}

/// What the lower part leaves unsaid about a joint: nobody can say then that the upper one is held by it.
fn unsaid(port: &str, lower: &Sheet, upper: &Sheet) -> Vec<Reason> {
    let keys: &[&str] = match port {
        "seat below" => &["offers", "accepts", "outer", "engaging"],
        "thread below" => &["diameter", "pitch", "length"],
        _ => &["form", "mean_diameter", "bore"],
    };
    let there = port.replace("below", "above");
    let mut reasons: Vec<Reason> = Vec::new();
    for key in keys.iter().filter(|key| unknown(lower, &format!("{there}/{key}"))) {
        let stated =
            ["offers", "accepts", "diameter", "pitch", "form"].contains(key) && go_together(lower, upper);
        let span = if stated { AT_BEST_CHANGE } else { MAY_NOT_GO_IN };
        reasons.push((span, format!("{there}/{key} of what it meets is not known")));
    }
    let engages = upper.cell("seat below/engaging") == Cell::Known(true.into());
    if port == "seat below" && engages && unknown(lower, "seat above/index") {
        reasons.push((MAY_NOT_GO_IN, "it engages, and the index below is not known".to_owned()));
    }
    reasons
}

fn joint(port: &str, lower: &Sheet, upper: &Sheet, stands_on_it: bool) -> Vec<Reason> {
    match port.split(' ').next() {
        Some("seat") => seats(lower, upper, stands_on_it),
        Some("thread") => threads(lower, upper),
        _ => heads(lower, upper),
    }
}

fn fails(when: bool, why: &str) -> Option<Reason> {
    when.then(|| (FAILS, why.to_owned()))
}

fn text_of(part: &Sheet, at: &str) -> Option<String> {
    match part.cell(at) {
        Cell::Known(json) => json.as_str().map(ToOwned::to_owned),
        _ => None,
    }
}

fn seats(lower: &Sheet, upper: &Sheet, stands_on_it: bool) -> Vec<Reason> {
    let mut reasons = Vec::new();
    let (l, u) = (|k: &str| format!("seat above/{k}"), |k: &str| format!("seat below/{k}"));
    reasons.extend(fails(lower.cell(&l("interface")) != upper.cell(&u("interface")), "another interface"));
    for (gives, asks) in [
        (text_of(lower, &l("offers")), text_of(upper, &u("accepts"))),
        (text_of(upper, &u("offers")), text_of(lower, &l("accepts"))),
    ] {
        if let (Some(gives), Some(asks)) = (gives, asks) {
            let (version, asked) = (Version::parse(&gives), VersionReq::parse(&asks));
            let matches = asked.expect("a requirement").matches(&version.expect("a revision"));
            reasons.extend(fails(!matches, "a revision that the other side does not accept"));
        }
    }
    if upper.cell(&u("engaging")) == Cell::Known(true.into()) {
        let (below, above) = (lower.cell(&l("index")), upper.cell(&u("index")));
        if below == Cell::DoesNotApply {
            reasons.push((MAY_NOT_GO_IN, "nothing to engage with".to_owned()));
        }
        let both = below.number().is_some() && above.number().is_some();
        reasons.extend(fails(both && below != above, "another count of index positions"));
    }
    let ring = |part: &Sheet, at: &str| {
        Some((part.number(&format!("{at}/outer"))?, part.number(&format!("{at}/inner"))?))
    };
    if let (Some(wide), Some(platform)) = (upper.number(&u("outer")), lower.number(&l("outer"))) {
        reasons.extend(fails(stands_on_it && wide >= platform + 10, "it hangs over the platform"));
    }
    if let (Some(a), Some(b)) = (ring(lower, "seat above"), ring(upper, "seat below")) {
        let contact = a.0.min(b.0) - a.1.max(b.1);
        reasons.extend(fails(contact < 2 * LEAST_CONTACT, "the two rings hardly touch"));
    }
    reasons
}

fn threads(female: &Sheet, male: &Sheet) -> Vec<Reason> {
    let at = |part: &Sheet, side: &str, key: &str| part.number(&format!("thread {side}/{key}"));
    let mut reasons = Vec::new();
    for key in ["diameter", "pitch"] {
        if let (Some(f), Some(m)) = (at(female, "above", key), at(male, "below", key)) {
            reasons.extend(fails(f != m, "another thread"));
        }
    }
    if let (Some(depth), Some(length)) = (at(female, "above", "length"), at(male, "below", "length")) {
        let pitch = at(male, "below", "pitch").or_else(|| at(female, "above", "pitch")).unwrap_or(0);
        if length + pitch > depth {
            // Longer than the hole is deep, or nearly: which of the two words it gets is the rules' matter.
            let why = if length > depth { "it meets the ground of the hole" } else { TIGHT };
            reasons.push((MAY_NOT_GO_IN, why.to_owned()));
        }
    }
    reasons
}

fn heads(shoulder: &Sheet, screw: &Sheet) -> Vec<Reason> {
    let mut reasons = Vec::new();
    if let (Cell::Known(a), Cell::Known(b)) =
        (shoulder.cell("head-seat above/form"), screw.cell("head-seat below/form"))
    {
        reasons.extend(fails(a != b, "another form of head seat"));
    }
    let bore = shoulder.number("head-seat above/bore");
    let head = screw.number("head_diameter");
    for mean in
        [screw.number("head-seat below/mean_diameter"), shoulder.number("head-seat above/mean_diameter")]
    {
        let Some(mean) = mean else { continue };
        reasons.extend(fails(bore.is_some_and(|b| mean <= b), "it would bear where the hole is"));
        reasons.extend(fails(head.is_some_and(|h| mean >= h), "it would bear outside its head"));
    }
    let Some(bore) = bore else { return reasons };
    reasons
        .extend(fails(head.is_some_and(|h| h < bore + HEAD_OVER_BORE), "its head may pull through the bore"));
    for (what, at) in [("shank", "shank"), ("thread", "thread below/diameter")] {
        let too_wide = screw.number(at).is_some_and(|d| d > bore);
        reasons.extend(fails(too_wide, &format!("its {what} does not pass the bore")));
    }
    reasons
}
