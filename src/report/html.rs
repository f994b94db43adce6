//! Pages to print: self-contained, without script or network, every text escaped by the library that writes them.

mod arch;
mod assemblies;
mod fit;

pub use fit::fit_sheet;

use svg::node::element::{Line, Text};

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

/// A label; `anchor` is start, middle or end. Only codes and numbers come here: they hold nothing to escape.
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
