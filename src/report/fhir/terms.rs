//! Names that others have given, each with where it is published, and our own, which all begin with `urn:spareseat:`.

use serde_json::{Map, Value as Json, json};

use crate::units::Expiry;

/// UCUM: <https://hl7.org/fhir/R5/datatypes.html#Quantity>.
pub(super) const UCUM: &str = "http://unitsofmeasure.org";
/// GTIN: <https://terminology.hl7.org/NamingSystem-gtin.html>, the URI that is preferred there.
pub(super) const GTIN: &str = "https://www.gs1.org/gtin";
/// Who issues a GS1 device identifier: <https://hl7.org/fhir/R5/device-definitions.html#Device.udiCarrier.issuer>.
pub(super) const GS1_ISSUER: &str = "http://hl7.org/fhir/NamingSystem/gs1-di";
/// Who issues an HIBC device identifier: the same page, spelt as there.
pub(super) const HIBC_ISSUER: &str = "http://hl7.org/fhir/NamingSystem/hibcc-diI";
/// Teeth: the URN that RFC 5141 gives a standard of ISO; HL7 publishes no code system for ISO 3950 but an example.
pub(super) const ISO_3950: &str = "urn:iso:std:iso:3950";
/// Whether a device is in a patient: <https://hl7.org/fhir/R5/valueset-deviceassociation-status.html>.
pub(super) const ASSOCIATION: &str = "http://hl7.org/fhir/deviceassociation-status";
/// Why a value is missing: <https://hl7.org/fhir/extensions/StructureDefinition-data-absent-reason.html>.
pub(super) const ABSENT: &str = "http://hl7.org/fhir/StructureDefinition/data-absent-reason";
/// The codes of that: <https://terminology.hl7.org/CodeSystem-data-absent-reason.html>.
pub(super) const ABSENT_CODES: &str = "http://terminology.hl7.org/CodeSystem/data-absent-reason";
/// Marks test data with its code HTEST: <https://terminology.hl7.org/CodeSystem-v3-ActReason.html>.
pub(super) const ACT_REASON: &str = "http://terminology.hl7.org/CodeSystem/v3-ActReason";

/// A name of our own.
pub(super) fn own(what: &str) -> String {
    format!("urn:spareseat:{what}")
}

/// An extension of our own; `value` names its type, as `valueCode`.
pub(super) fn extension(what: &str, value: &str, content: impl Into<Json>) -> Json {
    let mut one = Map::from_iter([("url".to_owned(), own(what).into())]);
    one.insert(value.to_owned(), content.into());
    Json::Object(one)
}

/// One code, in words as well.
pub(super) fn concept(system: impl Into<String>, code: &str, text: &str) -> Json {
    json!({ "coding": [{ "system": system.into(), "code": code }], "text": text })
}

/// A number in a UCUM unit, written as whole where it is whole.
pub(super) fn quantity(number: f64, unit: &str, code: &str) -> Json {
    #[allow(clippy::cast_possible_truncation, reason = "the numbers here are millimetres, degrees, Ncm")]
    let value = if number.fract() == 0.0 { json!(number as i64) } else { json!(number) };
    json!({ "value": value, "unit": unit, "system": UCUM, "code": code })
}

/// A number of pieces: UCUM's unity, as FHIR's own `Count` has it
/// (<https://hl7.org/fhir/R5/datatypes.html#Count>).
pub(super) fn pieces(n: i64) -> Json {
    json!({ "value": n, "unit": if n == 1 { "piece" } else { "pieces" }, "system": UCUM, "code": "1" })
}

/// An element that is missing, and why.
pub(super) fn absent(why: &str) -> Json {
    json!({ "extension": [{ "url": ABSENT, "valueCode": why }] })
}

/// Puts an expiry under `key` with the precision of its label: a month stays a month. That a label carries none is not
/// the same as that nobody wrote it down.
pub(super) fn put_expiry(into: &mut Map<String, Json>, key: &str, expiry: Expiry) {
    let (key, value) = match expiry {
        Expiry::Day(_) | Expiry::Month(_) => (key.to_owned(), expiry.code().map_or(Json::Null, Json::from)),
        Expiry::NoneOnLabel => (format!("_{key}"), absent("not-applicable")),
        Expiry::NotRecorded => (format!("_{key}"), absent("unknown")),
    };
    into.insert(key, value);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_expiry_keeps_its_precision_and_says_why_it_is_missing() {
        for (typed, shown) in [
            ("2029-06", json!({ "expiry": "2029-06" })),
            ("2026-11-30", json!({ "expiry": "2026-11-30" })),
            ("none", json!({ "_expiry": absent("not-applicable") })),
        ] {
            let mut into = Map::new();
            put_expiry(&mut into, "expiry", Expiry::parse(typed).unwrap());
            assert_eq!(Json::Object(into), shown);
        }
        let mut into = Map::new();
        put_expiry(&mut into, "expiry", Expiry::NotRecorded);
        assert_eq!(Json::Object(into), json!({ "_expiry": absent("unknown") }));
    }

    #[test]
    fn a_whole_number_is_written_whole() {
        assert_eq!(
            quantity(15.0, "Ncm", "N.cm").to_string(),
            r#"{"value":15,"unit":"Ncm","system":"http://unitsofmeasure.org","code":"N.cm"}"#
        );
        assert_eq!(quantity(12.5, "Ncm", "N.cm")["value"], json!(12.5));
    }
}
