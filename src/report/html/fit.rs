//! The fit sheet: what is asked, the verdict, the drawings, the numbers, what is taken for granted, and who signs.

use jiff::civil::Date;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::{arch, assemblies};
use crate::catalog::Position;
use crate::desk::CAUTION;
use crate::desk::fit::{Exchange, Fit, NO_PERMISSION, NOTHING, Seated, Shutting, SiteSeated, apart, percent};
use crate::fit::seating::Gap;
use crate::matching::StandsOn;
use crate::units::{Length, Tooth, show_date, visible};

const STYLE: &str = "
@page { size: A4 portrait; margin: 8mm; }
body { font: 8pt/1.2 sans-serif; color: black; background: white; max-width: 192mm; margin: 0 auto; }
h1 { font-size: 13pt; margin: 0 0 1mm; } h2 { font-size: 9.5pt; margin: 2.5mm 0 0.8mm; border-bottom: 0.3mm solid black; }
p, ul { margin: 1mm 0; } ul { padding-left: 5mm; }
.verdict { border: 0.7mm solid black; padding: 1mm 3mm; margin: 1.5mm 0; }
.verdict > b { font-size: 14pt; display: block; }
.invented { border: 0.7mm dashed black; padding: 0 2mm; font-weight: bold; }
table { border-collapse: collapse; width: 100%; margin: 1mm 0; } th, td { border: 0.2mm solid black; padding: 0.3mm 1mm; text-align: left; font-size: 7.4pt; } td:first-child { white-space: nowrap; }
.row { display: flex; flex-wrap: wrap; gap: 3mm; } .drawing { break-inside: avoid; width: 91mm; } .several .drawing { width: 60.5mm; } svg { display: block; }
.sign { break-inside: avoid; } .sign td { height: 6mm; width: 33%; vertical-align: top; }
.small { font-size: 7.2pt; }
";

/// The sheet as one page of HTML; `practice` is whose home it is.
pub fn fit_sheet(f: &Fit, practice: &str, today: Date) -> String {
    let what = if f.stands_on == StandsOn::Bridge { "bridge" } else { "crown" };
    let alone = f.exchanges.len() == 1;
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { "Fit sheet, case " (f.case) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { "Fit sheet: case " (f.case) ", " (what) " " (f.span) }
                p { (visible(practice)) ", " (show_date(today)) " "
                    @if f.made_up { span.invented { "INVENTED: no real patient, no real part" } }
                }
                div.verdict {
                    b { (capital(f.judged.verdict.words())) }
                    ul { @for reason in &f.judged.because { li { (visible(reason)) } } }
                    @for careful in &f.careful { p { b { "CAREFUL: " (visible(careful)) } } }
                }
                h2 { "What would come in" }
                div.row.several[!alone] {
                    @for e in &f.exchanges { (exchange(e, alone)) }
                    @if let Some(seated) = f.seated.as_ref().filter(|_| f.stands_on == StandsOn::Bridge) {
                        (from_above(seated))
                    }
                }
                @if let Some(seated) = &f.seated { (numbers(f, seated)) }
                h2 { "What is taken for granted" }
                ul.small { @for assumed in &f.judged.assumed { li { (visible(assumed)) } } }
                (signatures())
                p { b { (CAUTION) } }
            }
        }
    };
    page.into_string()
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

fn exchange(e: &Exchange, alone: bool) -> Markup {
    let drawn = e.position == Position::Abutment;
    html! {
        div.drawing {
            p {
                b { (e.site) " (" (e.site.words()) "), " (e.position.words()) ": " }
                (e.candidate.part.code) " in place of " (e.fitted.part.code)
            }
            p.small {
                "fitted: " (visible(e.fitted.part.description.as_str())) br;
                "new: " (visible(e.candidate.part.description.as_str())) "; " (e.candidate.part.torque)
            }
            @if drawn {
                (PreEscaped(assemblies::drawing(e, alone)))
                p.small {
                    "Scale " (assemblies::scale(alone)) ", seen in the plane of the lean. Thick: the implant's platform and the ring the bridge sits on."
                    @if assemblies::stands_in(e) { b { " Dashed: NOT to scale, a number of this part is not known." } }
                }
            }
            @if let Some(Ok(change)) = &e.change {
                @let moved = change.moved;
                @if moved.sideways > NOTHING || moved.tilt > 1e-6 {
                    p { "The seat stands " b { (apart(moved.sideways)) } " beside its old place and is tilted by "
                        b { (format!("{:.1}°", moved.tilt.to_degrees())) } "." }
                }
            }
        }
    }
}

fn from_above(seated: &Seated) -> Markup {
    let screw = seated.ends()[seated.worst().1].iso();
    html! {
        div.drawing {
            p { b { "The sites from above" } }
            (PreEscaped(arch::drawing(seated)))
            p.small {
                @if seated.worst().0.worst() > NOTHING {
                    "One-screw test at tooth " (screw) ": the bars are the gaps at the widest edge, drawn "
                    b { (arch::factor(seated)) " times" } " as long as the arch around them; thick ring: the screw that is tight. "
                } @else { "One-screw test at tooth " (screw) " (thick ring): by the drawings nothing gapes. " }
                @if seated.places.is_assumed() { b { "Where the sites are is ASSUMED." } }
                @else { "Where the sites are was measured; the picture lies as the scan did." }
            }
        }
    }
}

fn numbers(f: &Fit, seated: &Seated) -> Markup {
    let bridge = f.stands_on == StandsOn::Bridge;
    html! {
        @if bridge {
            h2 { "Gaps, in the middle / at the widest edge" }
            (gaps(f, seated))
            (strains(f, seated))
        }
        @if let Some(scatter) = &seated.scatter {
            h2 { "Two pieces within their drawings" }
            p { (scatter.draws) " draws: half of them stay within " (apart(scatter.median)) ", nineteen in twenty within "
                (apart(scatter.most)) "; "
                @for (n, (band, share)) in bands(f).iter().zip(&scatter.within).enumerate() {
                    @if n > 0 { ", " } (percent(*share)) " within " (apart(*band))
                } "." }
        }
    }
}

fn bands(f: &Fit) -> [f64; 3] {
    [f.bands.keeps, f.bands.doubtful, f.bands.check].map(Length::number)
}

fn rise(s: &SiteSeated) -> String {
    match s.moved.rise {
        by if by.abs() <= NOTHING => "as before".to_owned(),
        by if by > 0.0 => format!("{} higher", apart(by)),
        by => format!("{} lower", apart(-by)),
    }
}

fn gaps(f: &Fit, seated: &Seated) -> Markup {
    let [first, last] = seated.ends().map(Tooth::iso);
    let both = |g: Gap| format!("{} / {}", apart(g.centre), apart(g.widest));
    html! {
        table {
            tr {
                th { "site" } th { "seat" } th { "pressed in the middle" } th { "only screw " (first) " tight" }
                th { "only screw " (last) " tight" } th { "rocked from end to end" } th { "in words" }
            }
            @for s in &seated.sites {
                @let [low, high] = s.rocked();
                tr {
                    td { "tooth " (s.site.iso()) } td { (rise(s)) } td { (both(s.rest)) } td { (both(s.tests[0])) }
                    td { (both(s.tests[1])) } td { (apart(low)) " to " (apart(high)) } td { (s.words(&f.bands)) }
                }
            }
        }
    }
}

fn strains(f: &Fit, seated: &Seated) -> Markup {
    let open = seated.sites.iter().any(|s| s.worst() > f.bands.keeps.number());
    let both = |[turning, flat]: [f64; 2], unit: &str| format!("{turning:.0} / {flat:.0} {unit}");
    html! {
        @if open {
            h2 { "To shut it: seats that let the frame turn / that hold it flat (upper bound)" }
            @if let Some(no) = &seated.no_strain { p { "Not computed: " (visible(no)) "." } }
            @else {
                table {
                    tr { th { "site" } th { "pull" } th { "moment" } th { "its screw gives" } }
                    @for (s, strain) in seated.sites.iter().filter_map(|s| Some((s, s.strain?))) {
                        tr {
                            td { "tooth " (s.site.iso()) } td { (both(strain.pull, "N")) } td { (both(strain.moment, "Nmm")) }
                            td {
                                @if let Some(band) = strain.preload {
                                    (format!("{:.0} to {:.0} N", band.low_n, band.high_n))
                                } @else { "not known" }
                            }
                        }
                    }
                }
                @if let Some(shutting) = seated.shutting().map(Shutting::words) { p { (shutting) "." } }
                p { b { (NO_PERMISSION) } }
            }
        }
    }
}

fn signatures() -> Markup {
    html! {
        div.sign {
            h2 { "To be signed" }
            table {
                tr { td { "Laboratory" } td { "Date" } td { "Signature" } }
                tr { td colspan="2" { "Remarks" } td { "Practice: taken note of by, date" } }
            }
        }
    }
}
