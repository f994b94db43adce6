//! What the tolerance of parts does to the worst gap of a bridge.
//!
//! The part that comes in and the one it replaces are two draws from one drawing, or from two: both lie anywhere within
//! their tolerances, evenly, for all anybody states. The bridge was made on the one and is to sit on the other, so a
//! seat moves by the difference of the two. Each draw is seated anew and its widest edge gap in the worse of the
//! one-screw tests is counted.
//! Drawn by SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, OOPSLA 2014) from a fixed
//! seed, so that the same question has the same answer on every machine.

use super::seating::{NoRest, Seat, one_screw_unproven};

/// The seed of every run.
pub const SEED: u64 = 0x5EA7;
/// How many draws a run has.
pub const DRAWS: u32 = 100_000;

/// A seat with what is not known about its height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loose {
    /// The seat as drawn.
    pub seat: Seat,
    /// How far the part that was there may have lain from its drawing, either way, mm; 0 where nothing is swapped.
    pub old: f64,
    /// The same of the part that comes in, mm.
    pub new: f64,
}

/// The outcome of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Scatter {
    /// How many draws.
    pub draws: u32,
    /// The share of draws whose worst gap is no wider than each limit, in the order of the limits.
    pub within: Vec<f64>,
    /// Half of the draws are no wider, mm.
    pub median: f64,
    /// Nineteen in twenty are no wider, mm.
    pub most: f64,
}

impl Scatter {
    /// The standard error that a share has from being drawn and not computed.
    pub fn error(&self, share: f64) -> f64 {
        (share * (1.0 - share) / f64::from(self.draws)).sqrt()
    }
}

/// Draws both parts of every seat and tests the bridge with the screws at `ends` (from 0), each alone.
pub fn scatter(loose: &[Loose], ends: [usize; 2], limits: &[f64], draws: u32) -> Result<Scatter, NoRest> {
    let seats: Vec<Seat> = loose.iter().map(|l| l.seat).collect();
    // The first test is made whole, with its proof: what is wrong with the seats is wrong with every draw.
    super::seating::one_screw(&seats, ends[0])?;
    let worst = match alone(loose) {
        Some(n) => one_seat(&seats, n, &loose[n], ends, draws)?,
        None => every_seat(seats, loose, ends, draws)?,
    };
    Ok(counted(worst, limits, draws))
}

/// What two draws do to the height of a restoration on one seat: how far it stands from where it stood, either way.
pub fn heights(loose: &Loose, limits: &[f64], draws: u32) -> Scatter {
    let mut random = SplitMix64(SEED);
    let worst = (0..draws).map(|_| loose.drawn(&mut random).abs()).collect();
    counted(worst, limits, draws)
}

impl Loose {
    /// Where one pair of pieces puts the seat.
    fn drawn(&self, random: &mut SplitMix64) -> f64 {
        self.seat.rise + self.new * random.even() - self.old * random.even()
    }
}

/// The one seat that differs from draw to draw, where every other stands as it stood.
fn alone(loose: &[Loose]) -> Option<usize> {
    let mut moving = loose.iter().enumerate().filter(|(_, l)| l.old > 0.0 || l.new > 0.0);
    let (n, _) = moving.next()?;
    let rest = |(i, l): (usize, &Loose)| i == n || l.seat.rise == 0.0;
    (moving.next().is_none() && loose.iter().enumerate().all(rest)).then_some(n)
}

/// A single seat that moves twice as far opens twice the gap, all else being where it was: so two tests, one with the
/// seat too high and one with it too low, tell every draw.
fn one_seat(
    seats: &[Seat],
    n: usize,
    loose: &Loose,
    ends: [usize; 2],
    draws: u32,
) -> Result<Vec<f64>, NoRest> {
    let mut seats = seats.to_vec();
    let mut per_mm = |rise: f64| {
        seats[n].rise = rise;
        widest(&seats, ends)
    };
    let (high, low) = (per_mm(1.0)?, per_mm(-1.0)?);
    let mut random = SplitMix64(SEED);
    let gap = |rise: f64| if rise > 0.0 { rise * high } else { -rise * low };
    Ok((0..draws).map(|_| gap(loose.drawn(&mut random))).collect())
}

fn every_seat(
    mut seats: Vec<Seat>,
    loose: &[Loose],
    ends: [usize; 2],
    draws: u32,
) -> Result<Vec<f64>, NoRest> {
    let mut random = SplitMix64(SEED);
    let mut worst = Vec::with_capacity(draws as usize);
    for _ in 0..draws {
        for (seat, l) in seats.iter_mut().zip(loose) {
            if l.old > 0.0 || l.new > 0.0 {
                seat.rise = l.drawn(&mut random);
            }
        }
        worst.push(widest(&seats, ends)?);
    }
    Ok(worst)
}

fn counted(mut worst: Vec<f64>, limits: &[f64], draws: u32) -> Scatter {
    let share = |limit: &f64| worst.iter().filter(|w| **w <= *limit).count() as f64 / f64::from(draws.max(1));
    let within = limits.iter().map(share).collect();
    let mut at = |share: f64| {
        let n = ((f64::from(draws) * share) as usize).min(worst.len().saturating_sub(1));
        worst.select_nth_unstable_by(n, f64::total_cmp).1.to_owned()
    };
    let (median, most) = (at(0.5), at(0.95));
    Scatter { draws, within, median, most }
}

/// The widest edge gap in the worse of the two one-screw tests.
fn widest(seats: &[Seat], ends: [usize; 2]) -> Result<f64, NoRest> {
    let mut worst = 0.0_f64;
    for end in ends {
        let rest = one_screw_unproven(seats, end)?;
        let edge = rest.steepness();
        for seat in seats {
            worst = worst.max(rest.over(seat.at) - seat.rise + edge * seat.radius);
        }
    }
    Ok(worst)
}

/// SplitMix64.
struct SplitMix64(u64);

impl SplitMix64 {
    #[inline]
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly between −1 and 1.
    #[inline]
    fn even(&mut self) -> f64 {
        // 53 bits fill the fraction of an f64.
        (self.next() >> 11) as f64 * (2.0 / 9_007_199_254_740_992.0) - 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loose(x: f64, tolerance: f64) -> Loose {
        Loose { seat: Seat { at: [x, 0.0], rise: 0.0, radius: 2.4 }, old: tolerance, new: tolerance }
    }

    /// Published test vector of the generator: seed 1234567 (Vigna's reference code, from memory).
    #[test]
    fn the_generator_is_the_published_one() {
        let mut random = SplitMix64(1_234_567);
        assert_eq!(random.next(), 6_457_827_717_110_365_317);
        assert_eq!(random.next(), 3_203_168_211_198_807_973);
    }

    /// One loose seat in the middle: the gaps grow with its height, so the shares are those of a triangle [X].
    ///
    /// Sites at 0, 10, 20 mm: a middle seat that is too tall by d gapes 2.48·d at the far end of the one-screw test; one
    /// that is too low by d gapes d. The difference of two even draws within ±t is below a fraction s of 2t with
    /// probability 1 − (1 − s)²/2 on either side.
    #[test]
    fn the_shares_are_those_of_the_triangle_they_are_drawn_from() {
        let t = 0.01;
        let all = [loose(0.0, 0.0), loose(10.0, t), loose(20.0, 0.0)];
        let found = scatter(&all, [0, 2], &[0.030, 0.0496, 1.0], DRAWS).unwrap();
        let below = |s: f64| 1.0 - (1.0 - s.clamp(0.0, 1.0)).powi(2);
        let expected = |limit: f64| 0.5 * below(limit / 2.48 / (2.0 * t)) + 0.5 * below(limit / (2.0 * t));
        for (limit, share) in [0.030, 0.0496, 1.0].into_iter().zip(&found.within) {
            let error = found.error(expected(limit)).max(1e-9);
            assert!((share - expected(limit)).abs() < 4.0 * error, "{limit}: {share} {}", expected(limit));
        }
        assert!(found.median < found.most && found.most <= 0.0496);
    }

    /// The short way for one moving seat and the long way, draw by draw, over arrangements in line and in an arch.
    #[test]
    fn one_moving_seat_is_drawn_as_every_seat_is() {
        let at =
            |x: f64, y: f64| Loose { seat: Seat { at: [x, y], rise: 0.0, radius: 2.4 }, old: 0.0, new: 0.0 };
        let line = vec![at(0.0, 0.0), at(7.0, 0.0), at(20.0, 0.0)];
        let arch = vec![at(-18.0, 0.0), at(-9.0, 14.0), at(3.0, 17.0), at(12.0, 11.0), at(19.0, -1.0)];
        for mut all in [line, arch] {
            for n in 0..all.len() {
                for (rise, old, new) in [(0.0, 0.01, 0.01), (0.009, 0.01, 0.01), (-0.02, 0.5, 0.01)] {
                    all[n] = Loose { seat: Seat { rise, ..all[n].seat }, old, new };
                    let (seats, ends) = (all.iter().map(|l| l.seat).collect::<Vec<_>>(), [0, all.len() - 1]);
                    assert_eq!(alone(&all), Some(n));
                    let short = one_seat(&seats, n, &all[n], ends, 500).unwrap();
                    let long = every_seat(seats, &all, ends, 500).unwrap();
                    for (a, b) in short.iter().zip(&long) {
                        assert!((a - b).abs() < 1e-9, "{n}: {a} {b}");
                    }
                    all[n] = Loose { seat: Seat { rise: 0.0, ..all[n].seat }, old: 0.0, new: 0.0 };
                }
            }
            let twice = [Loose { old: 0.01, ..all[0] }, Loose { new: 0.01, ..all[1] }];
            assert_eq!(alone(&twice), None, "two seats move");
            let beside =
                [Loose { old: 0.01, ..all[0] }, Loose { seat: Seat { rise: 0.1, ..all[1].seat }, ..all[1] }];
            assert_eq!(alone(&beside), None, "another stands elsewhere already");
        }
    }

    /// The difference of two even draws within ±t: its size is below s·2t with probability 1 − (1 − s)² [X].
    #[test]
    fn the_height_over_one_seat_is_drawn_from_the_triangle() {
        let found = heights(&loose(0.0, 0.5), &[0.03, 0.5, 1.0], DRAWS);
        for (limit, share) in [0.03_f64, 0.5, 1.0].into_iter().zip(&found.within) {
            let expected = 1.0 - (1.0 - limit).powi(2);
            let error = found.error(expected).max(1e-9);
            assert!((share - expected).abs() < 4.0 * error, "{limit}: {share} {expected}");
        }
        assert!((found.median - (1.0 - 0.5_f64.sqrt())).abs() < 0.01, "{}", found.median);
    }

    #[test]
    fn nothing_loose_scatters_nothing_and_the_same_run_gives_the_same_numbers() {
        let still = scatter(&[loose(0.0, 0.0), loose(10.0, 0.0)], [0, 1], &[0.0], 10).unwrap();
        assert_eq!((still.within, still.most), (vec![1.0], 0.0));
        let run = || scatter(&[loose(0.0, 0.01), loose(10.0, 0.02)], [0, 1], &[0.02], 1000).unwrap();
        assert_eq!(run(), run());
    }
}
