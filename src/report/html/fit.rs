//! The fit sheet: what is asked, the verdict, the drawings, the numbers, what is taken for granted, and who signs.

use jiff::civil::Date;
use maud::{Markup, PreEscaped, html};

use super::super::capital;
use super::numbers::{draws, gaps, strains};
use super::shape::Shape;
use super::{along, arch, assemblies, sheet};
use crate::bench::fit::{ANSWERED, Exchange, FIT, Fit, NOTHING, Seated, apart};
use crate::catalog::{Part, Position, Side, Value};
use crate::desk::CAUTION;
use crate::desk::lookup::guess_line;
use crate::matching::{Level, StandsOn};
use crate::units::{Length, show_date, visible};

/// The sheet as one page of HTML; `practice` is whose home it is.
pub fn fit_sheet(f: &Fit, practice: &str, today: Date) -> String {
    let bridge = f.stands_on == StandsOn::Bridge;
    let what = if bridge { "bridge" } else { "crown" };
    let alone = f.exchanges.len() == 1;
    let body = html! {
        h1 { "Fit sheet: case " (f.case) ", " (what) " " (f.span) }
        p { (visible(practice)) ", " (show_date(today)) " "
            @if f.made_up { span.invented { "INVENTED: no real patient, no real part" } }
        }
        div.verdict {
            @if let Some(line) = guess_line(&f.guessed) { p { b { (line) } } }
            b { (capital(f.judged.verdict.words())) }
            ul { @for reason in &f.judged.because { li { (visible(reason)) } } }
            @for careful in &f.careful { p { b { "CAREFUL: " (visible(careful)) } } }
        }
        h2 { "What would come in" }
        div.row.several[assemblies::is_narrow(&f.exchanges)] {
            @for e in &f.exchanges { (exchange(f, e)) }
            @if !alone { div.whole { (caption(f)) } }
            @if let Some(seated) = &f.seated {
                div.beside[alone].below[!alone] {
                    @if bridge { (arch_drawing(seated)) }
                    div.drawing {
                        @for e in &f.exchanges { (beside_the_axis(e)) }
                        (draws(f, seated))
                    }
                }
            }
        }
        @if let Some(seated) = f.seated.as_ref().filter(|_| bridge) { (gaps(f, seated)) (strains(f, seated)) }
        @if f.seated.is_none() {
            p { b { "No gap is computed or drawn: what is not known stands above." } }
        }
        @if !f.judged.assumed.is_empty() {
            h2 { "What is taken for granted" }
            ul.small { @for assumed in &f.judged.assumed { li { (visible(assumed)) } } }
        }
        (signatures(f, today))
        p { b { (CAUTION) @if f.made_up { " INVENTED." } } }
    };
    sheet(&format!("Fit sheet, case {}", f.case), &body)
}

fn exchange(f: &Fit, e: &Exchange) -> Markup {
    let alone = f.exchanges.len() == 1;
    // What the numbers answer in full is not said twice; what speaks against it stands with the verdict.
    let felt = e.candidate.judgement.findings.iter();
    let felt: Vec<String> = felt
        .filter(|f| f.level == Level::Change && !ANSWERED.contains(&f.rule) && f.rule != FIT)
        .map(|f| visible(&f.effect))
        .collect();
    html! {
        div.drawing {
            p {
                b { (e.site) " (" (e.site.words()) "), " (e.position.words()) ": " }
                (e.candidate.part.code) " in place of " (e.fitted.part.code)
            }
            p.small {
                @if e.fitted.part.code == e.candidate.part.code { "fitted and new: " }
                @else { "fitted: " (visible(e.fitted.part.description.as_str())) br; "new: " }
                (visible(e.candidate.part.description.as_str())) "; " (e.candidate.part.torque)
            }
            @if e.position == Position::Abutment {
                (PreEscaped(assemblies::drawing(e, &f.exchanges)))
                @if alone { (caption(f)) }
                (measures(e))
            }
            @if !felt.is_empty() { p.small { b { "Somebody will notice: " } (felt.join("; ")) "." } }
        }
    }
}

/// What the drawings show, once for all of them; and what in them is no measure.
fn caption(f: &Fit) -> Markup {
    let abutments: Vec<&Exchange> = f.exchanges.iter().filter(|e| e.position == Position::Abutment).collect();
    let shapes =
        |e: &Exchange| [("fitted", Shape::of(&e.fitted.part)), ("new", Shape::of(&e.candidate.part))];
    let leaning: Vec<&&Exchange> =
        abutments.iter().filter(|e| shapes(e).iter().any(|(_, s)| s.leans())).collect();
    let lean_known = leaning.iter().all(|e| matches!(e.change, Some(Ok(_))));
    let upright = abutments.iter().any(|e| shapes(e).iter().any(|(_, s)| s.upright().is_some()));
    let mut missing = Vec::new();
    for e in &abutments {
        for (which, shape) in shapes(e) {
            missing.extend(shape.missing().into_iter().map(|what| format!("{what} ({which}, {})", e.site)));
        }
    }
    html! {
        @if !abutments.is_empty() {
            p.small {
                "Scale " (assemblies::in_words(assemblies::scale(&f.exchanges))) ", as if seen from the side"
                @if !leaning.is_empty() && lean_known { ", in the plane in which the fitted one leans (the new one, where that is straight)" }
                ". Hatched: the implant below its platform. Thickest: the ring the bridge sits on."
                @if upright { " Dots and dashes: the widest; how high that lies is not on record." }
                @if !missing.is_empty() {
                    b { " Dashed: NOT to scale, a number of this part is not known: " (missing.join(", ")) "." }
                }
                @if !lean_known { b { " Which way they lean to each other is NOT known: each is drawn in its own plane." } }
            }
        }
    }
}

/// The numbers the drawing is made from, and which way a leaning part leans.
fn measures(e: &Exchange) -> Markup {
    let parts = [("fitted", &e.fitted.part), ("new", &e.candidate.part)];
    let ring = |part: &Part| part.seat(Side::Above).map_or(Value::Unknown, |s| s.outer);
    let mm = |v: Value<Length>| v.known().map_or_else(|| v.to_string(), |l| format!("{:.2}", l.number()));
    let way = |n: usize| match &e.change {
        _ if !Shape::of(parts[n].1).leans() => "does not lean".to_owned(),
        Some(Ok(change)) => {
            change.leans[n].map_or("does not lean".to_owned(), |l| format!("leans {}", towards(l)))
        }
        _ => "which way it leans not known".to_owned(),
    };
    html! {
        table.measures {
            tr { th { "mm" } th { "seat height" } th { "neck" } th { "widest" } th { "seat ring" } }
            @for (which, part) in parts {
                tr {
                    td { (which) } td { (mm(part.seat_height)) } td { (mm(part.neck)) } td { (mm(part.widest)) }
                    td { (mm(ring(part))) }
                }
            }
        }
        @if parts.iter().any(|(_, part)| Shape::of(part).leans()) {
            p.small {
                @for (n, (which, part)) in parts.iter().enumerate() {
                    @if n > 0 { "; " }
                    (which) ": angle " (part.angle) ", offset " (mm(part.offset)) @if part.offset.known().is_some() { " mm" }
                    ", " (way(n))
                } "."
            }
        }
    }
}

/// A direction round the implant's axis, counted from buccal by way of mesial, oral and distal.
fn towards(lean: f64) -> String {
    let degrees = lean.to_degrees().rem_euclid(360.0);
    let named = [(0.0, "buccal"), (90.0, "mesial"), (180.0, "oral"), (270.0, "distal"), (360.0, "buccal")];
    let last = named.into_iter().rev().find(|(at, _)| degrees > at - 0.05);
    last.map_or_else(String::new, |(at, name)| match degrees - at {
        past if past < 0.05 => name.to_owned(),
        past => format!("{past:.0}° past {name}"),
    })
}

/// A seat that does not stand over its implant any more as it did.
fn beside_the_axis(e: &Exchange) -> Markup {
    let Some(Ok(change)) = &e.change else { return html! {} };
    let moved = change.moved;
    html! {
        @if moved.sideways > NOTHING || moved.tilt > 1e-6 {
            div.pair {
                @let drawn = along::drawing(e);
                @if let Some(drawn) = &drawn { (PreEscaped(drawn)) }
                div {
                    p { "The seat at " (e.site) " stands " b { (apart(moved.sideways)) } " beside its old place and is tilted by "
                        b { (format!("{:.1}°", moved.tilt.to_degrees())) } "." }
                    @if drawn.is_some() {
                        p.small {
                            "Scale " (assemblies::in_words(along::SCALE)) ", along the implant, looking onto its platform (thin). "
                            "Dashed: the ring of the fitted one; thick: of the new one."
                        }
                    }
                }
            }
        }
    }
}

fn arch_drawing(seated: &Seated) -> Markup {
    let (worst, end) = seated.worst();
    let screw = seated.ends()[end].iso();
    let assumed = seated.places.is_assumed();
    let with_axes = seated.places.sites.iter().any(|p| p.axis.is_some());
    html! {
        div.drawing {
            p { b { "The sites, looking onto the seats" }
                @if assumed { (if worst.site.is_upper() { ", from below" } else { ", from above" }) } }
            (PreEscaped(arch::drawing(seated)))
            p.small {
                "Scale " (arch::scale(seated)) ". One-screw test at tooth " (screw) " (thick ring: the screw that is tight): "
                @if worst.worst() > NOTHING {
                    "the bars are the gaps at the widest edge, drawn " b { (arch::factor(seated)) " times" }
                    " as long as to the scale of the arch. "
                } @else { "by the drawings nothing gapes. " }
                @if assumed { b { "Where the sites are is ASSUMED." } }
                @else {
                    "Where the sites are was measured; the picture lies as the scan did, its x to the right"
                    @if !with_axes { ", and may be seen from the other side" } "."
                }
            }
        }
    }
}

/// Says again what is signed: with many sites it may stand on a second page.
fn signatures(f: &Fit, today: Date) -> Markup {
    html! {
        div.sign {
            h2 { "To be signed: case " (f.case) ", " (f.span) ", " (f.judged.verdict.words()) ", " (show_date(today)) }
            table {
                tr { td { "Laboratory" } td { "Date" } td { "Signature" } }
                tr { td colspan="2" { "Remarks" } td { "Practice: taken note of by, date" } }
            }
        }
    }
}
