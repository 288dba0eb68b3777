"""Growth against published regressions. TRADE is the project's fact sheet, by its numbers.

With a flat prior the line is least squares, so certified regressions are its measure.
"""

from math import log, sqrt

import pytest

from production import student
from production.growth import Reading, flat_prior, predict, predict_line, with_readings
from production.history import variance_between

# NIST StRD, linear regression, data set Norris (National Institute of Standards and Technology; TRADE 5.2): y, then x.
NORRIS = """
   0.1   0.2 | 338.8 337.4 | 118.1 118.2 | 888.0 884.6 |   9.2  10.1 | 228.1 226.5
 668.5 666.3 | 998.5 996.3 | 449.1 448.6 | 778.9 777.0 | 559.2 558.2 |   0.3   0.4
   0.1   0.6 | 778.1 775.5 | 668.8 666.9 | 339.3 338.0 | 448.9 447.5 |  10.8  11.6
 557.7 556.0 | 228.3 228.1 | 998.0 995.8 | 888.8 887.6 | 119.6 120.2 |   0.3   0.3
   0.6   0.3 | 557.6 556.8 | 339.3 339.1 | 888.0 887.2 | 998.5 999.0 | 778.9 779.0
  10.2  11.1 | 117.6 118.3 | 228.9 229.2 | 668.4 669.1 | 449.2 448.9 |   0.2   0.5
"""
# Montgomery, Peck and Vining, Introduction to Linear Regression Analysis, rocket propellant (TRADE 5.3: S74, S75).
AGE = "15.50 23.75 8.00 17.00 5.50 19.00 24.00 2.50 7.50 11.00 13.00 3.75 25.00 9.75 22.00 18.00 6.00 12.50 2.00 21.50"
STRENGTH = (
    "2158.70 1678.15 2316.00 2061.30 2207.50 1708.30 1784.70 2575.00 2357.90 2256.70 "
    "2165.20 2399.55 1779.80 2336.75 1765.30 2053.50 2414.40 2200.50 2654.20 1753.70"
)


def norris_readings() -> list[Reading]:
    pairs = [pair.split() for pair in NORRIS.replace("\n", "|").split("|") if pair.strip()]
    return [Reading(float(x), float(y)) for y, x in pairs]


@pytest.fixture(scope="module")
def norris():
    readings = norris_readings()
    # Copy check of TRADE 5.2: n 36, sum x 15090.4, sum y 15112.9.
    assert len(readings) == 36
    assert sum(each.dips for each in readings) == pytest.approx(15090.4)
    assert sum(each.mm for each in readings) == pytest.approx(15112.9)
    return with_readings(flat_prior(), readings)


@pytest.fixture(scope="module")
def propellant():
    rows = zip(AGE.split(), STRENGTH.split(), strict=True)
    return with_readings(flat_prior(), [Reading(float(age), float(strength)) for age, strength in rows])


def test_norris_certified_line(norris):
    """Certified: B1 1.00211681802045, B0 -0.262323073774029."""
    assert norris.growth == pytest.approx(1.00211681802045, rel=1e-10)
    assert norris.start == pytest.approx(-0.262323073774029, rel=1e-10)


def test_norris_certified_deviations(norris):
    """Certified: residual sd 0.884796396144373 on 34 df, sd of B0 0.232818234301152, of B1 0.429796848199937E-03."""
    assert norris.df == 34
    assert norris.scatter == pytest.approx(0.884796396144373, rel=1e-10)
    assert norris.squares == pytest.approx(26.6173985294224, rel=1e-10)
    assert norris.doubt(0) == pytest.approx(0.232818234301152, rel=1e-10)
    assert norris.scatter / sqrt(norris.slope_weight) == pytest.approx(0.429796848199937e-03, rel=1e-10)


def test_norris_certified_share_explained(norris):
    """Certified: regression sum of squares 4255954.13232369, R squared 0.999993745883712, F 5436385.54079785."""
    explained = norris.growth**2 * norris.slope_weight
    assert explained == pytest.approx(4255954.13232369, rel=1e-10)
    assert explained / (explained + norris.squares) == pytest.approx(0.999993745883712, rel=1e-12)
    assert explained / norris.scatter**2 == pytest.approx(5436385.54079785, rel=1e-10)


@pytest.mark.parametrize(
    ("x", "likely", "reading", "mean"),
    [
        (0, -0.2623230738, (-2.1216535433, 1.5970073957), (-0.7354666521, 0.2108205046)),
        (500, 500.7960859365, (498.9717940542, 502.6203778187), (500.4881964715, 501.1039754014)),
        (1000, 1001.8544949467, (999.9622921574, 1003.7466977359), (1001.2652696532, 1002.4437202402)),
    ],
)
def test_norris_intervals(norris, x, likely, reading, mean):
    """TRADE 5.2: calculated there in exact fractions; tied to the certified sd of B0 at x = 0."""
    ranges = (predict(norris, x, 0.95), predict_line(norris, x, 0.95))
    assert norris.at(x) == pytest.approx(likely, abs=1e-9)
    for found, published in zip(ranges, (reading, mean), strict=True):
        assert (found.low, found.high) == pytest.approx(published, abs=1e-8)


def test_norris_comes_out_the_same_reading_by_reading(norris):
    line = flat_prior()
    for reading in norris_readings():
        line = with_readings(line, [reading])
    assert line.growth == pytest.approx(norris.growth, rel=1e-10)
    assert line.start == pytest.approx(norris.start, rel=1e-9)
    assert line.squares == pytest.approx(norris.squares, rel=1e-9)


def test_propellant_line(propellant):
    """Published (S75): 2627.82 - 37.154 x, s 96.11; full precision calculated in TRADE 5.3."""
    assert (propellant.start, propellant.growth) == pytest.approx((2627.8223590013, -37.1535909449), rel=1e-11)
    assert (round(propellant.start, 2), round(propellant.growth, 2)) == (2627.82, -37.15)
    assert round(propellant.scatter, 2) == 96.11


def test_propellant_interval(propellant):
    """Published 2048.32 to 2464.32 at 10 weeks, 95 % (S74, from rounded hand figures); raw data give TRADE's."""
    found = predict(propellant, 10, 0.95)
    assert (found.low, found.high) == pytest.approx((2048.3845936, 2464.1883055), abs=1e-6)
    assert (found.low, found.high) == pytest.approx((2048.32, 2464.32), abs=0.15)


def test_formula_of_the_published_interval():
    """S74's own rounded figures, put into the same formula, give the published interval to the hundredth."""
    reach = 2.101 * sqrt(9244.59 * (1 + 1 / 20 + (10 - 13.3625) ** 2 / 1106.56))
    assert (round(2256.32 - reach, 2), round(2256.32 + reach, 2)) == (2048.32, 2464.32)
    assert student.point_above(0.025, 18) == pytest.approx(2.1009220, abs=1e-7)


# Thirteen trials of a vaccine, the usual worked example of random effects: treated ill and well, then the others.
TRIALS = """
  4 119 11 128 | 6 300 29 274 | 3 228 11 209 | 62 13536 248 12619 | 33 5036 47 5761 | 180 1361 372 1079
  8 2537 10 619 | 505 87886 499 87892 | 29 7470 45 7232 | 17 1699 65 1600 | 186 50448 141 27197 | 5 2493 3 2338
  27 16886 29 17825
"""


def test_how_far_frames_differ_is_the_published_moment_estimate():
    """DerSimonian-Laird variance between trials, of the log risk ratios: 0.3088 (figures and data from memory)."""
    values, doubts = [], []
    for trial in TRIALS.replace("\n", "|").split("|"):
        if trial.strip():
            ill, well, others_ill, others_well = map(int, trial.split())
            treated, others = ill + well, others_ill + others_well
            values.append(log(ill / treated / (others_ill / others)))
            doubts.append(1 / ill - 1 / treated + 1 / others_ill - 1 / others)
    assert len(values) == 13
    assert round(variance_between(values, doubts), 4) == 0.3088


def test_points_of_students_t():
    """t(0.975, 34) = 2.0322445093 (TRADE 5.2), and the 5 % table of any statistics text."""
    assert student.point_above(0.025, 34) == pytest.approx(2.0322445093, abs=1e-10)
    found = [student.point_above(0.025, df) for df in (1, 5, 10, 1e7)]
    assert [round(t, 3) for t in found] == [12.706, 2.571, 2.228, 1.96]
