"""Lines by least squares, what is predicted from them and where they cross, by two independent libraries.

Writes statistics.csv beside it. Not part of the tests, which only read that table: run it again when a
set of points is added. Wants the packages `scipy` and `statsmodels`.

Reads norris.csv; the other sets of points stand below, and once more in tests/fast/statistics.rs. Fieller's
interval is not worked out by its formula here: its ends are sought where the band about the line meets
the level, which is what the interval means.
"""

import csv
import pathlib

import numpy
import statsmodels.api
from scipy.optimize import brentq
from scipy.stats import linregress, norm, t

HERE = pathlib.Path(__file__).parent

with open(HERE / "norris.csv", encoding="utf-8") as table:
    NORRIS = [(float(row["x"]), float(row["y"])) for row in csv.DictReader(table)]

SETS = {
    "norris": NORRIS,
    "noint1": [(60 + n, 130 + n) for n in range(11)],
    "noint2": [(4, 3), (5, 4), (6, 4)],
    "wear": [(0, 0.004), (62, 0.021), (147, 0.030), (233, 0.052), (310, 0.061)],
    "clock": [(1e6 + n, 1e4 + 0.5 * n + (0.1, -0.2, 0.05, 0.05)[n % 4]) for n in range(12)],
    "steep": [(0.001, 5000.0), (0.002, 11000.0), (0.0035, 17000.0)],
}

# The set, whether through the origin, where to predict, which levels to cross.
LINES = [
    ("norris", False, (0.0, 300.0, 1500.0), (0.0, 500.0, 2000.0)),
    ("noint1", True, (0.0, 65.0, 100.0), (100.0, 200.0)),
    ("noint2", True, (1.0, 5.0, 10.0), (10.0,)),
    ("wear", False, (0.0, 310.0, 600.0), (0.05, 0.1, 0.15)),
    ("wear", True, (310.0, 600.0), (0.05, 0.1)),
    ("clock", False, (1e6 + 5, 1e6 + 100), (1e4, 1e4 + 50)),
    ("steep", False, (0.002, 0.01), (12000.0,)),
]

CONFIDENCES = (0.5, 0.9, 0.95, 0.99)


class Line:
    def __init__(self, points, through_origin):
        self.x, self.y = (numpy.array(column, dtype=float) for column in zip(*points))
        self.through_origin = through_origin
        # The mean of x as 0: a design of large numbers loses digits otherwise.
        self.shift = 0.0 if through_origin else self.x.mean()
        self.fit = statsmodels.api.OLS(self.y, self.design(self.x)).fit()

    def design(self, x):
        x = numpy.atleast_1d(numpy.asarray(x, dtype=float)) - self.shift
        return x[:, None] if self.through_origin else numpy.column_stack([numpy.ones_like(x), x])

    def predicted(self, x, confidence):
        frame = self.fit.get_prediction(self.design(x)).summary_frame(alpha=1 - confidence)
        return frame.iloc[0]

    def band(self, x, confidence):
        row = self.predicted(x, confidence)
        return row["mean"], row["mean_ci_lower"], row["mean_ci_upper"]

    def prediction(self, x, confidence):
        row = self.predicted(x, confidence)
        return row["mean"], row["obs_ci_lower"], row["obs_ci_upper"]

    def coefficients(self):
        deviation = self.fit.mse_resid**0.5
        slope, slope_deviation = self.fit.params[-1], self.fit.bse[-1]
        if self.through_origin:
            return (0.0, 0.0), (slope, slope_deviation), deviation
        at_zero = self.fit.get_prediction(self.design(0.0))
        intercept = (at_zero.predicted_mean[0], at_zero.se_mean[0])
        other = linregress(self.x, self.y)
        assert abs(other.slope / slope - 1) < 1e-9 and abs(other.stderr / slope_deviation - 1) < 1e-6
        return intercept, (slope, slope_deviation), deviation

    def crossing(self, level, confidence):
        """The ends of all x at which the band holds the level; none where that is no interval."""
        (intercept, _), (slope, slope_deviation), _ = self.coefficients()
        if t.ppf(0.5 + confidence / 2, self.fit.df_resid) * slope_deviation >= abs(slope):
            return None
        at = (level - intercept) / slope
        inside = lambda x: (lambda band: min(level - band[1], band[2] - level))(self.band(x, confidence))
        ends = []
        for side in (-1, 1):
            step = max(1e-6 * abs(at), 1e-9)
            while inside(at + side * step) > 0:
                step *= 2
            ends.append(brentq(inside, at, at + side * step, xtol=1e-15 * max(1, abs(at)), rtol=1e-14))
        return at, min(ends), max(ends)


def write(table, *row):
    table.writerow([f"{value:.13g}" if isinstance(value, float) else value for value in row])


with open(HERE / "statistics.csv", "w", encoding="utf-8", newline="") as file:
    table = csv.writer(file, lineterminator="\n")
    table.writerow(["set", "line", "asked", "at", "confidence", "value", "low", "high"])
    for freedom in [*range(1, 31), 34, 50, 120, 1000]:
        for confidence in (0.1, *CONFIDENCES, 0.999):
            write(table, "", "", "t", freedom, confidence, float(t.ppf(0.5 + confidence / 2, freedom)), "", "")
    for confidence in (0.1, *CONFIDENCES, 0.999):
        write(table, "", "", "t", "normal", confidence, float(norm.ppf(0.5 + confidence / 2)), "", "")
    for name, through_origin, places, levels in LINES:
        line, which = Line(SETS[name], through_origin), "origin" if through_origin else "free"
        intercept, slope, deviation = line.coefficients()
        write(table, name, which, "intercept", "", "", *map(float, intercept), "")
        write(table, name, which, "slope", "", "", *map(float, slope), "")
        write(table, name, which, "residual", "", "", float(deviation), "", "")
        for confidence in CONFIDENCES:
            for x in places:
                write(table, name, which, "band", x, confidence, *map(float, line.band(x, confidence)))
                write(table, name, which, "prediction", x, confidence, *map(float, line.prediction(x, confidence)))
            for level in levels:
                found = line.crossing(level, confidence) or ("not significant", "", "")
                write(table, name, which, "crossing", level, confidence, *(
                    float(value) if value != "" and not isinstance(value, str) else value for value in found
                ))
