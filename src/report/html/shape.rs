//! A part as a drawing needs it: what is known of it, and where that lies seen from the side and along the implant.

use crate::catalog::{Part, Side, Value};
use crate::units::Length;

/// Points of a ring: closer than any printer shows a corner.
const ROUND: usize = 48;
/// How high and how wide a part is drawn whose height or width nobody has, mm: always dashed, always with words.
pub(super) const STAND_IN: f64 = 4.0;

/// What is known of a part, mm and radians.
pub(super) struct Shape {
    pub height: Option<f64>,
    pub neck: Option<f64>,
    pub widest: Option<f64>,
    pub ring: Option<f64>,
    pub offset: Option<f64>,
    pub angle: Option<f64>,
}

impl Shape {
    pub(super) fn of(part: &Part) -> Self {
        let mm = |v: &Value<Length>| v.known().map(|l| l.number());
        // What does not apply to a part is nothing it could have: no angle, no offset.
        let offset = if part.offset.is_unknown() { None } else { Some(mm(&part.offset).unwrap_or(0.0)) };
        let angle = part.angle.known().map_or(0.0, |a| a.number().to_radians());
        Self {
            height: mm(&part.seat_height),
            neck: mm(&part.neck),
            widest: mm(&part.widest),
            ring: part.seat(Side::Above).and_then(|s| mm(&s.outer)),
            offset,
            angle: (!part.angle.is_unknown()).then_some(angle),
        }
    }

    /// Whether it leans, or may: a number for that is missing.
    pub(super) fn leans(&self) -> bool {
        self.offset != Some(0.0) || self.angle != Some(0.0)
    }

    /// What of it stands in for a number nobody has.
    pub(super) fn missing(&self) -> Vec<&'static str> {
        let all = [
            ("seat height", self.height),
            ("neck", self.neck),
            ("seat ring", self.ring),
            ("offset", self.offset),
            ("angle", self.angle),
        ];
        all.into_iter().filter(|(_, v)| v.is_none()).map(|(what, _)| what).collect()
    }

    /// Half the width it is drawn with at the platform.
    pub(super) fn foot(&self) -> f64 {
        self.neck.unwrap_or(STAND_IN) / 2.0
    }

    pub(super) fn tall(&self) -> f64 {
        self.height.unwrap_or(STAND_IN)
    }

    /// The upper seat's ring in space when the part leans `turn` radians out of the first direction; none where one of
    /// its numbers is not known.
    pub(super) fn rim(&self, turn: f64) -> Option<Vec<[f64; 3]>> {
        let (height, radius) = (self.height?, self.ring? / 2.0);
        let (offset, angle) = (self.offset?, self.angle?);
        let ((s, c), (sin, cos)) = (turn.sin_cos(), angle.sin_cos());
        let point = |n: usize| {
            let (v, u) = (std::f64::consts::TAU * n as f64 / ROUND as f64).sin_cos();
            let (u, v, along) = (radius * u, radius * v, -radius * u * sin);
            [(offset + u * cos) * c - v * s, (offset + u * cos) * s + v * c, height + along]
        };
        Some((0..ROUND).map(point).collect())
    }

    /// The same seen from the side.
    pub(super) fn profile(&self, turn: f64) -> Option<Vec<[f64; 2]>> {
        Some(self.rim(turn)?.into_iter().map(|[x, _, up]| [x, up]).collect())
    }

    /// How far it reaches to the left, to the right and up, seen from the side.
    pub(super) fn extent(&self, turn: f64) -> [f64; 3] {
        let half = [self.foot(), self.upright().unwrap_or(0.0)].into_iter().fold(0.0, f64::max);
        let ring = self.profile(turn).unwrap_or_default();
        ring.into_iter()
            .fold([-half, half, self.tall()], |[l, r, up], [x, z]| [l.min(x), r.max(x), up.max(z)])
    }

    /// Half its widest, where that is more than neck and ring show and its axis is straight.
    pub(super) fn upright(&self) -> Option<f64> {
        let shown = self.neck.unwrap_or(0.0).max(self.ring.unwrap_or(0.0));
        self.widest.filter(|w| !self.leans() && *w > shown + 0.05).map(|w| w / 2.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn angled() -> Shape {
        Shape {
            height: Some(4.7),
            neck: Some(4.2),
            widest: Some(5.2),
            ring: Some(4.8),
            offset: Some(1.5),
            angle: Some(30_f64.to_radians()),
        }
    }

    /// Geometry by hand, [X]: every point is 2.4 mm from the middle, across an axis 30° off the implant's; in the plane
    /// of the lean the rim runs from 4.7 + 1.2 to 4.7 − 1.2 mm.
    #[test]
    fn the_ring_of_a_leaning_part() {
        for turn in [0.0, 1.0, std::f64::consts::FRAC_PI_2] {
            let middle = [1.5 * turn.cos(), 1.5 * turn.sin(), 4.7];
            let axis = [0.5 * turn.cos(), 0.5 * turn.sin(), 0.75_f64.sqrt()];
            for p in angled().rim(turn).unwrap() {
                let from: [f64; 3] = std::array::from_fn(|i| p[i] - middle[i]);
                let dot = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
                assert!((dot(from, from).sqrt() - 2.4).abs() < 1e-12 && dot(from, axis).abs() < 1e-12);
            }
        }
        let [left, right, up] = angled().extent(0.0);
        let out = 2.4 * 0.75_f64.sqrt();
        assert!((left + 2.1).abs() < 1e-12 && (right - (1.5 + out)).abs() < 1e-12, "{left} {right}");
        assert!((up - 5.9).abs() < 1e-12, "{up}");
    }

    #[test]
    fn nothing_is_drawn_from_a_number_nobody_has() {
        let part = Shape { ring: None, ..angled() };
        assert!(part.rim(0.0).is_none() && part.profile(0.0).is_none());
        assert_eq!(part.missing(), ["seat ring"]);
        let part = Shape { offset: None, height: None, ..angled() };
        assert!(part.rim(0.0).is_none());
        assert_eq!(part.missing(), ["seat height", "offset"]);
        assert!(part.leans() && !Shape { offset: Some(0.0), angle: Some(0.0), ..angled() }.leans());
    }
}
