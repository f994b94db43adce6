//! Pages to print: self-contained, without script or network, every text escaped by the library that writes them.

mod along;
mod arch;
mod assemblies;
mod fit;
mod numbers;
mod shape;

pub use fit::fit_sheet;

use svg::Document;
use svg::node::element::{Line, Polygon, Text};

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
