"""Answers the questions of the sampling tests with SciPy."""
import json
import sys

import numpy as np
from scipy import stats

ask = json.load(sys.stdin)


def for_share(p, g, worse):
    n = worse + 1
    while stats.binom.cdf(worse, n, 1 - p) > 1 - g:
        n += 1
    return n


def for_mean(x, half, g):
    x = np.array(x)
    n = len(x)
    while stats.t.ppf(1 - (1 - g) / 2, n - 1) * x.std(ddof=1) / np.sqrt(n) / x.mean() > half:
        n += 1
    return n - len(x)


def buy(good, sample, wanted, g, mixed):
    """Items to buy when only the number of sound ones counts."""
    n = wanted
    k = np.arange(sample + 1)
    weight = stats.binom.pmf(k, sample, good / sample) if mixed else (k == good)
    while np.sum(weight * stats.binom.sf(wanted - 1, n, k / sample)) < g:
        n += 1
    return n


print(json.dumps({
    "share": [for_share(*a) for a in ask["share"]],
    "mean": [for_mean(*a) for a in ask["mean"]],
    "buy": [buy(*a) for a in ask["buy"]],
    "plain": [int(a[2] + stats.nbinom.ppf(a[3], a[2], a[0] / a[1])) for a in ask["buy"]],
    "mad": [stats.median_abs_deviation(x) for x in ask["mad"]],
    "sd": [float(np.std(x, ddof=1)) for x in ask["mad"]],
}))
