"""Writes elementary-functions.csv: true values of elementary functions to twice the accuracy of a double.

Usage: python make_elementary_functions.py [points] > elementary-functions.csv     (needs mpmath; 1.3.0 was used)
Each line is function,x,value,remainder: value is the true result rounded to a double, remainder what rounding took away.
"""
import math
import random
import sys
from mpmath import mp, mpf

mp.prec = 2400  # enough to reduce any double by pi exactly
POINTS = int(sys.argv[1]) if len(sys.argv) > 1 else 150
draw = random.Random(20)


def spread(low, high):
    """Evenly over the range, and evenly over the exponents below it, either sign."""
    for _ in range(POINTS):
        yield draw.uniform(low, high)
    for _ in range(POINTS // 2):
        x = 2.0 ** draw.uniform(-60, math.log2(high)) * draw.uniform(0.5, 1)
        yield x if low >= 0 or draw.random() < 0.5 else -x
        if low < 0:
            yield -x


def angles():
    yield from spread(-8, 8)
    yield from spread(-1e6, 1e6)
    for k in [1, 2, 3, 4, 5, 22, 355, 710, 52174, 260870, 573204, 667540]:  # doubles next to quarter turns, where all digits cancel
        x = float(k * mp.pi / 2)
        yield x
        yield -x


def logarithms():
    yield from spread(1e-9, 4)
    for _ in range(POINTS):
        yield draw.uniform(1, 2) * 2.0 ** draw.randint(-1022, 1023)
    for _ in range(POINTS):
        yield 1 + draw.uniform(-1, 1) * 2.0 ** draw.uniform(-52, -2)
    for shift in range(40, 52):
        yield 2.0 ** -1022 / 2.0 ** shift * draw.uniform(1, 2)


def powers(limit):
    yield from spread(-limit, limit)
    yield from spread(-2, 2)


FUNCTIONS = [
    ("sin", mp.sin, angles()),
    ("cos", mp.cos, angles()),
    ("tan", mp.tan, angles()),
    ("exp", mp.exp, powers(700)),
    ("exp2", lambda x: mpf(2) ** x, powers(1020)),
    ("log2", lambda x: mp.log(x) / mp.log(2), logarithms()),
    ("log", mp.log, logarithms()),
    ("tanh", mp.tanh, (x for pair in (spread(-20, 20), spread(-2, 2)) for x in pair)),
]

for name, function, arguments in FUNCTIONS:
    for x in arguments:
        exact = function(mpf(x))
        value = float(exact)
        print(f"{name},{x!r},{value!r},{float(exact - mpf(value))!r}")
