//! Answers that are not taken or not written, word for word; files damaged at every tenth byte.

use std::fs;

use serde_json::{Value as Json, json};
use spareseat::catalog::Position;
use spareseat::desk::Refused;
use spareseat::lab::sharing::{self, AnswerError, Answering, write_answer};
use spareseat::record::{AnswerSwap, FitWord};
use spareseat::units::{CaseNumber, Tooth};

use super::refusals::refused;
use super::sharing::{FITTED, answer, answering, desk, laboratory, put, shared, swap};
use super::sharing_refused::{forged, forged_site, sealed_unchanged};
use super::typed::typed;
use crate::support::{Place, code, heard, text};

#[test]
fn answers_that_the_practice_does_not_take() {
    let (practice, other, lab) = (Place::demo(), Place::other_demo(), laboratory());
    put(&lab, "a.json", &shared(&practice, "1047"));
    typed(&lab, "case take a.json");
    let good = answer(&lab, "1047", answering(vec![swap("25", FITTED)]));
    sealed_unchanged(&good);
    put(&other, "b.json", &good);
    let logbook =
        serde_json::from_str::<Json>(&good).unwrap()["origin"]["logbook"].as_str().unwrap()[..8].to_owned();
    let says = format!(
        "spareseat: this answer is about case 1047 of Mudflat Practice (made up) (logbook {logbook}), and this is another logbook: nothing was booked"
    );
    refused(&other, "case take b.json", 1, &says);
    let contradicts =
        |why: &str| format!("b.json contradicts itself: {why}. Ask for it again; nothing was taken");
    type Change = fn(&mut Json);
    let rows: [(Change, i32, String); 9] = [
        (|j| j["origin"]["case"] = "1048".into(), 1, "this answer is about case 1048, which is not on record here: nothing was booked".to_owned()),
        (|j| j["on"] = "2026-11-26".into(), 1, "the file is of 26 Nov 2026, after today, 25 Nov 2026: one of the two clocks is wrong. Nothing was booked".to_owned()),
        (|j| j["verdict"] = "keeps-the-fit".into(), 1, contradicts("it says 'keeps the fit', and its widest gap does not")),
        (|j| j["bands_tenths_um"] = json!({ "keeps": 600, "try_in": 200 }), 1, contradicts("its gap and its bands must lie between 0 and 200000 µm, the narrower band first")),
        (|j| j["worst_gap_tenths_um"] = 2_000_001.into(), 1, contradicts("its gap and its bands must lie between 0 and 200000 µm, the narrower band first")),
        (|j| j["swaps"] = json!([]), 1, contradicts("it is about 0 swaps: expected 1 to 32")),
        (|j| { let swap = j["swaps"][0].clone(); j["swaps"] = json!([swap, swap]); }, 1, contradicts("tooth 25, abutment: swapped twice")),
        (|j| j["swaps"][0]["site"] = 21.into(), 1, contradicts("tooth 21, abutment: the answer does not say what stands there")),
        (|j| j["swaps"][0]["position"] = "framework".into(), 1, contradicts("tooth 25, framework: part plover-mua-4.1-c3.0 is a multi-unit abutment, which does not go there")),
    ];
    for (change, status, says) in rows {
        put(&practice, "b.json", &forged(&good, change));
        refused(&practice, "case take b.json", status, &format!("spareseat: {says}"));
    }
    let assembly = |what: &str| {
        format!(
            "spareseat: the answer was computed on other facts than those on record in case 1047: {what}. Share the case again and have it computed anew; nothing was booked"
        )
    };
    let site_left_out: Change = |j| {
        j["sites"].as_array_mut().unwrap().pop();
    };
    put(&practice, "b.json", &forged(&good, site_left_out));
    refused(
        &practice,
        "case take b.json",
        1,
        &assembly("tooth 27: carries the restoration now, and the answer does not know it"),
    );
    put(&practice, "b.json", &forged_site(&good, |j| j["sites"][0]["standing"]["site"] = 14.into()));
    refused(
        &practice,
        "case take b.json",
        1,
        &assembly(
            "tooth 14: is no site of the case any more; tooth 24: carries the restoration now, and the answer does not know it",
        ),
    );
    put(&practice, "b.json", &good);
    refused(
        &practice,
        "case take b.json --number 7",
        2,
        "spareseat: --number is for a case that was shared; this file is a laboratory's answer, and says itself which case it is about. Nothing was booked",
    );
    for (name, change, says) in [
        (
            "tool",
            "a newer form",
            "b.json (a laboratory's answer) is of form 4; this program reads forms up to 3: use the newer spareseat. Nothing was taken",
        ),
        (
            "sum",
            "a wrong sum",
            "b.json is not as it was written: its sum does not match. Ask for it again; nothing was taken",
        ),
    ] {
        let text = if name == "tool" {
            good.replace("\"form\": 3,", "\"form\": 4,")
        } else {
            good.replace("\"LB\"", "\"XX\"")
        };
        assert_ne!(text, good, "{change}");
        put(&practice, "b.json", &text);
        refused(&practice, "case take b.json", 1, &format!("spareseat: {says}"));
    }
}

#[test]
fn an_answer_about_a_part_with_other_numbers_here_is_taken_and_said() {
    let (practice, lab) = (Place::demo(), laboratory());
    put(&lab, "a.json", &shared(&practice, "1047"));
    typed(&lab, "case take a.json");
    let mut swapped = swap("25", FITTED);
    swapped.part.seat_height = spareseat::catalog::Value::Known(spareseat::units::Length::from_base(5_250));
    put(&practice, "b.json", &answer(&lab, "1047", answering(vec![swapped])));
    let out = typed(&practice, "case take b.json");
    assert_eq!(code(&out), 0);
    assert_eq!(
        heard(&out),
        "note: part plover-mua-4.1-c3.0 has OTHER NUMBERS in the catalogue here than in the answer: its verdict is not about the part in your drawer. Compare both with the maker's drawing.\n"
    );
}

#[test]
fn an_answer_is_not_written_on_numbers_that_are_none() {
    let place = Place::demo();
    let desk = desk(&place);
    let number = CaseNumber::new("1047").unwrap();
    let fitted = swap("25", FITTED);
    let ask = || answering(vec![fitted.clone()]);
    let moved = |site: &str, position| AnswerSwap {
        site: Tooth::parse(site).unwrap(),
        position,
        part: fitted.part.clone(),
    };
    let rows: [(Answering, &str); 10] = [
        (
            Answering { worst_gap_um: Some(f64::NAN), ..ask() },
            "the widest gap is NaN µm: expected 0 to 200000. No answer was written",
        ),
        (
            Answering { worst_gap_um: Some(f64::INFINITY), ..ask() },
            "the widest gap is inf µm: expected 0 to 200000. No answer was written",
        ),
        (
            Answering { worst_gap_um: Some(-1.0), ..ask() },
            "the widest gap is -1 µm: expected 0 to 200000. No answer was written",
        ),
        (
            Answering { bands_um: (20.0, 1e9), ..ask() },
            "the band 'check at try-in' is 1000000000 µm: expected 0 to 200000. No answer was written",
        ),
        (
            Answering { bands_um: (60.0, 20.0), ..ask() },
            "no answer was written: its gap and its bands must lie between 0 and 200000 µm, the narrower band first",
        ),
        (
            Answering { verdict: FitWord::KeepsTheFit, ..ask() },
            "no answer was written: it says 'keeps the fit', and its widest gap does not",
        ),
        (
            Answering { swaps: vec![], ..ask() },
            "no answer was written: it is about 0 swaps: expected 1 to 32",
        ),
        (
            Answering { swaps: vec![moved("25", Position::Implant)], ..ask() },
            "no answer was written: tooth 25, implant: part plover-mua-4.1-c3.0 is a multi-unit abutment, which does not go there",
        ),
        (
            Answering { swaps: vec![moved("21", Position::Abutment)], ..ask() },
            "case 1047 has no site at tooth 21 (upper left central incisor). Its sites: tooth 24, tooth 25, tooth 27",
        ),
        (
            Answering { working: json!(vec!["x".repeat(1000); 200]), ..ask() },
            "the answer would have 200601 bytes of working: at most 131072 are kept. No answer was written",
        ),
    ];
    for (ask, says) in rows {
        let refused: Refused<AnswerError> = write_answer(desk.view(), &number, ask).unwrap_err();
        assert_eq!(refused.to_string(), says);
    }
    assert!(write_answer(desk.view(), &number, ask()).is_ok());
}

/// One byte changed or the rest cut off, at every tenth byte of both files: never taken, never a panic.
#[test]
fn a_damaged_file_is_never_taken() {
    let place = Place::demo();
    let files = [shared(&place, "1047"), answer(&place, "1047", answering(vec![swap("25", FITTED)]))];
    let lab = laboratory();
    for file in files {
        assert!(sharing::open("a.json", &file).is_ok());
        let mut tried = 0;
        for at in (0..file.len()).step_by(10) {
            let cut = &file.as_bytes()[..at];
            let flips = [1, 32, 128].map(|bit| {
                let mut bytes = file.clone().into_bytes();
                bytes[at] ^= bit;
                bytes
            });
            for damaged in flips.iter().map(Vec::as_slice).chain([cut]) {
                tried += 1;
                if let Ok(text) = std::str::from_utf8(damaged) {
                    assert!(sharing::open("a.json", text).is_err(), "byte {at}");
                }
                // The same through the program, a sample: what is not UTF-8 is met there first.
                if tried % 2_000 == 0 || (at == 500 && damaged.len() > at) {
                    fs::write(lab.folder().join("a.json"), damaged).unwrap();
                    let out = typed(&lab, "case take a.json");
                    assert!(
                        [1, 2].contains(&code(&out)) && out.stdout.is_empty(),
                        "byte {at}: {}",
                        text(&out.stderr)
                    );
                }
            }
        }
        assert!(tried > 4_000, "{tried}");
    }
    assert_eq!(lab.json(&["case", "list"])["cases"], json!([]));
}
