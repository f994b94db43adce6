//! A case that another practice shared is taken into the small practice: all its rows, or none.

use std::sync::OnceLock;

use spareseat::cases::entering;
use spareseat::desk::lookup::NotFound;
use spareseat::desk::{Desk, Home, Refused};
use spareseat::lab::sharing::{self, Opened};
use spareseat::maintenance::parts;
use spareseat::record::Booked;
use spareseat::units::{Act, CaseNumber};

use super::visits::CASE_FILE;
use super::world::{self, CATALOGUE, act, by, today};

/// Its number here, and where it came from.
const NUMBERS: [&str; 2] = ["T-1", "1048"];
/// How many sites it has, with as many parts at each.
const SITES: usize = 3;

fn number(n: usize) -> CaseNumber {
    CaseNumber::new(NUMBERS[n]).expect("a case number")
}

/// The file, as another home wrote it; its interfaces say whether they are flat or a cone, or they do not.
fn file(forms: bool) -> &'static str {
    static FILES: [OnceLock<String>; 2] = [OnceLock::new(), OnceLock::new()];
    FILES[usize::from(forms)].get_or_init(|| {
        let folder = crate::support::folder();
        let root = folder.path().join("home");
        let id = Act::from_bits(0xb00d);
        Home::at(&root).make(id, true, &world::practice(), &by(), today(), act(1)).expect("a home");
        let (mut desk, _) = world::open(&root).expect("it opens");
        let joint = "id = \"top-4.8\"";
        assert!(CATALOGUE.contains(joint));
        let said = if forms { format!("{joint}\nform = \"flat\"") } else { joint.to_owned() };
        let files = [("catalogue.toml".to_owned(), CATALOGUE.replace(joint, &said))];
        parts::import(&mut desk, Some(&by()), act(2), &files).expect("a catalogue");
        let day = today().date;
        desk.book(Some(&by()), act(3), |view| entering::import(view, "bridge.toml", CASE_FILE, false, day))
            .expect("a case");
        sharing::share(desk.view(), &number(1), day).expect("it is shared").text
    })
}

/// Books it.
pub fn book(desk: &mut Desk, act: Act, forms: bool) -> Result<Booked, String> {
    let Opened::Share(share, sum) = sharing::open("file", file(forms)).map_err(|e| e.to_string())? else {
        return Err("the file is no share".to_owned());
    };
    let here = number(0);
    desk.book(Some(&by()), act, |view| sharing::take(view, &share, sum, Some(&here), today().date))
        .map_err(|e| e.to_string())
}

/// The command that books it; `write` writes a file for it.
pub fn command(forms: bool, write: &dyn Fn(&str, &str) -> String) -> Vec<String> {
    ["case", "take", &write("share.json", file(forms)), "--number", NUMBERS[0]].map(ToOwned::to_owned).into()
}

/// Holds the case against the last entry that took it, if there is one: `Err` says what is not true.
pub fn check(desk: &mut Desk, taken_by: Option<u64>) -> Result<(), String> {
    let here = number(0);
    let asked = desk.ask(|view| {
        let sites = view.case(&here)?.map_or(Vec::new(), |c| c.sites);
        let mut full = 0;
        for tooth in &sites {
            full += usize::from(!view.assembly(&here, *tooth)?.is_empty());
        }
        let restorations = view.restorations(&here)?.len();
        Ok::<_, Refused<NotFound>>((view.origin(&here)?.map(|o| o.entry), full, restorations))
    });
    let found = asked.map_err(|e| e.to_string())?;
    let there = if taken_by.is_some() { (taken_by, SITES, 1) } else { (None, 0, 0) };
    if found == there {
        return Ok(());
    }
    Err(format!("the case taken: (entry, sites, restorations) are {found:?}, the entries make it {there:?}"))
}
