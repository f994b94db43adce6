//! A part that was in a mouth goes back to no drawer, and a laboratory screw goes into no mouth: every act is tried.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use spareseat::catalog::Position;
use spareseat::logbook::Head;
use spareseat::record::{Entry, movements};
use spareseat::stock::{Spot, Where};

use super::practice::{Practice, SCREW};
use super::refusals::refused;
use super::typed::typed;
use crate::practice::demo_case;
use crate::support::{code, text};

/// Whether a unit there has been in a mouth, or was thrown away.
fn is_beyond_use(spot: Spot<'_>) -> bool {
    matches!(spot, Spot::Cases | Spot::Waste | Spot::KeptPieces)
}

/// Every movement of the logbook: none out of a mouth into a drawer. What the view says then: every lot adds up to
/// nothing, and no drawer is below zero. Gives how many units went into mouths, by part.
fn nothing_came_back(p: &Practice) -> BTreeMap<String, u32> {
    let mut desk = p.desk();
    let start = Head::start(desk.view().head().head.id);
    let (mut into_mouths, mut out_of_mouths) = (BTreeMap::new(), 0);
    let record = desk.record();
    let each = &mut |line: &spareseat::logbook::LineRef<'_>, _: &Head| {
        let entry = Entry::parse(line.entry).unwrap();
        movements(&entry, |m| {
            assert!(!(is_beyond_use(m.from) && m.to.place().house().is_some()), "entry {}: {m:?}", line.seq);
            if m.to == Spot::Cases {
                *into_mouths.entry(m.part.to_string()).or_default() += m.quantity;
            }
            out_of_mouths += u32::from(m.from == Spot::Cases);
            Ok::<(), std::convert::Infallible>(())
        })
        .unwrap();
        ControlFlow::Continue(())
    };
    record.logbook().read(&start, each).unwrap();
    assert!(out_of_mouths > 0 || into_mouths.is_empty(), "parts came out of mouths too");
    for (part, lines) in desk.view().stock().unwrap() {
        let mut sums: BTreeMap<&str, i64> = BTreeMap::new();
        for line in &lines {
            *sums.entry(line.lot.as_str()).or_default() += line.quantity;
            assert!(line.place.house().is_none() || line.quantity >= 0, "{part}: {line:?}");
        }
        assert!(sums.values().all(|sum| *sum == 0), "{part}: {sums:?}");
    }
    p.is_whole();
    into_mouths
}

#[test]
fn a_part_that_was_in_a_mouth_goes_back_to_no_drawer() {
    let p = Practice::with(&["1047"]);
    p.done(&format!(
        "use 1047 --site 24 --position prosthetic-screw --part {SCREW} --lot P-1 --torque 15 --old kept"
    ));
    p.done("visit 1047 --site 25 --broken prosthetic-screw --left shank-in-abutment --open");
    p.done("use 1047 --visit --torque 15 --torque 25:abutment=30 --step-up --old 24=kept --dropped 27");
    p.done("visit 1047 --end back-in");
    // What is in a mouth, kept, thrown away or to be reprocessed lies in no drawer that could be named.
    let places = "Places: drawer-1, drawer-2, drawer-3, drawer-4, drawer-5.";
    for from in [
        "cases",
        "case",
        "1047",
        "waste",
        "kept-pieces",
        "to-be-reprocessed",
        "reprocess",
        "elsewhere",
        "supplier",
        "correction",
    ] {
        let line = format!("move {SCREW} --lot PS-0952 --quantity 1 --from {from} --to drawer-1");
        refused(&p.place, &line, 2, &format!("spareseat: no place '{from}'. {places}"));
    }
    let in_house = "In the house: lot P-1.";
    let none = |lot: &str| {
        format!("spareseat: no lot {lot} of part {SCREW} in the house. {in_house} Nothing was booked")
    };
    refused(&p.place, &format!("move {SCREW} --lot PS-0952 --quantity 1 --to drawer-1"), 1, &none("PS-0952"));
    refused(
        &p.place,
        &format!("move {SCREW} --lot P-1 --quantity 4 --from drawer-1 --to drawer-2"),
        1,
        &format!(
            "spareseat: place drawer-1 holds 3 of lot P-1 of part {SCREW}, 4 wanted. The lot lies in: drawer-1 (3 pieces). Nothing was booked"
        ),
    );
    // And no drawer is called like one of those places.
    for name in ["waste", "cases", "kept-pieces", "to-be-reprocessed"] {
        refused(
            &p.place,
            &format!("receive {SCREW} --lot NEW --quantity 1 --place {name} --new-place"),
            2,
            &format!(
                "spareseat: '{name}' is no name for a drawer: expected letters or digits, such as cabinet-2-drawer-1, and none of the words this record uses for what is in no drawer. Nothing was booked"
            ),
        );
    }
    // And nothing of it is taken for another patient.
    let again =
        format!("use 1047 --site 27 --position prosthetic-screw --part {SCREW} --lot PS-0952 --torque 15");
    let out = typed(&p.place, &again);
    assert_eq!(code(&out), 1, "{}", text(&out.stdout));
    // A case put in anew moves no stock either.
    std::fs::write(p.place.folder().join("case.toml"), demo_case("1047")).unwrap();
    p.done("case import case.toml --replace");
    assert_eq!(nothing_came_back(&p)[SCREW], 4);
}

#[test]
fn a_laboratory_screw_goes_into_no_mouth() {
    let p = Practice::bare(&["1047", "2210", "3306", "4051"]);
    let all = p.place.json(&["part", "list", "--kind", "laboratory-screw"]);
    let screws: Vec<&str> =
        all["parts"].as_array().unwrap().iter().map(|s| s["code"].as_str().unwrap()).collect();
    assert!(screws.len() > 5, "{screws:?}");
    for screw in &screws {
        p.done(&format!("receive {screw} --lot LAB --quantity 9 --place lab --new-place --expiry none"));
        for position in Position::ALL.map(Position::slug) {
            let wrong = |end: &str| {
                format!(
                    "spareseat: part {screw} is a laboratory screw: it does not go in position {position}. Nothing was {end}"
                )
            };
            let site = format!("1047 --site 25 --position {position} --part {screw}");
            refused(&p.place, &format!("use {site} --lot LAB --torque 15"), 2, &wrong("booked"));
            let out = typed(&p.place, &format!("case found {site} --sure label"));
            assert_eq!((code(&out), text(&out.stderr)), (2, format!("{}\n", wrong("changed"))));
            let file = format!(
                "form = 1\ncase = \"99\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 11\n[[site.fitted]]\nposition = \"{position}\"\npart = \"{screw}\"\nsure = \"label\"\n"
            );
            std::fs::write(p.place.folder().join("99.toml"), file).unwrap();
            let out = typed(&p.place, "case import 99.toml");
            assert_eq!(code(&out), 2, "{screw} in {position}: {}", text(&out.stdout));
            assert!(text(&out.stderr).contains(&format!("position {position}")), "{}", text(&out.stderr));
        }
    }
    // Nothing but laboratory screws lies in the house, of every thread: no visit takes one, whatever is reported.
    for (case, site) in [("1047", "25"), ("2210", "35"), ("2210", "43"), ("3306", "46"), ("4051", "36")] {
        for broken in
            ["not-known", "loose", "prosthetic-screw", "stripped-head", "abutment-screw", "abutment-loose"]
        {
            let line = format!("visit {case} --site {site} --broken {broken}");
            let words: Vec<&str> = line.split(' ').collect();
            let out = p.place.run(&words);
            assert_eq!(code(&out), 1, "{line}");
            assert!(!text(&out.stdout).contains("laboratory-screw"), "{line}: {}", text(&out.stdout));
        }
        p.done(&format!("visit {case} --site {site} --broken loose --open"));
        refused(
            &p.place,
            &format!("use {case} --visit --torque 15"),
            1,
            &format!(
                "spareseat: nothing of the tray of case {case} is left to be booked. What went in otherwise: 'spareseat use {case} --site TOOTH --position POSITION --part PART --lot LOT --torque NCM'; nothing was booked"
            ),
        );
        p.done(&format!("visit {case} --end not-today"));
    }
    assert_eq!(nothing_came_back(&p), BTreeMap::new(), "nothing went into any mouth");
    let desk = p.desk();
    for (part, lines) in desk.view().stock().unwrap() {
        let beyond = |at: &Where| is_beyond_use(Spot::of(at));
        assert!(lines.iter().all(|l| !beyond(&l.place) || l.quantity == 0), "{part}: {lines:?}");
    }
}
