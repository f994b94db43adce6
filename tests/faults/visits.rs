//! What happens around a visit in the small practice: a case with a bridge over three sites, so that a tray has three
//! lines that must stand together or not at all.

use std::collections::BTreeMap;

use spareseat::case::{Broken, Left, TorqueRecord};
use spareseat::cases::entering;
use spareseat::catalog::Position;
use spareseat::chair::visit::VisitQuestion;
use spareseat::desk::Desk;
use spareseat::desk::Refused;
use spareseat::desk::lookup::NotFound;
use spareseat::fitting::laying::{self, Told};
use spareseat::fitting::visiting;
use spareseat::record::{Booked, Entry, Outcome};
use spareseat::units::{Act, CaseNumber};

use super::world::{by, today};

/// The case with the bridge.
pub const BRIDGE: &str = "1048";
/// Its sites; a tray has one line a site.
const SITES: [u8; 3] = [24, 25, 26];
/// The lot of the screws it came with.
const OLD_LOT: &str = "PS-0952";

/// It as a file.
pub const CASE_FILE: &str = include_str!("bridge.toml");

/// A step around a visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Visiting {
    /// The case is imported.
    Case,
    /// The visit begins.
    Open,
    /// Its tray is booked.
    Tray,
    /// It ends.
    End,
}

fn case() -> CaseNumber {
    CaseNumber::new(BRIDGE).expect("a case number")
}

impl Visiting {
    /// Books it.
    pub fn book(self, desk: &mut Desk, act: Act) -> Result<Booked, String> {
        let (number, by, day) = (case(), by(), today().date);
        let ask = VisitQuestion {
            case: number.clone(),
            site: Some("25".to_owned()),
            broken: Some(Broken::Loose),
            left: Some(Left::Nothing),
        };
        let told = Told { torque: Some(TorqueRecord::NotMeasured), ..Told::default() };
        match self {
            Self::Case => desk
                .book(Some(&by), act, |view| entering::import(view, "bridge.toml", CASE_FILE, false, day))
                .map_err(|e| e.to_string()),
            Self::Open => desk
                .book(Some(&by), act, |view| visiting::begin(view, &ask, None, day))
                .map_err(|e| e.to_string()),
            Self::Tray => desk
                .book(Some(&by), act, |view| laying::decide(view, &number, &told, day))
                .map_err(|e| e.to_string()),
            Self::End => desk
                .book(Some(&by), act, |view| visiting::end(view, &number, Outcome::BackIn, None))
                .map_err(|e| e.to_string()),
        }
    }

    /// The command that books it; `file` writes a file for it.
    pub fn command(self, file: &dyn Fn(&str, &str) -> String) -> Vec<String> {
        let bridge = if self == Self::Case { file("bridge.toml", CASE_FILE) } else { String::new() };
        let words: &[&str] = match self {
            Self::Case => &["case", "import", &bridge],
            Self::Open => &["visit", BRIDGE, "--site", "25", "--broken", "loose", "--open"],
            Self::Tray => &["use", BRIDGE, "--visit", "--torque", "not-measured"],
            Self::End => &["visit", BRIDGE, "--end", "back-in"],
        };
        words.iter().map(|w| (*w).to_owned()).collect()
    }
}

/// A step that stands in the logbook: its entry, and of a tray which lot it put where.
pub type Done = (u64, Visiting, Vec<(u8, String)>);

/// Which lot a tray puts into which tooth; of every other entry nothing.
pub fn lots(entry: &Entry) -> Vec<(u8, String)> {
    let lines = if let Entry::Tray(tray) = entry { &tray.lines[..] } else { &[] };
    lines.iter().map(|line| (line.site.iso(), line.lot.to_string())).collect()
}

/// Holds the case against the steps that stand in the logbook: `Err` says what is not true.
///
/// A tray is booked whole or not at all.
pub fn check(desk: &mut Desk, steps: &[Done]) -> Result<(), String> {
    let (mut open, mut trays, mut is_there) = (None, BTreeMap::new(), false);
    let mut expected: BTreeMap<u8, String> = BTreeMap::new();
    for (entry, step, lots) in steps {
        expected.extend(lots.iter().cloned());
        match step {
            Visiting::Case => {
                is_there = true;
                expected = SITES.map(|site| (site, OLD_LOT.to_owned())).into();
            }
            Visiting::Open => open = Some((*entry, None)),
            Visiting::Tray => {
                trays.insert(*entry, SITES.len());
                open = open.map(|(began, _)| (began, Some(*entry)));
            }
            Visiting::End => open = None,
        }
    }
    let number = case();
    let asked = desk.ask(|view| {
        let mut pieces: BTreeMap<u64, usize> = BTreeMap::new();
        view.pieces(&number)?.iter().for_each(|p| *pieces.entry(p.entry).or_default() += 1);
        let mut lots = BTreeMap::new();
        for tooth in view.case(&number)?.map_or(Vec::new(), |c| c.sites) {
            let assembly = view.assembly(&number, tooth)?;
            let screw = assembly.into_iter().find(|f| f.position == Position::ProstheticScrew);
            lots.insert(tooth.iso(), screw.and_then(|f| f.lot).map_or(String::new(), |l| l.to_string()));
        }
        let visit = view.state(&number)?.visit.map(|v| (v.entry, v.booked));
        Ok::<_, Refused<NotFound>>((visit, pieces, lots))
    });
    let (visit, pieces, lots) = asked.map_err(|e| e.to_string())?;
    if visit != open {
        return Err(format!("the open visit is {visit:?}, the entries make it {open:?}"));
    }
    if pieces != trays {
        return Err(format!("pieces came out by {pieces:?}, the trays are {trays:?}"));
    }
    if lots != expected || lots.is_empty() == is_there {
        return Err(format!("the screws are of {lots:?}, the entries make it {expected:?}"));
    }
    Ok(())
}
