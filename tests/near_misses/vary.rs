//! Changes to a question: every number a little, much, doubled, taken away and 'n/a', every port gone and double.

use serde_json::{Value as Json, json};

use super::expected::Ask;
use super::rows::Need;
use super::sheet::{Cell, Sheet};
use super::stages::CATALOGUE;

/// Whose sheet is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    Candidate,
    Fitted,
    Both,
    /// The part at this place among the others.
    Mate(usize),
}

/// What is done to it.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    Set(String, Json),
    Forget(String),
    DoesNotApply(String),
    TakePort(&'static str),
    DoublePort(&'static str, &'static str, Json),
    AddPort(&'static str),
}

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    pub whose: Whose,
    pub what: What,
}

/// The ports a part may have, with a number of which a second one may differ.
pub const PORTS: [(&str, &str, i64); 6] = [
    ("seat below", "outer", 6_000),
    ("seat above", "outer", 6_000),
    ("thread below", "length", 9_000),
    ("thread above", "diameter", 1_600),
    ("head-seat below", "mean_diameter", 2_600),
    ("head-seat above", "bore", 2_600),
];

impl Change {
    /// Does it; false where there is nothing to do it to.
    pub fn apply(&self, ask: &mut Ask) -> bool {
        match self.whose {
            Whose::Candidate => self.what.apply(&mut ask.candidate),
            Whose::Fitted => self.what.apply(&mut ask.fitted),
            Whose::Both => self.what.apply(&mut ask.candidate) && self.what.apply(&mut ask.fitted),
            Whose::Mate(n) => ask.others.get_mut(n).is_some_and(|(_, part)| self.what.apply(part)),
        }
    }
}

impl What {
    fn apply(&self, part: &mut Sheet) -> bool {
        let before = part.clone();
        match self {
            Self::Set(at, _) | Self::Forget(at) | Self::DoesNotApply(at) if part.cell(at) == Cell::NoPort => {
                return false;
            }
            Self::Set(at, value) => part.set(at, value.clone()),
            Self::Forget(at) => part.forget(at),
            Self::DoesNotApply(at) => part.does_not_apply(at),
            Self::TakePort(port) => part.take_port(port),
            Self::DoublePort(port, key, value) if part.has_port(port) => part.double_port(port, key, value),
            Self::AddPort(port) if !part.has_port(port) => {
                let other = CATALOGUE.iter().find(|p| p.has_port(port)).expect("a part with that port");
                part.add_port_of(port, other);
            }
            Self::DoublePort(..) | Self::AddPort(_) => {}
        }
        *part != before
    }
}

/// The changes that every part gets: each number a little, much, doubled and taken away, each port gone and double.
///
/// Which of the many values is taken turns from part to part.
pub fn some(ask: &Ask, turn: usize) -> Vec<Change> {
    let mut all = Vec::new();
    for (n, row) in ask.shape.rows().iter().enumerate() {
        let (at, cell) = (&row.at, ask.candidate.cell(&row.at));
        if cell == Cell::NoPort {
            continue;
        }
        let values = others(at, &cell, row.step);
        let of = |i: usize| values.get((turn + n + i) % values.len().max(1)).cloned();
        let doubled =
            cell.number().filter(|_| !key_of(at).contains("index") && at != "torque" && at != "pack");
        let chosen = [of(0), of(values.len() / 2), doubled.filter(|n| *n > 0).map(|n| json!(n * 2))];
        let mut whats: Vec<What> = chosen.into_iter().flatten().map(|v| What::Set(at.clone(), v)).collect();
        if may_be_unknown(at) {
            whats.push(What::Forget(at.clone()));
        }
        all.extend(whats.into_iter().map(|what| Change { whose: Whose::Candidate, what }));
    }
    all.extend(ports(ask).into_iter().filter(|c| c.whose == Whose::Candidate));
    all
}

/// Every single change of a question.
pub fn singles(ask: &Ask) -> Vec<Change> {
    let mut all = Vec::new();
    for row in ask.shape.rows() {
        let (at, cell) = (&row.at, ask.candidate.cell(&row.at));
        if cell == Cell::NoPort {
            continue;
        }
        let mut whats: Vec<What> =
            others(at, &cell, row.step).into_iter().map(|v| What::Set(at.clone(), v)).collect();
        if may_be_unknown(at) {
            whats.push(What::Forget(at.clone()));
        }
        if has_does_not_apply(at) {
            whats.push(What::DoesNotApply(at.clone()));
        }
        for whose in [Whose::Candidate, Whose::Fitted] {
            all.extend(whats.iter().map(|what| Change { whose, what: what.clone() }));
        }
        if !matches!(row.need, Need::Paper | Need::Open | Need::Word) {
            let both = whats.iter().filter(|w| !matches!(w, What::Set(..)));
            all.extend(both.map(|what| Change { whose: Whose::Both, what: what.clone() }));
        }
    }
    all.extend(ports(ask));
    all.extend(mates(ask));
    all
}

fn ports(ask: &Ask) -> Vec<Change> {
    let mut all = Vec::new();
    for (port, key, value) in PORTS {
        let same = ask.candidate.cell(&format!("{port}/{key}"));
        let copy = if let Cell::Known(json) = same { json } else { Json::Null };
        for whose in [Whose::Candidate, Whose::Fitted, Whose::Both] {
            let whats = if ask.candidate.has_port(port) {
                vec![
                    What::TakePort(port),
                    What::DoublePort(port, key, json!(value)),
                    What::DoublePort(port, key, copy.clone()),
                ]
            } else {
                vec![What::AddPort(port)]
            };
            all.extend(whats.into_iter().map(|what| Change { whose, what }));
        }
    }
    all
}

/// What its mates have where they meet it, much changed and taken away.
fn mates(ask: &Ask) -> Vec<Change> {
    let mut all = Vec::new();
    for (n, (_, mate)) in ask.others.iter().enumerate() {
        let whose = Whose::Mate(n);
        for at in mate.addresses().into_iter().filter(|at| at.contains('/')) {
            let cell = mate.cell(&at);
            let mut whats: Vec<What> =
                others(&at, &cell, 10).into_iter().map(|v| What::Set(at.clone(), v)).collect();
            if may_be_unknown(&at) {
                whats.push(What::Forget(at.clone()));
            }
            all.extend(whats.into_iter().map(|what| Change { whose, what }));
        }
        let there = PORTS.iter().filter(|(port, ..)| mate.has_port(port));
        all.extend(there.map(|(port, ..)| Change { whose, what: What::TakePort(port) }));
    }
    all
}

/// What every part states: it cannot be left out.
pub fn may_be_unknown(at: &str) -> bool {
    let always = ["kind", "system", "description", "source", "made"];
    !always.contains(&at) && !at.ends_with("/interface")
}

/// Whether a number can be said not to exist at all.
pub fn has_does_not_apply(at: &str) -> bool {
    may_be_unknown(at) && !["sterile", "reuse", "replaced_by", "belongs_to"].contains(&at)
}

fn key_of(at: &str) -> &str {
    at.rsplit('/').next().unwrap_or(at)
}

/// Other values for what stands there.
pub fn others(at: &str, cell: &Cell, step: i64) -> Vec<Json> {
    let Cell::Known(now) = cell else { return Vec::new() };
    let mut all = match key_of(at) {
        "kind" => vec![json!("abutment-screw"), json!("multi-unit-abutment"), json!("laboratory-screw")],
        "index" => [1, 3, 4, 5, 7, 8, 12].map(|n| json!(n)).to_vec(),
        "pack" => vec![json!(2), json!(10)],
        "system" => vec![json!("stint")],
        "interface" => vec![json!("ibis-hex-4.5")],
        "offers" => ["1.0.0", "1.0.1", "1.1.0", "2.0.0", "0.9.0"].map(|v| json!(v)).to_vec(),
        "accepts" => ["^1", "^1.1", "^2", "=1.0.1", "=0.9.0"].map(|v| json!(v)).to_vec(),
        "engaging" | "angled_channel" => vec![json!(!now.as_bool().unwrap_or_default())],
        "variant" => vec![json!("flat"), json!("corner")],
        "form" => {
            vec![json!("flat"), json!({"cone": 30_000}), json!({"cone": 31_000}), json!({"cone": 45_000})]
        }
        "drive" => vec![
            json!({"form": "square", "size": now["size"]}),
            json!({"form": now["form"], "size": now["size"].as_i64().unwrap_or(0) + 50}),
            json!({"form": now["form"], "size": now["size"].as_i64().unwrap_or(0) * 2}),
        ],
        "material" => vec![
            json!({"of": "zirconia", "coating": now["coating"]}),
            json!({"of": now["of"], "coating": "diamond-like carbon"}),
            json!({"of": now["of"], "coating": Json::Null}),
        ],
        "torque" => torques(cell),
        "sterile" => ["sterile", "to-be-sterilised", "not-stated"].map(|v| json!(v)).to_vec(),
        "reuse" => ["single-use", "reusable", "not-stated"].map(|v| json!(v)).to_vec(),
        "gtin" => vec![json!("9521234999990")],
        "hibc" => vec![json!("A123OTHER71")],
        "replaced_by" | "belongs_to" => Vec::new(),
        _ if now.is_string() => vec![json!(format!("{} b", now.as_str().unwrap_or_default()))],
        _ => lengths(cell, step),
    };
    all.retain(|v| v != now);
    all.dedup();
    all
}

fn torques(cell: &Cell) -> Vec<Json> {
    let stated = cell.number().map(|n| [n - 500, n + 100, n * 2]).unwrap_or([1_500, 2_500, 3_000]);
    let mut all: Vec<Json> = stated.map(|n| json!({ "stated": n })).to_vec();
    all.push(json!("by-hand"));
    all
}

/// Just under and just over the step, much, twice, and about the margins of heads and rings.
fn lengths(cell: &Cell, step: i64) -> Vec<Json> {
    let Some(now) = cell.number() else { return Vec::new() };
    let step = step.max(1);
    let near = [step - 1, step, step + 1, 100, 200, 500];
    let mut all: Vec<i64> = near.iter().flat_map(|d| [now - d, now + d]).collect();
    all.extend([now * 2, now / 2, now + 6_000]);
    all.retain(|n| *n >= 0 && *n != now);
    all.sort_unstable();
    all.dedup();
    all.into_iter().map(|n| json!(n)).collect()
}
