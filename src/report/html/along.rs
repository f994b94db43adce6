//! Seats that stand beside the implant's axis, seen along it: where the fitted one stood and where the new one stands.

use svg::node::element::Circle;

use super::shape::Shape;
use super::{label, line, outline, paper, round};
use crate::bench::fit::Exchange;
use crate::units::Tooth;

/// Paper per part.
pub(super) const SCALE: f64 = 2.5;
const FONT: f64 = 2.4;

/// The drawing; none where no part leans, or where one of its numbers or a lean is not known.
pub(super) fn drawing(e: &Exchange) -> Option<String> {
    let Some(Ok(change)) = &e.change else { return None };
    let shapes = [&e.fitted.part, &e.candidate.part].map(Shape::of);
    if change.leans == [None, None] {
        return None;
    }
    let [buccal, mesial] = towards(e.site);
    let mut rims = Vec::new();
    for (shape, lean) in shapes.iter().zip(change.leans) {
        let rim = shape.rim(lean.unwrap_or(0.0))?;
        rims.push(
            rim.into_iter().map(|[b, m, _]| [buccal * b * SCALE, mesial * m * SCALE]).collect::<Vec<_>>(),
        );
    }
    let foot = shapes[1].neck? / 2.0 * SCALE;
    let reach = rims.iter().flatten().flatten().fold(foot, |most, x| most.max(x.abs())) + 1.5;
    // Only the side that a word stands on has room for it.
    let (left, above) = (if buccal > 0.0 { 1.0 } else { 12.0 }, if mesial > 0.0 { 1.0 } else { FONT + 1.0 });
    let middle = [reach + left, reach + above];
    let at = |p: [f64; 2]| [middle[0] + p[0], middle[1] + p[1]];
    let tip = |x: f64, y: f64| line(at([0.0, 0.0]), at([x * reach, y * reach]), 0.2, "0.6 0.6");
    let platform = Circle::new()
        .set("cx", round(middle[0]))
        .set("cy", round(middle[1]))
        .set("r", round(foot))
        .set("fill", "none")
        .set("stroke", "black")
        .set("stroke-width", 0.25);
    let [old, new] = [(&rims[0], 0.5, "1.5 1"), (&rims[1], 0.9, "")]
        .map(|(rim, width, dash)| outline(rim.iter().map(|p| at(*p)), width, dash).set("fill", "none"));
    let beside = if buccal > 0.0 { "start" } else { "end" };
    let below = if mesial > 0.0 { FONT } else { -0.6 };
    let drawing = paper(2.0 * reach + 13.0, 2.0 * reach + FONT + 2.0)
        .add(platform)
        .add(tip(buccal, 0.0))
        .add(tip(0.0, mesial))
        .add(old)
        .add(new)
        .add(label("buccal", at([buccal * (reach + 0.6), FONT * 0.35]), FONT, beside))
        .add(label("mesial", at([0.0, mesial * reach + below]), FONT, "middle"));
    Some(drawing.to_string())
}

/// Buccal to the right or left and mesial down or up, on paper, as somebody sees the site who looks onto its seat: not
/// mirrored, and as the arch is drawn beside it.
fn towards(site: Tooth) -> [f64; 2] {
    let left_of_patient = matches!(site.quadrant(), 2 | 3 | 6 | 7);
    [if left_of_patient { 1.0 } else { -1.0 }, if site.is_upper() { -1.0 } else { 1.0 }]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where the default arch draws a site and its neighbours: buccal is away from the middle, mesial towards the front.
    #[test]
    fn a_site_looks_the_same_way_as_the_arch() {
        for (iso, says) in [(15, [-1.0, -1.0]), (25, [1.0, -1.0]), (35, [1.0, 1.0]), (45, [-1.0, 1.0])] {
            let site = Tooth::from_iso(iso).unwrap();
            assert_eq!(towards(site), says, "{iso}");
            let here = crate::fit::arch::on_default_arch(site).unwrap();
            let front = crate::fit::arch::on_default_arch(Tooth::from_iso(iso - 2).unwrap()).unwrap();
            assert_eq!(here[0].signum(), says[0]);
            // The arch counts backwards; the upper jaw is drawn with its front at the top, the lower at the bottom.
            let onto_paper = if site.is_upper() { 1.0 } else { -1.0 };
            assert_eq!(((front[1] - here[1]) * onto_paper).signum(), says[1], "{iso}");
        }
    }
}
