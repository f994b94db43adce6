//! The page of what breaks next: the answer, the sites drawn with their factors, the order, what is taken for granted.

use jiff::civil::Date;
use maud::{Markup, PreEscaped, html};

use super::shape::Shape;
use super::{sheet, tower};
use crate::case::Fitted;
use crate::catalog::Position;
use crate::desk::CAUTION;
use crate::report::text::{three, weakest_answer};
use crate::units::{show_date, visible};
use crate::weakest::{Order, RANKED_AT, Weakest, Without};

/// The page; `practice` is whose home it is.
pub fn weakest_sheet(w: &Weakest, practice: &str, today: Date) -> String {
    let [low, middle, high] = RANKED_AT;
    let body = html! {
        h1 { "What breaks next: case " (w.case) ", " (w.what()) " " (w.span) }
        p { (visible(practice)) ", " (show_date(today)) " "
            @if w.made_up { span.invented { "INVENTED: no real patient, no real part" } }
        }
        div.verdict {
            p { b { (weakest_answer(w).trim_end()) } }
            @for careful in &w.careful { p { b { "CAREFUL: " (visible(careful)) } } }
        }
        h2 { "The sites, from the patient's right to the left" }
        (towers(w))
        p.small {
            "Scale " (tower::SCALE) " : 1. Hatched: the implant's neck, down to 3 mm of lost bone. Dashed: threads. Factors at friction "
            (format!("{middle:.2}")) ", as multiples of the bite; ← what goes first. Leaning abutments are drawn upright; a part nobody has a width or height of is drawn dashed."
        }
        h2 { "At friction " (format!("{low:.2} / {middle:.2} / {high:.2}")) }
        (order(w, "breaks at", &w.breaks)) (order(w, "opens at", &w.opens))
        @if let Some(lost) = &w.without { (without(w, lost)) }
        @if !w.not_modelled.is_empty() {
            h2 { "Not modelled: never take it for safe" }
            ul { @for line in &w.not_modelled { li { (visible(line)) } } }
        }
        h2 { "What is taken for granted" }
        ul.small { @for line in &w.assumed { li { (visible(line)) } } }
        p { b { (CAUTION) @if w.made_up { " INVENTED." } } }
    };
    sheet(&format!("What breaks next, case {}", w.case), &body)
}

fn towers(w: &Weakest) -> Markup {
    let tall = |s: &crate::weakest::Site| {
        Fitted::at(&s.assembly, Position::Abutment).map_or(0.0, |f| Shape::of(&f.part).tall())
    };
    let tallest = w.sites.iter().map(tall).fold(0.0, f64::max);
    html! {
        div.row {
            @for site in &w.sites {
                div.tower {
                    p { b { "tooth " (site.site.iso()) } }
                    (PreEscaped(tower::drawing(site, w.biting.height_mm, tallest, w.breaks.first.classes())))
                }
            }
        }
    }
}

fn order(w: &Weakest, what: &str, order: &Order) -> Markup {
    html! {
        @if !order.rows.is_empty() {
            table {
                tr { th { "part" } th { (what) } th { "weakest" } th { "under" } }
                @for l in &order.rows {
                    tr {
                        td { (l.class.words()) } td { (three(l.at)) } td { "tooth " (l.site.iso()) }
                        td { @if let Some(bite) = l.ruled_by.and_then(|n| w.biting.bites.get(n)) { (bite.words()) } }
                    }
                }
            }
        }
    }
}

fn without(w: &Weakest, lost: &Without) -> Markup {
    html! {
        h2 { "While the joint at " (lost.site) " is out" }
        ul {
            @for shift in &lost.shifts { li { "the joint at " (shift.site) " takes " (shift.in_words().join("; ")) } }
            li { "first to break then: " (lost.breaks.first.words()) " (before: " (w.breaks.first.words()) ")" }
        }
        (order(w, "breaks at, with it out", &lost.breaks))
    }
}
