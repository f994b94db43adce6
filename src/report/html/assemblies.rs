//! The fitted abutment and the one that comes in, side by side and to scale.

use svg::Document;

use super::shape::Shape;
use super::{label, line, outline, paper};
use crate::bench::fit::{Exchange, NOTHING, apart};
use crate::catalog::{Part, Position};

/// Round scales, paper per part.
const SCALES: [f64; 7] = [5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0];
/// The implant below its platform, hatched, mm of paper.
const IMPLANT: f64 = 2.4;

/// Whether the drawings stand three in a row.
pub(super) fn is_narrow(exchanges: &[Exchange]) -> bool {
    exchanges.len() > 2
}

/// How the drawing is laid out, mm of paper: half a page's width, or a third.
struct Layout {
    width: f64,
    height: f64,
    /// For a dimension beside a part.
    side: f64,
    between: f64,
    font: f64,
}

impl Layout {
    fn of(narrow: bool) -> Self {
        if narrow {
            Self { width: 60.0, height: 24.0, side: 13.5, between: 13.0, font: 2.2 }
        } else {
            Self { width: 91.0, height: 32.0, side: 15.0, between: 17.0, font: 2.7 }
        }
    }
}

/// Both parts and how they stand to each other.
struct Pair<'a> {
    parts: [(&'a Part, Shape); 2],
    /// Out of the plane of the drawing, radians: that of the fitted part's lean, or of the new one's.
    turns: [f64; 2],
    layout: Layout,
}

impl<'a> Pair<'a> {
    fn of(e: &'a Exchange, narrow: bool) -> Self {
        let parts = [&e.fitted.part, &e.candidate.part].map(|p| (p, Shape::of(p)));
        let leans = match &e.change {
            Some(Ok(change)) => change.leans,
            _ => [None, None],
        };
        let plane = leans[0].or(leans[1]).unwrap_or(0.0);
        Self { parts, turns: leans.map(|l| l.map_or(0.0, |l| l - plane)), layout: Layout::of(narrow) }
    }

    fn extents(&self) -> [[f64; 3]; 2] {
        [0, 1].map(|n| self.parts[n].1.extent(self.turns[n]))
    }

    /// The largest round scale that keeps it on its part of the page.
    fn scale(&self) -> f64 {
        let [a, b] = self.extents();
        let room = self.layout.width - 2.0 * self.layout.side - self.layout.between;
        let (wide, tall) = (a[1] - a[0] + b[1] - b[0], a[2].max(b[2]));
        let fits = |s: &f64| wide * s <= room && tall * s <= self.layout.height;
        // A part over 8 mm wide is drawn smaller than life rather than off the paper.
        SCALES.into_iter().find(fits).unwrap_or_else(|| (room / wide).min(self.layout.height / tall))
    }
}

/// The scale that all abutments of a sheet are drawn to: paper per part.
pub(super) fn scale(exchanges: &[Exchange]) -> f64 {
    let abutments = exchanges.iter().filter(|e| e.position == Position::Abutment);
    abutments.map(|e| Pair::of(e, is_narrow(exchanges)).scale()).fold(SCALES[0], f64::min)
}

/// A scale as it is said.
pub(super) fn in_words(scale: f64) -> String {
    if scale >= 1.0 { format!("{scale} : 1") } else { format!("1 : {:.1}", 1.0 / scale) }
}

/// The drawing of one exchange of abutments, one of these on a sheet.
pub(super) fn drawing(e: &Exchange, exchanges: &[Exchange]) -> String {
    let (pair, scale) = (Pair::of(e, is_narrow(exchanges)), scale(exchanges));
    let (layout, extents) = (&pair.layout, pair.extents());
    let font = layout.font;
    let first = layout.side - extents[0][0] * scale;
    let second = first + extents[0][1] * scale + layout.between - extents[1][0] * scale;
    let middles = [first, second];
    let base = extents[0][2].max(extents[1][2]) * scale + 2.0 * font + 3.0;
    let (width, height) = (second + extents[1][1] * scale + layout.side, base + IMPLANT + font + 5.5);
    let mut drawing = paper(width, height);
    for n in [0, 1] {
        let at = |p: [f64; 2]| [middles[n] + p[0] * scale, base - p[1] * scale];
        drawing = part(drawing, &pair, n, &at);
        let below = [middles[n], base + IMPLANT + font + 0.6];
        drawing = drawing.add(label(["fitted", "new"][n], below, font, "middle"));
        let out = if n == 0 { at([extents[0][0], 0.0])[0] - 2.0 } else { at([extents[1][1], 0.0])[0] + 2.0 };
        drawing = own_height(drawing, &pair.parts[n].1, ([out, base], n == 0), scale, font);
    }
    let between = [first + extents[0][1] * scale, second + extents[1][0] * scale];
    drawing = difference(drawing, e, &pair, between, (base, scale));
    let foot = height - 2.0;
    let bar = [[2.0, foot], [2.0 + 5.0 * scale, foot]];
    drawing
        .add(line(bar[0], bar[1], 0.6, ""))
        .add(line([bar[0][0], foot - 1.0], [bar[0][0], foot + 1.0], 0.3, ""))
        .add(line([bar[1][0], foot - 1.0], [bar[1][0], foot + 1.0], 0.3, ""))
        .add(label("5 mm", [bar[1][0] + 1.5, foot + 0.9], font, "start"))
        .to_string()
}

/// The implant's platform, hatched below; the part on it; the ring the bridge sits on.
fn part(mut drawing: Document, pair: &Pair<'_>, n: usize, at: &dyn Fn([f64; 2]) -> [f64; 2]) -> Document {
    let (shape, turn) = (&pair.parts[n].1, pair.turns[n]);
    let (foot, tall) = (shape.foot(), shape.tall());
    let dash = if shape.missing().is_empty() { "" } else { "2 1.5" };
    let ring = shape.profile(turn);
    if let Some(ring) = &ring {
        let ends = |pick: fn(f64, f64) -> bool| {
            ring.iter().copied().reduce(|a, b| if pick(b[0], a[0]) { b } else { a }).unwrap_or([0.0, tall])
        };
        let sides = [[-foot, 0.0], ends(|a, b| a < b), ends(|a, b| a > b), [foot, 0.0]];
        drawing = drawing.add(outline(sides.map(at), 0.5, dash)).add(outline(
            ring.iter().copied().map(at),
            1.0,
            "",
        ));
    } else {
        // No ring to draw: sides alone, and its height where that is known.
        for x in [-foot, foot] {
            drawing = drawing.add(line(at([x, 0.0]), at([x, tall]), 0.5, dash));
        }
        if shape.height.is_some() {
            drawing = drawing.add(line(at([-foot, tall]), at([foot, tall]), 0.5, dash));
        }
    }
    if let Some(half) = shape.upright() {
        for x in [-half, half] {
            drawing = drawing.add(line(at([x, 0.0]), at([x, tall]), 0.25, "1.6 0.6 0.3 0.6"));
        }
    }
    let [left, right] = [at([-foot, 0.0]), at([foot, 0.0])];
    let strokes = ((right[0] - left[0]) / 1.6).floor() as usize;
    for n in 0..strokes {
        let x = left[0] + 1.6 * (n + 1) as f64;
        drawing = drawing.add(line([x, left[1]], [x - 1.6, left[1] + IMPLANT], 0.2, ""));
    }
    drawing.add(line(left, right, 0.9, ""))
}

/// A part's own height as a dimension: where its foot stands on the paper, and whether its words stand to the left.
fn own_height(
    drawing: Document,
    shape: &Shape,
    ([x, base], left): ([f64; 2], bool),
    scale: f64,
    font: f64,
) -> Document {
    let top = base - shape.tall() * scale;
    let (to, anchor) = if left { (x - 1.0, "end") } else { (x + 1.0, "start") };
    let middle = f64::midpoint(top, base);
    let Some(height) = shape.height else {
        return drawing.add(label("height", [to, middle - font * 0.2], font, anchor)).add(label(
            "not known",
            [to, middle + font],
            font,
            anchor,
        ));
    };
    measure(drawing, x, [top, base]).add(label(
        format!("{height:.2} mm"),
        [to, middle + font * 0.35],
        font,
        anchor,
    ))
}

/// A dimension line from one height on the paper to another.
fn measure(drawing: Document, x: f64, [from, to]: [f64; 2]) -> Document {
    let tick = |y: f64| line([x - 0.8, y], [x + 0.8, y], 0.25, "");
    drawing.add(line([x, from], [x, to], 0.25, "")).add(tick(from)).add(tick(to))
}

/// How much higher the new seat stands along its implant: both heights carried out between the parts, and the number.
fn difference(
    mut drawing: Document,
    e: &Exchange,
    pair: &Pair<'_>,
    between: [f64; 2],
    (base, scale): (f64, f64),
) -> Document {
    let (Some(Ok(change)), [Some(old), Some(new)]) = (&e.change, [0, 1].map(|n| pair.parts[n].1.height))
    else {
        return drawing;
    };
    let font = pair.layout.font;
    let [old, new] = [old, new].map(|up| base - up * scale);
    let [from, to] = between;
    let middle = f64::midpoint(from, to);
    drawing = drawing.add(line([from, old], [to, old], 0.2, "1.5 1"));
    let by = change.height.nominal;
    let (much, way) = match by {
        by if by.abs() < NOTHING => ("as high".to_owned(), "as before"),
        by if by > 0.0 => (millimetres(by), "higher"),
        by => (millimetres(-by), "lower"),
    };
    if by.abs() >= NOTHING {
        drawing = measure(drawing.add(line([middle, new], [to, new], 0.2, "1.5 1")), middle, [old, new]);
    }
    let top = old.min(new) - 1.2;
    drawing.add(label(much, [middle, top - font * 1.1], font * 1.1, "middle")).add(label(
        way,
        [middle, top],
        font * 1.1,
        "middle",
    ))
}

/// As the heights beside it; what two places would not show, finer.
fn millimetres(mm: f64) -> String {
    if mm < 0.1 { apart(mm) } else { format!("{mm:.2} mm") }
}
