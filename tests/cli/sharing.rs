//! Between practice and laboratory: a case goes there as a file, its answer comes back; two homes, as in life.

use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::PermissionsExt as _;

use serde_json::{Value as Json, json};
use spareseat::catalog::Position;
use spareseat::desk::{Desk, Home, Today, open_home};
use spareseat::lab::sharing::{Answering, write_answer};
use spareseat::record::{AnswerSwap, FitWord};
use spareseat::units::{CaseNumber, Initials, PartCode, PracticeName, Tooth};

use super::bare_numbers::bare_numbers;
use super::booking::{booked, whole};
use super::refusals::refused;
use super::typed::typed;
use crate::support::{Place, code, heard, text};

pub const FITTED: &str = "plover-mua-4.1-c3.0";

/// A laboratory's own home, with the same catalogue or with none.
pub fn laboratory() -> Place {
    let place = Place::empty();
    let out = typed(&place, "new --practice 'Saltmarsh Dental Laboratory (made up)'");
    assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    place
}

/// What `case share` writes.
pub fn shared(place: &Place, case: &str) -> String {
    let out = typed(place, &format!("case share {case} shared.json --over"));
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()));
    fs::read_to_string(place.folder().join("shared.json")).unwrap()
}

/// Puts a file beside a home.
pub fn put(place: &Place, name: &str, content: &str) {
    fs::write(place.folder().join(name), content).unwrap();
}

pub fn desk(place: &Place) -> Desk {
    let date = jiff::civil::date(2026, 11, 25);
    let today = Today { now: "2026-11-25T12:00:00Z".parse().unwrap(), date, said: true };
    open_home(&Home::at(&place.home()), today).unwrap()
}

/// The abutment of the demo's catalogue at a site of the demo's case.
pub fn swap(site: &str, part: &str) -> AnswerSwap {
    let demo = Place::demo();
    let part = desk(&demo).view().part(&PartCode::new(part).unwrap()).unwrap().unwrap();
    AnswerSwap { site: Tooth::parse(site).unwrap(), position: Position::Abutment, part }
}

pub fn answering(swaps: Vec<AnswerSwap>) -> Answering {
    Answering {
        swaps,
        verdict: FitWord::CheckAtTryIn,
        worst_gap_um: Some(41.26),
        bands_um: (20.0, 60.0),
        working: json!({ "rest_seat": { "gaps_um": [0.0, 12.5, 41.26] } }),
        by: Initials::new("LB").unwrap(),
        on: jiff::civil::date(2026, 11, 25),
        laboratory: None,
    }
}

/// The answer that a home gives about a case of its own numbering.
pub fn answer(place: &Place, case: &str, ask: Answering) -> String {
    write_answer(desk(place).view(), &CaseNumber::new(case).unwrap(), ask).unwrap().text
}

fn said(place: &Place, line: &str) -> String {
    let out = typed(place, line);
    assert_eq!((code(&out), text(&out.stderr)), (0, String::new()), "{line}");
    for line in text(&out.stdout).lines() {
        assert_eq!(bare_numbers(line), [""; 0], "{line}");
    }
    text(&out.stdout)
}

const NO_CATALOGUE: &str = "note: the catalogue here does not have the interfaces plover-hex-4.1, plover-hex-5.0, top-4.8: no part can be looked up for those joints until one is imported.\n";

/// The whole way: shared, taken, answered, taken back, shown on both sides, refused once the assembly is another.
/// Types what somebody finds in a patient; what it says beside it is not the matter here.
fn entered(place: &Place, line: &str) {
    let out = typed(place, line);
    assert_eq!(code(&out), 0, "{line}: {}", text(&out.stderr));
}

#[test]
fn a_case_goes_to_the_laboratory_and_its_answer_comes_back() {
    let (practice, lab) = (Place::demo(), laboratory());
    let before = practice.json(&["stock"])["as_of"].clone();
    put(&lab, "a.json", &shared(&practice, "1047"));
    assert_eq!(practice.json(&["stock"])["as_of"], before, "sharing books nothing");

    let out = typed(&lab, "case take a.json");
    assert_eq!(
        (text(&out.stdout).as_str(), heard(&out).as_str()),
        (
            format!(
                "entry 2: case 1047 is on record: case 1047 of Mudflat Practice (made up), shared on 25 Nov 2026, 3 sites.\n{NO_CATALOGUE}"
            )
            .as_str(),
            NO_CATALOGUE
        )
    );
    let line = format!(
        "\nTaken from case 1047 of Mudflat Practice (made up), shared on 25 Nov 2026 (as of entry {before} there); taken here on 25 Nov 2026 by entry 2.\n"
    );
    let shown = said(&lab, "case show 1047");
    assert!(shown.contains(&line), "{shown}");
    let (here, there) = (lab.json(&["case", "show", "1047"]), practice.json(&["case", "show", "1047"]));
    assert_eq!((&here["sites"], &here["restorations"]), (&there["sites"], &there["restorations"]));
    assert_eq!(here["origin"]["practice"], "Mudflat Practice (made up)");
    assert_eq!((&here["origin"]["case"], &here["origin"]["as_of"]), (&json!("1047"), &before));
    assert_eq!(there["origin"], Json::Null);

    put(&practice, "b.json", &answer(&lab, "1047", answering(vec![swap("25", "plover-mua-4.1-c3.0")])));
    let entry = before.as_u64().unwrap() + 1;
    let words = "tooth 25, abutment: plover-mua-4.1-c3.0: check at try-in, widest gap 41.3 µm";
    assert_eq!(
        said(&practice, "case take b.json"),
        format!(
            "entry {entry}: case 1047: Saltmarsh Dental Laboratory (made up), LB, on 25 Nov 2026: {words}.\n"
        )
    );
    let event = format!("confirmed by LB, Saltmarsh Dental Laboratory (made up) (entry {entry}): {words}");
    let shown = said(&practice, "case show 1047");
    assert!(shown.contains(&format!("\n  - 25 Nov 2026: {event}\n")), "{shown}");
    let case = practice.json(&["case", "show", "1047"]);
    let events = case["events"].as_array().unwrap();
    let found: Vec<&Json> = events.iter().filter(|e| e["what"] == "confirmed").collect();
    assert_eq!(
        found,
        [&json!({
            "on": "2026-11-25", "site": "25", "position": "abutment", "what": "confirmed", "note": event, "kept": null,
        })]
    );
    let answers = case["confirmations"].as_array().unwrap();
    assert_eq!(
        (&answers[0]["worst_gap_um"], &answers[0]["verdict"], &answers[0]["by"], answers.len()),
        (&json!(41.3), &json!("check at try-in"), &json!("LB"), 1)
    );
    assert!(said(&practice, "logbook show --case 1047").ends_with(&format!(
        "  entry {entry} on 25 Nov 2026 by AB: case 1047: Saltmarsh Dental Laboratory (made up), LB, answered on 25 Nov 2026: {words} (bands: up to 20.0 µm keeps the fit, up to 60.0 µm check at try-in)\n"
    )));
    let says = format!(
        "spareseat: this answer was taken before, by entry {entry} on 25 Nov 2026: nothing was booked now"
    );
    refused(&practice, "case take b.json", 1, &says);
    whole(&practice);
    whole(&lab);
}

#[test]
fn an_answer_about_another_assembly_is_refused_and_says_what_changed() {
    let (practice, lab) = (Place::demo(), laboratory());
    put(&lab, "a.json", &shared(&practice, "1047"));
    typed(&lab, "case take a.json");
    put(&practice, "b.json", &answer(&lab, "1047", answering(vec![swap("25", "plover-mua-4.1-c3.0")])));
    let says = |what: &str| {
        format!(
            "spareseat: the answer was computed on other facts than those on record in case 1047: {what}. Share the case again and have it computed anew; nothing was booked"
        )
    };
    // At another site of the same bridge, and in a screw only.
    entered(
        &practice,
        "case found 1047 --site 27 --position prosthetic-screw --part plover-prosthetic-screw-1.4 --lot PS-9 --sure label",
    );
    let screw = "prosthetic screw (bridge to abutment)";
    let at_27 =
        format!("tooth 27: {screw} plover-prosthetic-screw-1.4 was of lot PS-1120, on record is lot PS-9");
    refused(&practice, "case take b.json", 1, &says(&at_27));
    entered(
        &practice,
        "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.5 --sure label",
    );
    let at_25 = "tooth 25: abutment was plover-mua-4.1-c3.0, on record is plover-mua-4.1-c3.5";
    refused(&practice, "case take b.json", 1, &says(&format!("{at_25}; {at_27}")));
    booked(
        &practice,
        "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --sure label",
    );
    let at_25 = "tooth 25: abutment plover-mua-4.1-c3.0 was of lot MU-1203, on record is lot not recorded";
    refused(&practice, "case take b.json", 1, &says(&format!("{at_25}; {at_27}")));
    booked(
        &practice,
        "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.0 --lot MU-1203 --sure guess",
    );
    let at_25 = "tooth 25: abutment plover-mua-4.1-c3.0: the day, the torque, the lean or how sure it is was entered anew";
    refused(&practice, "case take b.json", 1, &says(&format!("{at_25}; {at_27}")));
    // Answered about what stands there now, it is taken.
    put(&lab, "a.json", &shared(&practice, "1047"));
    let again = typed(&lab, "case take a.json");
    assert!(
        text(&again.stdout)
            .starts_with("entry 3: case 1047 is on record, in place of what was taken of it before: ")
    );
    put(&practice, "b.json", &answer(&lab, "1047", answering(vec![swap("25", "plover-mua-4.1-c3.0")])));
    assert_eq!(booked(&practice, "case take b.json")["took"], "answer");
}

#[test]
fn sites_that_were_measured_anew_are_another_question() {
    let (practice, lab) = (Place::demo(), laboratory());
    put(&lab, "a.json", &shared(&practice, "1047"));
    typed(&lab, "case take a.json");
    put(&practice, "b.json", &answer(&lab, "1047", answering(vec![swap("25", "plover-mua-4.1-c3.0")])));
    let out =
        typed(&practice, "case measured 1047 --at 24=22.1,10.6,0 --at 25=24.6,17.3,0 --at 27=28.5,34.9,0");
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let anew = |tooth: u8| format!("tooth {tooth}: where it lies was measured anew");
    refused(
        &practice,
        "case take b.json",
        1,
        &format!(
            "spareseat: the answer was computed on other facts than those on record in case 1047: {}; {}; {}. Share the case again and have it computed anew; nothing was booked",
            anew(24),
            anew(25),
            anew(27)
        ),
    );
    // What was measured goes along, and is what the next answer is computed on.
    put(&lab, "a.json", &shared(&practice, "1047"));
    typed(&lab, "case take a.json");
    assert!(text(&typed(&lab, "case show 1047").stdout).contains("where its sites are: measured"));
    put(&practice, "b.json", &answer(&lab, "1047", answering(vec![swap("25", "plover-mua-4.1-c3.0")])));
    assert_eq!(booked(&practice, "case take b.json")["took"], "answer");
}

#[test]
fn a_laboratory_in_the_house_answers_from_the_same_home() {
    let place = Place::demo();
    let laboratory = Some(PracticeName::new("the bench next door (made up)").unwrap());
    let (worst_gap_um, verdict) = (None, FitWord::NotEnoughKnown);
    let swaps = vec![swap("24", "plover-mua-4.1-c3.0"), swap("25", "plover-mua-4.1-c3.5")];
    let ask = Answering { laboratory, worst_gap_um, verdict, ..answering(swaps) };
    put(&place, "b.json", &answer(&place, "1047", ask));
    let answer = booked(&place, "case take b.json");
    assert_eq!((&answer["worst_gap_um"], &answer["took"]), (&Json::Null, &json!("answer")));
    assert_eq!(answer["sites"].as_array().unwrap().len(), 3, "every site of the bridge");
    let shown = said(&place, "case show 1047");
    assert!(shown.contains("confirmed by LB, the bench next door (made up) (entry "), "{shown}");
    assert!(shown.contains("): tooth 24, abutment: plover-mua-4.1-c3.0; tooth 25, abutment: plover-mua-4.1-c3.5: not enough known, widest gap not known\n"), "{shown}");
}

#[test]
fn nothing_of_another_patient_and_nothing_told_goes_along() {
    let place = Place::demo();
    booked(&place, "case note 1047 'told on the telephone'");
    let label = "(01)09521234000082(10)MU-1203(21)ON-THE-LABEL";
    booked(
        &place,
        &format!(
            "case found 1047 --site 25 --position abutment --part {FITTED} --lot MU-1203 --label '{label}' --sure label"
        ),
    );
    let file = shared(&place, "1047");
    let texts = |json: &Json, of: &dyn Fn(&Json) -> Vec<String>| -> BTreeSet<String> {
        of(json).into_iter().collect()
    };
    let lots = |case: &Json| -> Vec<String> {
        let sites = case["sites"].as_array().unwrap().iter();
        let all = sites.flat_map(|s| s["fitted"].as_array().unwrap().clone());
        all.flat_map(|f| [f["lot"].clone(), f["made"]["job"].clone(), f["made"]["file"].clone()])
            .filter_map(|l| l.as_str().map(ToOwned::to_owned))
            .collect()
    };
    let own = texts(&place.json(&["case", "show", "1047"]), &lots);
    assert!(own.len() > 5 && own.iter().all(|l| file.contains(&format!("\"{l}\""))), "{own:?}");
    let mut strange = 0;
    for other in ["2210", "3306", "4051", "5120", "6188"] {
        for lot in texts(&place.json(&["case", "show", other]), &lots).difference(&own) {
            strange += 1;
            assert!(!file.contains(&format!("\"{lot}\"")), "{lot} of case {other}");
        }
        assert!(
            !file.contains(&format!("\"{other}\"")) && !file.contains(&format!("-{other}")),
            "case {other}"
        );
    }
    assert!(strange > 10, "{strange}");
    let case = place.json(&["case", "show", "1047"]);
    let told =
        [&case["load"]["signs"], &case["load"]["against"], &json!("told on the telephone"), &json!(label)];
    for words in told.map(|w| w.as_str().unwrap()) {
        assert!(!file.contains(words), "{words}");
    }
    for known in
        ["\"grinding\": \"probable\"", "\"splint\": \"has\"", "\"made_up\": true", "\"tool\": \"spareseat "]
    {
        assert!(file.contains(known), "{known}");
    }
    // The label stays at home, and the sums agree all the same.
    let lab = laboratory();
    put(&lab, "a.json", &file);
    typed(&lab, "case take a.json");
    put(&place, "b.json", &answer(&lab, "1047", answering(vec![swap("25", FITTED)])));
    booked(&place, "case take b.json");
}

#[test]
fn what_a_restoration_was_built_on_goes_along_as_its_measure() {
    let (practice, lab) = (Place::demo(), laboratory());
    let part = "plover-mua-4.1-c3.5";
    booked(&practice, &format!("receive {part} --lot MU-77 --quantity 1 --place cabinet-2-drawer-3"));
    let used = format!(
        "use 1047 --site 25 --position abutment --part {part} --lot MU-77 --torque 30 --place cabinet-2-drawer-3"
    );
    // It is booked with a note: it does not fit this bridge.
    assert_eq!(code(&typed(&practice, &used)), 0);
    let demo = fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/catalog")).unwrap().flatten();
    let files: Vec<String> =
        demo.map(|f| f.path().display().to_string()).filter(|f| f.ends_with(".toml")).collect();
    let imported =
        lab.book(&[&["part", "import"], &files.iter().map(String::as_str).collect::<Vec<_>>()[..]].concat());
    assert_eq!(code(&imported), 0, "{}", text(&imported.stderr));
    put(&lab, "a.json", &shared(&practice, "1047"));
    assert_eq!(booked(&lab, "case take a.json --number L-9")["case"], "L-9");
    let fits = |place: &Place, case: &str| {
        let swap = place.json(&["swap", case, "25", "abutment", FITTED]);
        (swap["answer"].clone(), swap["candidates"][0]["verdict"].clone())
    };
    assert_eq!(fits(&lab, "L-9"), fits(&practice, "1047"));
    let (there, here) = (desk(&practice), desk(&lab));
    let site = Tooth::parse("25").unwrap();
    let built =
        |desk: &Desk, case: &str| desk.view().built_on(&CaseNumber::new(case).unwrap(), site).unwrap();
    assert_eq!(built(&here, "L-9"), built(&there, "1047"));
    assert_eq!(built(&here, "L-9")[0].part.code.as_str(), FITTED);
}

#[test]
fn the_file_is_its_owner_s_alone_and_the_same_each_time() {
    let place = Place::demo();
    let first = shared(&place, "1047");
    let mode = fs::metadata(place.folder().join("shared.json")).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
    assert_eq!(shared(&place, "1047"), first);
    let json = place.json(&["case", "share", "1047", "again.json"]);
    let read: Json = serde_json::from_str(&first).unwrap();
    assert_eq!((&json["file_sum"], &json["as_of"]), (&read["sum"], &read["as_of"]));
    assert_eq!(json["bytes"], first.len());
    assert_eq!(json["sites"][0]["sum"], read["sites"][0]["sum"]);
}

#[test]
fn taken_again_the_case_is_replaced_and_what_happened_here_stays() {
    let (practice, lab) = (Place::demo(), laboratory());
    let old = shared(&practice, "1047");
    put(&lab, "old.json", &old);
    entered(
        &practice,
        "case found 1047 --site 25 --position abutment --part plover-mua-4.1-c3.5 --lot MU-77 --sure label",
    );
    put(&lab, "new.json", &shared(&practice, "1047"));
    let abutment = |lab: &Place| {
        let case = lab.json(&["case", "show", "L-1"]);
        let fitted = case["sites"][1]["fitted"].as_array().unwrap().clone();
        fitted.iter().find(|f| f["position"] == "abutment").unwrap()["part"].clone()
    };
    typed(&lab, "case take old.json --number L-1");
    booked(&lab, "case note L-1 'model poured'");
    assert_eq!(abutment(&lab), FITTED);
    let out = typed(&lab, "--json case take new.json");
    let json: Json = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!((&json["case"], &json["replaced"]), (&json!("L-1"), &json!(true)));
    assert_eq!(abutment(&lab), "plover-mua-4.1-c3.5");
    let notes = lab.json(&["case", "show", "L-1"])["events"].clone();
    assert_eq!(notes[0]["note"], "model poured");
    let older = typed(&lab, "case take old.json");
    let says = heard(&older);
    assert!(
        says.starts_with("note: this file is OLDER than what was on record as case L-1: as of entry "),
        "{says}"
    );
    // A file put in its place here ends the tie.
    let out = typed(&lab, "case show L-1");
    assert!(text(&out.stdout).contains("Taken from case 1047"));
    put(&lab, "own.toml", "form = 1\ncase = \"L-1\"\nnumbering = \"iso-3950\"\n[[site]]\ntooth = 25\n");
    booked(&lab, "case import own.toml --replace");
    assert_eq!(lab.json(&["case", "show", "L-1"])["origin"], Json::Null);
    whole(&lab);
}

#[test]
fn the_same_act_takes_once() {
    let (practice, lab) = (Place::demo(), laboratory());
    put(&lab, "a.json", &shared(&practice, "1047"));
    let act = "--act 00112233445566778899aabbccddeeff case take a.json";
    assert_eq!(heard(&typed(&lab, act)), NO_CATALOGUE);
    let again = typed(&lab, act);
    assert_eq!(heard(&again), "");
    assert!(text(&again.stdout).starts_with("Booked before by the same act; nothing was booked now. Entry 2 stands: case 1047 taken from case 1047 of Mudflat Practice (made up)"));
}
