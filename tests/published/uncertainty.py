"""Values and standard uncertainties of every figure that has one, by two independent libraries.

Writes uncertainty.csv beside it. Not part of the tests, which only read that table: run it again when a
case or a figure is added. Wants the packages `uncertainties` and `GTC`.

The inputs of each case stand below as they stand in its records. Formulas are those of the trade and of
the guide to uncertainty, written here a second time; nothing is taken from the program.
"""

import csv
import pathlib
from math import sqrt

import GTC
import uncertainties
import uncertainties.umath

ROOT_3 = sqrt(3)
ROOT_12 = sqrt(12)

# Exact by definition, in SI units.
INCH = 0.0254
FOOT = 0.3048
MILE = 1609.344
ACRE = 4046.8564224
GALLON = 3.785411784e-3
FLUID_OUNCE = GALLON / 128
LITER = 1e-3
MILLILITER = 1e-6
GRAM = 1e-3
MINUTE = 60
PSI = 8896443230521 / 1290320000
BAR = 1e5
MPH = MILE / 3600
KMH = 1000 / 3600
GPM = GALLON / MINUTE
LPM = LITER / MINUTE
GALLON_PER_ACRE = GALLON / ACRE
LITER_PER_HECTARE = LITER / 1e4


class ByUncertainties:
    @staticmethod
    def of(value, u):
        return uncertainties.ufloat(value, u)

    sqrt = staticmethod(uncertainties.umath.sqrt)

    @staticmethod
    def parts(x):
        if isinstance(x, (int, float)):
            return float(x), 0.0
        return x.nominal_value, x.std_dev


class ByGTC:
    @staticmethod
    def of(value, u):
        return GTC.ureal(value, u)

    sqrt = staticmethod(GTC.sqrt)

    @staticmethod
    def parts(x):
        if isinstance(x, (int, float)):
            return float(x), 0.0
        return GTC.value(x), GTC.uncertainty(x)


class Visit:
    """One visit with one library; what is shared is made once."""

    def __init__(self, lib, case, instruments):
        self.lib, self.case, self.instruments = lib, case, instruments
        self.shared, self.rows = {}, []

    # Sources of error ---------------------------------------------------------------------------

    def once(self, name, make):
        if name not in self.shared:
            self.shared[name] = make()
        return self.shared[name]

    def scale(self, name):
        """The scale of an instrument: one, rectangular within its tolerance."""
        tolerance = self.instruments[name]["tolerance"]
        return self.once(name, lambda: self.lib.of(1.0, tolerance / ROOT_3))

    def gauge(self, name):
        """The error of a gauge, rectangular within its class in percent of its span."""
        half_width = self.instruments[name]["half-width"]
        return self.once(name, lambda: self.lib.of(0.0, half_width / ROOT_3))

    def water(self):
        """1 g/mL, rectangular within 0.5 %."""
        return self.once("water", lambda: self.lib.of(1000.0, 1000.0 * 0.005 / ROOT_3))

    def read(self, value, step):
        return self.lib.of(value, step / ROOT_12)

    # Rows ---------------------------------------------------------------------------------------

    def row(self, figure, stage, value, unit=1.0):
        value, u = self.lib.parts(value / unit)
        if u > 0:
            self.rows.append((figure, stage, value, u))

    def percent(self, figure, stage, ratio):
        self.row(figure, stage, ratio, 0.01)

    # Figures ------------------------------------------------------------------------------------

    def catch(self, run):
        """The flow of each nozzle of a run: a list of lists, one for each repeat."""
        together = self.lib.of(0.0, run["timing"]) if run.get("together") else None
        flows = []
        for repeats in run["caught"]:
            readings = []
            for amount in repeats:
                unit = run["unit"]
                read = self.lib.of(amount * unit, run["step"] / ROOT_12) * self.scale(run["scale"])
                if run.get("weighed"):
                    read = read / self.water()
                if "duration" in run:
                    timing = together if together is not None else self.lib.of(0.0, run["timing"])
                    read = read / (run["duration"] + timing)
                readings.append(read)
            flows.append(readings)
        return flows

    def catches(self):
        """As found, and as left with what was caught again put in its place."""
        self.mean = None
        if "catches" not in self.case:
            return
        runs = [(run, self.catch(run)) for run in self.case["catches"]]
        first, left = runs[0], list(runs[0][1])
        for run, flows in runs[1:]:
            for nozzle, flow in zip(run["nozzles"], flows):
                left[nozzle - 1] = flow
        stages = [("as left", first[0], left)]
        if len(runs) > 1:
            stages.insert(0, ("as found", first[0], first[1]))
        for stage, run, repeats in stages:
            self.of_catch(stage, run, repeats)
        again = {nozzle for run, _ in runs[1:] for nozzle in run["nozzles"]}
        flows = [mean(repeat) for repeat in left]
        for nozzle, flow in enumerate(flows, 1):
            if again and nozzle not in again:
                self.percent("nozzle-not-retested", "as left", flow / mean(flows) - 1)
        self.mean = mean([mean(repeat) for repeat in left])
        self.sum = sum(mean(repeat) for repeat in left)

    def of_catch(self, stage, run, repeats):
        case, flow_unit = self.case, self.case["flow-unit"]
        flows = [mean(repeat) for repeat in repeats]
        whole = mean(flows)
        for flow in flows:
            self.row("nozzle-flow", stage, flow, flow_unit)
        self.row("mean-flow", stage, whole, flow_unit)
        self.row("boom-flow", stage, sum(flows), flow_unit)
        for flow in flows:
            self.percent("nozzle-off-mean", stage, flow / whole - 1)
        if "rated" in case and "pressure" in run:
            flow, at = case["rated"]
            pressure = run["pressure"] + self.gauge(run["gauge"])
            rated = flow * self.lib.sqrt(pressure / at)
            self.row("rated-flow", stage, rated, flow_unit)
            for flow in flows:
                self.percent("nozzle-off-rated", stage, flow / rated - 1)
            self.percent("mean-off-rated", stage, whole / rated - 1)
        if "pressure" in run and "setup-pressure" in case:
            pressure = run["pressure"] + self.gauge(run["gauge"])
            self.percent("pressure-off-setup", stage, pressure / case["setup-pressure"] - 1)
        nominal = [self.lib.parts(flow)[0] for flow in flows]
        largest, smallest = nominal.index(max(nominal)), nominal.index(min(nominal))
        self.percent("catch-spread", stage, (flows[largest] - flows[smallest]) / whole)
        if "rate" in case:
            rate = whole / (case["speed"] * self.driven() * self.spacing())
            self.row("rate-by-catch", stage, rate, case["rate-unit"])
            self.percent("rate-by-catch-off", stage, rate / case["rate"] - 1)
        if len(case["sections"]) > 1:
            start = 0
            for count in case["sections"]:
                own = mean(flows[start : start + count])
                self.percent("section-mean-off", stage, own / whole - 1)
                start += count
        for repeat in repeats:
            if len(repeat) > 1:
                nominal = [self.lib.parts(flow)[0] for flow in repeat]
                top, bottom = nominal.index(max(nominal)), nominal.index(min(nominal))
                self.percent("repeat-spread", stage, (repeat[top] - repeat[bottom]) / mean(repeat))

    def spacing(self):
        """Measured within 2 mm."""
        return self.once("spacing", lambda: self.lib.of(self.case["spacing"], 0.002 / ROOT_3))

    def driven(self):
        """What is driven in multiples of the setup's speed: by the speed test, else as declared or within 1 %."""
        if self.case.get("console-holds-rate"):
            return 1.0
        tests = dict(staged(self.driven_courses()))
        if not tests or not self.case.get("rate-left-to-speed"):
            within = self.case.get("speed-tolerance", 0.01)
            return self.once("speed", lambda: self.lib.of(1.0, within / ROOT_3))
        _, _, runs = tests.get("as left") or tests["as found"]
        return mean([speed for _, speed in runs]) / self.case["speed"]

    def boom_end(self):
        if "boom-end" not in self.case:
            return
        end, at = self.case["boom-end"]
        gauge = self.case["catches"][0]["gauge"]
        error = self.gauge(gauge)
        at_end = self.gauge(self.case.get("boom-end-gauge", gauge))
        working = self.case["catches"][0]["pressure"]
        self.percent("boom-end-drop", "", (end + at_end) / (working + error) - 1)

    def known_volume(self, test):
        by = test["by"]
        volume, digit = test["known"]
        if by == "tank marks":
            # Half a mark at each end of a mark, one US gallon where none is declared, each rectangular; all marks within 1 %.
            mark = digit if "scale" in test else GALLON
            read = self.lib.of(volume, sqrt(2) * (mark / 2) / ROOT_3)
            return read * self.scale(test.get("scale", "tank marks"))
        known = self.read(volume, digit)
        if by == "catch":
            if self.mean is None:
                return known * self.scale("jug")
            return known * (self.mean / self.lib.parts(self.mean)[0])
        known = known * self.scale(test["scale"])
        return known / self.water() if by == "weighed" else known

    def meters(self):
        tests = []
        for test in self.case.get("meters", []):
            duration = None
            if "duration" in test:
                duration = self.lib.of(test["duration"], 0.10)
            tests.append((test, self.known_volume(test), self.read(*test["shown"]), duration))
        for stage, (test, known, shown, duration) in staged(tests):
            self.percent("meter-error", stage, shown / known - 1)
            if duration is not None and test["by"] != "catch" and self.mean is not None:
                self.percent("known-off-catch", stage, known / (self.sum * duration) - 1)
            if duration is not None and test["by"] == "catch" and self.mean is not None:
                self.percent("worked-out-off-catch", stage, known / (self.sum * duration) - 1)
        for test, known, shown, _ in tests:
            if "factor" in test:
                ratio = shown / known if self.case["pulses-per-volume"] else known / shown
                self.factor("flow", test, ratio)
                self.percent("correction", "", shown / known - 1)
        return staged(tests)

    def factor(self, of, test, ratio):
        before, after = test["factor"]
        self.row(f"computed-{of}-factor", "", before * ratio)
        self.percent(f"{of}-factor-off", "", (after / before) / ratio - 1)

    def driven_courses(self):
        return self.once("courses", self.make_courses)

    def make_courses(self):
        tests = []
        for test in self.case.get("courses", []):
            length = test["length"] * self.scale(test["measured-by"])
            runs = []
            for elapsed, shown, digit in test["runs"]:
                timing = self.lib.of(0.0, 0.10)
                # Stopping beside the marks makes the run longer or shorter, by meters and in what is shown.
                marks = self.lib.of(0.0, sqrt(2) * 0.1 / ROOT_3)
                driven = (test["length"] + marks) / test["length"]
                distance = self.read(shown, digit) / driven
                speed = length * driven / (elapsed + timing)
                runs.append((distance, speed))
            tests.append((test, length, runs))
        return tests

    def courses(self):
        tests = self.driven_courses()
        for stage, (test, length, runs) in staged(tests):
            shown = mean([distance for distance, _ in runs])
            speeds = [speed for _, speed in runs]
            true = mean(speeds)
            self.percent("sensor-error", stage, shown / length - 1)
            self.row("true-speed", stage, true, self.case["speed-unit"])
            self.percent("speed-off-setup", stage, true / self.case["speed"] - 1)
            if len(runs) > 1:
                nominal = [self.lib.parts(speed)[0] for speed in speeds]
                fastest, slowest = nominal.index(max(nominal)), nominal.index(min(nominal))
                self.percent("run-spread", stage, (speeds[fastest] - speeds[slowest]) / true)
        for test, length, runs in tests:
            if "factor" in test:
                shown = mean([distance for distance, _ in runs])
                self.factor("speed", test, shown / length)
                self.percent("correction", "", shown / length - 1)
        return staged(tests)

    def true_rate(self, meters, courses):
        if "entered" not in self.case:
            return
        flow, speed = dict(meters), dict(courses)
        width = self.case["entered"] / (self.spacing() * sum(self.case["sections"]))
        for stage in ["as found", "as left"]:
            either = lambda stages: stages.get(stage) or (stages.get("as left") if stage == "as found" else None)
            if stage not in flow and stage not in speed:
                continue
            if either(flow) is None or either(speed) is None:
                continue
            _, known, shown, _ = either(flow)
            _, length, runs = either(speed)
            driven = mean([distance for distance, _ in runs])
            self.percent("true-rate-off", stage, known / shown * (driven / length) * width - 1)

    def balance(self):
        if "balance" not in self.case:
            return
        balance = self.case["balance"]
        all_on = self.read(*balance["all-on"])
        change = lambda ratio: (self.lib.sqrt(ratio) if balance["by-pressure"] else ratio) - 1
        # The speed entered is the setup's in each case.
        meant = self.case["setup-pressure" if balance["by-pressure"] else "rate"]
        self.percent("all-on-off-setup", "", change(all_on / meant))
        for reading in balance["sections-off"]:
            stages = zip(["as found", "as left"], reading) if len(reading) > 1 else [("as left", reading[0])]
            for stage, (value, digit) in stages:
                self.percent("section-off-change", stage, change(self.read(value, digit) / all_on))

    def all(self):
        self.catches()
        self.boom_end()
        meters = self.meters()
        self.true_rate(meters, self.courses())
        self.balance()
        return self.rows


def mean(terms):
    return sum(terms) / len(terms)


def staged(tests):
    """The first as found where there are several, the last as left unless it ends with a correction."""
    if not tests:
        return []
    if "factor" in tests[-1][0]:
        return [("as found", tests[0])]
    if len(tests) == 1:
        return [("as left", tests[0])]
    return [("as found", tests[0]), ("as left", tests[-1])]


def single(readings):
    return [[reading] for reading in readings]


def times(unit, number, digit):
    """A number as written, with one unit of its last digit."""
    return (number * unit, digit * unit)


SALTMERE = {
    "jug-2": {"tolerance": 0.005},
    "jug-4": {"tolerance": 0.005},
    "gauge-3": {"half-width": 60 * PSI * 1.6 / 100},
    "gauge-5": {"half-width": 6 * BAR * 1.0 / 100},
    "wheel-1": {"tolerance": 0.002},
    "refill-1": {"tolerance": 0.005},
    "scale-1": {"tolerance": 0.001},
}

# What is taken where nothing is declared.
UNDECLARED = {
    "jug": {"tolerance": 0.01},
    "flow meter": {"tolerance": 0.02},
    "scale": {"tolerance": 0.005},
    "scale of the known volume": {"tolerance": 0.005},
    "tank marks": {"tolerance": 0.01},
    "fill meter": {"tolerance": 0.01},
    "gauge": {"half-width": 10 * BAR * 2.5 / 100},
    "gauge at the end": {"half-width": 10 * BAR * 2.5 / 100},
    # A tape of class II over 60 m: 0.3 mm and 0.2 mm a metre.
    "tape over 60 m": {"tolerance": 0.0002 + 0.0003 / 60},
}

HERON_SHOWN = lambda number: times(GALLON_PER_ACRE, number, 0.1)

CASES = {
    # fixtures/saltmere, heron on 2026-03-09.
    "heron": (
        SALTMERE,
        {
            "console-holds-rate": True,
            "flow-unit": GPM,
            "sections": [3, 3, 3, 3, 3],
            "spacing": 20 * INCH,
            "entered": 5 * 60 * INCH,
            "rated": (0.6 * GPM, 40 * PSI),
            "setup-pressure": 36 * PSI,
            "speed": 4.2 * MPH,
            "speed-unit": MPH,
            "rate": 40 * GALLON_PER_ACRE,
            "rate-unit": GALLON_PER_ACRE,
            "pulses-per-volume": True,
            "catches": [
                {
                    "unit": FLUID_OUNCE, "step": 0.5 * FLUID_OUNCE, "scale": "jug-2",
                    "duration": 30.0, "timing": 0.10, "pressure": 36 * PSI, "gauge": "gauge-3",
                    "caught": single([36.5, 36.0, 36.5, 36.5, 37.0, 36.5, 36.0, 36.5, 36.5,
                                      36.5, 36.5, 41.0, 36.5, 36.0, 36.5]),
                },
                {
                    "unit": FLUID_OUNCE, "step": 0.5 * FLUID_OUNCE, "scale": "jug-2",
                    "duration": 30.0, "timing": 0.10, "pressure": 36 * PSI, "gauge": "gauge-3",
                    "nozzles": [12], "caught": single([36.5]),
                },
            ],
            "boom-end": (34 * PSI, 36 * PSI),
            "meters": [
                {"known": times(GALLON, 34.2, 0.1), "by": "fill meter", "scale": "refill-1",
                 "duration": 240.0, "shown": times(GALLON, 35.1, 0.1), "factor": (620, 636)},
                {"known": times(GALLON, 34.1, 0.1), "by": "fill meter", "scale": "refill-1",
                 "duration": 240.0, "shown": times(GALLON, 34.2, 0.1)},
            ],
            "courses": [
                {"length": 200 * FOOT, "measured-by": "wheel-1", "factor": (1180, 1164),
                 "runs": [(32.4, 197 * FOOT, FOOT), (32.6, 198 * FOOT, FOOT), (32.5, 197 * FOOT, FOOT)]},
                {"length": 200 * FOOT, "measured-by": "wheel-1", "runs": [(32.5, 200 * FOOT, FOOT)]},
            ],
            "balance": {
                "by-pressure": False,
                "all-on": HERON_SHOWN(40.3),
                "sections-off": [
                    [HERON_SHOWN(40.3)],
                    [HERON_SHOWN(38.1), HERON_SHOWN(40.2)],
                    [HERON_SHOWN(40.4)],
                    [HERON_SHOWN(40.2)],
                    [HERON_SHOWN(40.3)],
                    [HERON_SHOWN(40.1)],
                ],
            },
        },
    ),
    # fixtures/saltmere, avocet on 2026-02-24.
    "avocet": (
        SALTMERE,
        {
            "console-holds-rate": True,
            "flow-unit": LPM,
            "sections": [3, 3, 3, 3, 3, 3],
            "spacing": 0.5,
            "entered": 6 * 1.5,
            "rated": (1.6 * LPM, 3 * BAR),
            "setup-pressure": 2.8 * BAR,
            "speed": 6.2 * KMH,
            "speed-unit": KMH,
            "rate": 300 * LITER_PER_HECTARE,
            "rate-unit": LITER_PER_HECTARE,
            "pulses-per-volume": False,
            "catches": [
                {
                    "unit": MILLILITER, "step": 10 * MILLILITER, "scale": "jug-4",
                    "duration": 30.0, "timing": 0.10, "pressure": 2.8 * BAR, "gauge": "gauge-5",
                    "caught": single([770, 770, 780, 780, 770, 780, 770, 780, 780,
                                      780, 780, 770, 770, 790, 780, 770, 780, 770]),
                },
            ],
            "meters": [
                {"known": times(LITER, 139.2, 0.1), "by": "fill meter", "scale": "refill-1",
                 "duration": 300.0, "shown": times(LITER, 148.9, 0.1)},
            ],
            "courses": [
                {"length": 100.0, "measured-by": "wheel-1",
                 "runs": [(58.0, 100.0, 1.0), (58.4, 100.0, 1.0), (57.8, 99.0, 1.0)]},
            ],
            "balance": {
                "by-pressure": False,
                "all-on": times(LITER_PER_HECTARE, 321, 1),
                "sections-off": [[times(LITER_PER_HECTARE, rate, 1)] for rate in [321, 322, 319, 320, 322, 321]],
            },
        },
    ),
    # fixtures/saltmere, curlew on 2026-03-25: weighed.
    "curlew": (
        SALTMERE,
        {
            "flow-unit": LPM,
            "sections": [4, 4, 4],
            "spacing": 0.5,
            "rated": (2.0 * LPM, 3 * BAR),
            "setup-pressure": 2.5 * BAR,
            "speed": 5.5 * KMH,
            "speed-tolerance": 0.005,
            "rate": 400 * LITER_PER_HECTARE,
            "rate-unit": LITER_PER_HECTARE,
            "catches": [
                {
                    "unit": GRAM, "step": 1 * GRAM, "scale": "scale-1", "weighed": True,
                    "duration": 30.0, "timing": 0.10, "pressure": 2.5 * BAR, "gauge": "gauge-5",
                    "caught": single([909, 917, 914, 906, 911, 922, 918, 910, 907, 903, 912, 919]),
                },
            ],
            "boom-end": (2.4 * BAR, 2.5 * BAR),
        },
    ),
    # fixtures/saltmere, turnstone on 2026-04-08: a repeat, balance by pressure, a factor not tested again.
    "turnstone": (
        SALTMERE,
        {
            "console-holds-rate": True,
            "flow-unit": GPM,
            "sections": [4, 3, 3, 4],
            "spacing": 15 * INCH,
            "entered": 210 * INCH,
            "rated": (0.5 * GPM, 40 * PSI),
            "setup-pressure": 39 * PSI,
            "speed": 3.9 * MPH,
            "speed-unit": MPH,
            "rate": 50 * GALLON_PER_ACRE,
            "rate-unit": GALLON_PER_ACRE,
            "pulses-per-volume": True,
            "catches": [
                {
                    "unit": FLUID_OUNCE, "step": 0.5 * FLUID_OUNCE, "scale": "jug-2",
                    "duration": 40.0, "timing": 0.10, "pressure": 39 * PSI, "gauge": "gauge-3",
                    "caught": [[42.5], [42.0, 42.5], [42.5], [41.5], [43.0], [41.5], [42.5],
                               [42.0], [42.0], [43.0], [42.0], [41.5], [42.0], [43.0]],
                },
            ],
            "boom-end": (37 * PSI, 39 * PSI),
            "meters": [
                {"known": times(GALLON, 34.6, 0.1), "by": "fill meter", "scale": "refill-1",
                 "duration": 300.0, "shown": times(GALLON, 35.2, 0.1), "factor": (486, 478)},
            ],
            "courses": [
                {"length": 200 * FOOT, "measured-by": "wheel-1",
                 "runs": [(34.8, 200 * FOOT, FOOT), (35.1, 201 * FOOT, FOOT), (34.9, 201 * FOOT, FOOT)]},
            ],
            "balance": {
                "by-pressure": True,
                "all-on": times(PSI, 39, 0.5),  # all readings are multiples of 0.5
                "sections-off": [[times(PSI, 39, 0.5)], [times(PSI, 39.5, 0.5)], [times(PSI, 39.5, 0.5)],
                         [times(PSI, 39, 0.5)]],
            },
        },
    ),
    # The records of these stand in tests/slow/uncertainty.rs; nothing is declared.
    "timed-together": (
        UNDECLARED,
        {
            "flow-unit": LPM,
            "sections": [4],
            "catches": [
                {
                    "unit": MILLILITER, "step": 1 * MILLILITER, "scale": "jug", "together": True,
                    "duration": 60.0, "timing": 0.10,
                    "caught": single([1190, 1214, 1205, 1187]),
                },
            ],
        },
    ),
    "known-by-catch": (
        UNDECLARED,
        {
            "flow-unit": LPM,
            "sections": [4],
            "pulses-per-volume": True,
            "catches": [
                {
                    "unit": MILLILITER, "step": 1 * MILLILITER, "scale": "jug",
                    "duration": 60.0, "timing": 0.10,
                    "caught": single([1190, 1214, 1205, 1187]),
                },
            ],
            "meters": [
                {"known": times(LITER, 23.98, 0.01), "by": "catch", "duration": 300.0,
                 "shown": times(LITER, 24.5, 0.1), "factor": (600, 613)},
                {"known": times(LITER, 23.98, 0.01), "by": "catch", "duration": 300.0,
                 "shown": times(LITER, 24.0, 0.1)},
            ],
        },
    ),
    "known-by-catch-elsewhere": (
        UNDECLARED,
        {
            "sections": [4],
            "meters": [
                {"known": times(LITER, 23.98, 0.01), "by": "catch", "duration": 300.0,
                 "shown": times(LITER, 24.5, 0.1)},
            ],
        },
    ),
    "two-gauges": (
        UNDECLARED,
        {
            "flow-unit": LPM,
            "sections": [3],
            "catches": [
                {
                    "unit": MILLILITER, "step": 20 * MILLILITER, "scale": "jug",
                    "duration": 60.0, "timing": 0.10, "pressure": 2.5 * BAR, "gauge": "gauge",
                    "caught": single([1180, 1220, 1200]),
                },
            ],
            "boom-end": (2.3 * BAR, 2.5 * BAR),
            "boom-end-gauge": "gauge at the end",
        },
    ),
    "declared-marks": (
        {**UNDECLARED, "tank": {"tolerance": 0.005}},
        {
            "sections": [3],
            "meters": [
                {"known": times(LITER, 130, 5), "by": "tank marks", "scale": "tank", "duration": 300.0,
                 "shown": times(LITER, 133.2, 0.1)},
            ],
        },
    ),
    "tank-marks-and-flow-meter": (
        UNDECLARED,
        {
            "flow-unit": LPM,
            "sections": [2, 2],
            "spacing": 0.5,
            "speed": 6.0 * KMH,
            "speed-unit": KMH,
            "rated": (1.2 * LPM, 3 * BAR),
            "setup-pressure": 3 * BAR,
            "rate": 240 * LITER_PER_HECTARE,
            "rate-unit": LITER_PER_HECTARE,
            "entered": 2.0,
            "catches": [
                {
                    "unit": LPM, "step": 0.01 * LPM, "scale": "flow meter",
                    "pressure": 2.9 * BAR, "gauge": "gauge",
                    "caught": single([1.19, 1.21, 1.20, 1.22]),
                },
            ],
            "meters": [
                {"known": times(LITER, 97, 1), "by": "tank marks", "duration": 1200.0,
                 "shown": times(LITER, 96.4, 0.1)},
            ],
            "courses": [
                {"length": 60.0, "measured-by": "tape over 60 m",
                 "runs": [(35.9, 60.4, 0.1), (36.2, 60.2, 0.1)]},
            ],
        },
    ),
    "weighed-twice": (
        UNDECLARED,
        {
            "flow-unit": LPM,
            "sections": [3],
            "catches": [
                {
                    "unit": GRAM, "step": 1 * GRAM, "scale": "scale", "weighed": True,
                    "duration": 60.0, "timing": 0.10,
                    "caught": single([1188, 1216, 1201]),
                },
            ],
            "meters": [
                {"known": times(1.0, 18.05, 0.01), "by": "weighed", "scale": "scale of the known volume",
                 "duration": 300.0, "shown": times(LITER, 18.3, 0.1)},
            ],
        },
    ),
}


def main():
    path = pathlib.Path(__file__).with_suffix(".csv")
    with path.open("w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["case", "figure", "stage", "nth", "value", "u"])
        for name, (instruments, case) in CASES.items():
            rows = Visit(ByUncertainties, case, instruments).all()
            others = Visit(ByGTC, case, instruments).all()
            assert len(rows) == len(others)
            counts = {}
            for (figure, stage, value, u), (_, _, other, other_u) in zip(rows, others):
                assert abs(value - other) <= 1e-11 * abs(value) + 1e-11, (name, figure, value, other)
                assert abs(u - other_u) <= 1e-11 * u, (name, figure, u, other_u)
                nth = counts[figure, stage] = counts.get((figure, stage), 0) + 1
                table.writerow([name, figure, stage, nth, f"{value:.10g}", f"{u:.10g}"])


main()
