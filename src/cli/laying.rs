//! `spareseat use CASE --visit`: the tray in one entry.

use serde_json::json;

use super::acting::Acted;
use super::failure::Failure;
use super::packs::{LotOrLabel, lot_or_label, meant};
use super::{Context, one_of_words};
use crate::case::{TorqueRecord, read_lean, read_torque_record};
use crate::catalog::Lean;
use crate::fitting::laying::{Line, Told, decide, remarks};
use crate::record::{Became, Entry};
use crate::report::text::pieces;
use crate::units::{CaseNumber, Lot, Note, RawLabel};

/// A torque for every line, or for one.
pub type Torqued = (Option<Line>, TorqueRecord);

/// What is said beside the tray; a LINE is a tooth, 25, or a tooth and a position, 25:abutment.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "With --visit")]
pub struct Tray {
    /// Book the tray of the visit that is open, all of it in one entry
    #[arg(long, conflicts_with_all = ["site", "position", "part", "place", "found", "expired_because"])]
    pub visit: bool,
    /// The step up was taken: its parts went in too
    #[arg(long, requires = "visit")]
    step_up: bool,
    /// Not used: it stays in its drawer
    #[arg(long, value_name = "LINE", requires = "visit", value_parser = Line::parse)]
    except: Vec<Line>,
    /// One more was taken and dropped
    #[arg(long, value_name = "LINE", requires = "visit", value_parser = Line::parse)]
    dropped: Vec<Line>,
    /// Its pack was opened and it was not used
    #[arg(long, value_name = "LINE", requires = "visit", value_parser = Line::parse)]
    opened: Vec<Line>,
    /// Why, in words, for the record
    #[arg(long, value_name = "TEXT", requires = "visit")]
    because: Option<Note>,
}

impl Tray {
    /// The option that says something of the tray, where the tray is not booked.
    ///
    /// clap asks for --visit beside it only where nothing stands that excludes --visit, and --site does.
    pub fn without_visit(&self) -> Option<&'static str> {
        let said = [
            ("--step-up", self.step_up),
            ("--except", !self.except.is_empty()),
            ("--dropped", !self.dropped.is_empty()),
            ("--opened", !self.opened.is_empty()),
            ("--because", self.because.is_some()),
        ];
        said.into_iter().find(|(_, said)| *said && !self.visit).map(|(option, _)| option)
    }
}

/// '15', 'not-measured', '25=15', '25:abutment=30'.
pub fn read_torqued(text: &str) -> Result<Torqued, String> {
    match text.contains('=') {
        true => Line::with(text, read_torque_record).map(|(line, t)| (Some(line), t)),
        false => read_torque_record(text).map(|t| (None, t)),
    }
}

/// 'mesial', '25=mesial'.
pub fn read_leaning(text: &str) -> Result<(Option<Line>, Lean), String> {
    match text.contains('=') {
        true => Line::with(text, read_lean).map(|(line, l)| (Some(line), l)),
        false => read_lean(text).map(|l| (None, l)),
    }
}

/// 'kept', '25=kept'.
pub fn read_became(text: &str) -> Result<(Option<Line>, Became), String> {
    let word = |w: &str| one_of_words(w, &Became::ALL);
    match text.contains('=') {
        true => Line::with(text, word).map(|(line, b)| (Some(line), b)),
        false => word(text).map(|b| (None, b)),
    }
}

/// What '--lot' says: a lot, or a label of it; beside a line only a lot.
#[derive(Debug, Clone)]
pub struct LotSaid {
    /// With --visit: LINE=LOT.
    pub of_line: Option<(Line, Lot)>,
    /// Without: the whole text.
    pub whole: Option<LotOrLabel>,
}

/// 'PS-1120', '25:prosthetic-screw=PS-1120'; a lot may have an equals sign in it.
pub fn read_lot(text: &str) -> Result<LotSaid, String> {
    let lot = |t: &str| Lot::new(t).map_err(|e| e.to_string());
    let of_line = text.contains('=').then(|| Line::with(text, lot).ok()).flatten();
    match (lot_or_label(text), of_line) {
        (Err(e), None) => Err(e),
        (whole, of_line) => Ok(LotSaid { of_line, whole: whole.ok() }),
    }
}

/// What '--label' says: a label, or LINE=LABEL; no label begins as a line does.
pub fn read_label(text: &str) -> Result<(Option<Line>, RawLabel), String> {
    let label = |t: &str| RawLabel::new(t).map_err(|e| e.to_string());
    let of_line = text.contains('=').then(|| Line::with(text, label).ok()).flatten();
    match of_line {
        Some((line, label)) => Ok((Some(line), label)),
        None => label(text).map(|label| (None, label)),
    }
}

/// What is said of single lines of the tray.
pub struct OfLines<'a> {
    pub torques: &'a [Torqued],
    pub leans: &'a [(Option<Line>, Lean)],
    pub old: &'a [(Option<Line>, Became)],
    pub lots: &'a [LotSaid],
    pub labels: &'a [(Option<Line>, RawLabel)],
}

pub fn run(
    case: &CaseNumber,
    tray: &Tray,
    said_of: &OfLines<'_>,
    context: &mut Context<'_>,
) -> Result<u8, Failure> {
    let OfLines { torques, leans, old, lots, labels } = said_of;
    let for_line = "with --visit say for which line: 25=VALUE or 25:abutment=VALUE";
    let named = |option: &str| Failure::typed(format!("{option}: {for_line}"));
    let told = Told {
        torque: torques.iter().rev().find(|(line, _)| line.is_none()).map(|(_, t)| *t),
        torques: torques.iter().filter_map(|(line, t)| Some(((*line)?, *t))).collect(),
        leans: leans
            .iter()
            .map(|(line, lean)| Ok((line.ok_or_else(|| named("--lean"))?, *lean)))
            .collect::<Result<_, Failure>>()?,
        old: old
            .iter()
            .map(|(line, became)| Ok((line.ok_or_else(|| named("--old"))?, *became)))
            .collect::<Result<_, Failure>>()?,
        step_up: tray.step_up,
        except: tray.except.clone(),
        dropped: tray.dropped.clone(),
        opened: tray.opened.clone(),
        lots: lots
            .iter()
            .map(|lot| lot.of_line.clone().ok_or_else(|| named("--lot")))
            .collect::<Result<_, Failure>>()?,
        labels: labels.to_vec(),
        note: tray.because.clone(),
    };
    let mut desk = context.open_dated()?;
    let today = desk.today();
    let booked = desk.book(context.by(), context.act()?, |view| decide(view, case, &told, today))?;
    let (mut text, mut json, mut said) = (String::new(), json!({}), Vec::new());
    if let Some(entry @ Entry::Tray(t)) = &booked.entry {
        let kept = t.removed.iter().filter(|r| r.became == Became::Kept).count();
        let out = t.removed.len();
        text = format!(
            "case {case}: the tray is booked: {} put in, {} came out, {} of them kept, {} spoiled.\n{}",
            pieces(t.lines.len() as i64),
            pieces(out as i64),
            pieces(kept as i64),
            pieces(t.spoiled.len() as i64),
            t.lines
                .iter()
                .map(|l| format!(
                    "  {} at {}: {}, lot {}, {}\n",
                    l.position.words(),
                    l.site,
                    l.part.code,
                    l.lot,
                    l.torque
                ))
                .collect::<String>()
        );
        for s in &t.spoiled {
            let to = if s.to_reprocess { "to be reprocessed" } else { "thrown away" };
            text.push_str(&format!("  {}: {}, lot {}, {to}\n", s.how.words(), s.part, s.lot));
        }
        // It is booked: a view that fails now takes nothing of that back.
        said = remarks(desk.view(), entry).unwrap_or_default();
        json = json!({
            "case": case.as_str(), "put_in": t.lines.len(), "came_out": out, "kept": kept,
            "spoiled": t.spoiled.len(),
            "lines": t.lines.iter().map(|l| json!({
                "site": l.site.iso().to_string(), "position": l.position.slug(), "part": l.part.code.as_str(),
                "lot": l.lot.as_str(), "place": l.place.as_str(), "torque": l.torque.to_string(),
            })).collect::<Vec<_>>(),
        });
    }
    let mut careful = Vec::new();
    for (_, label) in *labels {
        let pack = meant(&mut desk, None, None, Some(label)).map_err(|e| e.after_booking(booked.seq))?;
        careful.extend(pack.careful);
    }
    let told = Acted::new(text.trim_end(), json).careful(careful).notes(said);
    context.booked(&mut desk, &booked, told)
}
