//! What a bundle says is what the record says: every reference leads somewhere, the units add up, nothing is said twice
//! or under two numbers, and nothing is in it that the record lacks.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value as Json, json};

use super::practice::{LABEL, SCREW, book, bundle, busy, laid_down, look_ups, of};
use crate::cli::typed::typed;
use crate::support::{Place, code, text};

/// Everything that refers, and every text, with its path.
fn walk<'a>(at: &str, value: &'a Json, each: &mut impl FnMut(&str, &'a Json)) {
    each(at, value);
    match value {
        Json::Array(all) => all.iter().for_each(|v| walk(at, v, each)),
        Json::Object(all) => all.iter().for_each(|(k, v)| walk(&format!("{at}.{k}"), v, each)),
        _ => {}
    }
}

/// What a reader of a bundle relies on; <https://hl7.org/fhir/R5/json.html> for what is never empty,
/// <https://hl7.org/fhir/R5/bundle.html> for the addresses, <https://hl7.org/fhir/R5/datatypes.html#string> for texts.
fn complaints(bundle: &Json) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut urls = BTreeSet::new();
    for entry in bundle["entry"].as_array().unwrap() {
        let (url, id) = (entry["fullUrl"].as_str().unwrap(), entry["resource"]["id"].as_str().unwrap());
        if url != format!("urn:uuid:{id}") {
            wrong.push(format!("{url} is not the address of {id}"));
        }
        if !urls.insert(url) {
            wrong.push(format!("{url} stands twice"));
        }
    }
    walk("", bundle, &mut |at, value| match value {
        Json::String(s) if at.ends_with(".reference") && !urls.contains(s.as_str()) => {
            wrong.push(format!("{at}: {s} is not in the bundle"));
        }
        Json::String(s) if s.trim().is_empty() || s.chars().any(char::is_control) => {
            wrong.push(format!("{at}: {s:?} is no text"));
        }
        Json::Null => wrong.push(format!("{at} is null")),
        Json::Array(all) if all.is_empty() => wrong.push(format!("{at} is empty")),
        Json::Object(all) if all.is_empty() => wrong.push(format!("{at} is empty")),
        _ => {}
    });
    wrong
}

#[test]
fn every_reference_leads_to_something_in_the_bundle_and_nothing_is_empty() {
    let place = busy();
    for line in look_ups(&place) {
        let told = bundle(&place, &line);
        assert_eq!(complaints(&told), [""; 0], "{line}");
        assert_eq!(
            (&told["resourceType"], &told["type"]),
            (&json!("Bundle"), &json!("collection")),
            "{line}"
        );
    }
}

#[test]
fn a_reference_that_leads_nowhere_is_found() {
    let place = laid_down();
    let mut told = bundle(&place, "trace --case 1047");
    let entries = told["entry"].as_array_mut().unwrap();
    entries.retain(|e| e["resource"]["resourceType"] != "Patient");
    let twice = entries[0].clone();
    entries.push(twice);
    let found = complaints(&told);
    assert!(found.iter().any(|c| c.contains("is not in the bundle")), "{found:?}");
    assert!(found.iter().any(|c| c.contains("stands twice")), "{found:?}");
}

/// Units by part, lot and place, as the bundle's report has them.
fn reported(bundle: &Json) -> BTreeMap<(String, String, String), i64> {
    let by_url: BTreeMap<&str, &Json> = bundle["entry"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| (e["fullUrl"].as_str().unwrap(), &e["resource"]))
        .collect();
    let at = |reference: &Json| by_url[reference["reference"].as_str().unwrap()];
    let mut out = BTreeMap::new();
    let [report] = of(bundle, "InventoryReport")[..] else { panic!("one report: {bundle}") };
    for listing in report["inventoryListing"].as_array().into_iter().flatten() {
        let place = at(&listing["location"])["name"].as_str().unwrap();
        for line in listing["item"].as_array().unwrap() {
            let item = at(&line["item"]["reference"]);
            let part = item["code"][0]["coding"][0]["code"].as_str().unwrap().to_owned();
            let definition = at(&item["association"][0]["relatedItem"]);
            assert_eq!(definition["partNumber"], part.as_str());
            let lot = item["instance"]["lotNumber"].as_str().unwrap().to_owned();
            let before =
                out.insert((part, lot, place.to_owned()), line["quantity"]["value"].as_i64().unwrap());
            assert_eq!(before, None, "a lot stands twice in {place}");
        }
    }
    out
}

#[test]
fn the_units_of_a_report_are_those_of_the_stock() {
    let place = busy();
    for line in ["stock", "stock --part plover-prosthetic-screw-1.4", "stock --place cabinet-2-drawer-3"] {
        let words: Vec<&str> = line.split(' ').collect();
        let stock = place.json(&words);
        let lines = stock["rows"].as_array().unwrap().iter().chain(stock["apart"].as_array().unwrap());
        let text = |r: &Json, key: &str| r[key].as_str().unwrap().to_owned();
        let expected: BTreeMap<_, i64> = lines
            .map(|r| ((text(r, "part"), text(r, "lot"), text(r, "place")), r["quantity"].as_i64().unwrap()))
            .collect();
        assert!(expected.len() > 3, "{line}: {expected:?}");
        let told = bundle(&place, line);
        assert_eq!(reported(&told), expected, "{line}");
        let note = &of(&told, "InventoryReport")[0]["note"][0]["text"];
        assert_eq!(note.is_string(), line != "stock", "a part of the stock says so: {note}");
    }
    let traced = reported(&bundle(&place, "trace --lot MONTH-1"));
    let units: Vec<(&str, i64)> = traced.iter().map(|((_, _, at), n)| (at.as_str(), *n)).collect();
    assert_eq!(units, [("cabinet-2-drawer-1", 1), ("cabinet-2-drawer-3", 1), ("quarantine", 2)]);
}

/// The only item of a lot.
fn item<'a>(bundle: &'a Json, lot: &str) -> &'a Json {
    let found: Vec<&Json> =
        of(bundle, "InventoryItem").into_iter().filter(|i| i["instance"]["lotNumber"] == lot).collect();
    assert_eq!(found.len(), 1, "{lot}");
    found[0]
}

#[test]
fn a_lot_says_its_expiry_as_the_label_did_and_whether_it_may_be_used() {
    let place = busy();
    let stock = bundle(&place, "stock");
    let absent = |why: &str| {
        json!({ "extension": [{
            "url": "http://hl7.org/fhir/StructureDefinition/data-absent-reason", "valueCode": why }] })
    };
    for (lot, expiry, missing) in [
        ("MONTH-1", json!("2029-06"), Json::Null),
        ("BACK-1", json!("2029-06-30"), Json::Null),
        ("NONE-1", Json::Null, absent("not-applicable")),
        ("ASKED-1", Json::Null, absent("unknown")),
    ] {
        let instance = &item(&stock, lot)["instance"];
        assert_eq!((&instance["expiry"], &instance["_expiry"]), (&expiry, &missing), "{lot}");
    }
    let state = |lot: &str| {
        let one = item(&stock, lot);
        (one["status"].clone(), one["inventoryStatus"][0]["coding"][0]["code"].clone())
    };
    assert_eq!(state("MONTH-1"), (json!("active"), Json::Null));
    assert_eq!(state("BACK-1"), (json!("inactive"), json!("called-back")));
    assert_eq!(state("DS-0702"), (json!("inactive"), json!("expired")));
    assert_eq!(item(&stock, "BACK-1")["extension"][0]["url"], "urn:spareseat:called-back-by-entry");
    let report = of(&stock, "InventoryReport")[0];
    assert_eq!(report["reportedDateTime"], "2026-11-25");
    let apart = report["inventoryListing"].as_array().unwrap().iter().filter(|l| l["itemStatus"].is_object());
    let codes: Vec<&Json> = apart.map(|l| &l["itemStatus"]["coding"][0]["code"]).collect();
    assert_eq!(codes, ["quarantine"]);
}

/// The device and what it is to the patient, of one lot.
fn fitted<'a>(bundle: &'a Json, lot: &str) -> Vec<(&'a Json, &'a Json)> {
    let mut out = Vec::new();
    for device in of(bundle, "Device").into_iter().filter(|d| d["lotNumber"] == lot) {
        let url = format!("urn:uuid:{}", device["id"].as_str().unwrap());
        let held: Vec<&Json> = of(bundle, "DeviceAssociation")
            .into_iter()
            .filter(|a| a["device"]["reference"] == url.as_str())
            .collect();
        assert_eq!(held.len(), 1, "{device}");
        out.push((device, held[0]));
    }
    out
}

/// The value of one of our own extensions.
fn own<'a>(association: &'a Json, what: &str) -> Option<&'a Json> {
    let all = association["extension"].as_array()?;
    let one = all.iter().find(|e| e["url"] == format!("urn:spareseat:{what}").as_str())?;
    one.as_object()?.iter().find(|(k, _)| k.starts_with("value")).map(|(_, v)| v)
}

#[test]
fn what_stands_in_a_mouth_and_what_came_out_are_told_apart() {
    let place = busy();
    let case = bundle(&place, "trace --case 1047");
    let [(device, held)] = fitted(&case, "BACK-1")[..] else { panic!("one unit of BACK-1") };
    assert_eq!(device["status"], "active");
    assert_eq!(held["status"]["coding"][0]["code"], "attached");
    assert_eq!(held["period"], json!({ "start": "2026-11-25" }));
    assert_eq!(
        own(held, "torque"),
        Some(&json!({ "value": 12.5, "unit": "Ncm", "system": "http://unitsofmeasure.org", "code": "N.cm" }))
    );
    assert_eq!(
        own(device, "called-back-by-entry"),
        own(item(&bundle(&place, "stock"), "BACK-1"), "called-back-by-entry")
    );
    let [(device, held)] = fitted(&case, "PS-1120")[..] else { panic!("one unit of PS-1120") };
    assert_eq!((&device["status"], &held["status"]["text"]), (&json!("inactive"), &json!("taken out")));
    assert_eq!(held["period"], json!({ "start": "2026-11-25", "end": "2026-11-25" }));
    assert_eq!(own(held, "became"), Some(&json!("waste")));
    // An implant is in the bone, and its site is a tooth by ISO 3950.
    let implants: Vec<&Json> = of(&case, "DeviceAssociation")
        .into_iter()
        .filter(|a| own(a, "position") == Some(&json!("implant")))
        .collect();
    assert_eq!(implants.len(), 3);
    assert!(implants.iter().all(|a| a["status"]["coding"][0]["code"] == "implanted"));
    let teeth: BTreeSet<&str> = of(&case, "BodyStructure")
        .iter()
        .map(|b| b["includedStructure"][0]["structure"]["coding"][0]["code"].as_str().unwrap())
        .collect();
    assert_eq!(teeth, BTreeSet::from(["24", "25", "27"]));
    // The patient is a number of this practice, and nothing else.
    let [patient] = of(&case, "Patient")[..] else { panic!("one patient") };
    let keys: Vec<&str> = patient.as_object().unwrap().keys().map(String::as_str).collect();
    assert_eq!(keys, ["resourceType", "id", "meta", "identifier", "managingOrganization"]);
    assert_eq!(patient["identifier"][0]["value"], "1047");
}

#[test]
fn a_label_goes_along_as_it_was_scanned_under_the_number_of_its_item() {
    let place = busy();
    let case = bundle(&place, "trace --case 1047");
    let [(device, held)] = fitted(&case, "MONTH-1")[..] else { panic!("one unit of MONTH-1") };
    // Base 64 of LABEL, taken with the base64 tool of GNU coreutils.
    let scanned = "MDEwOTUyMTIzNDAwMDY0ODE3MjkwNjMwMTBNT05USC0xHTIxUzE=";
    assert!(LABEL.contains('\u{1d}'));
    assert_eq!(
        device["udiCarrier"],
        json!([{ "deviceIdentifier": "09521234000648", "issuer": "http://hl7.org/fhir/NamingSystem/gs1-di", "carrierAIDC": scanned }])
    );
    let why = own(held, "torque").unwrap();
    assert_eq!(
        (&why["coding"][0]["code"], &why["text"]),
        (&json!("not-performed"), &json!("tightened, torque not measured"))
    );
    // What nobody scanned has no carrier.
    assert!(fitted(&case, "BACK-1")[0].0.get("udiCarrier").is_none());
}

#[test]
fn the_same_record_gives_the_same_bytes_and_a_unit_has_one_number_everywhere() {
    let place = busy();
    for line in ["trace --case 1047 --fhir", "trace --lot BACK-1 --fhir", "stock --fhir"] {
        assert!(typed(&place, line).stdout == typed(&place, line).stdout, "{line}");
    }
    let (case, lot) = (bundle(&place, "trace --case 1047"), bundle(&place, "trace --lot BACK-1"));
    assert_eq!(fitted(&case, "BACK-1"), fitted(&lot, "BACK-1"));
    let (case, lot) = (bundle(&place, "trace --case 1047"), bundle(&place, "trace --lot PS-1120"));
    assert_eq!(fitted(&case, "PS-1120"), fitted(&lot, "PS-1120"));
    assert_eq!(item(&bundle(&place, "stock"), "PS-1120"), item(&lot, "PS-1120"));
    // Another practice's case 1047 is another patient.
    let other = bundle(&Place::other_demo(), "trace --case 1047");
    let ids = |b: &Json| -> BTreeSet<String> {
        b["entry"].as_array().unwrap().iter().map(|e| e["fullUrl"].to_string()).collect()
    };
    assert!(ids(&case).is_disjoint(&ids(&other)));
    // The same unit keeps its number when it comes out.
    book(&place, "return 1047 --site 25 --position prosthetic-screw --because 'called back' --old discarded");
    let after = bundle(&place, "trace --case 1047");
    assert_eq!(fitted(&after, "BACK-1")[0].0["id"], fitted(&case, "BACK-1")[0].0["id"]);
    assert_eq!(fitted(&after, "BACK-1")[0].1["period"]["end"], "2026-11-25");
}

#[test]
fn what_is_made_up_is_marked_in_every_resource_and_what_is_not_is_not() {
    let marked = |r: &Json| {
        r["meta"]["security"]
            == json!([{ "system": "http://terminology.hl7.org/CodeSystem/v3-ActReason", "code": "HTEST" }])
            && r["meta"]["tag"][0]["code"] == "made-up"
    };
    let place = laid_down();
    let told = bundle(&place, "trace --case 1047");
    assert!(marked(&told));
    assert!(told["entry"].as_array().unwrap().iter().all(|e| marked(&e["resource"])));
    // A practice of its own, with a part that is in no edition of ours.
    let place = Place::empty();
    for args in [
        &["new", "--practice", "Quiet Lane"][..],
        &["part", "import", concat!(env!("CARGO_MANIFEST_DIR"), "/catalog")],
    ] {
        let out = place.book(args);
        assert_eq!(code(&out), 0, "{}", text(&out.stderr));
    }
    book(&place, &format!("receive {SCREW} --lot L-1 --quantity 2 --place drawer-1 --new-place"));
    let told = bundle(&place, "stock");
    assert!(told["meta"].get("security").is_none());
    assert_eq!(told["meta"]["tag"], json!([{ "system": "urn:spareseat:as-of-entry", "code": "3" }]));
    assert!(told["entry"].as_array().unwrap().iter().all(|e| e["resource"].get("meta").is_none()));
    assert_eq!(of(&told, "Organization")[0]["name"], "Quiet Lane");
}

#[test]
fn two_forms_at_once_are_refused_and_a_look_up_books_nothing() {
    let place = laid_down();
    let before = std::fs::read(place.home().join("logbook.jsonl")).unwrap();
    for line in ["--json trace --case 1047 --fhir", "stock --fhir --json"] {
        let out = typed(&place, line);
        assert_eq!(
            (code(&out), text(&out.stdout), text(&out.stderr)),
            (
                2,
                String::new(),
                "spareseat: --fhir and --json are two forms of one answer: say one of them\n".to_owned()
            ),
            "{line}"
        );
    }
    let nobody = typed(&place, "trace --case 9999 --fhir");
    assert_eq!((code(&nobody), text(&nobody.stdout)), (2, String::new()));
    bundle(&place, "stock");
    assert!(std::fs::read(place.home().join("logbook.jsonl")).unwrap() == before);
}
