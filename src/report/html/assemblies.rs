//! The fitted abutment and the one that comes in, side by side and to scale.

use svg::Document;
use svg::node::element::{Group, Polygon};

use super::{label, line, round};
use crate::catalog::{Part, Side};
use crate::desk::fit::{Exchange, apart};

/// Paper per part where one part comes in: its drawing and the arch stand in a row.
const ALONE: f64 = 3.5;
/// The same where several do: three drawings stand in a row.
const SEVERAL: f64 = 2.3;
/// From the middle of one drawing to the middle of the next, mm of the part.
const STEP: f64 = 13.0;
/// Below the platform, mm of the part.
const BELOW: f64 = 2.0;
/// What is drawn where a number is not known, mm of the part: never without the words that say so.
const STAND_IN: f64 = 4.0;

/// What a drawing needs of a part; `known` says whether all of it is on record.
struct Shape {
    height: f64,
    neck: f64,
    ring: f64,
    offset: f64,
    angle: f64,
    known: bool,
}

impl Shape {
    fn of(part: &Part) -> Self {
        let mm = |v: Option<f64>, known: &mut bool| {
            *known &= v.is_some();
            v
        };
        let mut known = true;
        let height = mm(part.seat_height.known().map(|l| l.number()), &mut known);
        let neck = part.neck.known().or_else(|| part.seat(Side::Below).and_then(|s| s.outer.known()));
        let neck = mm(neck.map(|l| l.number()), &mut known);
        let ring = part.seat(Side::Above).and_then(|s| s.outer.known());
        let ring = mm(ring.map(|l| l.number()), &mut known);
        let offset = part.offset.known().map_or(0.0, |l| l.number());
        let angle = part.angle.known().map_or(0.0, |a| a.number().to_radians());
        known &= !part.offset.is_unknown() && !part.angle.is_unknown();
        Self {
            height: height.unwrap_or(STAND_IN),
            neck: neck.unwrap_or(STAND_IN),
            ring: ring.unwrap_or(STAND_IN),
            offset,
            angle,
            known,
        }
    }

    /// The ends of the upper ring, mm of the part, up is up.
    fn rim(&self) -> [[f64; 2]; 2] {
        let (sin, cos) = self.angle.sin_cos();
        [-1.0, 1.0].map(|side| {
            let out = side * self.ring / 2.0;
            [self.offset + out * cos, self.height - out * sin]
        })
    }

    fn top(&self) -> f64 {
        self.rim().into_iter().map(|p| p[1]).fold(self.height, f64::max)
    }
}

/// The drawing of one exchange of abutments.
pub(super) fn drawing(e: &Exchange, alone: bool) -> String {
    let scale = paper_per_part(alone);
    let shapes = [&e.fitted.part, &e.candidate.part].map(Shape::of);
    let top = shapes.iter().map(Shape::top).fold(0.0, f64::max) + 2.5;
    let (width, height) = (2.0 * STEP * scale, (top + BELOW + 4.0) * scale);
    let paper = |x: f64, up: f64| [x * scale, (top - up) * scale];
    let mut group = Group::new();
    for (n, (shape, part)) in shapes.iter().zip([&e.fitted.part, &e.candidate.part]).enumerate() {
        let middle = STEP * (n as f64 + 0.4);
        let at = |p: [f64; 2]| paper(middle + p[0], p[1]);
        let [left, right] = shape.rim();
        let corners = [[-shape.neck / 2.0, 0.0], left, right, [shape.neck / 2.0, 0.0]].map(at);
        let points: Vec<String> =
            corners.iter().map(|p| format!("{},{}", round(p[0]), round(p[1]))).collect();
        let mut body = Polygon::new()
            .set("points", points.join(" "))
            .set("fill", "white")
            .set("stroke", "black")
            .set("stroke-width", 0.5);
        if !shape.known {
            body = body.set("stroke-dasharray", "2 1.5");
        }
        // The implant's platform, and the ring the bridge sits on.
        let half = shape.neck / 2.0 + 0.8;
        group = group
            .add(body)
            .add(line(at([-half, 0.0]), at([half, 0.0]), 0.8, ""))
            .add(line(at([-half + 0.8, 0.0]), at([-half + 0.8, -BELOW]), 0.4, "1 1"))
            .add(line(at([half - 0.8, 0.0]), at([half - 0.8, -BELOW]), 0.4, "1 1"))
            .add(line(at(left), at(right), 1.2, ""))
            .add(label(["fitted", "new"][n], paper(middle, -BELOW - 0.9), 2.8, "middle"))
            .add(label(part.code.as_str(), paper(middle, -BELOW - 1.8), 1.9, "middle"));
        // Its height, as a dimension.
        let out = shape.neck.max(shape.ring) / 2.0 + 1.2;
        let words = if part.seat_height.is_unknown() {
            "height not known".to_owned()
        } else {
            format!("{:.2} mm", shape.height)
        };
        group = group
            .add(line(at([out, 0.0]), at([out, shape.height]), 0.25, ""))
            .add(line(at([out - 0.3, 0.0]), at([out + 0.3, 0.0]), 0.25, ""))
            .add(line(at([out - 0.3, shape.height]), at([out + 0.3, shape.height]), 0.25, ""))
            .add(label(words, at([out + 0.4, shape.height / 2.0]), if alone { 2.6 } else { 2.0 }, "start"));
    }
    if let Some(Ok(change)) = &e.change {
        let old = shapes[0].height;
        // The old seat's height, carried over to the new part.
        let words = match change.height.nominal {
            by if by.abs() < 0.5e-3 => "as high as before".to_owned(),
            by if by > 0.0 => format!("{} higher", apart(by)),
            by => format!("{} lower", apart(-by)),
        };
        group = group.add(line(paper(0.0, old), paper(2.0 * STEP, old), 0.25, "3 1.5")).add(label(
            words,
            paper(STEP * 1.4, top - 1.2),
            3.2,
            "middle",
        ));
    }
    // A bar of 5 mm of the part.
    group = group.add(line(paper(0.3, -BELOW - 3.4), paper(5.3, -BELOW - 3.4), 0.6, "")).add(label(
        "5 mm",
        paper(5.8, -BELOW - 3.6),
        2.4,
        "start",
    ));
    Document::new()
        .set("viewBox", (0, 0, round(width), round(height)))
        .set("width", format!("{:.1}mm", width))
        .set("height", format!("{:.1}mm", height))
        .add(group)
        .to_string()
}

/// Whether something in the drawing stands in for a number nobody has.
pub(super) fn stands_in(e: &Exchange) -> bool {
    [&e.fitted.part, &e.candidate.part].into_iter().any(|p| !Shape::of(p).known)
}

/// How much larger than life, in words.
pub(super) fn scale(alone: bool) -> String {
    format!("{:.1} : 1", paper_per_part(alone))
}

fn paper_per_part(alone: bool) -> f64 {
    if alone { ALONE } else { SEVERAL }
}
