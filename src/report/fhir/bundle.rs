//! The bundle: each thing once, under a number that its record and its name give it.

use std::collections::BTreeSet;

use serde_json::{Map, Value as Json, json};
use uuid::Uuid;

use super::definition;
use super::terms::{ACT_REASON, own};
use crate::catalog::Part;
use crate::tracing::exchange::{Bundled, LotFacts};
use crate::units::{CaseNumber, Expiry, Lot, PartCode};

/// What is being collected.
pub(super) struct Bundle<'a> {
    pub(super) exchange: &'a Bundled,
    entries: Vec<Json>,
    /// The numbers of what is in it already.
    there: BTreeSet<Uuid>,
}

impl<'a> Bundle<'a> {
    /// With nothing in it.
    pub(super) fn new(exchange: &'a Bundled) -> Self {
        Self { exchange, entries: Vec::new(), there: BTreeSet::new() }
    }

    /// The number of a thing: version 5 of RFC 9562, in the space of its logbook, so that the same thing has the same
    /// number in every bundle of a record and no other record has it.
    fn number(&self, kind: &str, name: &[&str]) -> Uuid {
        let space = Uuid::from_u128(self.exchange.logbook.bits());
        // No identifier has a line end in it.
        Uuid::new_v5(&space, format!("{kind}\n{}", name.join("\n")).as_bytes())
    }

    /// Adds a resource, unless it is there, and gives the reference to it.
    pub(super) fn add(
        &mut self,
        kind: &str,
        name: &[&str],
        made_up: bool,
        fields: impl FnOnce(&mut Self) -> Json,
    ) -> Json {
        let number = self.number(kind, name);
        let url = format!("urn:uuid:{number}");
        if self.there.insert(number) {
            // What it refers to comes before it.
            let fields = fields(self);
            let mut resource = Map::new();
            resource.insert("resourceType".to_owned(), kind.into());
            resource.insert("id".to_owned(), number.to_string().into());
            if made_up || self.exchange.made_up {
                resource.insert("meta".to_owned(), marks(true, None));
            }
            if let Json::Object(fields) = fields {
                resource.extend(fields);
            }
            self.entries.push(json!({ "fullUrl": url, "resource": resource }));
        }
        json!({ "reference": url })
    }

    /// The practice, where the record names it.
    pub(super) fn practice(&mut self) -> Option<Json> {
        let name = self.exchange.practice.as_ref()?;
        Some(self.add("Organization", &["practice"], false, |_| json!({ "name": name.as_str() })))
    }

    /// The definition of a part as the catalogue has it now; one that left it has its number alone.
    pub(super) fn part(&mut self, code: &PartCode) -> Json {
        match self.exchange.parts.get(code) {
            Some(part) => self.definition(part),
            None => self.add(
                "DeviceDefinition",
                &[code.as_str()],
                false,
                |_| json!({ "partNumber": code.as_str() }),
            ),
        }
    }

    /// The definition of a part with these numbers: the same code with other numbers is another definition.
    pub(super) fn definition(&mut self, part: &Part) -> Json {
        let numbers = serde_json::to_string(part).unwrap_or_default();
        self.add("DeviceDefinition", &[part.code.as_str(), &numbers], false, |_| definition::definition(part))
    }

    /// What is on record of a lot.
    pub(super) fn lot(&self, part: &PartCode, lot: &Lot) -> LotFacts {
        let nothing = LotFacts { expiry: Expiry::NotRecorded, called_back: None, expired: false };
        self.exchange.lots.get(&(part.clone(), lot.clone())).copied().unwrap_or(nothing)
    }

    /// Whether a case is invented.
    pub(super) fn is_made_up(&self, case: &CaseNumber) -> bool {
        self.exchange.made_up_cases.contains(case)
    }

    /// The whole. It has no time of its own: no clock is read, and a day is no instant.
    pub(super) fn finish(self) -> Json {
        let meta = marks(self.exchange.made_up, Some(self.exchange.as_of));
        json!({ "resourceType": "Bundle", "meta": meta, "type": "collection", "entry": self.entries })
    }
}

/// Made up or not, and up to which entry of the logbook.
fn marks(made_up: bool, as_of: Option<u64>) -> Json {
    let invented = json!({
        "system": own("record"), "code": "made-up", "display": "Made up: no real patient, no real part",
    });
    let as_of = as_of.map(|entry| json!({ "system": own("as-of-entry"), "code": entry.to_string() }));
    let tags: Vec<Json> = made_up.then_some(invented).into_iter().chain(as_of).collect();
    let mut meta = Map::new();
    if made_up {
        meta.insert("security".to_owned(), json!([{ "system": ACT_REASON, "code": "HTEST" }]));
    }
    meta.insert("tag".to_owned(), tags.into());
    Json::Object(meta)
}
