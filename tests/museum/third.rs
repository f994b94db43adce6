//! How the third logbook was made: what is called keeping the fit was set, and where the sites of a case lie.
//!
//! Run only when tests/museum/logbook-3 is gone: a logbook in the museum is never written again.

use std::path::Path;

use spareseat::bench::bands;
use spareseat::bench::measuring::{self, MeasuredFrom, Measuring};
use spareseat::case::Bands;
use spareseat::cases::entering;
use spareseat::units::{CaseNumber, LIMITS, Length, Tooth};

use super::make::{DAY, Maker, note, whole};

const CASE: &str = include_str!("case-2.toml");
const FILE: &str = "site;x_um;y_um;z_um;axis_x;axis_y;axis_z\n11;-4240,4;200;0;0;0,1;-1\n21;4240;-12;-1;;;\n";

/// Makes the logbook, and takes away what is no part of the record.
pub fn third_logbook(folder: &Path) {
    whole(folder, 0x0DD9, |maker| {
        let width = |um: i32| Length::from_base(um);
        maker.books(|view| {
            bands::set(
                view,
                Bands::new(width(20), width(60), width(120), note("as agreed with \"our\" laboratory")),
            )
        });
        maker.case(|view| entering::import(view, "case-2.toml", CASE, false, DAY));
        let file = MeasuredFrom::File { name: note("scan-M-4.csv"), text: FILE.to_owned(), unit: None };
        measured(maker, file, None);
        let mm = |text: &str| Length::parse(text, &LIMITS.coordinate).unwrap();
        let site = Tooth::parse("21").unwrap();
        let typed = MeasuredFrom::Typed {
            at: vec![(site, [mm("4.5"), mm("-0.001"), mm("100")])],
            axes: vec![(site, [0, -1_000_000, 1])],
        };
        measured(maker, typed, Some("the scan body was loose; same frame, measured by hand"));
    });
}

fn measured(maker: &mut Maker, source: MeasuredFrom, because: Option<&str>) {
    let ask = Measuring { case: CaseNumber::new("M-4").unwrap(), source, because: because.map(note) };
    maker.books(|view| measuring::decide(view, &ask).map(|(entry, _)| entry));
}
