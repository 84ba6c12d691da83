"""Analyses the waves of this folder with numpy, another way than the program does.

The frequency is that at which fundamental and harmonics together leave least of
the wave; orders come from one least-squares fit over all samples, rms values and
powers from sums over orders. Only the groups come from a Fourier transform. Needs
numpy. The output is committed as analysed.json:

    python3 analyse.py > analysed.json
"""
import csv
import json
import pathlib
import sys

import numpy as np

HERE = pathlib.Path(__file__).parent
ORDERS = 25


def read(name, sep, skip, comma=False):
    rows = []
    with open(HERE / name, encoding="utf-8") as file:
        for row in list(csv.reader(file, delimiter=sep))[skip:]:
            if row:
                rows.append([float(c.replace(",", ".") if comma else c) for c in row])
    return np.array(rows).T


def basis(t, f):
    cols = [np.ones_like(t)]
    for h in range(1, ORDERS + 1):
        cols += [np.cos(2 * np.pi * h * f * t), -np.sin(2 * np.pi * h * f * t)]
    return np.column_stack(cols)


def left(t, f, x):
    b = basis(t, f)
    return np.linalg.norm(x - b @ np.linalg.lstsq(b, x, rcond=None)[0])


def frequency(t, x, near):
    """By golden section, from a coarse scan around the expected frequency."""
    scan = np.arange(near - 2, near + 2, 0.2)
    middle = scan[np.argmin([left(t, f, x) for f in scan])]
    low, high, g = middle - 0.2, middle + 0.2, (np.sqrt(5) - 1) / 2
    for _ in range(45):
        a, b = high - g * (high - low), low + g * (high - low)
        if left(t, a, x) < left(t, b, x):
            high = b
        else:
            low = a
    return (low + high) / 2


def orders(t, f, x):
    """Direct part and rms phasors of the orders."""
    c = np.linalg.lstsq(basis(t, f), x, rcond=None)[0]
    return np.concatenate([[c[0]], (c[1::2] + 1j * c[2::2]) / np.sqrt(2)])


def spectrum(out, name, z, reference):
    size = np.abs(z)
    out[name + ".rms"] = np.linalg.norm(size)
    out[name + ".thd"] = np.linalg.norm(size[2:]) / size[1]
    out[name + ".f_hl"] = np.sum(np.arange(1, ORDERS + 1)**2 * size[1:]**2) / np.sum(size[1:]**2)
    for h in range(1, ORDERS + 1):
        out[f"{name}.h{h}"] = size[h]
        if size[h] > 0.02 * size[1]:
            out[f"{name}.h{h}.angle"] = np.degrees(np.angle(z[h] * np.exp(-1j * h * np.angle(reference[1]))))


def powers(out, name, u, i):
    flow = u * np.conj(i)
    P, S = float(np.sum(flow.real)), np.linalg.norm(np.abs(u)) * np.linalg.norm(np.abs(i))
    out[name + "active"], out[name + "apparent"] = P, S
    out[name + "reactive"] = flow[1].imag
    out[name + "pf"], out[name + "dpf"] = P / S, np.cos(np.angle(flow[1]))
    return P


def single(name, t, near, u, i):
    f = frequency(t, u, near)
    zu, zi = orders(t, f, u), orders(t, f, i)
    out = {"frequency": f}
    spectrum(out, "u", zu, zu)
    spectrum(out, "i", zi, zu)
    powers(out, "", zu, zi)
    return out


def three(t, near, u, i, names="abc"):
    f = frequency(t, u[0], near)
    zu, zi = [orders(t, f, x) for x in u], [orders(t, f, x) for x in i]
    out = {"frequency": f}
    total = 0.0
    for k, name in enumerate(names):
        spectrum(out, "u_" + name, zu[k], zu[0])
        spectrum(out, "i_" + name, zi[k], zu[0])
        total += powers(out, name + ".", zu[k], zi[k])
    turn = np.exp(2j * np.pi / 3)
    m = np.array([[1, 1, 1], [1, turn**2, turn], [1, turn, turn**2]])
    sv = np.linalg.solve(m, np.array([z[1] for z in zu]))
    si = np.linalg.solve(m, np.array([z[1] for z in zi]))
    n = sum(zi)
    lines = [zu[0] - zu[1], zu[1] - zu[2], zu[2] - zu[0]]
    sq = lambda zs, part=slice(None): sum(np.sum(np.abs(z[part])**2) for z in zs)
    for word, part in (("", slice(None)), ("1", slice(1, 2))):
        ve = np.sqrt((3 * sq(zu, part) + sq(lines, part)) / 18)
        ie = np.sqrt((sq(zi, part) + sq([n], part)) / 3)
        out["total.effective" + word] = 3 * ve * ie
    out.update({"total.active": total, "total.negative": abs(sv[2] / sv[1]), "total.zero": abs(sv[0] / sv[1]),
                "total.negative-current": abs(si[2] / si[1]), "total.zero-current": abs(si[0] / si[1]),
                "total.positive-active": 3 * (sv[1] * np.conj(si[1])).real, "neutral.rms": np.linalg.norm(np.abs(n)),
                "neutral.h3": abs(n[3]), "u_ab.rms": np.linalg.norm(np.abs(lines[0]))})
    return out


def grouped(x):
    """Lines, groups and subgroups of ten cycles of 50 Hz."""
    y = np.abs(np.fft.rfft(x)) * np.sqrt(2) / len(x)
    out = {}
    for h in range(1, 15):
        k = 10 * h
        out[f"u.h{h}"] = y[k]
        out[f"u.g{h}"] = np.sqrt(y[k - 5]**2 / 2 + np.sum(y[k - 4:k + 5]**2) + y[k + 5]**2 / 2)
        out[f"u.sg{h}"] = np.linalg.norm(y[k - 1:k + 2])
    out["u.rms"] = np.sqrt(np.mean(x * x))
    return out


def main():
    result = {}
    t, u, i = read("rectifier.csv", ",", 2)
    result["rectifier.csv"] = single("rectifier", t / 1e3, 50, u, i)
    t, u, i = read("probes.csv", ";", 3, True)
    result["probes.csv"] = single("probes", t / 1e3, 50, u * 200, i / 1e3 * 100)
    t, *w = read("four-wire.csv", ",", 2)
    result["four-wire.csv"] = three(t / 1e6, 60, w[:3], w[3:])
    ab, cb, a, c = read("three-wire.csv", "\t", 1)
    # To the middle of the triangle of line voltages.
    star = [(2 * ab - cb) / 3, (-ab - cb) / 3, (2 * cb - ab) / 3]
    result["three-wire.csv"] = three(np.arange(len(a)) / 12000, 50, star, [a, -a - c, c])
    t, u, i = read("short.csv", ",", 1)
    result["short.csv"] = single("short", t / 1e3, 50, u, i)
    _, u = read("interharmonic.csv", ",", 1)
    result["interharmonic.csv"] = grouped(u)
    json.dump({f: {k: float(v) for k, v in r.items()} for f, r in result.items()}, sys.stdout, indent=1)
    print()


main()
