//! Every report at the five sites of the made-up practice that differ most, asked once for all tests that look at them:
//! one-piece and two-piece abutments, an angled one, a crown straight on its implant, a cemented bridge on made
//! abutments.

use std::collections::BTreeSet;
use std::sync::OnceLock;

use serde_json::Value as Json;
use spareseat::case::Broken;

use super::typed::typed;
use crate::support::{Place, code, text};

pub const SITES: [(&str, &str); 5] =
    [("1047", "25"), ("2210", "35"), ("2210", "43"), ("3306", "46"), ("4051", "36")];

/// One report at one site, as text and as JSON.
pub struct Asked {
    pub case: &'static str,
    pub site: &'static str,
    pub broken: &'static str,
    pub status: i32,
    pub text: String,
    pub json: Json,
}

impl Asked {
    pub fn is_answered(&self) -> bool {
        self.json.get("before").is_some()
    }

    pub fn told(&self) -> String {
        format!("case {}, tooth {}, {}", self.case, self.site, self.broken)
    }

    pub fn rows(&self, list: &str) -> &[Json] {
        self.json[list].as_array().map_or(&[], Vec::as_slice)
    }

    /// Every part that is to be taken, a line a site: where it goes, and what.
    pub fn units(&self, list: &str) -> BTreeSet<[String; 3]> {
        let rows = self.rows(list).iter().filter(|r| r["use"] == "take" && !r["verdict"].is_null());
        let word = |value: &Json| value.as_str().unwrap().to_owned();
        rows.flat_map(|r| {
            let sites = r["sites"].as_array().unwrap().iter();
            sites.map(move |site| [word(site), word(&r["position"]), word(&r["part"])])
        })
        .collect()
    }

    /// Every tool of the tray that the catalogue has.
    pub fn tools(&self) -> BTreeSet<&str> {
        let rows = self.rows("tray").iter().filter(|r| r["use"] == "take" && r["verdict"].is_null());
        rows.filter_map(|r| r["part"].as_str()).collect()
    }
}

pub fn ask(place: &Place, case: &'static str, site: &'static str, broken: &'static str, left: &str) -> Asked {
    let line = format!("visit {case} --site {site} --broken {broken}{left}");
    let (shown, json) = (typed(place, &line), typed(place, &format!("--json {line}")));
    assert_eq!((text(&shown.stderr), text(&json.stderr)), (String::new(), String::new()), "{line}");
    assert_eq!(code(&shown), code(&json), "{line}: the same as JSON");
    let json = serde_json::from_slice(&json.stdout).unwrap_or_else(|e| panic!("{line}: {e}"));
    Asked { case, site, broken, status: code(&shown), text: text(&shown.stdout), json }
}

/// Every report at every site, asked once for all tests here; with the stock it was asked of.
pub fn everything() -> &'static (Vec<Asked>, Json) {
    static ALL: OnceLock<(Vec<Asked>, Json)> = OnceLock::new();
    ALL.get_or_init(|| {
        let place = Place::demo();
        let each = |(case, site)| Broken::ALL.iter().map(move |(_, broken)| (case, site, *broken));
        let all = SITES.into_iter().flat_map(each).map(|(c, s, b)| ask(&place, c, s, b, "")).collect();
        (all, place.json(&["stock"]))
    })
}

pub fn answered() -> impl Iterator<Item = &'static Asked> {
    everything().0.iter().filter(|a| a.is_answered())
}

pub fn one(site: (&str, &str), broken: &str) -> &'static Asked {
    everything().0.iter().find(|a| (a.case, a.site) == site && a.broken == broken).unwrap()
}
