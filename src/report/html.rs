//! Pages to print: self-contained, without script or network, every text escaped by the library that writes them.

mod along;
mod arch;
mod assemblies;
mod fit;
mod numbers;
mod shape;
mod tower;
mod weakest;

pub use fit::fit_sheet;
pub use weakest::weakest_sheet;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use svg::Document;
use svg::node::element::{Line, Polygon, Text};

const STYLE: &str = "
@page { size: A4 portrait; margin: 8mm; @bottom-right { content: 'page ' counter(page) ' of ' counter(pages); font: 6.5pt sans-serif; } }
body { font: 8pt/1.2 sans-serif; color: black; background: white; max-width: 192mm; margin: 0 auto; }
h1 { font-size: 13pt; margin: 0 0 1mm; } h2 { font-size: 9.5pt; margin: 2mm 0 0.8mm; border-bottom: 0.3mm solid black; break-after: avoid; }
p, ul { margin: 0.8mm 0; } ul { padding-left: 5mm; } .tower { break-inside: avoid; } .tower p { margin: 0; }
.verdict { border: 0.7mm solid black; padding: 1mm 3mm; margin: 1.5mm 0; }
.verdict > b { font-size: 14pt; display: block; }
.invented { border: 0.7mm dashed black; padding: 0 2mm; font-weight: bold; font-size: 11pt; }
table { border-collapse: collapse; width: 100%; margin: 1mm 0; } th, td { border: 0.2mm solid black; padding: 0.2mm 1mm; text-align: left; font-size: 7.2pt; } td:first-child { white-space: nowrap; }
.row { display: flex; flex-wrap: wrap; gap: 1mm 3mm; } .drawing { break-inside: avoid; width: 94mm; } .several .drawing { width: 61mm; } .beside { width: 94mm; } .below { width: 100%; display: flex; gap: 3mm; } .below .drawing { width: 94mm; } svg { display: block; flex: none; } .pair { display: flex; gap: 3mm; align-items: center; } .whole { flex-basis: 100%; }
.sign { break-inside: avoid; } .sign td { height: 8mm; width: 33%; vertical-align: top; }
.small, .measures td, .measures th { font-size: 7pt; } .measures td, .measures th { padding: 0 0.7mm; } .gaps td, .gaps th { font-size: 6.9pt; white-space: nowrap; } .gaps td:last-child { white-space: normal; } .no { font-size: 7.3pt; font-weight: bold; }
";

/// A whole page round what stands on it.
fn sheet(title: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    };
    page.into_string()
}

/// An empty drawing, mm of paper.
fn paper(width: f64, height: f64) -> Document {
    Document::new()
        .set("viewBox", (0, 0, round(width), round(height)))
        .set("width", format!("{width:.1}mm"))
        .set("height", format!("{height:.1}mm"))
}

/// A straight line; `dash` as SVG writes it, empty for none.
fn line(from: [f64; 2], to: [f64; 2], width: f64, dash: &str) -> Line {
    let drawn = Line::new()
        .set("x1", round(from[0]))
        .set("y1", round(from[1]))
        .set("x2", round(to[0]))
        .set("y2", round(to[1]))
        .set("stroke", "black")
        .set("stroke-width", width);
    if dash.is_empty() { drawn } else { drawn.set("stroke-dasharray", dash) }
}

/// A closed outline filled with paper.
fn outline(points: impl IntoIterator<Item = [f64; 2]>, width: f64, dash: &str) -> Polygon {
    let points: Vec<String> = points.into_iter().map(|[x, y]| format!("{},{}", round(x), round(y))).collect();
    let drawn = Polygon::new()
        .set("points", points.join(" "))
        .set("fill", "white")
        .set("stroke", "black")
        .set("stroke-width", width);
    if dash.is_empty() { drawn } else { drawn.set("stroke-dasharray", dash) }
}

/// A label; `anchor` is start, middle or end.
fn label(text: impl Into<String>, at: [f64; 2], size: f64, anchor: &str) -> Text {
    Text::new(text)
        .set("x", round(at[0]))
        .set("y", round(at[1]))
        .set("font-size", size)
        .set("font-family", "sans-serif")
        .set("text-anchor", anchor)
}

/// Hundredths are finer than any printer; what is not a number is not drawn anywhere near the paper.
fn round(value: f64) -> f64 {
    if value.is_finite() { (value * 100.0).round() / 100.0 } else { 0.0 }
}
