//! What stands at one site, from the implant up and to scale, with the factors beside it.

use svg::Document;

use super::shape::{STAND_IN, Shape};
use super::{label, line, outline, paper};
use crate::case::Fitted;
use crate::catalog::{Part, Position, Value};
use crate::mechanics::margin::FRICTIONS;
use crate::mechanics::neck::BONE_LOST_MM;
use crate::weakest::{Class, Site};

/// Paper per part.
pub(super) const SCALE: f64 = 2.0;
/// Room for the words beside a drawing, mm of paper.
const WORDS: f64 = 30.0;
const FONT: f64 = 2.3;
/// Between two lines of words.
const STEP: f64 = 2.9;

/// A drawing of a site; `crown_mm` is how high above the seat it is bitten on, `tall_mm` the tallest abutment of the page.
pub(super) fn drawing(site: &Site, crown_mm: f64, tall_mm: f64, first: &[Class]) -> String {
    let part = |position| Fitted::at(&site.assembly, position).map(|f| &f.part);
    let shape = part(Position::Abutment).map(Shape::of);
    let neck = part(Position::Implant).and_then(|p| p.neck.known()).map(|l| l.number());
    let half = shape.as_ref().map_or(0.0, |s| s.extent(0.0)[1]).max(neck.unwrap_or(STAND_IN) / 2.0);
    let platform = 3.0 + (crown_mm + tall_mm) * SCALE;
    let (width, height) = (2.0 * half * SCALE + 5.0 + WORDS, platform + BONE_LOST_MM * SCALE + 5.0);
    let middle = 2.0 + half * SCALE;
    let at = |x: f64, up: f64| [middle + x * SCALE, platform - up * SCALE];
    let mut drawing = paper(width, height);
    let collar = shape.as_ref().map_or(0.0, Shape::tall);
    drawing = implant(drawing, neck, &at);
    if let Some(shape) = &shape {
        let dash = if shape.missing().is_empty() { "" } else { "2 1.5" };
        let (foot, top) = (shape.foot(), shape.ring.unwrap_or(STAND_IN) / 2.0);
        let sides = [at(-foot, 0.0), at(-top, collar), at(top, collar), at(foot, 0.0)];
        drawing = drawing.add(outline(sides, 0.5, dash));
    }
    drawing = screws(drawing, site, collar, &at);
    // The crown is drawn as a height alone: nobody has its shape.
    let bite = at(0.0, collar + crown_mm);
    drawing = drawing
        .add(line(at(0.0, collar), bite, 0.2, "1.5 1"))
        .add(line([bite[0] - 4.0, bite[1]], [bite[0] + 4.0, bite[1]], 0.4, ""))
        .add(label(format!("bite, {crown_mm} mm up"), [bite[0] + 5.0, bite[1] + FONT * 0.4], FONT, "start"));
    words(drawing, site, first, middle + half * SCALE + 1.5, (platform, height)).to_string()
}

/// The implant's neck down to where bone may be lost; open sides where its width is not on record.
fn implant(mut drawing: Document, neck: Option<f64>, at: &dyn Fn(f64, f64) -> [f64; 2]) -> Document {
    let half = neck.unwrap_or(STAND_IN) / 2.0;
    let dash = if neck.is_some() { "" } else { "2 1.5" };
    let corners = [at(-half, 0.0), at(half, 0.0), at(half, -BONE_LOST_MM), at(-half, -BONE_LOST_MM)];
    drawing = drawing.add(outline(corners, 0.5, dash));
    let [left, foot] = [at(-half, 0.0), at(half, -BONE_LOST_MM)];
    let strokes = ((foot[0] - left[0]) / 1.6).floor() as usize;
    for n in 1..=strokes {
        let x = left[0] + 1.6 * n as f64;
        drawing = drawing.add(line([x, left[1]], [x - 1.6, foot[1]], 0.15, ""));
    }
    drawing.add(line(at(-half, 0.0), at(half, 0.0), 0.9, ""))
}

/// Threads as wide as they are, each from its joint down.
fn screws(mut drawing: Document, site: &Site, collar: f64, at: &dyn Fn(f64, f64) -> [f64; 2]) -> Document {
    for (part, _) in site.parts.iter().flatten() {
        let Some(screw) = &part.screw else { continue };
        let half = screw.screw.thread.diameter_mm() / 2.0;
        let top = collar - part.below_mm;
        let long = length(site, part.position).unwrap_or(2.0 * half);
        let corners = [at(-half, top), at(half, top), at(half, top - long), at(-half, top - long)];
        drawing = drawing.add(outline(corners, 0.35, "0.8 0.6"));
    }
    drawing
}

/// How far a part's thread reaches.
fn length(site: &Site, position: Position) -> Option<f64> {
    let part: &Part = &Fitted::at(&site.assembly, position)?.part;
    let thread = part.thread(crate::catalog::Side::Below)?;
    let known = |v: &Value<crate::units::Length>| v.known().map(|l| l.number());
    known(&thread.length)
}

/// Each part's factors beside the drawing, the first to go marked.
fn words(
    mut drawing: Document,
    site: &Site,
    first: &[Class],
    x: f64,
    (platform, height): (f64, f64),
) -> Document {
    let lines = lines(site, first);
    let top = (platform - STEP * lines.len() as f64).max(8.0).min(height - STEP * (lines.len() + 1) as f64);
    for (n, (text, bold)) in lines.into_iter().enumerate() {
        let text = label(text, [x, top + STEP * (n + 1) as f64], FONT, "start");
        drawing = drawing.add(if bold { text.set("font-weight", "bold") } else { text });
    }
    drawing
}

fn lines(site: &Site, first: &[Class]) -> Vec<(String, bool)> {
    let shown = |v: Option<f64>| v.map_or("never".to_owned(), |v| format!("{v:.2}"));
    let parts = match &site.parts {
        Ok(parts) => parts,
        Err(missing) => return vec![("not modelled:".to_owned(), true), (missing.clone(), false)],
    };
    let mut lines = Vec::new();
    for (part, margin) in parts {
        let is_first = first.contains(&part.class);
        let mark = if is_first { " ←" } else { "" };
        lines.push((format!("{}{mark}", part.class.words()), is_first));
        let breaks = margin.and_then(|m| m.breaks).map(|f| f.at[FRICTIONS / 2]);
        let opens = margin.and_then(|m| m.opens).map(|f| f.at[FRICTIONS / 2]);
        let said =
            [breaks.map(|v| format!("breaks {}", shown(v))), opens.map(|v| format!("opens {}", shown(v)))];
        let said: Vec<String> = said.into_iter().flatten().collect();
        lines.push((if said.is_empty() { "not modelled".to_owned() } else { said.join(", ") }, false));
    }
    lines
}
