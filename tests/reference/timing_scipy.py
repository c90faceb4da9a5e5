"""Values of the time model from independent packages, for fixtures/references/timing/scipy.toml.

    pip install numpy scipy statsmodels
    python tests/reference/timing_scipy.py > fixtures/references/timing/scipy.toml

The regression is left to statsmodels' weighted least squares and the distributions to SciPy. A prior figure for a class
enters as one more observation of that class, and a faded job as one with less weight; nothing of the closed form in the
program is repeated here. Numbers that the program chose (weights of priors, half-life, first guess of the dispersion) are
written again by hand, so a change there shows as a failing test.
"""

import sys

import numpy as np
import scipy
import scipy.stats
import statsmodels
import statsmodels.api as sm

HALF_LIFE = 20.0
UNITS = {"starter": 2.0, "set": 5.0}
UNIT_MINUTES_MIN = 2.0
DISPERSION, FREEDOM = 2.2, 8.0
SETUP_DEVIATION = 10.0

CRAPES = [("crape myrtle", "small", 6.0, "set"), ("crape myrtle", "medium", 9.0, "starter"), ("crape myrtle", "large", 15.0, "set")]

# A class is its place in `classes`; a job is [counts by class, extras, spent]; readings are jobs without set-up.
CASES = [
    {
        "name": "one kind, three sizes, set-up set",
        "classes": CRAPES,
        "setup": 15.0,
        "jobs": [
            ([12, 3, 0], 0.0, 131.0), ([8, 0, 1], 0.0, 92.0), ([0, 5, 2], 10.0, 112.0), ([20, 4, 0], 0.0, 205.0),
            ([3, 0, 4], 0.0, 97.5), ([10, 2, 1], 25.0, 148.0), ([15, 0, 0], 0.0, 118.0),
        ],
        "quotes": [([12, 3, 1], 0.0, 150.0, 0.8), ([0, 0, 2], 20.0, 60.0, 0.9), ([40, 10, 0], 0.0, 400.0, 0.25)],
    },
    {
        "name": "one kind, set-up learned as the intercept",
        "classes": CRAPES,
        "setup": None,
        "jobs": [
            ([4, 0, 0], 0.0, 41.0), ([20, 0, 0], 0.0, 140.0), ([10, 5, 0], 0.0, 121.0), ([2, 1, 0], 0.0, 37.0),
            ([30, 4, 2], 0.0, 262.0),
        ],
        "quotes": [([5, 0, 0], 0.0, 45.0, 0.8), ([25, 5, 1], 0.0, 210.0, 0.6)],
    },
    {
        "name": "by the foot, one job",
        "classes": [("hedge", "", 1.5, "starter")],
        "setup": 10.0,
        "jobs": [([40], 0.0, 95.0)],
        "quotes": [([60], 0.0, 120.0, 0.8), ([1], 0.0, 13.0, 0.5)],
    },
    {
        "name": "nothing learned yet",
        "classes": [("holly", "", 8.0, "starter"), ("mowing", "", 30.0, "set")],
        "setup": None,
        "jobs": [],
        "quotes": [([5, 1], 0.0, 80.0, 0.8)],
    },
    {
        "name": "two kinds in one total",
        "classes": [("mowing", "", 30.0, "set"), ("gutters", "", 45.0, "starter"), ("holly", "small", 5.0, "set")],
        "setup": None,
        "jobs": [
            ([1, 1, 0], 0.0, 96.0), ([1, 0, 0], 0.0, 41.0), ([1, 1, 0], 0.0, 88.0), ([0, 0, 12], 0.0, 71.0),
            ([1, 0, 6], 0.0, 74.0), ([0, 1, 0], 0.0, 59.0), ([1, 0, 0], 0.0, 37.0),
        ],
        "quotes": [([1, 1, 0], 0.0, 90.0, 0.8), ([1, 0, 10], 5.0, 100.0, 0.7)],
    },
    {
        "name": "forty jobs, the old ones faded",
        "classes": [("holly", "small", 5.0, "set"), ("holly", "large", 11.0, "set")],
        "setup": 0.0,
        "jobs": [
            ([6 + j % 5, j % 3], 0.0, round((6 + j % 5) * (8.0 - j * 0.06) + (j % 3) * (14.0 - j * 0.05) + 3.0 * ((j * 7) % 5 - 2), 2))
            for j in range(40)
        ],
        "quotes": [([10, 2], 0.0, 85.0, 0.8)],
    },
]


def weight_units(minutes, basis):
    return UNITS[basis] * max(1.0, UNIT_MINUTES_MIN / minutes)


def rows_of(case):
    """Rows [set-up, counts...], minutes without what is known, weight, and the kind that the job is filed under."""
    minutes = np.array([c[2] for c in case["classes"]])
    jobs = []
    for counts, extras, spent in case["jobs"]:
        counts = np.array(counts, float)
        known = extras + (case["setup"] or 0.0)
        jobs.append((np.r_[1.0 if case["setup"] is None else 0.0, counts], spent - known, counts @ minutes + known,
                     int(np.argmax(counts * minutes))))
    rows = []
    for place, (x, y, variance, file) in enumerate(jobs):
        later = sum(1 for other in jobs[place + 1:] if other[3] == file)
        rows.append((x, y, variance, case["classes"][file][0], 0.5 ** (later / HALF_LIFE)))
    return rows


def with_prior(case, rows, weights, prior_weights, setup_weight):
    """Design, response and weights with the prior's own rows in front."""
    size = len(case["classes"]) + 1
    x, y, w = [], [], []
    for k, c in enumerate(case["classes"]):
        x.append(np.eye(size)[k + 1]), y.append(c[2]), w.append(prior_weights[k])
    x.append(np.eye(size)[0]), y.append(0.0), w.append(setup_weight)
    for row, weight in zip(rows, weights):
        x.append(row[0]), y.append(row[1]), w.append(weight)
    return np.array(x), np.array(y), np.array(w)


def dispersion_of(case, rows, guess):
    precisions = [weight_units(c[2], c[3]) / c[2] for c in case["classes"]]
    x, y, w = with_prior(case, rows, [r[4] / r[2] for r in rows], precisions, DISPERSION / SETUP_DEVIATION**2)
    fit = sm.WLS(y, x, weights=w).fit()
    freedom = FREEDOM + sum(r[4] for r in rows)
    return (FREEDOM * guess + fit.ssr) / freedom, freedom


def solve(case):
    kinds = list(dict.fromkeys(c[0] for c in case["classes"]))
    rows = rows_of(case)
    filed = {kind: [r for r in rows if r[3] == kind] for kind in kinds}
    own = {kind: dispersion_of(case, filed[kind], DISPERSION) for kind in kinds}
    dispersion, freedom = {}, {}
    for kind in kinds:
        total = FREEDOM * DISPERSION + sum(d * f - FREEDOM * DISPERSION for k, (d, f) in own.items() if k != kind)
        count = FREEDOM + sum(f - FREEDOM for k, (_, f) in own.items() if k != kind)
        dispersion[kind], freedom[kind] = dispersion_of(case, filed[kind], total / count)
    jobs = sum(r[4] for r in rows)
    typical = sum(r[4] * dispersion[r[3]] for r in rows) / jobs if jobs else DISPERSION
    x, y, w = with_prior(
        case, rows, [r[4] / (r[2] * dispersion[r[3]]) for r in rows],
        [weight_units(c[2], c[3]) / (c[2] * dispersion[c[0]]) for c in case["classes"]],
        DISPERSION / (SETUP_DEVIATION**2 * typical))
    fit = sm.WLS(y, x, weights=w).fit()
    return fit.params, fit.normalized_cov_params, dispersion, freedom


def show(value):
    return repr(float(value))


def main():
    print(f"# Made by tests/reference/timing_scipy.py with Python {sys.version.split()[0]}, NumPy {np.__version__}, "
          f"SciPy {scipy.__version__}, statsmodels {statsmodels.__version__}.")
    print("# A class is [kind, size, minutes, basis]; a job [counts by class, extras, spent], in man-minutes;")
    print("# a quote asks for the chance within `budget` and for the budget at `chance`. Ranges hold 8 times in 10.")
    for case in CASES:
        mean, cov, dispersion, freedom = solve(case)
        print(f'\n[[case]]\nname = "{case["name"]}"')
        if case["setup"] is not None:
            print(f"setup = {case['setup']}")
        print("jobs = [")
        for counts, extras, spent in case["jobs"]:
            print(f"  {{ counts = {[float(c) for c in counts]}, extras = {extras}, spent = {float(spent)} }},")
        print("]")
        for k, (kind, size, minutes, basis) in enumerate(case["classes"]):
            t = scipy.stats.t(freedom[kind], mean[k + 1], np.sqrt(cov[k + 1, k + 1]))
            print(f'\n[[case.class]]\nkind = "{kind}"\nsize = "{size}"\nminutes = {minutes}\nbasis = "{basis}"')
            print(f"mean = {show(mean[k + 1])}\nlow = {show(t.ppf(0.1))}\nhigh = {show(t.ppf(0.9))}")
        for counts, extras, budget, chance in case["quotes"]:
            counts = np.array(counts, float)
            known = extras + (case["setup"] or 0.0)
            x = np.r_[1.0 if case["setup"] is None else 0.0, counts]
            listed = counts * np.array([c[2] for c in case["classes"]])
            main_kind = case["classes"][int(np.argmax(listed))][0]
            noise = dispersion[main_kind] * (listed.sum() + known)
            df = min(freedom[c[0]] for c, n in zip(case["classes"], counts) if n > 0)
            t = scipy.stats.t(df, x @ mean + known, np.sqrt(noise + x @ cov @ x))
            print(f"\n[[case.quote]]\ncounts = {[float(c) for c in counts]}\nextras = {extras}\nbudget = {budget}\nchance = {chance}")
            print(f"mean = {show(t.mean())}\nlow = {show(t.ppf(0.1))}\nhigh = {show(t.ppf(0.9))}")
            print(f"chance_within = {show(t.cdf(budget))}\nbudget_for = {show(t.ppf(chance))}")
    print("\n# Student t: the value not exceeded with a chance")
    for df in [1, 1.5, 2, 2.5, 4, 8, 9.3, 30, 250.7]:
        for p in [0.0005, 0.02, 0.1, 0.3, 0.5001, 0.62, 0.8, 0.9, 0.975, 0.9999]:
            print(f"\n[[student]]\nfreedom = {float(df)}\nchance = {p}\nquantile = {show(scipy.stats.t(df).ppf(p))}")


main()
