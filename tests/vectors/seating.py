"""Writes seating.json: rigid bridges at rest on discs, solved by a general-purpose conic solver and proven in 40 digits.

    pip install clarabel==0.11.1 numpy scipy mpmath gmpy2 && python3 -B seating.py > seating.json

README.md in this folder says what the keys mean and how good the numbers are. Nothing here is shared with the Rust code.
"""

import itertools
import json
import math
import random
import sys

import clarabel
import mpmath as mp
import numpy as np
from scipy import sparse

from bridges import make, make_tie

SEED = 20261125
mp.mp.dps = 40
# A lift is proven when its two bounds, one from the slope and one from the weights, are no further apart, mm.
PROVEN = mp.mpf("1e-20")
# Rises and press point are moved by so much, mm; gaps that then move by more than SHAKEN, mm, belong to a tie.
SHAKE = mp.mpf("1e-12")
SHAKEN = mp.mpf("1e-7")
SHAKES = 3
# Level is proven when the tallest seats miss the press point by no more, mm (rounding of an exact tie).
FLAT = mp.mpf("1e-30")


# ---- the conic solver ----


def socp(cost, rows, rhs, linear):
    """min cost·x over `linear` rows of rows·x ≤ rhs and |(x1, x2)| ≤ x3, with its status."""
    cone = [[0, 0, 0, -1], [0, -1, 0, 0], [0, 0, -1, 0]]
    a = sparse.csc_matrix(np.array(rows + cone, dtype=float))
    b = np.array(rhs + [0, 0, 0], dtype=float)
    s = clarabel.DefaultSettings()
    s.verbose = False
    s.tol_gap_abs = s.tol_gap_rel = s.tol_feas = 1e-13
    s.max_iter = 200
    cones = [clarabel.NonnegativeConeT(linear), clarabel.SecondOrderConeT(3)]
    return clarabel.DefaultSolver(sparse.csc_matrix((4, 4)), np.array(cost, dtype=float), a, b, cones, s).solve()


def scaled(seats, q):
    """Discs seen from q over the largest length, rises under the tallest over their spread."""
    top = max(s[2] for s in seats)
    spread = top - min(s[2] for s in seats) or mp.mpf(1)
    size = max(mp.hypot(s[0] - q[0], s[1] - q[1]) + s[3] for s in seats)
    rows = [[(s[0] - q[0]) / size, (s[1] - q[1]) / size, (s[2] - top) / spread, s[3] / size] for s in seats]
    return [[float(v) for v in row] for row in rows], top, spread, size


def conic(seats, q):
    """Lift (mm), slope, weights as the solver gives them; None where it finds the problem without a bound."""
    rows, top, spread, size = scaled(seats, q)
    a = [[-1, -x, -y, r] for x, y, _, r in rows]
    found = socp([1, 0, 0, 0], a, [-h for _, _, h, _ in rows], len(rows))
    if found.status in (clarabel.SolverStatus.DualInfeasible, clarabel.SolverStatus.AlmostDualInfeasible):
        return None
    t, gx, gy, _ = found.x
    weights = [max(0.0, w) for w in found.z[: len(rows)]]
    slack = [t - (h - gx * x - gy * y + r * math.hypot(gx, gy)) for x, y, h, r in rows]
    return top + spread * mp.mpf(t), (gx * float(spread / size), gy * float(spread / size)), weights, slack


def conic_least(seats, q, lift):
    """The least slope by a second program: min |g| with the lift held (let go by 1e-10 of the spread)."""
    rows, top, spread, size = scaled(seats, q)
    t = float((lift - top) / spread) + 1e-10
    a = [[0, -x, -y, r] for x, y, _, r in rows]
    found = socp([0, 0, 0, 1], a, [t - h for _, _, h, _ in rows], len(rows))
    return found.x[3] * float(spread / size)


def outside(seats, q):
    """How far q lies outside the hull of the discs, mm (below zero: inside), by the bound that proves it.

    The largest m with e·(p − q) − r ≥ m for one unit vector e: found on a fine ring of directions, then refined.
    """
    d = [(float(s[0] - q[0]), float(s[1] - q[1]), float(s[3])) for s in seats]

    def m(a):
        return min(x * math.cos(a) + y * math.sin(a) - r for x, y, r in d)

    best = max((2 * math.pi * k / 7200 for k in range(7200)), key=m)
    step = 2 * math.pi / 7200
    for _ in range(60):
        best = max((best - step, best, best + step), key=m)
        step /= 2
    return m(best)


# ---- the proof, 40 digits ----


def height(g, s, q, steep):
    return s[2] - g[0] * (s[0] - q[0]) - g[1] * (s[1] - q[1]) + s[3] * steep


def bounds(seats, q, g, weights):
    """(lower, upper) of the lift: any slope bounds it from above, any balanced weights from below."""
    steep = mp.hypot(*g)
    upper = max(height(g, s, q, steep) for s in seats)
    # A weight below zero by rounding alone is none: the rest must then balance without it.
    if min(weights.values()) < -mp.mpf("1e-30"):
        return mp.ninf, upper
    w = {n: max(v, mp.mpf(0)) for n, v in weights.items()}
    total = mp.fsum(w.values())
    w = {n: v / total for n, v in w.items()}
    x = mp.fsum(v * (seats[n][0] - q[0]) for n, v in w.items())
    y = mp.fsum(v * (seats[n][1] - q[1]) for n, v in w.items())
    missed = max(mp.mpf(0), mp.hypot(x, y) - mp.fsum(v * seats[n][3] for n, v in w.items()))
    # f(h) ≥ Σwδ − missed·|h| for every h; the best h is as steep as g to far more digits than missed has zeros.
    return mp.fsum(v * seats[n][2] for n, v in w.items()) - missed * (1 + 2 * steep), upper


def cramer2(m, a, b):
    det = m[0][0] * m[1][1] - m[0][1] * m[1][0]
    return (a * m[1][1] - b * m[0][1]) / det, (m[0][0] * b - m[1][0] * a) / det


def newton(seats, q, near, g):
    """Slope and weights on the seats `near` (two or three) from a start g."""
    k = len(near)
    d = [(seats[n][0] - q[0], seats[n][1] - q[1], seats[n][2], seats[n][3]) for n in near]
    gx, gy = mp.mpf(g[0]), mp.mpf(g[1])
    w = mp.mpf(1) / 2
    for _ in range(25):
        s = mp.hypot(gx, gy)
        ex, ey = gx / s, gy / s
        h = [c - gx * a - gy * b + r * s for a, b, c, r in d]
        slope = [(-a + r * ex, -b + r * ey) for a, b, _, r in d]
        if k == 3:
            m = [[slope[0][0] - slope[i][0], slope[0][1] - slope[i][1]] for i in (1, 2)]
            step = cramer2(m, h[1] - h[0], h[2] - h[0])
        else:
            # Equal heights, and the weighted slopes cancel: unknown g and the weight of the first.
            dx, dy = slope[0][0] - slope[1][0], slope[0][1] - slope[1][1]
            r = (w * d[0][3] + (1 - w) * d[1][3]) / s
            rx = w * slope[0][0] + (1 - w) * slope[1][0]
            ry = w * slope[0][1] + (1 - w) * slope[1][1]
            # The weight eliminated: what is left across (dx, dy) of the weighted slopes must cancel.
            bxx, bxy, byy = r * (1 - ex * ex), -r * ex * ey, r * (1 - ey * ey)
            m = [[dx, dy], [bxx * dy - bxy * dx, bxy * dy - byy * dx]]
            step = cramer2(m, h[1] - h[0], -rx * dy + ry * dx)
            left = (-rx - bxx * step[0] - bxy * step[1], -ry - bxy * step[0] - byy * step[1])
            w += (left[0] * dx + left[1] * dy) / (dx * dx + dy * dy)
        gx, gy = gx + step[0], gy + step[1]
        if abs(step[0]) + abs(step[1]) <= mp.mpf("1e-34") * (abs(gx) + abs(gy)):
            break
    if k == 2:
        return (gx, gy), {near[0]: w, near[1]: 1 - w}
    s = mp.hypot(gx, gy)
    v = [(-a + r * gx / s, -b + r * gy / s) for a, b, _, r in d]
    cross = [v[i][0] * v[j][1] - v[i][1] * v[j][0] for i, j in ((1, 2), (2, 0), (0, 1))]
    total = mp.fsum(cross)
    return (gx, gy), {n: c / total for n, c in zip(near, cross)}


def flat(seats, q):
    """How far the tallest seats miss the press point, mm; not above zero: they hold the bridge level."""
    top = max(s[2] for s in seats)
    exact_d = [(s[0] - q[0], s[1] - q[1], s[3]) for s in seats if s[2] == top]
    rough_d = [tuple(map(float, d)) for d in exact_d]

    def missed(d, w):
        x, y, r = (sum(v * d[n][k] for n, v in w.items()) for k in range(3))
        return mp.hypot(x, y) - r if isinstance(x, mp.mpf) else math.hypot(x, y) - r

    def between(d, a, b, lo, hi, cuts):
        for _ in range(cuts):
            third = (hi - lo) / 3
            low = missed(d, {a: lo + third, b: 1 - lo - third}) < missed(d, {a: hi - third, b: 1 - hi + third})
            lo, hi = (lo, hi - third) if low else (lo + third, hi)
        return {a: (lo + hi) / 2, b: 1 - (lo + hi) / 2}

    best = min(missed(exact_d, {n: mp.mpf(1)}) for n in range(len(exact_d)))
    for a, b in itertools.combinations(range(len(exact_d)), 2):
        if best <= 0:
            return best
        w = between(rough_d, a, b, 0.0, 1.0, 60)
        near = missed(exact_d, {n: mp.mpf(v) for n, v in w.items()})
        if 0 < near < 1e-6:
            near = missed(exact_d, between(exact_d, a, b, mp.mpf(0), mp.mpf(1), 200))
        best = min(best, near)
    for a, b, c in itertools.combinations(exact_d, 3):
        if best <= 0:
            return best
        cross = [b[0] * c[1] - b[1] * c[0], c[0] * a[1] - c[1] * a[0], a[0] * b[1] - a[1] * b[0]]
        # The press point lies in the triangle: the middles alone hold it.
        if sum(cross) and (min(cross) >= 0 or max(cross) <= 0):
            best = mp.mpf(0)
    return best


def proven(seats, q, start, sets):
    """(lift, slope, how far apart the bounds are, the carrying seats), the first that is proven; None when none is."""
    if flat(seats, q) <= FLAT:
        return max(s[2] for s in seats), (mp.mpf(0), mp.mpf(0)), mp.mpf(0), ()
    for some in sets:
        # Without a start the solver is asked about these seats alone, on their own scale.
        own = None if start else conic([seats[n] for n in some], q)
        if not start and own is None:
            continue
        try:
            g, w = newton(seats, q, some, start or own[1])
        except ZeroDivisionError:
            continue
        lower, upper = bounds(seats, q, g, w)
        if abs(upper - lower) <= PROVEN:
            return upper, g, abs(upper - lower), some
    return None


def pairs_and_threes(near):
    return [c for k in (2, 3) for c in itertools.combinations(near, k)]


def least_on_ray(seats, q, lift, g):
    """The best slopes lie on one ray from level (|g| is strictly convex across rays): the least of them."""
    steep = mp.hypot(*g)
    if steep == 0:
        return g
    e = (g[0] / steep, g[1] / steep)
    need = mp.mpf(0)
    for s in seats:
        clears = e[0] * (s[0] - q[0]) + e[1] * (s[1] - q[1]) - s[3]
        if clears > mp.mpf("1e-30"):
            need = max(need, (s[2] - lift) / clears)
    least = min(need, steep)
    return (e[0] * least, e[1] * least)


def gaps(seats, q, lift, g):
    steep = mp.hypot(*g)
    centre = [lift + g[0] * (s[0] - q[0]) + g[1] * (s[1] - q[1]) - s[2] for s in seats]
    return centre, [c + s[3] * steep for c, s in zip(centre, seats)]


# ---- the cases, exactly as their decimals stand in the file ----


def make_tips(rng):
    while True:
        case = make(rng)
        case.pop("tighten", None)
        n, turn = rng.randrange(len(case["seats"])), rng.uniform(0, 2 * math.pi)
        x, y, _, r = case["seats"][n]
        far = r + 10 ** rng.uniform(-2, 1.3)
        case["press"] = [round(x + far * math.cos(turn), 3), round(y + far * math.sin(turn), 3)]
        seats, q = exact(case)
        case["outside"] = outside(seats, q)
        if case["outside"] > 0.002:
            return case


def exact(case):
    """Seats and press point in mm, from the decimals of the file."""
    text = [[mp.mpf(repr(v)) for v in s] for s in case["seats"]]
    seats = [(x, y, up / 1000, r) for x, y, up, r in text]
    if "tighten" in case:
        return seats, seats[case["tighten"]][:2]
    if "press" in case:
        return seats, tuple(mp.mpf(repr(v)) for v in case["press"])
    n = len(seats)
    return seats, (mp.fsum(s[0] for s in seats) / n, mp.fsum(s[1] for s in seats) / n)


def um(mm, digits):
    text = float(mp.nstr(mm * 1000, 25))
    return round(text, digits) + 0.0


def solve(rng, case, told):
    seats, q = exact(case)
    found = conic(seats, q)
    assert found is not None, case
    lift, g, weights, slack = found
    near = [n for n in range(len(seats)) if slack[n] < 1e-4 or weights[n] > 1e-4]
    near.sort(key=lambda n: -weights[n])
    sets = pairs_and_threes(near)
    best = proven(seats, q, g, sets) or proven(seats, q, g, pairs_and_threes(range(len(seats))))
    assert best is not None, case
    told["apart"] = max(told["apart"], abs(best[2]))
    told["conic"].append(float(abs(lift - best[0]) * 1000))
    slope, tie = best[1], False
    centre, widest = gaps(seats, q, best[0], slope)
    for _ in range(SHAKES):
        shaken = [(s[0], s[1], s[2] + rng.choice([-1, 1]) * SHAKE, s[3]) for s in seats]
        aside = (q[0] + rng.choice([-1, 1]) * SHAKE, q[1] + rng.choice([-1, 1]) * SHAKE)
        start = slope if best[3] else g
        other = proven(shaken, aside, start, [best[3]] * (len(best[3]) > 0) + sets)
        other = other or proven(shaken, aside, None, pairs_and_threes(range(len(seats))))
        if other is None:
            told["unsure"].append(case)
            tie = True
            break
        moved = gaps(shaken, aside, other[0], other[1])
        if max(abs(a - b) for old, new in zip((centre, widest), moved) for a, b in zip(old, new)) > SHAKEN:
            tie = True
            break
    if case["shape"] == "touching":
        slope = least_on_ray(seats, q, best[0], slope)
        twice = conic_least(seats, q, best[0])
        assert abs(twice - mp.hypot(*slope)) < 1e-4 * (1e-3 + twice), (case, twice, slope)
        centre, widest = gaps(seats, q, best[0], slope)
        case["least"] = True
        tie = True
    case["lift_um"] = um(best[0], 9)
    if tie:
        case["tie"] = True
    if not tie or "least" in case:
        case["gaps_um"] = [um(v, 6) for v in centre]
        case["widest_um"] = [um(v, 6) for v in widest]
    told["ties"] += tie
    return case


def main():
    rng = random.Random(SEED)
    told = {"apart": mp.mpf(0), "conic": [], "ties": 0, "unsure": []}
    count = [1940, 60, 50] if len(sys.argv) < 2 else [int(n) for n in sys.argv[1].split(",")]
    cases = [solve(rng, make(rng), told) for _ in range(count[0])]
    cases += [solve(rng, make_tie(rng), told) for _ in range(count[1])]
    for _ in range(count[2]):
        case = make_tips(rng)
        assert conic(*exact(case)) is None, case
        case["tips"] = True
        case["outside"] = round(case["outside"], 6)
        cases.append(case)
    print("[\n" + ",\n".join(json.dumps(c, separators=(",", ":")) for c in cases) + "\n]")
    off = sorted(told["conic"])
    print(
        f"{len(cases)} cases, {told['ties']} ties ({len(told['unsure'])} of them unsure); bounds at most {mp.nstr(told['apart'], 3)} mm "
        f"apart; the solver off by {off[len(off) // 2]:.2e} µm (median), {off[-20]:.2e} (all but 20), {off[-1]:.2e} (worst)",
        file=sys.stderr,
    )


main()
