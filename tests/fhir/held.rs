//! Every bundle is held against the elements of HL7 FHIR R5 as published: names, how often each may stand, types, required
//! codes, where a reference may lead.
//!
//! The table `tests/vectors/fhir-r5.json` is not ours: it was made from the models of another library, which were made
//! from the published definitions (`tests/vectors/README.md`); `tests/run` has that library itself read the kept bundles.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde_json::{Map, Value as Json, json};

use super::practice::{bundle, busy, look_ups};

static TABLE: LazyLock<Json> =
    LazyLock::new(|| serde_json::from_str(include_str!("../vectors/fhir-r5.json")).expect("a table"));

/// Codes that stand in a `CodeableConcept`, an extension or a quantity, by their system.
const CODES: [(&str, &[&str]); 3] = [
    // https://hl7.org/fhir/R5/valueset-deviceassociation-status.html
    (
        "http://hl7.org/fhir/deviceassociation-status",
        &["implanted", "explanted", "entered-in-error", "attached", "unknown"],
    ),
    // https://terminology.hl7.org/CodeSystem-data-absent-reason.html; the list from memory, those we use seen there.
    (
        "http://terminology.hl7.org/CodeSystem/data-absent-reason",
        &[
            "unknown",
            "asked-unknown",
            "temp-unknown",
            "not-asked",
            "asked-declined",
            "masked",
            "not-applicable",
            "unsupported",
            "as-text",
            "error",
            "not-a-number",
            "negative-infinity",
            "positive-infinity",
            "not-performed",
            "not-permitted",
        ],
    ),
    // https://ucum.org/ucum: newton centimetre, millimetre, degree, unity. No other stands in a bundle of ours.
    ("http://unitsofmeasure.org", &["N.cm", "mm", "deg", "1"]),
];

fn codes_of(system: &str) -> Option<&'static [&'static str]> {
    CODES.iter().find(|(s, _)| *s == system).map(|(_, codes)| *codes)
}

/// What reads a bundle.
struct Reader<'a> {
    /// What stands under each address.
    kinds: BTreeMap<&'a str, &'a str>,
    wrong: Vec<String>,
}

/// What is wrong with a bundle.
fn wrong(bundle: &Json) -> Vec<String> {
    let entries = bundle["entry"].as_array().into_iter().flatten();
    let kinds =
        entries.filter_map(|e| Some((e["fullUrl"].as_str()?, e["resource"]["resourceType"].as_str()?)));
    let mut reader = Reader { kinds: kinds.collect(), wrong: Vec::new() };
    reader.object("Resource", bundle, "");
    reader.wrong
}

impl<'a> Reader<'a> {
    fn object(&mut self, kind: &str, value: &'a Json, at: &str) {
        let Json::Object(all) = value else { return self.wrong.push(format!("{at}: {value} is no {kind}")) };
        let kind =
            if kind == "Resource" { all.get("resourceType").and_then(Json::as_str) } else { Some(kind) };
        let Some((kind, rows)) = kind.and_then(|k| Some((k, TABLE["types"][k].as_object()?))) else {
            return self.wrong.push(format!("{at}: {value} is no resource of the table"));
        };
        let at = if at.is_empty() { kind } else { at };
        for (key, value) in all.iter().filter(|(k, _)| *k != "resourceType") {
            let at = format!("{at}.{key}");
            match (rows.get(key), key.strip_prefix('_').and_then(|k| rows.get(k))) {
                (Some(row), _) => self.element(row, value, &at),
                // Beside a primitive: its extensions.
                (None, Some(row)) if is_primitive(row) => self.beside(value, &at),
                _ => self.wrong.push(format!("{at}: no such element")),
            }
        }
        self.present(rows, all, at);
        self.absent(value, at);
        self.code(value, at);
        if kind == "DeviceAssociation" {
            self.association(value, at);
        }
    }

    /// What stands beside a primitive, under its name with a line before it: extensions.
    fn beside(&mut self, value: &'a Json, at: &str) {
        let all = value["extension"].as_array();
        if value.as_object().is_none_or(|o| o.len() != 1) || all.is_none_or(Vec::is_empty) {
            return self.wrong.push(format!("{at}: {value} is no list of extensions"));
        }
        all.into_iter().flatten().for_each(|one| self.object("Extension", one, at));
        self.absent(value, at);
    }

    /// Required elements, and choices of which one stands.
    fn present(&mut self, rows: &Map<String, Json>, all: &Map<String, Json>, at: &str) {
        let mut choices: BTreeMap<&str, (usize, bool)> = BTreeMap::new();
        for (key, row) in rows {
            let there = all.contains_key(key) || all.contains_key(&format!("_{key}"));
            if row["required"] == true && !there {
                self.wrong.push(format!("{at}.{key} is required"));
            }
            if let Some(choice) = row["choice"].as_str() {
                let (count, required) = choices.entry(choice).or_default();
                *count += usize::from(there);
                *required |= row["choice_required"] == true;
            }
        }
        for (choice, (count, required)) in choices {
            if count > 1 || (required && count == 0) {
                self.wrong.push(format!("{at}.{choice}[x] stands {count} times"));
            }
        }
    }

    fn element(&mut self, row: &Json, value: &'a Json, at: &str) {
        match (row["many"] == true, value) {
            (true, Json::Array(all)) if !all.is_empty() => all.iter().for_each(|v| self.one(row, v, at)),
            (false, value) if !value.is_array() => self.one(row, value, at),
            _ => self.wrong.push(format!("{at}: one and many are two things: {value}")),
        }
    }

    fn one(&mut self, row: &Json, value: &'a Json, at: &str) {
        let kind = row["type"].as_str().unwrap_or_default();
        if !is_primitive(row) {
            self.object(kind, value, at);
            let reference = if kind == "CodeableReference" { &value["reference"] } else { value };
            if let (Some(to), Some(url)) = (row["to"].as_array(), reference["reference"].as_str()) {
                let leads = self.kinds.get(url).copied().unwrap_or("nothing");
                if !to.iter().any(|k| k == leads) {
                    self.wrong.push(format!("{at} leads to {leads}, not to one of {to:?}"));
                }
            }
            return;
        }
        let listed = row["codes"].as_array().is_none_or(|codes| codes.contains(value));
        if !is_a(kind, value) || !listed {
            self.wrong.push(format!("{at}: {value} is no {kind} that may stand there"));
        }
    }

    /// A code of a system whose list is known here.
    fn code(&mut self, value: &Json, at: &str) {
        if let (Some(codes), Some(code)) =
            (value["system"].as_str().and_then(codes_of), value["code"].as_str())
            && !codes.contains(&code)
        {
            self.wrong.push(format!("{at}: {code} is no code of {}", value["system"]));
        }
    }

    /// Why a value is missing.
    fn absent(&mut self, value: &Json, at: &str) {
        let reasons =
            codes_of("http://terminology.hl7.org/CodeSystem/data-absent-reason").unwrap_or_default();
        for one in value["extension"].as_array().into_iter().flatten() {
            let is_reason = one["url"] == "http://hl7.org/fhir/StructureDefinition/data-absent-reason";
            if is_reason && !one["valueCode"].as_str().is_some_and(|r| reasons.contains(&r)) {
                self.wrong.push(format!("{at}: {one} is no reason"));
            }
        }
    }

    /// Its status is coded by a list that is required, or is absent where what was never implanted came out.
    fn association(&mut self, value: &Json, at: &str) {
        let status = &value["status"];
        let system = "http://hl7.org/fhir/deviceassociation-status";
        let coded = status["coding"].as_array().is_some_and(|c| c.iter().any(|c| c["system"] == system));
        let absent =
            status["extension"][0]["valueCode"] == "not-applicable" && value["period"]["end"].is_string();
        if !coded && !absent {
            self.wrong.push(format!("{at}.status: {status} has no code of {system}"));
        }
    }
}

fn is_primitive(row: &Json) -> bool {
    row["type"].as_str().is_some_and(|t| t.starts_with(|c: char| c.is_ascii_lowercase()))
}

/// <https://hl7.org/fhir/R5/datatypes.html>, as far as such a value stands in a bundle of ours.
fn is_a(kind: &str, value: &Json) -> bool {
    let text = value.as_str();
    let day = |t: &str| {
        t.bytes().all(|b| b.is_ascii_digit() || b == b'-')
            && match t.len() {
                4 => true,
                7 => format!("{t}-01").parse::<jiff::civil::Date>().is_ok(),
                10 => t.parse::<jiff::civil::Date>().is_ok(),
                _ => false,
            }
    };
    let base64 = |t: &str| {
        t.len().is_multiple_of(4) && t.bytes().all(|b| b.is_ascii_alphanumeric() || b"+/=".contains(&b))
    };
    match kind {
        "boolean" => value.is_boolean(),
        "integer" => value.as_i64().is_some_and(|n| i32::try_from(n).is_ok()),
        "unsignedInt" => value.as_u64().is_some_and(|n| n <= 2_147_483_647),
        "positiveInt" => value.as_u64().is_some_and(|n| (1..=2_147_483_647).contains(&n)),
        "decimal" => value.is_number(),
        "string" | "markdown" => {
            text.is_some_and(|t| !t.trim().is_empty() && !t.chars().any(char::is_control))
        }
        "code" => text.is_some_and(|t| !t.is_empty() && t.split(' ').all(|w| !w.is_empty())),
        "id" => text.is_some_and(|t| {
            (1..=64).contains(&t.len())
                && t.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'.')
        }),
        "uri" | "url" | "canonical" => {
            text.is_some_and(|t| t.contains(':') && !t.contains(char::is_whitespace))
        }
        "date" | "dateTime" => text.is_some_and(day),
        "base64Binary" => text.is_some_and(base64),
        _ => false,
    }
}

#[test]
fn every_bundle_is_what_the_published_definitions_allow() {
    let place = busy();
    let all = look_ups(&place);
    assert!(all.len() > 40, "{all:?}");
    let complaints: Vec<String> = all
        .iter()
        .flat_map(|line| wrong(&bundle(&place, line)).into_iter().map(move |w| format!("{line}: {w}")))
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// The first resource of a type, to spoil it.
fn first<'a>(bundle: &'a mut Json, kind: &str) -> &'a mut Json {
    let mut entries = bundle["entry"].as_array_mut().unwrap().iter_mut().map(|e| &mut e["resource"]);
    entries.find(|r| r["resourceType"] == kind).unwrap_or_else(|| panic!("no {kind}"))
}

fn remove(from: &mut Json, key: &str) {
    assert!(from.as_object_mut().unwrap().shift_remove(key).is_some(), "no {key} to take away: {from}");
}

/// What is done to the first resource of a type.
type Spoil = fn(&mut Json);

#[test]
fn a_spoiled_bundle_is_refused() {
    let sound = bundle(&busy(), "trace --lot BACK-1");
    assert_eq!(wrong(&sound), [""; 0]);
    let spoiled: &[(&str, &str, Spoil)] = &[
        ("a code of no list", "InventoryItem", |r| r["status"] = "on-shelf".into()),
        ("a code of no list", "InventoryReport", |r| r["status"] = "final".into()),
        ("a code of no list", "InventoryReport", |r| r["countType"] = "count".into()),
        ("a code of no list", "Device", |r| r["status"] = "in-use".into()),
        ("a code of no list", "DeviceAssociation", |r| r["status"]["coding"][0]["code"] = "fitted".into()),
        ("a system of another list", "DeviceAssociation", |r| {
            r["status"]["coding"][0]["system"] = "urn:x".into();
        }),
        ("a reason of no list", "InventoryItem", |r| {
            r["instance"]["_lotNumber"] = json!({ "extension": [{
                "url": "http://hl7.org/fhir/StructureDefinition/data-absent-reason", "valueCode": "lost" }] });
        }),
        ("a unit of no list", "DeviceDefinition", |r| {
            r["property"][0]["valueQuantity"]["code"] = "Ncm".into();
        }),
        ("a required element gone", "InventoryItem", |r| remove(r, "status")),
        ("a required element gone", "InventoryReport", |r| remove(r, "reportedDateTime")),
        ("a required element gone", "InventoryReport", |r| {
            remove(&mut r["inventoryListing"][0]["item"][0], "quantity");
        }),
        ("a required element gone", "InventoryReport", |r| {
            remove(&mut r["inventoryListing"][0]["item"][0], "item");
        }),
        ("a required element gone", "DeviceAssociation", |r| remove(r, "device")),
        ("a required element gone", "DeviceAssociation", |r| remove(r, "status")),
        ("a required element gone", "BodyStructure", |r| remove(r, "patient")),
        ("a required element gone", "BodyStructure", |r| remove(&mut r["includedStructure"][0], "structure")),
        ("a required choice gone", "DeviceDefinition", |r| remove(&mut r["property"][0], "valueQuantity")),
        ("one where many stand", "InventoryItem", |r| r["code"] = r["code"][0].take()),
        ("many where one stands", "Device", |r| r["lotNumber"] = json!(["BACK-1"])),
        ("none where many stand", "InventoryReport", |r| r["inventoryListing"] = json!([])),
        ("a misspelt element", "InventoryItem", |r| r["instance"]["lotNo"] = "BACK-1".into()),
        ("an element of another type", "DeviceDefinition", |r| r["property"][0]["valueMass"] = 1.into()),
        ("two of one choice", "DeviceDefinition", |r| r["property"][0]["valueString"] = "x".into()),
        ("no month of any year", "InventoryItem", |r| r["instance"]["expiry"] = "2029-13".into()),
        ("a number where a text stands", "Device", |r| r["lotNumber"] = 1.into()),
        ("a separator in a text", "Device", |r| r["displayName"] = "a\u{1d}b".into()),
        ("a reference to another sort", "DeviceAssociation", |r| r["bodyStructure"] = r["device"].clone()),
        ("a reference to nothing", "DeviceAssociation", |r| r["device"]["reference"] = "urn:uuid:0".into()),
    ];
    let mut passed = Vec::new();
    for (what, kind, spoil) in spoiled {
        let mut copy = sound.clone();
        spoil(first(&mut copy, kind));
        assert_ne!(copy, sound, "{what}, {kind}: nothing was spoiled");
        if wrong(&copy).is_empty() {
            passed.push(format!("{what}, {kind}"));
        }
    }
    for (key, value) in [("type", json!("pile")), ("resourceType", json!("Pile")), ("entries", json!([]))] {
        let mut copy = sound.clone();
        copy[key] = value;
        if wrong(&copy).is_empty() {
            passed.push(format!("Bundle.{key}"));
        }
    }
    assert!(passed.is_empty(), "not noticed: {}", passed.join("; "));
}
