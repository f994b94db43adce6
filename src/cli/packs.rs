//! A part or a lot, by its code or by the label on its pack: every command that takes one takes the other.

use super::failure::Failure;
use super::{Context, quantity};
use crate::desk::Desk;
use crate::lots::pack::{Pack, Said, pack};
use crate::scan::is_label;
use crate::shelf::apart::Units;
use crate::units::{Lot, PartCode, RawLabel};

/// A part by its code, or by its label.
#[derive(Debug, Clone)]
pub enum PartOrLabel {
    /// As the catalogue has it.
    Part(PartCode),
    /// As scanned.
    Label(String),
}

/// No part code begins as a label does, or is as long as the digits of one.
pub fn part_or_label(text: &str) -> Result<PartOrLabel, String> {
    let digits = text.len() >= 16 && text.bytes().take(16).all(|b| b.is_ascii_digit());
    if digits || text.starts_with([']', '(', '+', '*', '\u{1d}']) {
        return Ok(PartOrLabel::Label(text.to_owned()));
    }
    PartCode::new(text).map(PartOrLabel::Part).map_err(|e| e.to_string())
}

/// A lot as printed, or the label that says it.
#[derive(Debug, Clone)]
pub enum LotOrLabel {
    /// As printed.
    Lot(Lot),
    /// As scanned.
    Label(String),
}

/// What is no lot for its length is a label.
pub fn lot_or_label(text: &str) -> Result<LotOrLabel, String> {
    match Lot::new(text) {
        Ok(lot) if !is_label(text) => Ok(LotOrLabel::Lot(lot)),
        Err(e) if !is_label(text) => Err(e.to_string()),
        _ => Ok(LotOrLabel::Label(text.to_owned())),
    }
}

/// The pack that is meant, its label standing in place of the part, of the lot, or beside both.
pub fn meant(
    desk: &mut Desk,
    part: Option<&PartOrLabel>,
    lot: Option<&LotOrLabel>,
    label: Option<&RawLabel>,
) -> Result<Pack, Failure> {
    let mut said = Said { label: label.map(RawLabel::as_raw), ..Said::default() };
    let mut labels: Vec<&str> = said.label.into_iter().collect();
    match part {
        Some(PartOrLabel::Part(code)) => said.part = Some(code),
        Some(PartOrLabel::Label(text)) => labels.push(text),
        None => {}
    }
    match lot {
        Some(LotOrLabel::Lot(lot)) => said.lot = Some(lot),
        Some(LotOrLabel::Label(text)) => labels.push(text),
        None => {}
    }
    labels.dedup();
    if labels.len() > 1 {
        return Err(Failure::typed(
            "two labels were said: scan one, the one of the pack. Nothing was booked",
        ));
    }
    said.label = labels.first().copied();
    let today = desk.today();
    Ok(desk.ask(|view| pack(view, said, today))?)
}

impl PartOrLabel {
    /// Which part it is; its lot does not matter here.
    pub fn part(&self, desk: &mut Desk, context: &mut Context<'_>) -> Result<PartCode, Failure> {
        match self {
            Self::Part(code) if !code.as_str().bytes().all(|b| b.is_ascii_digit()) => Ok(code.clone()),
            _ => {
                let pack = meant(desk, Some(self), None, None)?;
                context.careful(&pack.careful)?;
                Ok(pack.part)
            }
        }
    }

    /// Which part it is, and what must be known of its pack.
    pub fn part_of_act(&self, desk: &mut Desk) -> Result<(PartCode, Vec<String>), Failure> {
        match self {
            Self::Part(code) if !code.as_str().bytes().all(|b| b.is_ascii_digit()) => {
                Ok((code.clone(), Vec::new()))
            }
            _ => meant(desk, Some(self), None, None).map(|pack| (pack.part, pack.careful)),
        }
    }
}

/// The part, where one was said.
pub fn part(
    desk: &mut Desk,
    said: Option<&PartOrLabel>,
    context: &mut Context<'_>,
) -> Result<Option<PartCode>, Failure> {
    said.map(|said| said.part(desk, context)).transpose()
}

/// Pieces of a lot, as most acts on stock name them.
#[derive(Debug, clap::Args)]
pub struct Pieces {
    /// Which part; or in its place the label as scanned, which says the lot as well
    #[arg(value_name = "PART", value_parser = part_or_label)]
    part: PartOrLabel,
    /// Which lot, as printed; not needed beside a label that says it
    #[arg(long, value_parser = lot_or_label)]
    lot: Option<LotOrLabel>,
    /// How many pieces
    #[arg(long, value_parser = quantity, allow_hyphen_values = true)]
    quantity: u32,
}

impl Pieces {
    /// Which they are, and what must be known of them.
    pub fn read(&self, desk: &mut Desk) -> Result<(Units, Vec<String>), Failure> {
        let pack = meant(desk, Some(&self.part), self.lot.as_ref(), None)?;
        let lot = pack.lot().map_err(Failure::from)?.clone();
        Ok((Units { part: pack.part, lot, quantity: self.quantity }, pack.careful))
    }
}

impl Context<'_> {
    /// Says, beside a look-up, what must be known of a pack before anybody takes it.
    pub fn careful(&mut self, careful: &[String]) -> Result<(), Failure> {
        for line in careful {
            writeln!(self.err, "CAREFUL: {}.", line.trim_end_matches('.'))?;
        }
        Ok(())
    }
}
