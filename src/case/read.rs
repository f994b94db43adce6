//! One TOML file a case, read with every mistake and its line.
//!
//! The form stands in DEVELOPERS.md; demo/cases holds examples.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::{
    CaseHead, CrownFrom, Event, Fitted, Grinding, Happening, LoadSigns, Measured, Restoration, Retention,
    Sites, Splint, Sure, TorqueRecord, stored_crown,
};
use crate::catalog::{Form, Lean, Mistakes, Part, Position, Table, Value, read_made_part};
use crate::units::{
    Angle, CaseNumber, LIMITS, Length, Lot, Name, Note, Numbering, PartCode, Range, RawLabel, SystemId,
    Tooth, Torque, did_you_mean, parse_date, printable,
};

/// What a case file says.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(missing_docs)]
pub struct CaseFile {
    pub head: CaseHead,
    pub sites: Sites,
    pub restorations: Vec<Restoration>,
    pub events: Vec<Event>,
}

/// Finds a part by code, or says why not with the near ones.
pub type FindPart<'a> = dyn Fn(&PartCode) -> Result<Part, String> + 'a;

/// Reads a case file; all mistakes at once, each with its line.
pub fn read_case(file: &str, text: &str, today: Date, find: &FindPart<'_>) -> Result<CaseFile, Mistakes> {
    let form = Form::new(file, text);
    let root = form.parse();
    let top = Table::root(&form, &root);
    let case = Reader { today, find, numbering: Numbering::Iso3950 }.case(&top);
    top.finish();
    let mistakes = form.into_mistakes();
    match case {
        Some(case) if mistakes.is_empty() => Ok(case),
        _ => Err(Mistakes(mistakes)),
    }
}

struct Reader<'a> {
    today: Date,
    find: &'a FindPart<'a>,
    numbering: Numbering,
}

fn word<T: Copy>(text: &str, what: &str, all: &[(T, &str)]) -> Result<T, String> {
    all.iter().find(|(_, w)| *w == text).map(|(value, _)| *value).ok_or_else(|| {
        let words = all.iter().map(|(_, w)| format!("'{w}'")).collect::<Vec<_>>().join(", ");
        let hint = did_you_mean(text, all.iter().map(|(_, w)| *w));
        format!("'{}' is not {what}: expected one of {words}.{hint}", printable(text))
    })
}

impl Reader<'_> {
    fn case(mut self, top: &Table<'_, '_>) -> Option<CaseFile> {
        top.need("form", |t| {
            if t == "1" { Ok(()) } else { Err(format!("'{}' is not known here: expected 1", printable(t))) }
        });
        let number = top.need("case", CaseNumber::new);
        // A tooth number without its numbering is a guess: 11 to 18, 21 to 28, 31 and 32 are valid in both.
        let numbering = top.need("numbering", |t| {
            word(t, "a numbering", &[(Numbering::Iso3950, "iso-3950"), (Numbering::Universal, "universal")])
        });
        self.numbering = numbering.unwrap_or(Numbering::Iso3950);
        let made_up = top.flag("made_up") == Value::Known(true);
        let load = self.load(top);
        let made = self.made_parts(top);
        let mut sites = Sites::new();
        let mut measured = Vec::new();
        for table in top.tables("site") {
            let place = self.measured(&table);
            if let Some((tooth, assembly)) = self.site(&table, &made) {
                measured.extend(place.map(|(position, axis)| Measured { site: tooth, position, axis }));
                if sites.insert(tooth, assembly).is_some() {
                    table.mistake("tooth", format!("{tooth} stands twice"));
                }
            }
            table.finish();
        }
        let mut restorations = Vec::new();
        for table in top.tables("restoration") {
            restorations.extend(self.restoration(&table, &sites));
            table.finish();
        }
        let mut taken = BTreeSet::new();
        for tooth in restorations.iter().flat_map(|r: &Restoration| r.sites.iter().chain(&r.pontics)) {
            if !taken.insert(*tooth) {
                top.mistake("restoration", format!("{tooth} stands in two restorations"));
            }
        }
        let mut events = Vec::new();
        for table in top.tables("event") {
            events.extend(self.event(&table));
            table.finish();
        }
        events.sort_by_key(|e: &Event| e.on);
        let mut order: Vec<Tooth> = sites.keys().copied().collect();
        order.sort_by_key(|t| (!t.is_upper(), t.along_arch()));
        for (what, len, most) in [
            ("site", order.len(), 32),
            ("restoration", restorations.len(), 16),
            ("event", events.len(), 1000),
        ] {
            if len > most {
                top.mistake(what, format!("{len} tables [[{what}]]: at most {most} are kept"));
            }
        }
        Some(CaseFile {
            head: CaseHead { number: number?, made_up, load, sites: order, measured },
            sites,
            restorations,
            events,
        })
    }

    fn load(&self, top: &Table<'_, '_>) -> LoadSigns {
        let Some(t) = top.table("load") else {
            return LoadSigns {
                grinding: Grinding::NotAsked,
                signs: None,
                splint: Splint::NotAsked,
                against: None,
            };
        };
        let load = LoadSigns {
            grinding: t
                .maybe("grinding", |x| word(x, "a grade", Grinding::ALL))
                .unwrap_or(Grinding::NotAsked),
            signs: t.maybe("signs", Note::new),
            splint: t.maybe("splint", |x| word(x, "a state", Splint::ALL)).unwrap_or(Splint::NotAsked),
            against: t.maybe("against", Note::new),
        };
        t.finish();
        load
    }

    fn made_parts(&self, top: &Table<'_, '_>) -> BTreeMap<PartCode, Part> {
        let mut made = BTreeMap::new();
        let nobody = (Name::new("the laboratory's job sheet").ok(), SystemId::new("made-part").ok());
        let (Some(source), Some(system)) = nobody else { return made };
        for table in top.tables("made") {
            match read_made_part(&table, &source, &system) {
                Some(part) if part.made.is_none() => {
                    table.mistake("made", "made is missing: expected { laboratory, job }");
                }
                Some(part) => {
                    let twice = made.insert(part.code.clone(), part).is_some();
                    if twice {
                        table.mistake("code", "this made part stands twice");
                    }
                }
                None => {}
            }
            table.finish();
        }
        made
    }

    fn site(&self, t: &Table<'_, '_>, made: &BTreeMap<PartCode, Part>) -> Option<(Tooth, Vec<Fitted>)> {
        let tooth = t.need("tooth", |x| Tooth::parse_in(x, self.numbering));
        let mut assembly: Vec<Fitted> = Vec::new();
        for table in t.tables("fitted") {
            if let Some(fitted) = self.fitted(&table, made) {
                if Fitted::at(&assembly, fitted.position).is_some() {
                    table.mistake(
                        "position",
                        format!("there are two parts in position {}", fitted.position.slug()),
                    );
                }
                assembly.push(fitted);
            }
            table.finish();
        }
        assembly.sort_by_key(|f| f.position);
        Some((tooth?, assembly))
    }

    /// Coordinates in mm and the direction of the axis, both or the first only.
    fn measured(&self, t: &Table<'_, '_>) -> Option<([Length; 3], Option<[i32; 3]>)> {
        let position: Vec<Length> = t.list("position", |x| Length::parse(x, &LIMITS.coordinate));
        // Millionths: finer than any measuring of a direction.
        const ONE: Range =
            Range { what: "a direction number", least: -1_000_000, most: 1_000_000, places: 6, unit: "" };
        let axis: Vec<i32> = t.list("axis", |x| {
            let scaled = crate::units::scaled(x, ONE.places).map_err(|e| e.to_string())?;
            ONE.check(scaled, x).map_err(|e| e.to_string())?;
            i32::try_from(scaled).map_err(|e| e.to_string())
        });
        for (key, there, len) in
            [("position", t.has("position"), position.len()), ("axis", t.has("axis"), axis.len())]
        {
            if there && len != 3 {
                t.mistake(key, format!("{key}: expected three numbers x, y, z"));
            }
        }
        if t.has("axis") && !t.has("position") {
            t.mistake("axis", "axis: an axis needs its position");
        }
        if axis.len() == 3 && axis.iter().all(|n| *n == 0) {
            t.mistake("axis", "axis: 0, 0, 0 is no direction");
        }
        Some((position.try_into().ok()?, axis.try_into().ok()))
    }

    fn fitted(&self, t: &Table<'_, '_>, made: &BTreeMap<PartCode, Part>) -> Option<Fitted> {
        let position = t.need("position", |x| {
            let all: Vec<(Position, &str)> = Position::ALL.iter().map(|p| (*p, p.slug())).collect();
            word(x, "a position", &all)
        });
        let part = t.need("part", |x| {
            let code = PartCode::new(x).map_err(|e| e.to_string())?;
            made.get(&code).cloned().map_or_else(|| (self.find)(&code), Ok)
        });
        if let (Some(position), Some(part)) = (position, &part)
            && !position.kinds().contains(&part.kind)
        {
            t.mistake(
                "part",
                format!(
                    "part {} is of kind {}: it does not go in position {}",
                    part.code,
                    part.kind.slug(),
                    position.slug()
                ),
            );
        }
        let lean = t.value("lean", read_lean);
        let angled = part.as_ref().is_some_and(Part::is_angled);
        if lean.known().is_some() && part.is_some() && !angled {
            t.mistake("lean", "lean: only an angled part leans");
        }
        let lot = t.maybe("lot", Lot::new);
        let label = t.maybe("label", RawLabel::new);
        let on = t.maybe("on", |x| self.past_date(x));
        let driver = t.maybe("driver", |x| {
            let code = PartCode::new(x).map_err(|e| e.to_string())?;
            (self.find)(&code).map(|part| part.code)
        });
        let torque = t.maybe("torque", read_torque_record).unwrap_or(TorqueRecord::NotRecorded);
        let sure = t.need("sure", |x| word(x, "a degree", Sure::ALL));
        Some(Fitted {
            position: position?,
            part: part?,
            lot,
            label,
            on,
            torque,
            lean: if angled { lean } else { Value::NotApplicable },
            driver,
            sure: sure?,
        })
    }

    fn past_date(&self, text: &str) -> Result<Date, String> {
        let date = parse_date(text).map_err(|e| e.to_string())?;
        if date > self.today {
            return Err(format!("{date} lies after today, {}", self.today));
        }
        Ok(date)
    }

    fn teeth(&self, t: &Table<'_, '_>, key: &'static str) -> Vec<Tooth> {
        t.list(key, |x| Tooth::parse_in(x, self.numbering))
    }

    fn restoration(&self, t: &Table<'_, '_>, known: &Sites) -> Option<Restoration> {
        let sites = self.teeth(t, "sites");
        if sites.is_empty() {
            t.mistake(
                "sites",
                "sites is missing: expected the teeth whose implants carry it, such as [24, 25, 27]",
            );
        }
        for tooth in sites.iter().filter(|tooth| !known.contains_key(tooth)) {
            t.mistake("sites", format!("{tooth} is no site of this case: there is no [[site]] for it"));
        }
        let cement = t.value("cement", Name::new);
        let screw_axis = t.value("screw_axis", Name::new);
        let retention = t.need("retention", |x| match x {
            "screwed to abutments" => Ok(Retention::ScrewedToAbutments),
            "screwed to implants" => Ok(Retention::ScrewedToImplants),
            "cemented" => Ok(Retention::Cemented { cement: cement.clone(), screw_axis: screw_axis.clone() }),
            _ => Err(format!("'{}' is not a retention: expected 'screwed to abutments', 'screwed to implants' or 'cemented'", printable(x))),
        });
        let teeth = |key| {
            t.maybe(key, |x| LIMITS.cantilever.whole(x)).and_then(|n| u8::try_from(n).ok()).unwrap_or(0)
        };
        let size = |key| t.value(key, |x| Length::parse(x, &LIMITS.connector));
        let text = |key| t.value(key, Name::new);
        // Every key is asked for before the first one that must be right, so one bad value never hides the rest.
        let restoration = |retention, sites| Restoration {
            sites,
            retention,
            pontics: self.teeth(t, "pontics"),
            material: text("material"),
            facing: text("facing"),
            connector_height: size("connector_height"),
            connector_width: size("connector_width"),
            cantilever_right: teeth("cantilever_right"),
            cantilever_left: teeth("cantilever_left"),
            crown_height: t.value("crown_height", |x| Length::parse(x, &LIMITS.crown_height)),
            shade: text("shade"),
            mould: text("mould"),
            laboratory: text("laboratory"),
            job: text("job"),
        };
        let mut whole = restoration(retention.clone().unwrap_or(Retention::ScrewedToAbutments), sites);
        self.crown(t, &mut whole, known, retention.is_some());
        (retention.is_some() && !whole.sites.is_empty()).then_some(whole)
    }

    /// A crown height needs the place it was measured from; it is stored from where the restoration stands.
    fn crown(&self, t: &Table<'_, '_>, whole: &mut Restoration, known: &Sites, is_held: bool) {
        let from = t.maybe("crown_from", |x| word(x, "a place to measure from", CrownFrom::ALL));
        let Value::Known(typed) = whole.crown_height else { return };
        match from.map(|from| stored_crown(whole, known, typed, from)) {
            Some(Ok(stored)) => whole.crown_height = Value::Known(stored),
            // How it is held says from where it counts: one bad value is one mistake.
            Some(Err(_)) if !is_held => {}
            Some(Err(e)) => t.mistake("crown_from", e.to_string()),
            None if t.has("crown_from") => {}
            None => t.mistake(
                "crown_height",
                "crown_from is missing: expected 'seat', measured from the seat of the abutment, or 'platform', from the platform of the implant",
            ),
        }
    }

    fn event(&self, t: &Table<'_, '_>) -> Option<Event> {
        let on = t.need("on", |x| self.past_date(x));
        let what = t.need("what", |x| word(x, "an event", Happening::ALL));
        let tooth = t.maybe("tooth", |x| Tooth::parse_in(x, self.numbering));
        let position = t.maybe("position", |x| {
            let all: Vec<(Position, &str)> = Position::ALL.iter().map(|p| (*p, p.slug())).collect();
            word(x, "a position", &all)
        });
        let note = t.maybe("note", Note::new);
        let kept = t.maybe("kept", Note::new);
        Some(Event { on: on?, tooth, position, what: what?, note, kept })
    }
}

/// 'buccal', 'mesial', 'oral', 'distal', or degrees from buccal by way of mesial.
pub fn read_lean(text: &str) -> Result<Lean, String> {
    if let Some((lean, _)) = Lean::NAMED.iter().find(|(_, w)| *w == text) {
        return Ok(*lean);
    }
    let wrong = || {
        format!(
            "'{}' is not a lean: expected buccal, mesial, oral, distal, or degrees from 0 to 360 from buccal by way of mesial",
            printable(text)
        )
    };
    const ROUND: Range = Range { what: "a lean", least: 0, most: 360_000, places: 3, unit: "°" };
    Angle::parse(text, &ROUND).map(Lean::At).map_err(|_| wrong())
}

/// A torque with a wrench, or 'not measured'.
pub fn read_torque_record(text: &str) -> Result<TorqueRecord, String> {
    if text == "not measured" || text == "not-measured" {
        return Ok(TorqueRecord::NotMeasured);
    }
    Torque::parse(text, &LIMITS.torque)
        .map(TorqueRecord::Measured)
        .map_err(|e| format!("{e}, or 'not-measured'"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn read(sites: &str) -> Result<CaseFile, Mistakes> {
        let text = format!("form = 1\ncase = \"7\"\nnumbering = \"universal\"\n{sites}");
        read_case("7.toml", &text, date(2026, 11, 25), &|code| Err(format!("no part '{code}'")))
    }

    #[test]
    fn a_measured_site_keeps_its_numbers_and_the_declared_numbering_is_used() {
        let case = read("[[site]]\ntooth = 13\nposition = [-4.1, 0, 12.005]\naxis = [0, 0.1, 1]\n").unwrap();
        let mm = Length::from_base;
        assert_eq!(case.head.sites, [Tooth::parse("25").unwrap()], "Universal 13 is tooth 25");
        assert_eq!(case.head.measured[0].position, [mm(-4100), mm(0), mm(12_005)]);
        assert_eq!(case.head.measured[0].axis, Some([0, 100_000, 1_000_000]));
    }

    #[test]
    fn one_bad_value_makes_no_good_key_unknown() {
        let wrong = read(
            "[[site]]\ntooth = 13\n[[restoration]]\nsites = [13]\nretention = \"glued\"\ncrown_height = 9\ncrown_from = \"platform\"\nshade = \"A2\"\n",
        );
        assert_eq!(
            wrong.unwrap_err().to_string(),
            "1 mistake found, nothing was taken:\n  7.toml:8: retention: 'glued' is not a retention: expected 'screwed to \
             abutments', 'screwed to implants' or 'cemented'"
        );
    }

    #[test]
    fn every_mistake_of_a_measured_site_is_named_with_its_line() {
        let wrong = read(
            "[[site]]\ntooth = 33\nposition = [1, 2]\naxis = [0, 0, 0]\n[[site]]\ntooth = 3\naxis = [0, 0, 1]\n",
        );
        assert_eq!(
            wrong.unwrap_err().to_string(),
            "4 mistakes found, nothing was taken:\n  \
             7.toml:5: tooth: '33' is not a tooth in the Universal numbering: expected 1 to 32\n  \
             7.toml:6: position: expected three numbers x, y, z\n  \
             7.toml:7: axis: 0, 0, 0 is no direction\n  \
             7.toml:10: axis: an axis needs its position"
        );
    }
}
