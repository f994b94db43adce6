//! `spareseat case measured`

use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use super::super::acting::Acted;
use super::super::failure::Failure;
use super::super::part::unreadable;
use super::super::{Context, one_of};
use crate::bench::measuring::{MOST_BYTES, MeasuredFrom, Measuring, MeasuringError, Taken, decide};
use crate::case::{MeasureUnit, millionths};
use crate::desk::Refused;
use crate::report;
use crate::units::{CaseNumber, LIMITS, Length, Note, Tooth, printable};

#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("source").required(true).args(["file", "at"])))]
pub struct Args {
    /// The case
    case: CaseNumber,
    /// CSV of a scan or a measuring machine: columns site, x_mm, y_mm, z_mm, and axis_x, axis_y, axis_z where the axes
    /// were measured, from the implant outwards
    #[arg(conflicts_with = "at")]
    file: Option<PathBuf>,
    /// The unit, where the header names none
    #[arg(long, value_parser = one_of(MeasureUnit::ALL), requires = "file")]
    unit: Option<MeasureUnit>,
    /// A site and its coordinates in mm, once a site
    #[arg(long, value_name = "SITE=X,Y,Z", value_parser = at, allow_hyphen_values = true)]
    at: Vec<(Tooth, [Length; 3])>,
    /// A site and the direction of its implant, outwards
    #[arg(long, value_name = "SITE=X,Y,Z", value_parser = axis, requires = "at", allow_hyphen_values = true)]
    axis: Vec<(Tooth, [i32; 3])>,
    /// Take it although it looks wrong; the reason is kept
    #[arg(long, value_name = "REASON")]
    because: Option<Note>,
}

/// A site and three texts.
fn three(text: &str) -> Result<(Tooth, [&str; 3]), String> {
    let wrong = || format!("'{}' is not a site with three numbers: expected 24=12.3,-4.5,0", printable(text));
    let (site, numbers) = text.split_once('=').ok_or_else(wrong)?;
    let numbers: Vec<&str> = numbers.split(',').collect();
    let numbers = numbers.try_into().map_err(|_| wrong())?;
    Ok((Tooth::parse(site).map_err(|e| e.to_string())?, numbers))
}

fn at(text: &str) -> Result<(Tooth, [Length; 3]), String> {
    let (site, [x, y, z]) = three(text)?;
    let one = |text: &str| Length::parse(text, &LIMITS.coordinate).map_err(|e| e.to_string());
    Ok((site, [one(x)?, one(y)?, one(z)?]))
}

fn axis(text: &str) -> Result<(Tooth, [i32; 3]), String> {
    let (site, numbers) = three(text)?;
    let one = |text: &str| text.parse::<f64>().ok().filter(|n| n.is_finite());
    let [Some(x), Some(y), Some(z)] = numbers.map(one) else {
        return Err(format!("'{}' is no direction: expected three numbers such as 0,0.1,1", printable(text)));
    };
    let axis = millionths([x, y, z]).ok_or("0, 0, 0 is no direction")?;
    Ok((site, axis))
}

/// Never more than is taken of such a file, whatever the system says of its length.
fn read(path: &Path, name: &str) -> Result<String, Failure> {
    let file = File::open(path).map_err(|e| unreadable(path, &e))?;
    let len = file.metadata().map_err(|e| unreadable(path, &e))?.len();
    let mut bytes = Vec::new();
    file.take(MOST_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|e| unreadable(path, &e))?;
    if bytes.len() > MOST_BYTES {
        let len = len.max(bytes.len() as u64);
        return Err(MeasuringError::TooLong { file: name.to_owned(), len }.into());
    }
    String::from_utf8(bytes).map_err(|_| MeasuringError::NotText(name.to_owned()).into())
}

pub fn run(args: &Args, context: &mut Context<'_>) -> Result<u8, Failure> {
    let (source, from) = match &args.file {
        Some(path) => {
            let shown = printable(&path.to_string_lossy());
            let text = read(path, &shown)?;
            let name = Note::new(&shown).map_err(Failure::typed)?;
            (MeasuredFrom::File { name, text, unit: args.unit }, format!("from {shown}"))
        }
        None => (MeasuredFrom::Typed { at: args.at.clone(), axes: args.axis.clone() }, "as typed".to_owned()),
    };
    let ask = Measuring { case: args.case.clone(), source, because: args.because.clone() };
    let mut desk = context.open()?;
    let mut taken = Taken::default();
    let booked = desk.book(context.by(), context.act()?, |view| {
        let (entry, found) = decide(view, &ask)?;
        taken = found;
        Ok::<_, Refused<MeasuringError>>(entry)
    })?;
    let said = report::text::measured(&args.case, &taken, &from);
    let json = report::json::measured(&args.case, &taken, &ask);
    let notes = taken.odd.into_iter().chain(taken.untold).chain(taken.assumed);
    context.booked(&mut desk, &booked, Acted::new(said, json).notes(notes))
}
