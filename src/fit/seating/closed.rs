//! The closed forms: a bridge at rest on one, two or three seats, as if there were no others.

/// A seat as the solver sees it: from the press point, and from the tallest seat.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    /// Which seat, from 0.
    pub seat: usize,
    /// Its middle, from the press point.
    pub x: f64,
    /// Its middle, from the press point.
    pub y: f64,
    /// Its rise, from the tallest.
    pub rise: f64,
    /// Its radius.
    pub radius: f64,
}

/// A bridge resting on up to three seats.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    /// Lift at the press point, from the tallest seat.
    pub lift: f64,
    /// Its slope.
    pub slope: [f64; 2],
    /// Its steepness.
    pub steep: f64,
    /// The seats; those without weight repeat the first.
    pub seats: [usize; 3],
    /// What each carries.
    pub weights: [f64; 3],
}

impl Point {
    /// How far the bridge dips into a seat; below zero it stands clear.
    #[inline]
    pub fn dips(&self, d: &Disc) -> f64 {
        d.rise - self.slope[0] * d.x - self.slope[1] * d.y + d.radius * self.steep - self.lift
    }
}

/// On one seat: level, when the press point lies on its disc.
#[inline]
pub(super) fn on_one(a: &Disc) -> Option<Point> {
    (a.x * a.x + a.y * a.y <= a.radius * a.radius).then_some(Point {
        lift: a.rise,
        slope: [0.0, 0.0],
        steep: 0.0,
        seats: [a.seat; 3],
        weights: [1.0, 0.0, 0.0],
    })
}

/// On two seats: the press point lies under the weighted disc between them, as near the taller one as that goes.
#[inline]
pub(super) fn on_two(a: &Disc, b: &Disc) -> Option<Point> {
    let (a, b) = if a.rise >= b.rise { (a, b) } else { (b, a) };
    let (ux, uy, s) = (a.x - b.x, a.y - b.y, a.radius - b.radius);
    // |b + w·u|² = (r + w·s)², the greater root: there the offset begins to outgrow the radius.
    let square = ux * ux + uy * uy - s * s;
    let half = b.x * ux + b.y * uy - b.radius * s;
    let constant = b.x * b.x + b.y * b.y - b.radius * b.radius;
    let under = half * half - square * constant;
    if under < 0.0 {
        return None;
    }
    let root = under.sqrt();
    let w = if half > 0.0 {
        -constant / (half + root)
    } else if square > 0.0 {
        (root - half) / square
    } else {
        return None;
    };
    if !(0.0..=1.0).contains(&w) {
        return None;
    }
    if a.rise == b.rise {
        return Some(Point {
            lift: a.rise,
            slope: [0.0, 0.0],
            steep: 0.0,
            seats: [a.seat, b.seat, a.seat],
            weights: [w, 1.0 - w, 0.0],
        });
    }
    let reach = b.radius + w * s;
    let outgrows = root / reach;
    let steep = (a.rise - b.rise) / outgrows;
    if !steep.is_finite() {
        return None;
    }
    let along = steep / reach;
    Some(Point {
        lift: b.rise + w * (a.rise - b.rise),
        slope: [(b.x + w * ux) * along, (b.y + w * uy) * along],
        steep,
        seats: [a.seat, b.seat, a.seat],
        weights: [w, 1.0 - w, 0.0],
    })
}

/// On three seats: two planes of equal lift meet in a line, and that line meets the cone of slope and steepness.
#[inline]
pub(super) fn on_three(a: &Disc, b: &Disc, c: &Disc) -> Option<Point> {
    let (n, h) = ([a.x - c.x, a.y - c.y, c.radius - a.radius], a.rise - c.rise);
    let (m, k) = ([b.x - c.x, b.y - c.y, c.radius - b.radius], b.rise - c.rise);
    if h == 0.0 && k == 0.0 {
        return level([a, b, c]);
    }
    let along = cross(n, m);
    let size = along[0] * along[0] + along[1] * along[1] + along[2] * along[2];
    if size <= 0.0 {
        return None;
    }
    let (over, under) = (cross(m, along), cross(along, n));
    let point: [f64; 3] = std::array::from_fn(|i| (h * over[i] + k * under[i]) / size);
    let (square, half, constant) = (form(along, along), form(along, point), form(point, point));
    let root = half * half - square * constant;
    if root < 0.0 {
        return None;
    }
    let q = -(half + root.sqrt().copysign(half));
    let at = |t: f64| {
        let [x, y, steep] = std::array::from_fn(|i| point[i] + t * along[i]);
        if !(steep > 0.0 && steep.is_finite()) {
            return None;
        }
        let weights = weights([a, b, c], [x / steep, y / steep])?;
        let lift = weights[0] * a.rise + weights[1] * b.rise + weights[2] * c.rise;
        Some(Point { lift, slope: [x, y], steep, seats: [a.seat, b.seat, c.seat], weights })
    };
    at(q / square).or_else(|| at(constant / q))
}

/// Three seats equally high, the press point in their triangle.
fn level(of: [&Disc; 3]) -> Option<Point> {
    let weights = weights(of, [0.0, 0.0])?;
    Some(Point { lift: of[0].rise, slope: [0.0, 0.0], steep: 0.0, seats: of.map(|d| d.seat), weights })
}

/// The weights by which the press point lies among the points where the bridge touches; none when it does not.
#[inline]
fn weights(of: [&Disc; 3], way: [f64; 2]) -> Option<[f64; 3]> {
    let touch = of.map(|d| [d.x - d.radius * way[0], d.y - d.radius * way[1]]);
    let turn = |i: usize, j: usize| touch[i][0] * touch[j][1] - touch[i][1] * touch[j][0];
    let shares = [turn(1, 2), turn(2, 0), turn(0, 1)];
    let total = shares[0] + shares[1] + shares[2];
    let weights = shares.map(|s| s / total);
    // What rounding leaves below zero is no weight; anything more is another basis.
    weights.iter().all(|w| *w >= -1e-12).then(|| weights.map(|w| w.max(0.0)))
}

#[inline]
fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The form whose zeros are the cone: slope squared less steepness squared.
#[inline]
fn form(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] - a[2] * b[2]
}
