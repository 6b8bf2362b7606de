"""Posteriors of causes over varied booms, worked out a second time.

Writes causes.csv beside it. Not part of the tests, which only read that table: run it again when a case is added. Wants the
standard library alone.

Each likelihood is the density of a normal vector whose covariance is written out in full and factored anew for every hypothesis;
one-sided effects are integrated numerically. Nothing is taken from the program.
"""

import csv
import pathlib
import random
from math import erfc, exp, log, pi, sqrt

FLUID_OUNCE_RATIO = 28.4130625 / 29.5735295625  # imperial over US, exact by definition
SIZES = [0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.0]  # gpm at 40 psi
PRIORS = {
    "healthy": 0.60,
    "tip": 0.12,
    "section": 0.05,
    "tilt": 0.03,
    "tip-of-size": 0.05,
    "section-of-size": 0.02,
    "worn": 0.06,
    "gauge": 0.03,
    "unit": 0.02,
    "set-of-size": 0.02,
}


def rated_flow_oz(size_gpm, pressure, seconds):
    """Fluid ounces of a size in so many seconds at so many psi."""
    return size_gpm * sqrt(pressure / 40) * 128 * seconds / 60


def lower_triangle(matrix):
    n = len(matrix)
    lower = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i + 1):
            rest = matrix[i][j] - sum(lower[i][k] * lower[j][k] for k in range(j))
            lower[i][j] = sqrt(rest) if i == j else rest / lower[j][j]
    return lower


def ln_normal(y, covariance):
    lower = lower_triangle(covariance)
    z = []
    for i, value in enumerate(y):
        z.append((value - sum(lower[i][k] * z[k] for k in range(i))) / lower[i][i])
    return sum(-0.5 * t * t - log(lower[i][i]) - 0.5 * log(2 * pi) for i, t in enumerate(z))


def ln_mean(values):
    largest = max(values)
    return largest + log(sum(exp(v - largest) for v in values) / len(values))


def either(y, covariance, pattern, s):
    n = len(y)
    wide = [[covariance[i][j] + s * s * pattern[i] * pattern[j] for j in range(n)] for i in range(n)]
    return ln_normal(y, wide)


def more(y, covariance, pattern, s, steps=4000):
    """The mean density over the half normal, by Simpson's rule on the logarithm's own scale.

    ln N(y - t a; V) is a parabola in t: three densities fix it, and the integrand peaks where its slope ends.
    """
    at = [ln_normal([v - t * a for v, a in zip(y, pattern)], covariance) for t in (-s, 0.0, s)]
    bend = (at[0] - 2 * at[1] + at[2]) / (2 * s * s)
    slope = (at[2] - at[0]) / (2 * s)
    ln_at = lambda t: at[1] + slope * t + bend * t * t - 0.5 * (t / s) ** 2 + log(2 / (s * sqrt(2 * pi)))
    curve = -2 * (bend - 0.5 / (s * s))
    peak = max(slope / curve, 0.0)
    width = 1 / sqrt(curve)
    # Beyond a far negative peak the integrand falls as an exponential.
    reach = min(12 * width, 40 / max(-slope, 1e-9)) if slope < 0 else 12 * width
    low, high = max(peak - 12 * width, 0.0), peak + reach
    h = (high - low) / steps
    top = ln_at(peak)
    total = sum((1 if i in (0, steps) else 4 if i % 2 else 2) * exp(ln_at(low + i * h) - top) for i in range(steps + 1))
    return top + log(total * h / 3)


BOOM_END = 0.03  # relative standard deviation of the pressure at the boom's end over that at the gauge, our choice


def posterior(case):
    sections, caught, rated, own = case["sections"], case["caught"], case["rated"], case["size"]
    n = len(caught)
    y = [log(c / rated) for c in caught]
    common = case["jug"] ** 2 / 3 + (0.5 * case["gauge"] / case["pressure"]) ** 2 / 3
    single = [
        (case["graduation"] / sqrt(12) / c) ** 2 + (case["timing"] / case["seconds"]) ** 2 + case["tau"] ** 2
        for c in caught
    ]
    covariance = [[common + (single[i] if i == j else 0) for j in range(n)] for i in range(n)]
    has_end = case["boom end"] != ""
    if has_end:
        # The pressure at the boom's end over that at the gauge, after the nozzles: it is read off another gauge of the same class, and
        # the gauge of the catch is in it to the power -1, where it is in each nozzle to the power -1/2.
        of_gauge = (case["gauge"] / case["pressure"]) ** 2 / 3
        of_end = (case["gauge"] / case["boom end"]) ** 2 / 3
        y.append(log(case["boom end"] / case["pressure"]))
        for row in covariance:
            row.append(0.5 * of_gauge)
        covariance.append([0.5 * of_gauge] * n + [of_gauge + of_end + BOOM_END**2])
    end = lambda power: [power] if has_end else []
    one = lambda nozzles: [1.0 if i in nozzles else 0.0 for i in range(n)] + end(0.0)
    first = [sum(sections[:k]) for k in range(len(sections))]
    members = [one(range(f, f + many)) for f, many in zip(first, sections)]
    nozzles = [one([i]) for i in range(n)]
    everything = [1.0] * n + end(0.0)
    x = [i / (n - 1) for i in range(n)]
    # Where the fall is about the middle of the boom, the end is lower by half as much.
    lift = 0.5 if case["way"] == "either" else 0.0
    along = ([-t for t in x], [t - 1 for t in x], [-abs(2 * t - 1) for t in x])
    # Pressure falls twice as far as flow, at the end where it was read or at none.
    end_powers = (0.0, 2 * (lift - 1)) if has_end else (0.0,)
    falls = [[lift + power for power in fall] + end(at_end) for fall in along for at_end in end_powers]
    others = sorted((s / own for s in SIZES if abs(log(s / own)) > 0.03), key=lambda r: abs(log(r)))[:4]
    units = [FLUID_OUNCE_RATIO, 1 / FLUID_OUNCE_RATIO, 2.0, 0.5]
    shifted = lambda pattern, ratio: ln_normal([v - log(ratio) * a for v, a in zip(y, pattern)], covariance)
    e = case["effects"]
    ln = {
        "healthy": [ln_normal(y, covariance)],
        "tip": [either(y, covariance, a, e["tip"]) for a in nozzles],
        "section": [either(y, covariance, a, e["section"]) for a in members],
        "tilt": [more(y, covariance, a, e["tilt"]) for a in falls],
        "tip-of-size": [shifted(a, r) for a in nozzles for r in others],
        "section-of-size": [shifted(a, r) for a in members for r in others],
        "worn": [more(y, covariance, everything, e["worn"])],
        "gauge": [either(y, covariance, [1.0] * n + end(2.0), e["gauge"])],
        "unit": [shifted(everything, r) for r in units],
        "set-of-size": [shifted(everything, r) for r in others],
    }
    evidence = {cause: ln_mean(values) for cause, values in ln.items()}
    weight = {cause: log(PRIORS[cause]) + value for cause, value in evidence.items()}
    largest = max(weight.values())
    whole = sum(exp(w - largest) for w in weight.values())
    return evidence, {cause: exp(w - largest) / whole for cause, w in weight.items()}


WORKED_EFFECTS = {"tip": 0.15, "section": 0.08, "tilt": 0.05, "worn": 0.10, "gauge": 0.06}
WORKED = dict(
    sections=[3] * 5, size=0.6, pressure=36.0, seconds=30.0, graduation=0.5, timing=0.1, jug=0.005, gauge=0.96,
    tau=0.015, effects=WORKED_EFFECTS,
)
WORKED["boom end"] = ""  # in psi
WORKED["way"] = "more"  # which way a fall along the boom goes: from the gauge's end, or about the middle
GOOD = [36.5, 36, 36.5, 36, 37, 36.5, 36.5, 36, 36, 36.5, 37, 36, 36.5, 36.5, 36]


def cases():
    def with_(changed):
        return [changed.get(i + 1, c) for i, c in enumerate(GOOD)]

    yield "worked 1", {**WORKED, "caught": GOOD}
    yield "worked 2", {**WORKED, "caught": with_({5: 41})}
    yield "worked 3", {**WORKED, "caught": with_({9: 30})}
    yield "worked 4", {**WORKED, "caught": with_({10: 34, 11: 34.5, 12: 33.5})}
    yield "worked 5", {
        **WORKED,
        "caught": [40.5, 40, 40.5, 40, 41, 40.5, 40.5, 40, 40, 40.5, 41, 40, 40.5, 40.5, 40],
    }
    random.seed(12)
    for number in range(1, 76):
        sections = [random.randint(2, 6) for _ in range(random.randint(2, 5))]
        n = sum(sections)
        size = random.choice([0.4, 0.5, 0.6, 0.8, 1.0])
        pressure = random.choice([30.0, 36.0, 40.0, 50.0])
        seconds = random.choice([15.0, 30.0, 60.0])
        graduation = random.choice([0.25, 0.5, 1.0])
        rated = rated_flow_oz(size, pressure, seconds)
        truth = number % 8
        true = [random.gauss(0, 0.015) for _ in range(n)]
        shared = random.gauss(0, 0.008)
        off = random.choice([-1, 1]) * random.uniform(0.06, 0.35)
        first = random.randrange(n)
        section = random.randrange(len(sections))
        start = sum(sections[:section])
        for i in range(n):
            in_section = start <= i < start + sections[section]
            true[i] += shared + {
                1: off if i == first else 0,
                2: off / 2 if in_section else 0,
                3: -abs(off) * i / (n - 1) / 2,
                4: abs(off) / 2,
                5: log(2),
                6: log(0.8) if i == first else 0,
                7: off if i in (first, (first + 2) % n) else 0,
            }.get(truth, 0)
        caught = [round(rated * exp(t) / graduation) * graduation for t in true]
        effects = {k: round(v * random.uniform(0.6, 1.6), 3) for k, v in WORKED_EFFECTS.items()}
        yield f"drawn {number}", dict(
            sections=sections, size=size, pressure=pressure, seconds=seconds, graduation=graduation,
            timing=random.choice([0.1, 0.2]), jug=random.choice([0.005, 0.01, 0.02]),
            gauge=random.choice([0.96, 2.5, 1.0]), tau=random.choice([0.01, 0.015, 0.02]), effects=effects,
            caught=caught,
        ) | {"boom end": "", "way": "more"}
    to_right = [38, 38, 37.5, 37.5, 37, 37, 36.5, 36.5, 36, 36, 35.5, 35.5, 35, 35, 34.5]
    from_left = [36.5, 36.5, 36, 36, 35.5, 35.5, 35, 35, 34.5, 34.5, 34, 34, 33.5, 33.5, 33]
    both_ends = [35.5, 36, 36.5, 37, 37, 37.5, 38, 38, 38, 37.5, 37, 37, 36.5, 36, 35.5]
    for name, boom_end, way, caught in (
        ("end 1", 35.5, "more", GOOD),
        ("end 2", 29.5, "more", from_left),
        ("end 3", 35.5, "more", from_left),
        ("end 4", 32.5, "either", to_right),
        ("end 5", 29.5, "either", to_right),
        ("end 6", 32.5, "either", both_ends),
        ("end 7", 36.0, "either", both_ends),
        ("either 1", "", "either", to_right),
        ("either 2", "", "either", [*reversed(to_right)]),
        ("either 3", "", "more", to_right),
    ):
        yield name, {**WORKED, "boom end": boom_end, "way": way, "caught": caught}


def main():
    path = pathlib.Path(__file__).with_name("causes.csv")
    causes = list(PRIORS)
    with path.open("w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        header = ["case", "sections", "size", "pressure", "seconds", "graduation", "timing", "jug", "gauge", "tau", "boom end", "way"]
        out.writerow(header + [f"effect {k}" for k in WORKED_EFFECTS] + ["caught"] + [f"ln {c}" for c in causes] + [f"share {c}" for c in causes])
        for name, case in cases():
            case["rated"] = rated_flow_oz(case["size"], case["pressure"], case["seconds"])
            evidence, shares = posterior(case)
            row = [name, " ".join(map(str, case["sections"]))] + [case[k] for k in header[2:]]
            row += [case["effects"][k] for k in WORKED_EFFECTS] + [" ".join(map(str, case["caught"]))]
            out.writerow(row + [f"{evidence[c]:.9f}" for c in causes] + [f"{shares[c]:.9f}" for c in causes])


if __name__ == "__main__":
    main()
