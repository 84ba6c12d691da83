"""Makes the sampled waves of this folder, of known content. Needs numpy.

    python3 make.py FOLDER
"""
import pathlib
import sys

import numpy as np


def wave(t, f, *parts):
    """A wave of (order, rms, angle in degrees) as cosines; order 0 is direct."""
    return sum(r if h == 0 else np.sqrt(2) * r * np.cos(2 * np.pi * h * f * t + np.radians(a)) for h, r, a in parts)


def write(name, head, columns, decimals, sep=",", comma=False):
    lines = list(head)
    for row in zip(*columns):
        cells = [f"{v:.{d}f}" for v, d in zip(row, decimals)]
        cells = ["0" if float(c) == 0 else c for c in cells]
        lines.append(sep.join(c.replace(".", ",") if comma else c for c in cells))
    (pathlib.Path(sys.argv[1]) / name).write_text("\n".join(lines) + "\n", encoding="utf-8")


def times(rate, cycles, f):
    return np.arange(round(rate * cycles / f)) / rate


def rectifier():
    """One phase, a rectifier with a capacitor behind it: 10 cycles of 50 Hz, exactly."""
    t = times(6400, 10, 50)
    u = wave(t, 50, (1, 222, 0), (2, 0.7, 20), (3, 13.3, 180), (5, 5.1, 30))
    i = wave(t, 50, (1, 5.63, 18), (2, 0.29, 70), (3, 2.35, -160), (5, 0.84, 25), (7, 0.52, 130), (9, 0.3, -100))
    write("rectifier.csv", ["# one phase, a small rectifier load", "time [ms],u [V],i [A]"], [t * 1e3, u, i], [5, 2, 4])


def probes():
    """As a scope shows it: probes, a line of units, decimal commas, 49.87 Hz."""
    t = times(5000, 11, 49.87) - 0.05
    u = wave(t, 49.87, (1, 231.4, 40), (5, 6, 100), (7, 3, 0), (0, 0.8, 0)) / 200
    i = wave(t, 49.87, (1, 42, 8), (5, 11, 120), (7, 6, -45), (11, 3, 60), (13, 2, 10)) * 10
    write("probes.csv", ["Time;Channel A;Channel B", "(ms);(V);(mV)", ""], [t * 1e3, u, i], [3, 5, 2], ";", True)


def four_wire():
    """Four wires, 60 Hz, unequal loads with triplen orders."""
    t = times(5120, 12.9, 60)
    volts = [(277.3, 2), (281.1, -121.5), (272.8, 119)]
    amps = [(61, -28), (44, -140), (77, 75)]
    u = [wave(t, 60, (1, v, a), (5, 7, 5 * a), (3, 3, 12)) for v, a in volts]
    i = [wave(t, 60, (1, c, a), (3, 9, 3 * a + 20), (5, 6, 5 * a), (9, 2.5, 30)) for c, a in amps]
    head = ["# u_n and the neutral were not recorded", "t [us],u_a [V],u_b [V],u_c [V],i_a [A],i_b [A],i_c [A]"]
    write("four-wire.csv", head, [t * 1e6, *u, *i], [2, 2, 2, 2, 3, 3, 3])


def three_wire():
    """Three wires, two line voltages and two currents, no time column."""
    t = times(12000, 10.6, 50.03)
    v = [wave(t, 50.03, (1, 231 + 4 * k, -120 * k + k), (5, 5, 5 * (-120 * k))) for k in range(3)]
    a = wave(t, 50.03, (1, 31, -64), (7, 2, 15))
    b = wave(t, 50.03, (1, 27, 171), (7, 2, 140))
    write("three-wire.csv", ["u_ab [V]\tu_cb [V]\ti_a [A]\ti_c [A]"], [v[0] - v[1], v[2] - v[1], a, -a - b], [2, 2, 3, 3], "\t")


def short():
    """A little over three cycles."""
    t = times(9000, 3.4, 50.4)
    u = wave(t, 50.4, (1, 118.6, -75), (3, 2.2, 40))
    i = wave(t, 50.4, (1, 14.2, -100), (3, 1.9, 95), (5, 0.7, 3))
    write("short.csv", ["t [ms],u [V],i [A]"], [t * 1e3, u, i], [4, 3, 4])


def interharmonic():
    """Lines between the orders, for the groups: 12.8 kHz, 10 cycles of 50 Hz."""
    t = times(12800, 10, 50)
    u = wave(t, 50, (1, 230, 0), (5, 9, 60), (5.1, 2, 10), (5.3, 3, 80), (6.5, 4, 0), (7, 5, 0), (6.9, 1, 0))
    write("interharmonic.csv", ["t [ms],u [V]"], [t * 1e3, u], [6, 3])


for make in (rectifier, probes, four_wire, three_wire, short, interharmonic):
    make()
