//! The sites from above, with the gaps of the worse one-screw test drawn out of all proportion, and by how much.

use svg::Document;
use svg::node::element::{Circle, Polyline};

use super::{label, line, round};
use crate::desk::fit::{Seated, apart};

/// Paper per mm of the mouth.
const SCALE: f64 = 0.9;
/// The longest gap on paper, mm.
const LONGEST: f64 = 11.0;
const MARGIN: f64 = 14.0;
/// The words at its foot stand side by side, mm.
const NARROWEST: f64 = 44.0;
/// Room for a label beside the arch, mm.
const LABEL: f64 = 17.0;

/// How many times longer than to the scale of the arch a gap is drawn: a round number that keeps the longest on paper.
pub(super) fn factor(seated: &Seated) -> u32 {
    let widest = seated.worst().0.worst();
    let most = [1000, 500, 200, 100, 50, 20, 10, 5, 2];
    most.into_iter().find(|f| widest * SCALE * f64::from(*f) <= LONGEST).unwrap_or(1)
}

/// The drawing.
pub(super) fn drawing(seated: &Seated) -> String {
    let end = seated.worst().1;
    let at: Vec<[f64; 2]> = seated.sites.iter().map(|s| s.seat.at).collect();
    let bound = |axis: usize, pick: fn(f64, f64) -> f64, from: f64| {
        at.iter().map(|p| p[axis]).fold(from, pick) * SCALE
    };
    let (left, top) = (bound(0, f64::min, f64::INFINITY), bound(1, f64::min, f64::INFINITY));
    let (right, low) = (bound(0, f64::max, f64::NEG_INFINITY), bound(1, f64::max, f64::NEG_INFINITY));
    // An arch has its labels outside on either side, a short bridge all on one.
    let wide = right - left > LABEL;
    let before = if wide { LABEL } else { 0.0 };
    let (width, height) =
        ((right - left + MARGIN / 2.0 + LABEL + before).max(NARROWEST), low - top + LONGEST + MARGIN);
    let paper = |p: [f64; 2]| {
        [p[0] * SCALE - left + MARGIN / 4.0 + before, p[1] * SCALE - top + LONGEST + MARGIN / 3.0]
    };
    let points: Vec<String> =
        at.iter().map(|p| paper(*p)).map(|[x, y]| format!("{},{}", round(x), round(y))).collect();
    let mut drawing = Document::new()
        .set("viewBox", (0, 0, round(width), round(height)))
        .set("width", format!("{width:.1}mm"))
        .set("height", format!("{height:.1}mm"))
        .add(
            Polyline::new()
                .set("points", points.join(" "))
                .set("fill", "none")
                .set("stroke", "black")
                .set("stroke-width", 0.4),
        );
    let many = f64::from(factor(seated));
    for (n, site) in seated.sites.iter().enumerate() {
        let [x, y] = paper(site.seat.at);
        let tight = n == if end == 0 { 0 } else { seated.sites.len() - 1 };
        let ring = Circle::new()
            .set("cx", round(x))
            .set("cy", round(y))
            .set("r", round(site.seat.radius * SCALE))
            .set("fill", "white")
            .set("stroke", "black")
            .set("stroke-width", if tight { 1.2 } else { 0.4 });
        let gap = site.tests[end].widest;
        let tall = gap * SCALE * many;
        let said = if gap > 0.5e-3 { apart(gap) } else { "closed".to_owned() };
        let words = format!("{}: {said}", site.site.iso());
        let beside = site.seat.radius * SCALE + 1.2;
        let (to, lower, anchor) = match (x - before - MARGIN / 4.0) / (right - left).max(1.0) {
            share if wide && (0.35..0.65).contains(&share) => (x, y + beside + 2.4, "middle"),
            share if wide && share < 0.5 => (x - beside, y + 1.0, "end"),
            _ => (x + beside, y + 1.0, "start"),
        };
        drawing = drawing.add(ring).add(line([x, y], [x, y - tall], 1.6, "")).add(label(
            words,
            [to, lower],
            2.6,
            anchor,
        ));
    }
    // A scan has directions of its own; only the default arch is known to look this way.
    if seated.places.is_assumed() {
        drawing = drawing
            .add(label("front of the mouth", [width / 2.0, 3.0], 2.4, "middle"))
            .add(label("patient's right", [1.0, height - 1.0], 2.4, "start"))
            .add(label("patient's left", [width - 1.0, height - 1.0], 2.4, "end"));
    }
    drawing.to_string()
}
