//! A label that was read, as JSON.

use serde_json::{Map, Value as Json, json};

use jiff::civil::Date;

use super::VERSION;
use super::held::{holds, kept_apart, rows};
use crate::catalog::Part;
use crate::lots::label::number;
use crate::scan::{Element, Form, Hibc, Label, Standard, Verdict};
use crate::shelf::finding::Found;

/// The answer of `scan`: verdict, standard, and what the label says under the names of its standard.
pub fn scanned(label: &Label) -> Json {
    let mut out = json!({
        "version": VERSION, "verdict": label.verdict().word(), "standard": label.standard().map(Standard::word),
    });
    match (label.standard(), label.hibc()) {
        (_, Some(hibc)) => out["parsed"] = parsed(hibc),
        (Some(Standard::Gs1), None) => out["elements"] = label.elements().iter().map(element).collect(),
        _ => {}
    }
    let (reasons, warnings) = match label.verdict() {
        Verdict::Ok | Verdict::Warn => (Vec::new(), label.reasons()),
        Verdict::Error | Verdict::NotGs1 => (label.reasons(), Vec::new()),
    };
    out["reasons"] = reasons.into();
    out["warnings"] = warnings.into();
    out
}

/// The answer of `find`: what `scan` says of the label, the parts with its item number, and what of them lies where.
pub fn found(f: &Found, today: Date, as_of: u64) -> Json {
    let part = |p: &Part| json!({ "code": p.code.as_str(), "description": p.description.as_str() });
    json!({
        "version": VERSION, "as_of": as_of, "label": scanned(&f.label), "item_number": f.label.item().map(|i| number(&i)),
        "parts": f.parts.iter().map(part).collect::<Json>(), "careful": f.careful, "rows": rows(&f.rows, today), "holds": holds(&f.held),
        "apart": kept_apart(&f.apart),
    })
}

fn element(e: &Element) -> Json {
    let mut out = json!({ "ai": e.ai(), "value": e.value() });
    if let Some(day) = e.day() {
        out["date"] = day.date().to_string().into();
    }
    if let Some(moment) = e.moment() {
        out["datetime"] = moment.to_string().into();
    }
    out
}

/// What an HIBC label does not say has no key.
fn parsed(h: &Hibc) -> Json {
    let mut out = Map::new();
    let mut put = |key: &str, value: Option<Json>| {
        if let Some(value) = value {
            out.insert(key.to_owned(), value);
        }
    };
    put("kind", Some(h.kind().into()));
    if let Some(item) = h.item() {
        put("lic", Some(item.lic().into()));
        put("pcn", Some(item.pcn().into()));
        put("uom", Some(item.unit().into()));
        put("di", Some(item.di().into()));
    }
    put("link", h.link().map(|c| c.to_string().into()));
    if let Some(expiry) = h.expiry() {
        put("expiry", Some(expiry.day().date().to_string().into()));
        put("expiry_precision", expiry.day().month_only().then(|| "month".into()));
        put("expiry_hour_gmt", expiry.hour_gmt().map(Json::from));
        // Eight digits are the date itself.
        put("expiry_raw", (expiry.form() != Form::LongDay).then(|| expiry.raw().into()));
        put("expiry_format", Some(expiry.form().written().into()));
        put("legacy_julian", expiry.without_flag().then_some(Json::Bool(true)));
    }
    put("manufactured", h.manufactured().map(|d| d.date().to_string().into()));
    put("lot", h.lot().map(Json::from));
    put("serial", h.serial().map(Json::from));
    put("quantity", h.quantity().map(Json::from));
    put("check", Some(h.check().to_string().into()));
    Json::Object(out)
}
