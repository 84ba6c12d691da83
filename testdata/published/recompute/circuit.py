"""Sampled waves and small circuits from which the figures of recompute.py follow.

Nothing here uses the formulas that are checked: powers are means of sampled
products, rms values roots of sampled squares, sequence components come from
solving a matrix, resonances from scanning an impedance.
"""
import numpy as np

N = 7200  # samples of one cycle: whole cycles of every order below 100
T = np.arange(N) / N
TURN = np.exp(2j * np.pi / 3)


def wave(*parts):
    """A wave of (order, rms, angle in degrees) as cosines."""
    return sum(np.sqrt(2) * r * np.cos(2 * np.pi * h * T + np.radians(a)) for h, r, a in parts)


def rms(x):
    return float(np.sqrt(np.mean(x * x)))


def power(u, i):
    return float(np.mean(u * i))


def quarter(u):
    """The wave a quarter of a cycle of its fundamental later: for sine waves."""
    return np.roll(u, N // 4)


def reactive(u, i):
    """Fundamental reactive power, lagging positive."""
    return power(quarter(u), i)


def fundamental(x):
    """The fundamental of a wave, by least squares."""
    basis = np.column_stack([np.cos(2 * np.pi * T), np.sin(2 * np.pi * T)])
    return basis @ np.linalg.lstsq(basis, x, rcond=None)[0]


def phasor(x):
    """The rms phasor of a wave's fundamental."""
    basis = np.column_stack([np.cos(2 * np.pi * T), -np.sin(2 * np.pi * T)])
    c = np.linalg.lstsq(basis, x, rcond=None)[0]
    return complex(c[0], c[1]) / np.sqrt(2)


def lag(u, i):
    """The angle in degrees by which one wave's fundamental lags another's."""
    return float(np.degrees(np.angle(phasor(u) / phasor(i))))


def components(a, b, c):
    """Zero, positive and negative sequence, by solving for them."""
    m = np.array([[1, 1, 1], [1, TURN**2, TURN], [1, TURN, TURN**2]])
    return np.linalg.solve(m, np.array([a, b, c]))


def triangle(ab, bc, ca):
    """Line voltages as phasors, by placing the corners in the plane."""
    a, b = 0j, complex(-ab, 0)
    x = (ca**2 - bc**2 + ab**2) / (2 * ab)
    c = complex(-x, np.sqrt(ca**2 - x**2))
    # Voltage from one corner to the next, forward sequence.
    return a - b, b - c, c - a


def bisect(f, low, high):
    """The root of a rising function."""
    for _ in range(200):
        mid = (low + high) / 2
        if f(mid) < 0:
            low = mid
        else:
            high = mid
    return (low + high) / 2


def lowest(f, low, high):
    """Where a function of one valley is lowest, by golden section."""
    g = (np.sqrt(5) - 1) / 2
    for _ in range(200):
        a, b = high - g * (high - low), low + g * (high - low)
        if f(a) < f(b):
            high = b
        else:
            low = a
    return (low + high) / 2
