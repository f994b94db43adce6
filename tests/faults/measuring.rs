//! Where the site of the small practice's case lies is taken: coordinates with when and from what, or nothing.

use spareseat::bench::measuring::{self, MeasuredFrom, Measuring};
use spareseat::desk::Desk;
use spareseat::desk::Refused;
use spareseat::desk::lookup::NotFound;
use spareseat::record::Booked;
use spareseat::units::{Act, CaseNumber, Note};

use super::world::{CASE, by};

const FILE: &str = "site,x_mm,y_mm,z_mm\n25,24.7,17.17,0\n";

fn case() -> CaseNumber {
    CaseNumber::new(CASE).expect("a case number")
}

/// Books it.
pub fn book(desk: &mut Desk, act: Act) -> Result<Booked, String> {
    let name = Note::new("scan.csv").expect("a name");
    let source = MeasuredFrom::File { name, text: FILE.to_owned(), unit: None };
    let ask = Measuring { case: case(), source, because: None };
    desk.book(Some(&by()), act, |view| measuring::decide(view, &ask).map(|(e, _)| e))
        .map_err(|e| e.to_string())
}

/// The command that books it; `write` writes a file for it.
pub fn command(write: &dyn Fn(&str, &str) -> String) -> Vec<String> {
    ["case", "measured", CASE, &write("scan.csv", FILE)].map(ToOwned::to_owned).into()
}

/// Holds the case against the entry that measured it, if there is one: `Err` says what is not true.
pub fn check(desk: &mut Desk, measured_by: Option<u64>) -> Result<(), String> {
    let asked = desk.ask(|view| {
        let sites = view.case(&case())?.map_or(0, |c| c.measured.len());
        let rows = view.measurings(&case())?;
        Ok::<_, Refused<NotFound>>((sites, rows.first().map(|r| r.entry), rows.len()))
    });
    let found = asked.map_err(|e| e.to_string())?;
    let n = usize::from(measured_by.is_some());
    if found == (n, measured_by, n) {
        return Ok(());
    }
    Err(format!("measured: (sites, entry, rows) are {found:?}, the entries make it {measured_by:?}"))
}
