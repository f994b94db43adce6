//! The sites as somebody sees them who looks onto the seats, with the gaps of the worse one-screw test drawn out of all
//! proportion, and by how much.

use svg::Document;
use svg::node::element::{Circle, Polyline};

use super::{label, line, paper, round};
use crate::bench::fit::{NOTHING, Seated, SiteSeated, apart};

/// Round scales, paper per mm of the mouth; what is wider than any mouth is drawn smaller still.
const SCALES: [f64; 7] = [1.5, 1.2, 1.0, 0.8, 0.6, 0.4, 0.2];
/// The longest gap on paper, mm.
const LONGEST: f64 = 13.0;
/// Room for a label beside the arch, mm.
const LABEL: f64 = 22.0;
/// Room for the words above and below, mm.
const MARGIN: f64 = 8.0;
const FONT: f64 = 2.5;

/// How many times longer than to the scale of the arch a gap is drawn: a round number that keeps the longest on paper.
pub(super) fn factor(seated: &Seated) -> f64 {
    let (widest, scale) = (seated.worst().0.worst(), Layout::of(seated).scale);
    let most = [1000.0, 500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1];
    most.into_iter().find(|f| widest * scale * f <= LONGEST).unwrap_or(0.01)
}

/// The scale of the arch, in words.
pub(super) fn scale(seated: &Seated) -> String {
    super::assemblies::in_words(Layout::of(seated).scale)
}

/// Where the sites lie on paper.
struct Layout {
    scale: f64,
    /// Least and most, mm of the mouth.
    least: [f64; 2],
    most: [f64; 2],
    /// A bridge round the front has its labels on both sides and its gaps upright; a short one its labels on the right
    /// and its gaps to the left.
    round: bool,
    /// The upper jaw, seen from below, has its front at the top; the lower, from above, and what was measured along the
    /// mean of its axes, the other way up: seen from the other side everything would be mirrored.
    front_at_top: bool,
}

impl Layout {
    fn of(seated: &Seated) -> Self {
        let bound = |axis: usize, pick: fn(f64, f64) -> f64, from: f64| {
            seated.sites.iter().map(|s| s.seat.at[axis]).fold(from, pick)
        };
        let least = [0, 1].map(|axis| bound(axis, f64::min, f64::INFINITY));
        let most = [0, 1].map(|axis| bound(axis, f64::max, f64::NEG_INFINITY));
        let size = [most[0] - least[0], most[1] - least[1]];
        let fits = |s: &f64| size[0] * s <= 60.0 - LABEL / 2.0 && size[1] * s <= 30.0;
        Self {
            scale: SCALES.into_iter().find(fits).unwrap_or(0.1),
            least,
            most,
            round: size[0] > 20.0,
            front_at_top: seated.places.is_assumed() && seated.sites[0].site.is_upper(),
        }
    }

    fn before(&self) -> f64 {
        if self.round { LABEL } else { LONGEST + 8.0 }
    }

    fn size(&self) -> [f64; 2] {
        let [x, y] = [0, 1].map(|axis| (self.most[axis] - self.least[axis]) * self.scale);
        let above = if self.round { LONGEST } else { 0.0 };
        [(x + self.before() + LABEL).max(48.0), y + above + 2.0 * MARGIN + 4.0]
    }

    fn paper(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let down = if self.front_at_top { y - self.least[1] } else { self.most[1] - y };
        let above = if self.round { LONGEST } else { 0.0 };
        [(x - self.least[0]) * self.scale + self.before(), down * self.scale + MARGIN + above]
    }
}

/// The drawing.
pub(super) fn drawing(seated: &Seated) -> String {
    let layout = Layout::of(seated);
    let [width, height] = layout.size();
    let points: Vec<String> = seated
        .sites
        .iter()
        .map(|s| layout.paper(s.seat.at))
        .map(|[x, y]| format!("{},{}", round(x), round(y)))
        .collect();
    let frame = Polyline::new()
        .set("points", points.join(" "))
        .set("fill", "none")
        .set("stroke", "black")
        .set("stroke-width", 0.3)
        .set("stroke-dasharray", "3 1");
    let mut drawing = paper(width, height).add(frame);
    let many = factor(seated);
    let end = seated.worst().1;
    let tight = if end == 0 { 0 } else { seated.sites.len() - 1 };
    for (n, one) in seated.sites.iter().enumerate() {
        drawing = site(drawing, &layout, one, (one.tests[end].widest, n == tight), many);
    }
    // A scan has directions of its own; only the default arch is known to look this way.
    if seated.places.is_assumed() {
        let front = if layout.front_at_top { FONT } else { height - 1.0 };
        let sides = if layout.front_at_top { height - 5.0 } else { FONT };
        drawing = drawing
            .add(label("front of the mouth", [width / 2.0, front], FONT, "middle"))
            .add(label("← patient's right", [0.5, sides], FONT, "start"))
            .add(label("patient's left →", [width - 0.5, sides], FONT, "end"));
    }
    let foot = height - 1.5;
    let long = 10.0 * layout.scale;
    drawing
        .add(line([0.5, foot], [0.5 + long, foot], 0.6, ""))
        .add(label("10 mm", [long + 2.0, foot + 0.9], FONT, "start"))
        .to_string()
}

/// A seat's ring, its gap as a bar, its words.
fn site(
    drawing: Document,
    layout: &Layout,
    site: &SiteSeated,
    (gap, tight): (f64, bool),
    many: f64,
) -> Document {
    let [x, y] = layout.paper(site.seat.at);
    let radius = site.seat.radius * layout.scale;
    let ring = Circle::new()
        .set("cx", round(x))
        .set("cy", round(y))
        .set("r", round(radius))
        .set("fill", "white")
        .set("stroke", "black")
        .set("stroke-width", if tight { 1.2 } else { 0.4 });
    let said = if gap > NOTHING { apart(gap) } else { "closed".to_owned() };
    let beside = radius + 1.4;
    let share = (x - layout.before()) / ((layout.most[0] - layout.least[0]) * layout.scale).max(1.0);
    let (to, lower, anchor) = match share {
        share if layout.round && (0.35..0.65).contains(&share) => (x, y + beside + 2.4, "middle"),
        share if layout.round && share < 0.5 => (x - beside, y + 1.0, "end"),
        _ => (x + beside, y + 1.0, "start"),
    };
    let (from, long) = (radius + 0.6, gap * layout.scale * many);
    let bar = if layout.round {
        line([x, y - from], [x, y - from - long], 1.8, "")
    } else {
        line([x - from, y], [x - from - long, y], 1.8, "")
    };
    let words = label(format!("{}: {said}", site.site.iso()), [to, lower], FONT, anchor);
    let mut drawing = drawing.add(ring).add(words);
    if tight {
        drawing = drawing.add(label("tight", [to, lower + FONT], FONT, anchor));
    }
    if gap > NOTHING { drawing.add(bar) } else { drawing }
}
