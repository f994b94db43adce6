//! A part of the catalogue: `DeviceDefinition`.

use serde_json::{Map, Value as Json, json};

use super::terms::{GTIN, HIBC_ISSUER, concept, own, quantity};
use crate::catalog::{Part, Reuse, Sterile, TorqueSpec, Value};
use crate::units::Length;

/// A part with the numbers its source states.
pub(super) fn definition(part: &Part) -> Json {
    let mut out = Map::new();
    out.insert("description".to_owned(), part.description.as_str().into());
    let numbers = identifiers(part);
    if !numbers.is_empty() {
        out.insert("identifier".to_owned(), numbers.into());
    }
    out.insert("partNumber".to_owned(), part.code.as_str().into());
    out.insert("classification".to_owned(), json!([{ "type": kind(part) }]));
    if let Some(pack) = part.pack.known() {
        out.insert("packaging".to_owned(), json!([{ "count": pack }]));
    }
    let properties = properties(part);
    if !properties.is_empty() {
        out.insert("property".to_owned(), properties.into());
    }
    if let Some(material) = part.material.known() {
        out.insert("material".to_owned(), json!([{ "substance": { "text": material.of.as_str() } }]));
    }
    Json::Object(out)
}

/// What it is for.
pub(super) fn kind(part: &Part) -> Json {
    concept(own("kind"), part.kind.slug(), part.kind.words())
}

/// What labels call it. No `udiDeviceIdentifier`: that asks for the authority it is registered with, which nobody keeps.
fn identifiers(part: &Part) -> Vec<Json> {
    let gtin = part.gtin.known().map(|g| json!({ "system": GTIN, "value": format!("{:0>14}", g.as_str()) }));
    let hibc = part
        .hibc
        .known()
        .map(|h| json!({ "system": HIBC_ISSUER, "value": h.as_str().trim_start_matches('+') }));
    gtin.into_iter().chain(hibc).collect()
}

fn property(code: &str, text: &str, value: &str, content: Json) -> Json {
    let mut one = Map::new();
    one.insert("type".to_owned(), concept(own("property"), code, text));
    one.insert(value.to_owned(), content);
    Json::Object(one)
}

fn properties(part: &Part) -> Vec<Json> {
    let lengths: [(&str, &str, &Value<Length>); 8] = [
        ("seat-height", "seat height: lower seat to upper seat along the implant axis", &part.seat_height),
        ("collar-short", "collar (gingival) height at the short side", &part.collar_short),
        ("collar-long", "collar (gingival) height at the long side", &part.collar_long),
        ("offset", "sideways offset of the upper seat", &part.offset),
        ("widest", "widest diameter", &part.widest),
        ("neck", "neck diameter", &part.neck),
        ("under-head", "length under the head", &part.under_head),
        ("driver-length", "length of the driver", &part.driver_length),
    ];
    let torque = match &part.torque {
        TorqueSpec::Stated(t) => Some(("valueQuantity", quantity(t.number(), "Ncm", "N.cm"))),
        TorqueSpec::ByHand => Some(("valueString", part.torque.to_string().into())),
        TorqueSpec::NotKnown | TorqueSpec::NotApplicable => None,
    };
    let torque = torque.map(|(key, value)| property("torque", "torque its source states", key, value));
    let lengths = lengths.into_iter().filter_map(|(code, text, value)| {
        let length = value.known()?;
        Some(property(code, text, "valueQuantity", quantity(length.number(), "mm", "mm")))
    });
    let angle = part.angle.known().map(|a| {
        property(
            "angle",
            "angle between lower and upper axis",
            "valueQuantity",
            quantity(a.number(), "°", "deg"),
        )
    });
    let drive = part.drive.known().map(|d| property("drive", "drive", "valueString", d.to_string().into()));
    let sterile = (part.sterile != Sterile::NotStated).then(|| {
        property("sterile", "how it comes out of its pack", "valueString", part.sterile.words().into())
    });
    let once = match part.reuse {
        Reuse::SingleUse => Some(true),
        Reuse::Reusable => Some(false),
        Reuse::NotStated => None,
    };
    let once = once.map(|b| property("single-use", "for single use", "valueBoolean", b.into()));
    torque.into_iter().chain(lengths).chain(angle).chain(drive).chain(sterile).chain(once).collect()
}
