"""The invented bridges of seating.json, as decimals: where the sites lie, how much each rises, where it is pressed."""

import math


def points(rng, shape, n):
    if shape == "line":
        a = rng.choice([(1, 0), (0, 1), (0.6, 0.8), (0.28, 0.96)])
        at = sorted(rng.uniform(0, 60) for _ in range(n))
        return [(round(t, 2) * a[0], round(t, 2) * a[1]) for t in at]
    if shape == "arch":
        wide, deep = rng.uniform(18, 32), rng.uniform(25, 50)
        turns = sorted(rng.uniform(-1.45, 1.45) for _ in range(n))
        return [(wide * math.sin(t), deep * math.cos(t)) for t in turns]
    if shape == "scattered":
        return [(rng.uniform(-30, 30), rng.uniform(-30, 30)) for _ in range(n)]
    kept = [(rng.uniform(-25, 25), rng.uniform(-25, 25)) for _ in range((n + 1) // 2)]
    return kept + [rng.choice(kept) for _ in range(n - len(kept))]


def rises(rng, kind, at):
    n = len(at)
    scale = 10 ** rng.uniform(0.3, 3.8)
    if kind == "equal":
        return [rng.choice([0.0, round(rng.uniform(-scale, scale), 3)])] * n
    if kind == "tied":
        levels = [0.0] + [round(rng.uniform(-scale, scale), 1) for _ in range(2)]
        return [rng.choice(levels) for _ in range(n)]
    if kind == "near":
        levels = [0.0, round(rng.uniform(-scale, scale), 1)]
        return [rng.choice(levels) + rng.choice([-1, 0, 1]) * 10.0 ** rng.randint(-6, -2) for _ in range(n)]
    if kind == "one":
        tall = rng.randrange(n)
        return [rng.choice([1, 1, -1]) * round(scale, 2) if k == tall else 0.0 for k in range(n)]
    if kind == "plane":
        a, b, c = (rng.uniform(-scale, scale) / 40 for _ in range(3))
        return [a * x + b * y + c for x, y in at]
    return [rng.uniform(-scale, scale) for _ in range(n)]


def make(rng):
    n = rng.choice([1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 8, 9, 10, 11, 12, 13, 14])
    shape = rng.choice(["line", "arch", "arch", "scattered", "coincident"])
    at = [(round(x, 3), round(y, 3)) for x, y in points(rng, shape, n)]
    all_alike = round(rng.uniform(0.5, 4), 2)
    radii = [all_alike] * n if rng.random() < 0.4 else [round(10 ** rng.uniform(-0.3, 1), 3) for _ in at]
    kind = rng.choice(["free", "free", "free", "tied", "near", "one", "plane", "equal"])
    up = [round(v, 6) for v in rises(rng, kind, at)]
    case = {"shape": shape, "rises": kind, "seats": [[x, y, u, r] for (x, y), u, r in zip(at, up, radii)]}
    way = rng.random()
    if way < 0.4:
        case["tighten"] = rng.randrange(n)
    elif way < 0.7:
        # A point of the hull of the discs: a mean with weights, then anywhere within the mean radius.
        w = [rng.expovariate(1) ** 2 for _ in at]
        total = sum(w)
        reach, turn = math.sqrt(rng.random()) * 0.999, rng.uniform(0, 2 * math.pi)
        reach *= sum(v * r for v, r in zip(w, radii)) / total
        x = sum(v * p[0] for v, p in zip(w, at)) / total + reach * math.cos(turn)
        y = sum(v * p[1] for v, p in zip(w, at)) / total + reach * math.sin(turn)
        case["press"] = [round(x, 3), round(y, 3)]
    return case


def make_tie(rng):
    """Two equally tall seats touch one line through the press point from one side; whole numbers, so exactly so."""
    ax, ay = rng.choice([(5, 0), (0, 5), (3, 4), (4, -3), (-4, 3)])
    bx, by = -ay, ax
    q = (rng.randint(-4, 4), rng.randint(-4, 4))
    height_um = float(rng.choice([0, 10, -250, 400]))

    def seat(t, away, up, r):
        return [q[0] + t * ax + away * bx / 5, q[1] + t * ay + away * by / 5, up, r]

    seats = []
    for t in (-rng.randint(1, 4), rng.randint(1, 4)):
        r = rng.choice([5, 10])
        seats.append(seat(t, r, height_um, float(r)))
    for _ in range(rng.randint(1, 4)):
        r = rng.choice([1, 2, 2.5])
        # Beyond the two it may be taller, which asks for a slope; on the other side low enough to allow it.
        beyond = rng.random() < 0.6
        away = rng.choice([15, 20, 25]) if beyond else -rng.choice([10, 15])
        up = height_um + (rng.choice([-100, 60, 90, 200]) if beyond else -rng.choice([2000, 3000]))
        seats.append(seat(rng.randint(-3, 3), away, up, r))
    rng.shuffle(seats)
    seats = [[round(float(v), 6) for v in s] for s in seats]
    return {"shape": "touching", "rises": "tied", "seats": seats, "press": list(q)}
