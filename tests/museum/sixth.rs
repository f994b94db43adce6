//! How the sixth logbook was made: a case taken whose interfaces say whether they are flat or a cone.
//!
//! Run only when tests/museum/logbook-6 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::cases::entering;
use spareseat::lab::sharing::{self, Opened};
use spareseat::maintenance::parts;
use spareseat::units::CaseNumber;

use super::make::{DAY, Maker, whole};

const SHARED: &str = include_str!("case.toml");
const GAINED: &str = include_str!("catalogue-2.toml");

/// Makes the logbook, and takes away what is no part of the record.
pub fn sixth_logbook(folder: &Path) {
    let elsewhere = crate::support::folder();
    let mut file = String::new();
    whole(&elsewhere.path().join("home"), 0x0DDB, |maker| {
        gain(maker);
        maker.case(|view| entering::import(view, "case.toml", SHARED, false, DAY));
        let number = CaseNumber::new("M-1").unwrap();
        file = sharing::share(maker.desk.view(), &number, DAY).unwrap().text;
    });
    whole(folder, 0x0DDC, |maker| {
        gain(maker);
        let Opened::Share(file, sum) = sharing::open("file", &file).unwrap() else { panic!("an answer") };
        maker.books(|view| sharing::take(view, &file, sum, None, DAY));
    });
}

fn gain(maker: &mut Maker) {
    let files = [("catalogue-2.toml".to_owned(), GAINED.to_owned())];
    let (act, by) = (maker.act(), maker.by.clone());
    parts::import(&mut maker.desk, Some(&by), act, &files).unwrap();
}
