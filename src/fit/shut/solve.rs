//! Assembling the grillage and solving it: stiffness, the motions that cost nothing, the balance that must come out.
//!
//! Everything is worked with in the frame's own measures, so that the numbers are near one whatever the units: lengths
//! by the mean beam, stiffness by EI over its cube. A node's unknowns are its lift and its rotations about x and y
//! times the mean beam.

use nalgebra::{DMatrix, DVector, Matrix3xX, SMatrix, SVector};

use super::{Effort, Frame, Hold, ShutError};

/// Unknowns of a node: lift, rotation about x, rotation about y.
const EACH: usize = 3;

/// Sum and moments of all forces, and what is left at free unknowns, by the largest effort: what rounding may leave.
/// Forces of a frame as met are good to 1e-12; nothing is shown finer than this.
const BALANCE: f64 = 1e-6;

/// Pins off their line by less than this part of the mean beam stand in line: a tenth of a micron over 10 mm. Nearer
/// than that the tilt that takes the rise up would be beyond any sense, and its rounding would show as a force.
const IN_LINE: f64 = 1e-5;

/// The efforts with these holds; the frame has been checked.
pub fn efforts(frame: &Frame, holds: &[Hold]) -> Result<Vec<Effort>, ShutError> {
    let nodes = &frame.nodes;
    let n = nodes.len();
    if n == 1 {
        // No beam, so nothing can resist.
        return Ok(vec![Effort::default()]);
    }
    let (measure, bending) = measures(frame)?;
    let at: Vec<(f64, f64)> = {
        // From the first node, so that far-away coordinates cost no digits.
        let (x, y) = (nodes[0].x_mm, nodes[0].y_mm);
        nodes.iter().map(|p| ((p.x_mm - x) / measure, (p.y_mm - y) / measure)).collect()
    };
    let stiffness = assembled(&at, twist_to_bend(frame));
    let imposed = |k: usize| {
        holds[k / EACH] == Hold::Flush || (holds[k / EACH] == Hold::Pinned && k.is_multiple_of(EACH))
    };
    let (held, open): (Vec<usize>, Vec<usize>) = (0..EACH * n).partition(|k| imposed(*k));
    // Unit of lift: the largest rise, so that neither a micron nor a metre leaves the range of numbers.
    let rise = |k: usize| if k.is_multiple_of(EACH) { nodes[k / EACH].rise_um } else { 0.0 };
    let largest = held.iter().map(|k| rise(*k).abs()).fold(0.0, f64::max);
    if largest == 0.0 {
        return Ok(vec![Effort::default(); n]);
    }
    let mut shape = DVector::zeros(EACH * n);
    held.iter().for_each(|k| shape[*k] = rise(*k) / largest);
    if !open.is_empty() {
        settle(&stiffness, &at, &held, &open, &mut shape)?;
    }
    let forces = &stiffness * &shape;
    balanced(&forces, &at, &open)?;
    let force_unit = bending / measure.powi(3) * (largest / 1000.0);
    let effort = |k: usize| Effort {
        force_n: if holds[k] == Hold::Free { 0.0 } else { -forces[EACH * k] * force_unit + 0.0 },
        moment_x_nmm: if holds[k] == Hold::Flush {
            forces[EACH * k + 1] * force_unit * measure + 0.0
        } else {
            0.0
        },
        moment_y_nmm: if holds[k] == Hold::Flush {
            forces[EACH * k + 2] * force_unit * measure + 0.0
        } else {
            0.0
        },
    };
    let found: Vec<Effort> = (0..n).map(effort).collect();
    let whole = found.iter().all(|e| e.force_n.is_finite() && e.moment_nmm().is_finite());
    if whole { Ok(found) } else { Err(ShutError::TooFarApart) }
}

/// The mean beam in mm, and EI in N·mm².
fn measures(frame: &Frame) -> Result<(f64, f64), ShutError> {
    let lengths = frame.nodes.windows(2).map(|w| (w[1].x_mm - w[0].x_mm).hypot(w[1].y_mm - w[0].y_mm));
    let measure = lengths.sum::<f64>() / (frame.nodes.len() - 1) as f64;
    // GPa to N/mm².
    let bending = frame.modulus_gpa * 1000.0 * frame.section.second_moment_mm4();
    let usable = |v: f64| v.is_finite() && v > 0.0;
    let all = usable(measure) && usable(bending) && usable(measure.powi(3)) && usable(twist_to_bend(frame));
    if all { Ok((measure, bending)) } else { Err(ShutError::TooFarApart) }
}

/// GJ over EI, with G = E/(2·(1 + ν)).
fn twist_to_bend(frame: &Frame) -> f64 {
    let section = &frame.section;
    section.torsion_constant_mm4() / (2.0 * (1.0 + frame.poisson)) / section.second_moment_mm4()
}

/// The whole stiffness, in the frame's own measures.
fn assembled(at: &[(f64, f64)], twist: f64) -> DMatrix<f64> {
    let mut whole = DMatrix::zeros(EACH * at.len(), EACH * at.len());
    for (k, ends) in at.windows(2).enumerate() {
        let beam = beam(ends[0], ends[1], twist);
        let mut block = whole.view_mut((EACH * k, EACH * k), (2 * EACH, 2 * EACH));
        block += beam;
    }
    whole
}

/// Stiffness of one beam with EI = 1: bending in its own upright plane, twist about its own axis.
///
/// As a sum of squares over its ways of bending, which stays exact in its zeros: the end slopes beyond the chord
/// (energy 2·(s1² + s1·s2 + s2²)/ℓ) and the twist (½·twist·(t2 − t1)²/ℓ).
fn beam(from: (f64, f64), to: (f64, f64), twist: f64) -> SMatrix<f64, 6, 6> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    let (c, s) = (dx / length, dy / length);
    // The slope along the beam at an end is s·φx − c·φy; the chord's is the difference of lifts over the length.
    let chord = 1.0 / length;
    let first = SVector::<f64, 6>::from([chord, s, -c, -chord, 0.0, 0.0]);
    let second = SVector::<f64, 6>::from([chord, 0.0, 0.0, -chord, s, -c]);
    let turn = SVector::<f64, 6>::from([0.0, -c, -s, 0.0, c, s]);
    let cross = first * second.transpose();
    (first * first.transpose() + second * second.transpose()) * (4.0 / length)
        + (cross + cross.transpose()) * (2.0 / length)
        + turn * turn.transpose() * (twist / length)
}

/// Finds the open unknowns of least energy for the imposed ones.
fn settle(
    stiffness: &DMatrix<f64>,
    at: &[(f64, f64)],
    held: &[usize],
    open: &[usize],
    shape: &mut DVector<f64>,
) -> Result<(), ShutError> {
    let inner = stiffness.select_rows(open).select_columns(open);
    let load = -(stiffness.select_rows(open) * &*shape);
    // A rigid motion that the holds allow costs nothing: a stiffness along it makes the matrix definite and, since
    // the load has no part along it, changes no force.
    let idle = idle_motions(at, held);
    let idle = idle.select_rows(open);
    let definite = inner + &idle * idle.transpose() * stiffness.diagonal().max();
    let solved = definite.cholesky().ok_or(ShutError::TooFarApart)?.solve(&load);
    open.iter().zip(solved.iter()).for_each(|(k, value)| shape[*k] = *value);
    Ok(())
}

/// The rigid motions that move nothing imposed, as orthonormal columns over all unknowns.
fn idle_motions(at: &[(f64, f64)], held: &[usize]) -> DMatrix<f64> {
    // Lift a + b·x + c·y goes with φx = c and φy = −b.
    let rows = |k: usize| match (k % EACH, at[k / EACH]) {
        (0, (x, y)) => [1.0, x, y],
        (1, _) => [0.0, 0.0, 1.0],
        _ => [0.0, -1.0, 0.0],
    };
    let allowed = allowed(&held.iter().map(|k| rows(*k)).collect::<Vec<_>>());
    let all: Vec<[f64; 3]> = (0..EACH * at.len()).map(rows).collect();
    let motions =
        DMatrix::from_fn(all.len(), allowed.len(), |k, m| (0..3).map(|j| all[k][j] * allowed[m][j]).sum());
    if motions.ncols() == 0 { motions } else { motions.qr().q() }
}

/// A basis of the (a, b, c) that every row sends to nothing.
fn allowed(rows: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let taken = Matrix3xX::from_columns(&rows.iter().map(|r| SVector::from(*r)).collect::<Vec<_>>());
    // Over the sum of squares the eigenvalues are the squares of the distances; it is 3 × 3.
    let squares = &taken * taken.transpose();
    let eigen = squares.symmetric_eigen();
    let largest = eigen.eigenvalues.max();
    let idle = |value: f64| value <= IN_LINE * IN_LINE * largest;
    let columns = (0..3).filter(|k| idle(eigen.eigenvalues[*k]));
    columns.map(|k| std::array::from_fn(|j| eigen.eigenvectors[(j, k)])).collect()
}

/// Refuses forces that are rounding: those at open unknowns are nothing, and all of them balance.
fn balanced(forces: &DVector<f64>, at: &[(f64, f64)], open: &[usize]) -> Result<(), ShutError> {
    // A force that bends the mean beam by the largest rise is the measure where nothing resists.
    let scale = forces.amax().max(1.0);
    let left = open.iter().map(|k| forces[*k].abs()).fold(0.0, f64::max);
    let (mut sum, mut about_x, mut about_y) = (0.0, 0.0, 0.0);
    for (k, (x, y)) in at.iter().enumerate() {
        let force = forces[EACH * k];
        sum += force;
        about_x += forces[EACH * k + 1] + y * force;
        about_y += forces[EACH * k + 2] - x * force;
    }
    // No number is never below its limit, so it is refused too.
    let balances = [left, sum, about_x, about_y].iter().all(|off: &f64| off.abs() <= BALANCE * scale);
    if balances { Ok(()) } else { Err(ShutError::TooFarApart) }
}
