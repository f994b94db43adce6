//! A unit in a patient: `Device`, `DeviceAssociation`, `BodyStructure`, and the `Patient` by a number.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Map, Value as Json, json};

use super::bundle::Bundle;
use super::definition::kind;
use super::terms::{
    ABSENT_CODES, ASSOCIATION, GS1_ISSUER, HIBC_ISSUER, ISO_3950, absent, concept, extension, own,
    put_expiry, quantity,
};
use crate::case::{Fitted, TorqueRecord};
use crate::catalog::{Part, Position};
use crate::scan::{self, Item};
use crate::tracing::trace::TakenOut;
use crate::units::{CaseNumber, Lot, PartCode, RawLabel, Tooth};

/// A unit that stands in a mouth.
pub(super) struct Stands<'a> {
    pub(super) case: &'a CaseNumber,
    pub(super) site: Tooth,
    pub(super) fitted: &'a Fitted,
    /// The entry that says so.
    pub(super) entry: Option<u64>,
}

/// What makes a unit this one and no other: where it was put, of what, by which entry.
struct Unit<'a> {
    case: &'a CaseNumber,
    site: Tooth,
    position: Position,
    part: &'a PartCode,
    lot: Option<&'a Lot>,
    entry: Option<u64>,
}

/// A unit that stands in a mouth.
pub(super) fn stands(bundle: &mut Bundle<'_>, what: &Stands<'_>) {
    let f = what.fitted;
    let (part, lot) = (&f.part.code, f.lot.as_ref());
    let unit = Unit { case: what.case, site: what.site, position: f.position, part, lot, entry: what.entry };
    let device = unit.device(bundle, "active", Some(f));
    let mut said = vec![extension("position", "valueCode", f.position.slug())];
    said.extend(torque(&f.torque));
    said.extend(f.lean.known().map(|lean| extension("lean", "valueString", lean.to_string())));
    said.push(extension("sure", "valueCode", f.sure.word()));
    said.extend(what.entry.map(|entry| extension("entry", "valuePositiveInt", entry)));
    // An implant is in the patient, what is screwed to it is attached; what the codes mean:
    // https://hl7.org/fhir/R5/valueset-deviceassociation-status.html
    let (code, text) = if f.position == Position::Implant {
        ("implanted", "in the bone")
    } else {
        ("attached", "in the mouth, on an implant")
    };
    let status = concept(ASSOCIATION, code, text);
    let period = f.on.map(|on| json!({ "start": on.to_string() }));
    unit.association(bundle, device, said, status, period);
}

/// A unit that came out.
pub(super) fn out(bundle: &mut Bundle<'_>, t: &TakenOut) {
    let (position, part, lot) = (t.position, &t.part, Some(&t.lot));
    let unit = Unit { case: &t.case, site: t.site, position, part, lot, entry: t.put_in };
    let device = unit.device(bundle, "inactive", None);
    let mut said = vec![extension("position", "valueCode", t.position.slug())];
    said.push(extension("became", "valueString", t.to.to_string()));
    said.extend(t.put_in.map(|entry| extension("entry", "valuePositiveInt", entry)));
    said.push(extension("out-by-entry", "valuePositiveInt", t.out.entry));
    let status = if t.position == Position::Implant {
        concept(ASSOCIATION, "explanted", "taken out")
    } else {
        // 'Explanted' is not to be said of what was never implanted, 'attached' is over, and there is no third: the
        // definition of the code asks for no value then.
        let mut status = absent("not-applicable");
        status["text"] = "taken out".into();
        status
    };
    let mut period = Map::new();
    period.extend(t.since.map(|on| ("start".to_owned(), on.to_string().into())));
    period.insert("end".to_owned(), t.out.on.to_string().into());
    unit.association(bundle, device, said, status, Some(period.into()));
}

/// A patient: a number of this practice, and nothing else.
pub(super) fn patient(bundle: &mut Bundle<'_>, case: &CaseNumber) -> Json {
    let (made_up, logbook) = (bundle.is_made_up(case), bundle.exchange.logbook);
    bundle.add("Patient", &[case.as_str()], made_up, |bundle| {
        let mut out = Map::new();
        let number = json!({ "system": own(&format!("case:{logbook}")), "value": case.as_str() });
        out.insert("identifier".to_owned(), json!([number]));
        out.extend(bundle.practice().map(|practice| ("managingOrganization".to_owned(), practice)));
        Json::Object(out)
    })
}

fn site(bundle: &mut Bundle<'_>, case: &CaseNumber, tooth: Tooth) -> Json {
    let (made_up, iso) = (bundle.is_made_up(case), tooth.iso().to_string());
    bundle.add("BodyStructure", &[case.as_str(), &iso], made_up, |bundle| {
        let coding = json!([{ "system": ISO_3950, "code": iso, "display": tooth.words() }]);
        let structure = json!({ "coding": coding, "text": format!("{tooth} (ISO 3950), {}", tooth.words()) });
        json!({ "includedStructure": [{ "structure": structure }], "patient": patient(bundle, case) })
    })
}

impl Unit<'_> {
    fn name(&self) -> [String; 6] {
        [
            self.case.to_string(),
            self.site.iso().to_string(),
            self.position.slug().to_owned(),
            self.part.to_string(),
            self.lot.map_or(String::new(), Lot::to_string),
            self.entry.map_or(String::new(), |e| e.to_string()),
        ]
    }

    /// The unit itself; `fitted` is what is on record of one that stands there.
    fn device(&self, bundle: &mut Bundle<'_>, status: &str, fitted: Option<&Fitted>) -> Json {
        let name = self.name();
        let name: Vec<&str> = name.iter().map(String::as_str).collect();
        bundle.add("Device", &name, bundle.is_made_up(self.case), |bundle| {
            let part = fitted.map(|f| &f.part).or_else(|| bundle.exchange.parts.get(self.part));
            let facts = self.lot.map(|lot| bundle.lot(self.part, lot));
            let mut out = Map::new();
            if let Some(entry) = facts.and_then(|f| f.called_back) {
                let said = extension("called-back-by-entry", "valuePositiveInt", entry);
                out.insert("extension".to_owned(), json!([said]));
            }
            if let Some(made) = part.and_then(|p| p.made.as_ref()) {
                let job = json!({ "system": own("laboratory-job"), "value": made.job.as_str() });
                out.insert("identifier".to_owned(), json!([job]));
            }
            out.extend(part.map(|p| ("displayName".to_owned(), p.description.as_str().into())));
            let made = part.is_some_and(|p| p.made.is_some());
            let definition = match part {
                // Made for one patient: no catalogue has it.
                Some(_) if made => None,
                Some(part) => Some(bundle.definition(part)),
                None => Some(bundle.part(self.part)),
            };
            out.extend(definition.map(|d| ("definition".to_owned(), json!({ "reference": d }))));
            let label = fitted.and_then(|f| f.label.as_ref());
            let carrier = label.and_then(|l| carrier(l, bundle.exchange.today.year()));
            out.extend(carrier.map(|c| ("udiCarrier".to_owned(), json!([c]))));
            out.insert("status".to_owned(), status.into());
            let maker = part.and_then(|p| p.made.as_ref()).map(|m| m.laboratory.as_str());
            out.extend(maker.map(|m| ("manufacturer".to_owned(), m.into())));
            if let Some(facts) = facts {
                put_expiry(&mut out, "expirationDate", facts.expiry);
            }
            out.extend(self.lot.map(|lot| ("lotNumber".to_owned(), lot.as_str().into())));
            out.insert("partNumber".to_owned(), self.part.as_str().into());
            out.extend(part.map(|p: &Part| ("type".to_owned(), json!([kind(p)]))));
            Json::Object(out)
        })
    }

    fn association(
        &self,
        bundle: &mut Bundle<'_>,
        device: Json,
        said: Vec<Json>,
        status: Json,
        period: Option<Json>,
    ) {
        let name = self.name();
        let name: Vec<&str> = name.iter().map(String::as_str).collect();
        bundle.add("DeviceAssociation", &name, bundle.is_made_up(self.case), |bundle| {
            let mut out = Map::new();
            out.insert("extension".to_owned(), said.into());
            out.insert("device".to_owned(), device);
            out.insert("status".to_owned(), status);
            out.insert("subject".to_owned(), patient(bundle, self.case));
            out.insert("bodyStructure".to_owned(), site(bundle, self.case, self.site));
            out.extend(period.map(|p| ("period".to_owned(), p)));
            Json::Object(out)
        });
    }
}

/// What it was tightened with; nothing where nobody wrote it down.
fn torque(record: &TorqueRecord) -> Option<Json> {
    match record {
        TorqueRecord::Measured(t) => {
            Some(extension("torque", "valueQuantity", quantity(t.number(), "Ncm", "N.cm")))
        }
        TorqueRecord::NotMeasured => {
            let why = concept(ABSENT_CODES, "not-performed", "tightened, torque not measured");
            Some(extension("torque", "valueCodeableConcept", why))
        }
        TorqueRecord::NotRecorded => None,
    }
}

/// A label that names its item by GS1 or HIBC. What a scanner sent has separators in it, which no text of FHIR may
/// have: it goes as `carrierAIDC`, in base 64; only what was printed for people is `carrierHRF`.
fn carrier(label: &RawLabel, reference_year: i16) -> Option<Json> {
    let raw = label.as_raw();
    let read = scan::read(raw, reference_year);
    let (number, issuer) = match read.item()? {
        Item::Gtin(gtin) => (gtin.to_owned(), GS1_ISSUER),
        Item::Hibc { lic, pcn, unit } => (format!("{lic}{pcn}{unit}"), HIBC_ISSUER),
    };
    let printed = raw.starts_with(['(', '*']) && !raw.chars().any(char::is_control);
    let (key, text) = if printed {
        ("carrierHRF", raw.to_owned())
    } else {
        ("carrierAIDC", STANDARD.encode(raw.as_bytes()))
    };
    let mut out = Map::new();
    out.insert("deviceIdentifier".to_owned(), number.into());
    out.insert("issuer".to_owned(), issuer.into());
    out.insert(key.to_owned(), text.into());
    Some(Json::Object(out))
}
