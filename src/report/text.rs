//! Answers as text: the first line is the answer, words before codes, no bare number.

use std::fmt::Write as _;

use jiff::civil::Date;

use super::table::table;
use crate::case::{Fitted, Restoration, Retention};
use crate::catalog::{Interface, Kind, Part, TorqueSpec, Value};
use crate::desk::CAUTION;
use crate::desk::cases::CaseShown;
use crate::desk::shelves::Row;
use crate::desk::swap::{Candidate, Swap};
use crate::desk::upkeep::Listed;
use crate::desk::visit::{TrayRow, Use, Visit, teeth, usable_on};
use crate::matching::{Finding, Level, StandsOn, Verdict};
use crate::record::{Entry, Verified};
use crate::units::{printable, show_date, visible};

// Writing to a String cannot fail: every `let _ = write!` below rests on that.

fn section(out: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "\n{title}");
    for line in lines {
        let _ = writeln!(out, "  - {}", visible(line));
    }
}

/// '1 piece', '3 pieces'.
pub fn pieces(n: impl Into<i64>) -> String {
    match n.into() {
        1 => "1 piece".to_owned(),
        n => format!("{n} pieces"),
    }
}

fn fitted_rows(all: &[Fitted]) -> String {
    let rows = all.iter().map(|f| {
        let lot = f.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
        let on = f.on.map_or("date not recorded".to_owned(), |d| format!("since {}", show_date(d)));
        let tightened = f.part.kind != Kind::Implant && f.part.torque != TorqueSpec::NotApplicable;
        let torque = if tightened { f.torque.to_string() } else { String::new() };
        vec![
            f.position.words().to_owned(),
            f.part.code.to_string(),
            lot,
            on,
            torque,
            format!("by {}", f.sure),
        ]
    });
    table(&["position", "part", "lot", "since", "tightened to", "how sure"], rows)
}

fn tray_rows(rows: &[TrayRow], today: Date) -> String {
    let shown = rows.iter().map(|r| {
        let take = match r.usage {
            Use::Take => format!("take {} ({} here)", r.quantity, r.pick.here),
            Use::Instead => format!("or instead ({} here)", r.pick.here),
            Use::Leave => format!("LEAVE ({} here)", r.pick.here),
        };
        vec![
            take,
            r.part.code.to_string(),
            format!("lot {}", r.pick.lot),
            r.pick.place.to_string(),
            r.judgement.verdict.to_string(),
            usable_on(r.pick.expiry, today),
        ]
    });
    table(&["do", "part", "lot", "place", "verdict", "usable"], shown)
}

fn finding(f: &Finding) -> String {
    let mark = match f.level {
        Level::Against => "AGAINST",
        Level::Unknown => "NOT KNOWN",
        Level::Change => "change",
        Level::Note => "note",
    };
    let values = match (f.fitted.as_str(), f.candidate.as_str()) {
        ("", "") => String::new(),
        ("", part) => format!(" (this part: {})", visible(part)),
        (fitted, "") => format!(" (fitted: {})", visible(fitted)),
        (fitted, part) => format!(" (fitted: {}; this part: {})", visible(fitted), visible(part)),
    };
    format!("{mark}: {}{values}", visible(&f.effect))
}

/// What a part that stays in the drawer is judged by; what it would change besides is in 'swap'.
fn worth_reading(verdict: Verdict, all: &[Finding]) -> impl Iterator<Item = &Finding> {
    all.iter().filter(move |f| match verdict {
        Verdict::DoesNotFit => f.level == Level::Against,
        Verdict::NotConfirmed => f.level != Level::Note,
        _ => true,
    })
}

fn findings(out: &mut String, part: &Part, verdict: Verdict, all: &[Finding]) {
    if all.is_empty() {
        return;
    }
    let _ = writeln!(out, "  {}: {verdict}", part.code);
    for f in worth_reading(verdict, all) {
        let _ = writeln!(out, "    - {}", finding(f));
    }
}

fn details(out: &mut String, rows: &[TrayRow]) {
    let mut done: Vec<&Part> = Vec::new();
    for row in rows {
        if done.contains(&&row.part) {
            continue;
        }
        done.push(&row.part);
        let torque = if row.usage == Use::Leave { String::new() } else { format!("; {}", row.torque()) };
        let _ = writeln!(
            out,
            "  {} = {}{torque}; {}",
            row.part.code,
            row.part.description,
            row.part.sterile.words()
        );
    }
    let mut done: Vec<&Part> = Vec::new();
    for row in rows.iter().filter(|r| r.judgement.verdict != Verdict::SamePart) {
        if !done.contains(&&row.part) {
            done.push(&row.part);
            findings(out, &row.part, row.judgement.verdict, &row.judgement.findings);
        }
    }
}

/// The answer to a call.
pub fn visit(v: &Visit, today: Date) -> String {
    let mut out = String::new();
    for line in &v.answer {
        let _ = writeln!(out, "{}", visible(line));
    }
    let made_up = if v.made_up { " MADE UP: no real patient, no real part." } else { "" };
    let what = if v.site.iso().to_string() == v.span {
        format!("crown {}", v.span)
    } else {
        format!("bridge {}", v.span)
    };
    let _ = writeln!(
        out,
        "\nCase {}, {} ({}), {what}: {}; left behind: {}.{made_up}",
        v.case,
        v.site,
        v.site.words(),
        v.broken.report(),
        v.left.word().replace('-', " ")
    );
    section(&mut out, "Before the first turn", &v.before);
    let _ = writeln!(out, "\nFitted at {} ({})", v.site, v.site.words());
    let fitted: Vec<Fitted> = v.fitted.iter().map(|r| r.fitted.clone()).collect();
    out.push_str(&fitted_rows(&fitted));
    if !v.undo.is_empty() {
        let _ = writeln!(out, "\nUndo");
        for row in &v.undo {
            let _ = writeln!(out, "  - {}: {}; {}", teeth(&row.sites), row.what, visible(&row.driver));
        }
    }
    section(&mut out, "The fragment", &v.fragment);
    if !v.tray.is_empty() {
        let _ = writeln!(out, "\nPut back");
        out.push_str(&tray_rows(&v.tray, today));
        details(&mut out, &v.tray);
    }
    section(&mut out, "Stop rule", std::slice::from_ref(&v.stop_rule));
    if !v.if_fragment_stays_words.is_empty() {
        section(&mut out, "If the fragment stays", &v.if_fragment_stays_words);
        if v.if_fragment_stays.is_empty() {
            let _ = writeln!(out, "  Nothing for that position lies in the house.");
        } else {
            out.push_str(&tray_rows(&v.if_fragment_stays, today));
            details(&mut out, &v.if_fragment_stays);
        }
    }
    for missing in &v.missing {
        let _ = writeln!(
            out,
            "\nNot in the house: {} for {}. To order: {} of {}. Nearest substitutes:",
            missing.position.words(),
            teeth(&missing.sites),
            pieces(missing.sites.len() as i64),
            missing.fitted.code
        );
        for c in &missing.nearest {
            candidate(&mut out, c, today, false);
        }
        if missing.nearest.is_empty() {
            let _ = writeln!(out, "  none");
        }
    }
    section(&mut out, "The rest of the bridge", &v.rest_of_bridge);
    section(&mut out, "After", &v.after);
    section(&mut out, "Cautions", &v.cautions);
    out
}

fn in_house(c: &Candidate, today: Date) -> String {
    if c.in_house.is_empty() {
        return "not in the house".to_owned();
    }
    let one = |l: &crate::stock::StockLine| {
        let state = if l.expiry.is_over(today) {
            format!("EXPIRED {}", l.expiry)
        } else {
            usable_on(l.expiry, today)
        };
        format!("{} of lot {} in {}, {state}", pieces(l.quantity), l.lot, l.place)
    };
    c.in_house.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn candidate(out: &mut String, c: &Candidate, today: Date, whole: bool) {
    let _ = writeln!(out, "  {}: {} ({})", c.judgement.verdict, c.part.code, c.part.description);
    let _ = writeln!(out, "    {}; {}", in_house(c, today), c.part.torque);
    let all = &c.judgement.findings;
    let shown: Vec<&Finding> =
        if whole { all.iter().collect() } else { worth_reading(c.judgement.verdict, all).collect() };
    for f in shown {
        let _ = writeln!(out, "    - {}", finding(f));
    }
}

/// The answer to a swap question.
pub fn swap(s: &Swap, today: Date) -> String {
    let mut out = String::new();
    let on = match s.stands_on {
        StandsOn::Bridge => "under an existing rigid bridge",
        StandsOn::OneCrown => "under one existing crown",
        StandsOn::Nothing => "with nothing standing on it yet",
    };
    let position = s.position.words();
    match (&s.laboratory_work, &s.candidates[..]) {
        (Some(work), _) => {
            let _ = writeln!(out, "{}.", visible(work));
        }
        (None, [only]) => {
            let _ = writeln!(
                out,
                "{}: {} in place of {}, {on}.",
                only.judgement.verdict, only.part.code, s.fitted.part.code
            );
        }
        (None, all) => {
            let good: Vec<&Candidate> = all.iter().filter(|c| c.judgement.verdict.puts_it_back()).collect();
            let _ = match good.first() {
                Some(best) => writeln!(
                    out,
                    "{} of {} candidates put it back as it was, first: {} ({}).",
                    good.len(),
                    all.len() + s.not_shown,
                    best.part.code,
                    best.judgement.verdict
                ),
                None => {
                    writeln!(out, "None of {} candidates puts it back as it was.", all.len() + s.not_shown)
                }
            };
        }
    }
    let _ = writeln!(
        out,
        "Case {}, {} ({}), position {position}, {on}. Fitted: {} ({}).\n",
        s.case,
        s.site,
        s.site.words(),
        s.fitted.part.code,
        s.fitted.part.description
    );
    if s.laboratory_work.is_none() {
        let (here, away): (Vec<_>, Vec<_>) = s.candidates.iter().partition(|c| !c.in_house.is_empty());
        let whole = s.candidates.len() == 1;
        here.iter().for_each(|c| candidate(&mut out, c, today, whole));
        if !away.is_empty() {
            let _ = writeln!(out, "  ---- not in the house ----");
            away.iter().for_each(|c| candidate(&mut out, c, today, whole));
        }
        if s.not_shown > 0 {
            let _ = writeln!(out, "  and {} more parts that do not fit", s.not_shown);
        }
    }
    let _ = writeln!(out, "\n{CAUTION}");
    out
}

/// What lies where.
pub fn stock(rows: &[Row], today: Date) -> String {
    if rows.is_empty() {
        return "Nothing in the house.\n".to_owned();
    }
    let all: i64 = rows.iter().map(|r| r.quantity).sum();
    let expired = rows.iter().filter(|r| r.expiry.is_over(today)).count();
    let lines = if rows.len() == 1 { "1 line".to_owned() } else { format!("{} lines", rows.len()) };
    let mut out = format!("{} in the house, {lines}", pieces(all));
    if expired > 0 {
        let _ = write!(out, "; {expired} of these EXPIRED");
    }
    out.push_str(".\n\n");
    let shown = rows.iter().map(|r| {
        let usable = if r.expiry.is_over(today) {
            format!("EXPIRED {}", r.expiry)
        } else {
            usable_on(r.expiry, today)
        };
        vec![r.part.to_string(), format!("lot {}", r.lot), r.place.to_string(), pieces(r.quantity), usable]
    });
    out.push_str(&table(&["part", "lot", "place", "quantity", "usable"], shown));
    out
}

/// A case.
pub fn case(c: &CaseShown) -> String {
    let load = &c.head.load;
    let mut out = format!(
        "Case {}{}\n",
        c.head.number,
        if c.head.made_up { " (made up: no real patient)" } else { "" }
    );
    let signs = load.signs.as_ref().map_or(String::new(), |s| format!(" ({s})"));
    let _ = writeln!(out, "Grinding: {}{}; splint: {}", load.grinding, visible(&signs), load.splint);
    if let Some(against) = &load.against {
        let _ = writeln!(out, "What bites against it: {against}");
    }
    for r in &c.restorations {
        let _ = writeln!(out, "\n{}", restoration(r));
    }
    for (tooth, assembly) in &c.sites {
        let _ = writeln!(out, "\n{tooth} ({})", tooth.words());
        out.push_str(&fitted_rows(assembly));
        for f in assembly {
            if let Some(driver) = &f.driver {
                let _ = writeln!(out, "  {}: the driver that reaches is {driver}", f.position.words());
            }
            if f.part.is_angled() {
                let _ = writeln!(
                    out,
                    "  {}: leans {}",
                    f.position.words(),
                    match &f.lean {
                        Value::Known(lean) => lean.to_string(),
                        _ => "which way is not on record: look before taking it out".to_owned(),
                    }
                );
            }
        }
    }
    if !c.events.is_empty() {
        let _ = writeln!(out, "\nWhat happened");
        for e in &c.events {
            let tooth = e.tooth.map_or(String::new(), |t| format!(", {t}"));
            let position = e.position.map_or(String::new(), |p| format!(", {}", p.words()));
            let note = e.note.as_ref().map_or(String::new(), |n| format!(": {n}"));
            let _ = writeln!(out, "  - {}{tooth}{position}: {}{note}", show_date(e.on), e.what);
        }
    }
    out
}

fn restoration(r: &Restoration) -> String {
    let what = if r.sites.len() > 1 { "Bridge" } else { "Crown" };
    let mut out = format!("{what} {}: {}", r.span(), r.retention);
    if let Retention::Cemented { screw_axis, .. } = &r.retention {
        let axis = screw_axis.known().map_or("not on record".to_owned(), |a| a.to_string());
        let _ = write!(out, "; the screw axis meets the crown: {axis}");
    }
    let known = |out: &mut String, what: &str, v: Option<String>| {
        if let Some(v) = v {
            let _ = write!(out, "; {what} {v}");
        }
    };
    known(&mut out, "frame:", r.material.known().map(ToString::to_string));
    known(&mut out, "facing:", r.facing.known().map(ToString::to_string));
    known(&mut out, "crown height", r.crown_height.known().map(ToString::to_string));
    known(&mut out, "shade", r.shade.known().map(ToString::to_string));
    known(&mut out, "tooth mould", r.mould.known().map(ToString::to_string));
    known(&mut out, "laboratory:", r.laboratory.known().map(ToString::to_string));
    known(&mut out, "job", r.job.known().map(ToString::to_string));
    if r.cantilever_right + r.cantilever_left > 0 {
        let _ = write!(
            out,
            "; cantilever: {} teeth to the right, {} to the left",
            r.cantilever_right, r.cantilever_left
        );
    }
    out
}

/// Parts, a line each.
pub fn parts(all: &[Part]) -> String {
    let rows =
        all.iter().map(|p| vec![p.code.to_string(), p.kind.short().to_owned(), p.description.to_string()]);
    format!("{} parts in the catalogue.\n\n{}", all.len(), table(&["code", "kind", "description"], rows))
}

/// A part, from the JSON shape, so that both say the same.
pub fn part(p: &Part) -> String {
    let json = super::json::part(p);
    let mut out = format!("{} ({})\n", p.description, p.code);
    let Some(map) = json.as_object() else { return out };
    for (key, value) in map.iter().filter(|(k, _)| *k != "ports" && *k != "description" && *k != "code") {
        if value == "n/a" {
            continue;
        }
        let words = key.replace('_', " ");
        let shown = match value {
            serde_json::Value::Null => "not known".to_owned(),
            serde_json::Value::String(s) => visible(s),
            other => other.to_string(),
        };
        let _ = writeln!(out, "  {words}: {shown}");
    }
    for port in json["ports"].as_array().into_iter().flatten() {
        let fields: Vec<String> = port
            .as_object()
            .into_iter()
            .flatten()
            .filter(|(k, v)| *k != "kind" && *k != "side" && *v != "n/a")
            .map(|(k, v)| {
                let v = if v.is_null() {
                    "not known".to_owned()
                } else {
                    v.to_string().trim_matches('"').to_owned()
                };
                format!("{} {v}", k.replace('_', " "))
            })
            .collect();
        let word = |key: &str| port[key].as_str().unwrap_or_default().to_owned();
        let _ = writeln!(out, "  {} {}: {}", word("kind"), word("side"), fields.join(", "));
    }
    out
}

/// Interfaces with their revisions.
pub fn interfaces(all: &[Interface]) -> String {
    let mut out = format!("{} interfaces.\n", all.len());
    for i in all {
        let _ = writeln!(out, "\n{}: {} ({})", i.id, i.description, i.source);
        for r in &i.revisions {
            let _ = writeln!(out, "  - revision {}: {}", r.revision, r.what);
        }
    }
    out
}

/// What a check of the record found.
pub fn verified(v: &Verified) -> String {
    let mut out = String::new();
    if v.view_differs {
        let _ = writeln!(
            out,
            "The logbook is whole; the view on disk differs from it: run 'spareseat logbook rebuild'."
        );
    } else if v.below_zero.is_empty() {
        let _ = writeln!(out, "The record is whole.");
    } else {
        let _ = writeln!(out, "The chain is whole, but some places went below zero:");
    }
    for b in &v.below_zero {
        let _ = writeln!(
            out,
            "  - entry {}: part {}, lot {}, place {}: {}",
            b.seq,
            b.part,
            b.lot,
            b.place,
            pieces(b.quantity)
        );
    }
    let _ = writeln!(
        out,
        "{} entries, {} catalogue editions checked. Sum of entry {}:\n{}",
        v.head.seq, v.editions, v.head.seq, v.head.sum
    );
    let _ = writeln!(
        out,
        "Keep this sum on paper: it shows later whether entries were lost. It does not protect against someone who recomputes it."
    );
    out
}

/// Entries, a line each.
pub fn entries(all: &[Listed]) -> String {
    let mut out = format!("{} entries.\n", all.len());
    for line in all {
        let what = match &line.entry {
            Ok(entry) => told(entry),
            Err(e) => e.to_string(),
        };
        let _ = writeln!(
            out,
            "  entry {} on {} by {}: {}",
            line.seq,
            show_date(line.on),
            line.by,
            visible(&what)
        );
    }
    out
}

fn told(entry: &Entry) -> String {
    match entry {
        Entry::Founded(e) => format!("the logbook was begun{}", if e.made_up { " (made up)" } else { "" }),
        Entry::Catalogue(e) => format!(
            "catalogue of {} parts: {} added, {} changed; edition {}",
            e.parts,
            e.added,
            e.changed,
            &e.edition.as_str()[..12]
        ),
        Entry::Received(e) => joined(e.lines.iter().map(|l| {
            let expiry = l.expiry.map_or(String::new(), |x| format!(", {x}"));
            format!("received {} of {}, lot {}{expiry}, into {}", pieces(l.quantity), l.part, l.lot, l.place)
        })),
        Entry::Moved(e) => joined(e.lines.iter().map(|l| {
            format!("moved {} of {}, lot {}, from {} to {}", pieces(l.quantity), l.part, l.lot, l.from, l.to)
        })),
        Entry::Used(e) => joined(e.lines.iter().map(|l| {
            let found = if l.found { " (found there; correction booked with it)" } else { "" };
            let expired =
                l.expired_because.as_ref().map_or(String::new(), |r| format!(" (EXPIRED; reason: {r})"));
            let old = l.replaced.as_ref().map_or(String::new(), |r| {
                let lot = r.lot.as_ref().map_or("lot not recorded".to_owned(), |l| format!("lot {l}"));
                format!("; replaced {} ({lot}), {}", r.part, r.became.word())
            });
            format!(
                "case {}, {}: {} {}, lot {}, from {}{found}{expired}, {}{old}",
                e.case,
                l.site,
                l.position.words(),
                l.part.code,
                l.lot,
                l.place,
                l.torque
            )
        })),
        Entry::Case(e) => format!(
            "case {} entered: {} sites, {} restorations",
            e.case.number,
            e.case.sites.len(),
            e.restorations.len()
        ),
        Entry::Fitted(e) => format!(
            "case {}, {}: {} on record as {}, by {}",
            e.case,
            e.site,
            e.fitted.position.words(),
            e.fitted.part.code,
            e.fitted.sure
        ),
        Entry::Happened(e) => {
            let tooth = e.event.tooth.map_or(String::new(), |t| format!(", {t}"));
            let note = e.event.note.as_ref().map_or(String::new(), |n| format!(": {n}"));
            format!("case {}{tooth}: {}{note}", e.case, e.event.what)
        }
        Entry::Verification(e) => {
            let v = &e.verification;
            format!(
                "{} tried in place of {}: {}, {}",
                v.candidate.code,
                v.fitted.code,
                pieces(v.pieces),
                v.how
            )
        }
        Entry::Accepted(e) => format!(
            "went on with the logbook as found: view had entry {}, logbook ended at entry {}; reason: {}",
            e.seen, e.found, e.why
        ),
    }
}

fn joined(lines: impl Iterator<Item = String>) -> String {
    lines.collect::<Vec<_>>().join("; ")
}

/// A name for a path on the screen.
pub fn path(path: &std::path::Path) -> String {
    printable(&path.to_string_lossy())
}
