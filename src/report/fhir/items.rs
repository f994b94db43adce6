//! Lots and where they lie: `InventoryItem`, `Location`, `InventoryReport`.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};

use super::bundle::Bundle;
use super::definition::kind;
use super::terms::{GTIN, concept, extension, own, pieces, put_expiry};
use crate::stock::Where;
use crate::tracing::exchange::OnShelf;
use crate::units::{Lot, PartCode};

/// How many units of which lots lie where, on the day that counts: what the record says, not what somebody counted.
pub(super) fn report(bundle: &mut Bundle<'_>, what: &str, shelves: &[OnShelf], only: Option<&str>) {
    let as_of = bundle.exchange.as_of.to_string();
    let today = bundle.exchange.today.to_string();
    let name = [what, &as_of, &today, only.unwrap_or_default()];
    bundle.add("InventoryReport", &name, false, |bundle| {
        let mut by_place: BTreeMap<&Where, Vec<&OnShelf>> = BTreeMap::new();
        for line in shelves {
            by_place.entry(&line.place).or_default().push(line);
        }
        let listing: Vec<Json> =
            by_place.into_iter().map(|(place, lines)| listing(bundle, place, &lines)).collect();
        let mut out = Map::new();
        out.insert("status".to_owned(), "active".into());
        out.insert("countType".to_owned(), "snapshot".into());
        out.insert("reportedDateTime".to_owned(), today.as_str().into());
        if !listing.is_empty() {
            out.insert("inventoryListing".to_owned(), listing.into());
        }
        if let Some(only) = only {
            out.insert("note".to_owned(), json!([{ "text": only }]));
        }
        Json::Object(out)
    });
}

fn listing(bundle: &mut Bundle<'_>, place: &Where, lines: &[&OnShelf]) -> Json {
    let mut out = Map::new();
    out.insert("location".to_owned(), location(bundle, place));
    out.extend(
        apart(place).map(|(code, words)| ("itemStatus".to_owned(), concept(own("state"), code, words))),
    );
    let item = |line: &&OnShelf| {
        let item = item(bundle, &line.part, &line.lot);
        json!({ "quantity": pieces(line.quantity), "item": { "reference": item } })
    };
    out.insert("item".to_owned(), lines.iter().map(item).collect());
    Json::Object(out)
}

/// What is said of units that are in no drawer.
fn apart(place: &Where) -> Option<(&'static str, &'static str)> {
    match place {
        Where::Quarantine => Some(("quarantine", "kept apart: given to nobody")),
        Where::Reprocess => {
            Some(("to-be-reprocessed", "to be cleaned and sterilised before it is used again"))
        }
        _ => None,
    }
}

fn location(bundle: &mut Bundle<'_>, place: &Where) -> Json {
    let name = place.to_string();
    // A drawer may be called what a state is called.
    let sort = if place.house().is_some() { "drawer" } else { "state" };
    bundle.add("Location", &[sort, &name], false, |bundle| {
        let mut out = Map::new();
        out.insert("name".to_owned(), name.as_str().into());
        out.extend(apart(place).map(|(_, words)| ("description".to_owned(), words.into())));
        out.extend(bundle.practice().map(|practice| ("managingOrganization".to_owned(), practice)));
        Json::Object(out)
    })
}

/// A lot, wherever its units lie.
fn item(bundle: &mut Bundle<'_>, code: &PartCode, lot: &Lot) -> Json {
    bundle.add("InventoryItem", &[code.as_str(), lot.as_str()], false, |bundle| {
        let facts = bundle.lot(code, lot);
        let part = bundle.exchange.parts.get(code);
        let mut out = Map::new();
        if let Some(entry) = facts.called_back {
            let said = extension("called-back-by-entry", "valuePositiveInt", entry);
            out.insert("extension".to_owned(), json!([said]));
        }
        // Inactive is 'not expected to be used': https://hl7.org/fhir/R5/valueset-inventoryitem-status.html
        let usable = facts.called_back.is_none() && !facts.expired;
        out.insert("status".to_owned(), if usable { "active" } else { "inactive" }.into());
        out.extend(part.map(|p| ("category".to_owned(), json!([kind(p)]))));
        let own_code = json!({ "coding": [{ "system": own("part"), "code": code.as_str() }] });
        let gtin = part
            .and_then(|p| p.gtin.known())
            .map(|g| json!({ "coding": [{ "system": GTIN, "code": format!("{:0>14}", g.as_str()) }] }));
        out.insert("code".to_owned(), std::iter::once(own_code).chain(gtin).collect());
        out.extend(
            part.map(|p| ("description".to_owned(), json!({ "description": p.description.as_str() }))),
        );
        let called_back = facts.called_back.map(|_| ("called-back", "called back by its maker"));
        let expired = facts.expired.then_some(("expired", "its last day of use is over"));
        let states: Vec<Json> = called_back
            .into_iter()
            .chain(expired)
            .map(|(c, words)| concept(own("state"), c, words))
            .collect();
        if !states.is_empty() {
            out.insert("inventoryStatus".to_owned(), states.into());
        }
        out.insert("baseUnit".to_owned(), json!({ "text": "piece" }));
        let definition = bundle.part(code);
        out.insert(
            "association".to_owned(),
            json!([{
                "associationType": concept(own("association"), "piece-of", "each is one piece of this part"),
                "relatedItem": definition,
                "quantity": { "numerator": pieces(1), "denominator": pieces(1) },
            }]),
        );
        let mut instance = Map::new();
        instance.insert("lotNumber".to_owned(), lot.as_str().into());
        put_expiry(&mut instance, "expiry", facts.expiry);
        out.insert("instance".to_owned(), instance.into());
        Json::Object(out)
    })
}
