//! A view that cannot be read and cannot be made anew: every look-up and every act says so, and none of them takes it for
//! something typed wrong.

use std::ops::ControlFlow;

use spareseat::record::VIEW_FOLDER;
use spareseat::store::{SledStore, Store as _};

use super::refusals::held;
use super::typed::typed;
use crate::support::{Place, code, text};

const ITEM: &str = "(01)09521234000648";
const SCREW: &str = "plover-prosthetic-screw-1.4";
const DRAWER: &str = "cabinet-2-drawer-1";

/// The demo with its logbook cut short, so that its view is all there is, and no row of that view can be read but its
/// head.
fn spoiled() -> Place {
    let place = Place::demo();
    assert_eq!(code(&place.run(&["stock"])), 0);
    let logbook = place.home().join("logbook.jsonl");
    let whole = std::fs::read_to_string(&logbook).unwrap();
    std::fs::write(&logbook, whole.split_inclusive('\n').take(30).collect::<String>()).unwrap();
    let store = SledStore::open(&place.home().join(VIEW_FOLDER)).unwrap();
    let mut rows = Vec::new();
    store
        .scan(b"", &mut |key, _| {
            if ![b"H", b"M"].iter().any(|own| key == *own) {
                rows.push((key.to_vec(), Some(b"\xff no row".to_vec())));
            }
            ControlFlow::Continue(())
        })
        .unwrap();
    assert!(rows.len() > 50, "{}", rows.len());
    store.apply(rows).unwrap();
    store.flush().unwrap();
    drop(store);
    place
}

#[test]
fn a_row_that_cannot_be_read_is_nothing_that_was_typed_wrong() {
    let place = spoiled();
    let before = held(&place);
    let mut wrong = Vec::new();
    for line in [
        format!("receive '{ITEM}(17)290630(10)NEW' --place {DRAWER}"),
        format!("move '{ITEM}(10)PS-1120' --quantity 1 --to cabinet-2-drawer-3"),
        format!("find '{ITEM}(10)PS-1120'"),
        "stock".to_owned(),
        "stock --low".to_owned(),
        format!("hold 1047 --part '{ITEM}' --quantity 1 --until 2026-12-01"),
        format!("need 1047 --date 2026-12-01 --part '{ITEM}' --quantity 1"),
        format!("count {DRAWER} '{ITEM}(10)PS-1120=4' --because counted"),
        "visit 1047 --site 25 --broken prosthetic-screw".to_owned(),
        "swap 1047 25 abutment".to_owned(),
        "fit 1047 --swap 25:abutment=heron-mua-17".to_owned(),
        "weakest 1047".to_owned(),
        "case show 1047".to_owned(),
        format!("part show {SCREW}"),
        "trace --case 1047".to_owned(),
        "sheet bag 1047".to_owned(),
    ] {
        for json in ["", "--json "] {
            let out = typed(&place, &format!("{json}{line}"));
            let (status, shown, said) = (code(&out), text(&out.stdout), text(&out.stderr));
            if status != 3 || !shown.is_empty() || !said.contains("\nspareseat: the view cannot be used: ") {
                wrong.push(format!("{json}{line}: {status}\n{shown}{said}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(held(&place) == before, "nothing was booked");
}
