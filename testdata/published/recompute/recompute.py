"""Recomputes every formula of package power from sampled waves and circuits.

Prints JSON: for each case the formula's name, what it is given, what it must
give, how that was found, and, where the way is a numerical one, within which
share. Needs numpy. The output is committed as values.json:

    python3 recompute.py > values.json
"""
import json
import sys

import numpy as np

from circuit import (N, T, bisect, components, fundamental, lag, lowest, phasor, power, quarter,
                     reactive, rms, triangle, wave)

CASES = []


def case(formula, given, gives, by, within=1e-9):
    given = [float(g) for g in given]
    CASES.append({"formula": formula, "given": given, "gives": float(gives), "by": by, "within": within})


def one_phase():
    by = "sampled sine waves: mean of the product, with the voltage a quarter later for reactive power"
    u, i = wave((1, 231.2, 17)), wave((1, 84.1, 17 - 32.9))
    U, I, P, Q, phi = rms(u), rms(i), power(u, i), reactive(u, i), lag(u, i)
    # The most power that a voltage and a current of these sizes can carry.
    S = max(power(u, np.roll(i, k)) for k in range(-900, 901))
    S = max(S, power(wave((1, U, 0)), wave((1, I, 0))))
    most = "sampled sine waves: the most power that waves of these sizes carry at any angle"
    case("apparent power", [U, I], S, most)
    case("apparent power between two lines", [U, I], S, most)
    case("current", [S, U], I, by)
    case("active power", [U, I, P / S], P, by)
    case("active power from apparent power", [S, P / S], P, by)
    case("active power from apparent and reactive power", [S, Q], P, by)
    case("active power from angle", [S, phi], P, by)
    case("apparent power from active and reactive power", [P, Q], S, by)
    case("apparent power from active power", [P, np.cos(np.radians(phi))], S, by)
    case("power factor", [P, S], np.cos(np.radians(phi)), by)
    case("reactive power", [S, P], Q, by)
    case("reactive power from power factor", [P, P / S], Q, by)
    case("reactive power from angle", [S, phi], Q, by)
    case("angle", [P / S], phi, by)
    case("displacement power factor from angle", [phi], P / S, by)
    early = wave((1, 84.1, 17 + 25.3))
    P, Q, phi = power(u, early), reactive(u, early), lag(u, early)
    case("reactive power, leading", [S, P], Q, by)
    case("reactive power from power factor, leading", [P, P / S], Q, by)
    case("angle, leading", [P / S], phi, by)


def distorted():
    by = "sampled waves; fundamentals by least squares, the rest by subtraction"
    u = wave((1, 230, 10), (3, 7, 40), (5, 9, 100), (7, 4, -60))
    i = wave((1, 20, -18), (3, 6, 5), (5, 4, 77), (9, 2, 150))
    u1, i1 = fundamental(u), fundamental(i)
    uh, ih = u - u1, i - i1
    U, I, U1, I1, UH, IH = rms(u), rms(i), rms(u1), rms(i1), rms(uh), rms(ih)
    P, P1, PH, Q1 = power(u, i), power(u1, i1), power(uh, ih), reactive(u1, i1)
    S, S1, SH, DI, DV = U * I, U1 * I1, UH * IH, U1 * IH, UH * I1
    case("non-fundamental current", [I, I1], IH, by)
    case("non-fundamental voltage", [U, U1], UH, by)
    case("fundamental apparent power", [S, UH / U1, IH / I1], S1, by)
    case("fundamental reactive power", [S1, P1], Q1, by)
    case("current distortion power", [S1, IH / I1], DI, by)
    case("voltage distortion power", [S1, UH / U1], DV, by)
    case("harmonic apparent power", [S1, UH / U1, IH / I1], SH, by)
    case("non-fundamental apparent power", [S, S1], np.sqrt(DI**2 + DV**2 + SH**2), by)
    case("harmonic active power", [P, P1], PH, by)
    fryze = "sampled waves: the current less what a resistor of the same power would take"
    case("non-active power", [S, P], U * rms(i - P / U**2 * u), fryze)
    case("harmonic distortion power", [SH, PH], UH * rms(ih - PH / UH**2 * uh), fryze)
    case("displacement power factor", [P1, S1], np.cos(np.radians(lag(u, i))), by)
    case("rms current from fundamental", [I1, IH / I1], I, by)
    case("rms voltage from fundamental", [U1, UH / U1], U, by)
    case("fundamental current", [I, IH / I1], I1, by)
    case("fundamental voltage", [U, UH / U1], U1, by)
    case("harmonic current", [I1, IH / I1], IH, by)
    case("distortion of rms from that of fundamental", [IH / I1], IH / I, by)
    case("distortion of fundamental from that of rms", [IH / I], IH / I1, by)
    case("distortion from orders", [6 / 20, 4 / 20, 2 / 20], IH / I1, by)
    part = wave((3, 6, 5), (5, 4, 77))
    case("distortion left over by the orders", [IH / I1, rms(part) / I1], rms(ih - part) / I1, by)
    case("crest factor", [np.max(np.abs(i)), I], np.max(np.abs(i)) / np.sqrt(np.mean(i**2)), by)
    case("total demand distortion", [IH / I1, I1, 55], IH / 55, by)
    # Voltage and current share no order but the first: no harmonic power flows.
    u, i = wave((1, 230, 10), (5, 9, 100)), wave((1, 20, -18), (3, 6, 5), (7, 3, 44))
    U1, I1 = rms(fundamental(u)), rms(fundamental(i))
    d = [rms(x - fundamental(x)) / rms(fundamental(x)) for x in (u, i)]
    shift = power(fundamental(u), fundamental(i)) / U1 / I1
    case("true power factor from displacement", [shift, *d], power(u, i) / rms(u) / rms(i), by)
    u = fundamental(u)
    case("displacement power factor from true", [power(u, i) / rms(u) / rms(i), d[1]], shift, by)


def balanced():
    by = "sampled waves of three phases"
    v = [wave((1, 231, -120 * k)) for k in range(3)]
    i = [wave((1, 47, -120 * k - 28)) for k in range(3)]
    V, U, I = rms(v[0]), rms(v[0] - v[1]), rms(i[0])
    P = power(v[0], i[0]) + power(v[1], i[1]) + power(v[2], i[2])
    Q = sum(reactive(a, b) for a, b in zip(v, i))
    pf = np.cos(np.radians(lag(v[0], i[0])))
    S = P / pf
    case("line-to-line voltage", [V], U, by)
    case("line-to-neutral voltage", [U], V, by)
    case("balanced three-phase apparent power", [U, I], S, by)
    case("balanced three-phase active power", [U, I, pf], P, by)
    case("balanced three-phase current", [S, U], I, by)
    case("three-phase active power from one phase", [power(v[0], i[0])], P, by)
    case("three-phase reactive power from one phase", [reactive(v[0], i[0])], Q, by)
    case("three-phase apparent power from one phase", [rms(v[0]) * rms(i[0])], S, by)
    case("angle from line voltage", [lag(v[0] - v[1], i[0])], lag(v[0], i[0]), by)
    w1, w2 = power(v[2] - v[1], i[2]), power(v[0] - v[1], i[0])
    phi = lag(v[0], i[0])
    case("two-wattmeter active power", [w1, w2], P, by)
    case("two-wattmeter reactive power", [w1, w2], Q, by)
    case("two-wattmeter tangent", [w1, w2], np.tan(np.radians(phi)), by)
    case("two-wattmeter power factor", [w1, w2], pf, by)
    case("first wattmeter of a balanced load", [U, I, phi], w1, by)
    case("second wattmeter of a balanced load", [U, I, phi], w2, by)
    i = [wave((1, 47, -120 * k - 71)) for k in range(3)]
    case("second wattmeter of a balanced load", [U, I, 71], power(v[0] - v[1], i[0]), by + ", power factor below one half")


def unbalanced():
    by = "sampled waves of three unequal phases"
    v = [wave((1, 228, 2)), wave((1, 236, -121)), wave((1, 224, 118))]
    i = [wave((1, 60, -20)), wave((1, 35, -165)), wave((1, 82, 130))]
    n = sum(i)
    P = float(np.mean(sum(a * b for a, b in zip(v, i))))
    Q = float(np.mean(sum(quarter(a) * b for a, b in zip(v, i))))
    phases = [rms(a) * rms(b) for a, b in zip(v, i)]
    case("active power, sum of the phases", [power(a, b) for a, b in zip(v, i)], P, by)
    case("reactive power, sum of the phases", [reactive(a, b) for a, b in zip(v, i)], Q, by)
    case("arithmetic apparent power", phases, rms(v[0]) * rms(i[0]) + rms(v[1]) * rms(i[1]) + rms(v[2]) * rms(i[2]), by)
    z = sum(phasor(a) * np.conj(phasor(b)) for a, b in zip(v, i))
    case("vector apparent power", [P, Q], abs(z), "complex powers of the phasors added")
    lines = [v[0] - v[1], v[1] - v[2], v[2] - v[0]]
    heat = "mean heat in equal resistors that these waves feed"
    mean = lambda waves: np.sqrt(float(np.mean(sum(x * x for x in waves))) / 3)
    case("quadratic mean of phase voltages", map(rms, v), mean(v), heat)
    case("quadratic mean of line voltages", map(rms, lines), mean(lines), heat)
    case("quadratic mean of currents", map(rms, i), mean(i), heat)
    # Three resistors R in star and three of 3R in delta take 6 V_e^2 / R.
    taken = float(np.mean(sum(x * x for x in v) / 10 + sum(x * x for x in lines) / 30))
    Ve = np.sqrt(taken * 10 / 6)
    case("effective voltage", [mean(v), mean(lines)], Ve, "mean heat in a star and a delta of resistors that take half each")
    delta = float(np.mean(sum(x * x for x in lines) / 30))
    case("effective voltage, three wires", [mean(lines)], np.sqrt(delta * 10 / 3), "mean heat in a delta of resistors")
    lost = float(np.mean(0.1 * sum(x * x for x in i) + 0.17 * n * n))
    Ie = np.sqrt(lost / 0.3)
    case("effective current", [mean(i), rms(n), 1.7], Ie, "mean heat in lines of 0.1 ohm and a neutral of 0.17 ohm")
    most = 3 * power(wave((1, Ve, 0)), wave((1, Ie, 0)))
    same = "sampled waves of a balanced load of the effective voltage and current"
    for name in ("effective apparent power", "effective fundamental apparent power"):
        case(name, [Ve, Ie], most, same)
    case("effective harmonic apparent power", [Ve, Ie], most, same)
    case("effective current distortion power", [Ve, Ie], most, same)
    case("effective voltage distortion power", [Ve, Ie], most, same)
    size = [rms(x) for x in i]
    case("current unbalance", size, np.max(np.abs(np.array(size) - np.mean(size))) / np.mean(size), "numpy")
    size = [rms(x) for x in lines]
    case("voltage unbalance, NEMA", size, np.max(np.abs(np.array(size) - np.mean(size))) / np.mean(size), "numpy")
    size = [rms(x) for x in v]
    case("deviation of phase voltages", size, np.max(np.abs(np.array(size) - np.mean(size))) / np.mean(size), "numpy")


def effective():
    by = "sampled waves of a four-wire load with harmonics; parts apart, then together"
    v = [wave((1, 230, -120 * k), (5, 8, 40 * k), (3, 5, 10)) for k in range(3)]
    i = [wave((1, 40 + 12 * k, -120 * k - 30), (3, 9, 5), (7, 4, 50 * k)) for k in range(3)]
    v1, i1 = [fundamental(x) for x in v], [fundamental(x) for x in i]
    vh, ih = [a - b for a, b in zip(v, v1)], [a - b for a, b in zip(i, i1)]

    def ve(w):
        lines = [w[0] - w[1], w[1] - w[2], w[2] - w[0]]
        return np.sqrt(float(np.mean(sum(x * x for x in w) / 10 + sum(x * x for x in lines) / 30)) * 10 / 6)

    def ie(w):
        return np.sqrt(float(np.mean(sum(x * x for x in w) + sum(w)**2)) / 3)

    case("effective harmonic voltage", [ve(v), ve(v1)], ve(vh), by)
    case("effective harmonic current", [ie(i), ie(i1)], ie(ih), by)
    case("effective distortion of voltage", [ve(vh), ve(v1)], np.sqrt(ve(v)**2 / ve(v1)**2 - 1), by)
    case("effective distortion of current", [ie(ih), ie(i1)], np.sqrt(ie(i)**2 / ie(i1)**2 - 1), by)
    parts = [3 * ve(v1) * ie(ih), 3 * ve(vh) * ie(i1), 3 * ve(vh) * ie(ih)]
    case("effective non-fundamental apparent power", [3 * ve(v) * ie(i), 3 * ve(v1) * ie(i1)], np.linalg.norm(parts), by)
    zero, plus, minus = components(*map(phasor, i1))
    V = rms(v1[0])
    sequence = "sequence components by solving a matrix, then sampled waves of the positive sequence"
    shape = lambda z, k: wave((1, abs(z), np.degrees(np.angle(z)) - 120 * k))
    pv, pi = [shape(V, k) for k in range(3)], [shape(plus, k) for k in range(3)]
    S = 3 * rms(pv[0]) * rms(pi[0])
    P, Q = sum(map(power, pv, pi)), sum(map(reactive, pv, pi))
    case("positive-sequence apparent power", [V, abs(plus)], np.hypot(P, Q), sequence)
    case("positive-sequence active power", [S, lag(pv[0], pi[0])], P, sequence)
    case("positive-sequence reactive power", [S, lag(pv[0], pi[0])], Q, sequence)
    case("positive-sequence power factor", [P, S], np.cos(np.radians(lag(pv[0], pi[0]))), sequence)
    # Balanced voltages; the neutral as thick as a line carries three times I_0.
    case("unbalance power", [3 * ve(v1) * ie(i1), S], 3 * V * np.sqrt(abs(minus)**2 + 4 * abs(zero)**2), sequence)
    case("negative-sequence unbalance of current", [abs(minus), abs(plus)], abs(minus / plus), sequence)
    case("zero-sequence unbalance of current", [abs(zero), abs(plus)], abs(sum(map(phasor, i1)) / 3 / plus), sequence)


def sequence():
    by = "a triangle placed in the plane, its sequence components by solving a matrix"
    for sides in ((400, 380, 420), (462, 463, 455), (274, 274, 225), (410, 400, 390)):
        _, plus, minus = components(*triangle(*sides))
        u2 = abs(minus) / abs(plus)
        r = (1 - u2**2) / (1 + u2**2)
        case("negative-sequence unbalance", sides, u2, by, 1e-7)
        case("beta of line voltages", sides, (3 - r * r) / 6, by)
        case("negative-sequence unbalance from beta", [(3 - r * r) / 6], u2, by, 1e-7)
    z = components(7.3 * np.exp(1j * np.radians(12.5)), 0.4 * np.exp(-1j * np.radians(100)), 4.4 * np.exp(1j * np.radians(154)))
    case("negative-sequence unbalance from components", [abs(z[2]), abs(z[1])], abs(z[2] / z[1]), "complex ratio")
    case("zero-sequence unbalance from components", [abs(z[0]), abs(z[1])], abs(z[0] / z[1]), "complex ratio")


def neutrals():
    by = "sampled currents added"
    i = [wave((1, r, -120 * k - 12)) for k, r in enumerate((100, 80, 60))]
    case("neutral current without harmonics", map(rms, i), rms(sum(i)), by)
    t = [wave((3, 30, -360 * k), (9, 12, 40 - 1080 * k)) for k in range(3)]
    case("neutral current of triplen orders", [30, 12], rms(sum(t)), by)
    t3 = [wave((3, r, 7)) for r in (30, 21, 26)]
    case("neutral current of one triplen order", map(rms, t3), rms(sum(t3)), by)
    case("neutral current", [rms(sum(i)), rms(sum(t))], rms(sum(i) + sum(t)), by)
    b = [wave((1, 20, -120 * k), (3, 14, 30), (5, 6, -600 * k)) for k in range(3)]
    d = rms(b[0] - fundamental(b[0])) / 20
    case("neutral current over line current", [14 / 20, d], rms(sum(b)) / rms(b[0]), by)
    v1, v2 = wave((1, 120, 0)), -wave((1, 119, 0))
    i1, i2 = wave((1, 40, -31)), -wave((1, 25, -8))
    case("split-phase outer voltage", [120, 119], rms(v1 - v2), by)
    case("split-phase neutral current", [40, 25, lag(v1, i1), lag(v2, i2)], rms(i1 + i2), by)
    i2 = -wave((1, 25, -31))
    case("split-phase neutral current, legs alike", [40, 25], rms(i1 + i2), by)


def losses():
    orders = [1, 0, 0, 0, 0.2, 0, 0.14, 0, 0, 0, 0.091, 0, 0.077]
    fine = np.arange(400000) / 400000
    i = sum(np.sqrt(2) * r * np.cos(2 * np.pi * (h + 1) * fine + h) for h, r in enumerate(orders))
    slope = (np.roll(i, -1) - np.roll(i, 1)) * 400000 / 2 / (2 * np.pi)
    f = float(np.mean(slope**2) / np.mean(i**2))
    case("harmonic loss factor", orders, f, "mean square of the sampled current's slope over that of the current", 1e-6)
    lines = np.abs(np.fft.rfft(i))[1:14]**2
    case("stray loss factor", orders, np.average(np.arange(1, 14)**0.8, weights=lines), "mean of h^0.8 over the power spectrum")
    I = rms(i)
    case("K-factor", [f, 300 * I, 412], np.sum(np.arange(1, 14)**2 * lines) / np.sum(lines) * (300 * I / 412)**2, "power spectrum", 1e-6)
    for name, q in (("factor K sum, round or rectangular conductors", 1.7), ("factor K sum, foil", 1.5)):
        case(name, orders, np.dot(np.arange(2, 14)**q, np.abs(np.fft.rfft(i))[2:14]**2) / lines[0], "power spectrum from order 2")
    # The loss of the distorted current over that of a sine wave of its rms value.
    s = float(np.dot(np.arange(2, 14)**1.7, np.square(orders[1:])))
    e, d = 0.1, np.sqrt(I * I - 1)
    case("factor K", [e, s, d], np.sqrt((I * I * (1 + e) + e * s) / (I * I * (1 + e))), "loss of the distorted current over that of a sine wave")
    case("transformer rating under factor K", [1.1467], bisect(lambda x: (x * 1.1467) - 1, 0, 1), "the share whose loss with harmonics is the rated one")
    for p in (0.05, 0.15):
        share = bisect(lambda x: x * x * (1 + f * p) - (1 + p), 0, 2)
        case("transformer capability under harmonics", [f, p], share, "the current whose loss is the rated one")
    case("derated transformer", [1e6, 0.861], bisect(lambda x: x / 1e6 - 0.861, 0, 1e6), "the power whose share of the rating it is")


def correction():
    by = "admittances at one frequency, the target by bisection"
    P, before, target = 87e3, 0.74, 0.96
    q = P * np.tan(np.arccos(before))
    pf = lambda c: P / abs(complex(P, q - c))
    c = bisect(lambda c: pf(c) - target, 0, q)
    case("capacitor for a power factor", [P, before, target], c, by, 1e-8)
    case("capacitor for a power factor from reactive power", [P, q, target], c, by, 1e-8)
    case("apparent power freed", [P, before, target], abs(complex(P, q)) - abs(complex(P, q - c)), by, 1e-8)
    U, f = 400.0, 50.0
    loss = lambda s: 3 * 0.05 * (s / (np.sqrt(3) * U))**2
    case("conductor loss saved", [before, target], 1 - loss(abs(complex(P, q - c))) / loss(abs(complex(P, q))), by, 1e-8)
    C = 94.6e-6
    slope = "current from the slope of a sampled voltage, power from the voltage a quarter later"

    def var(C, U, f):
        u = wave((1, U, 0))
        i = -U * np.sqrt(2) * 2 * np.pi * f * C * np.sin(2 * np.pi * T)
        return -reactive(u, i)

    case("capacitance in star or between lines", [var(C, U, f), f, U], C, slope)
    case("capacitance in delta", [3 * var(C, U, f), f, U], C, slope)
    case("capacitor at another voltage", [var(C, 480, f), U, 480], var(C, U, f), slope)
    case("capacitor at another frequency", [var(C, U, 60), 50, 60], var(C, U, 50), slope)
    scan = "impedance scanned over frequency"
    ssc, qc = 25e6, 500e3
    x, xc = U**2 / ssc, U**2 / qc
    y = lambda h: abs(1 / (1j * h * x) + 1j * h / xc)
    case("parallel resonance order", [ssc, qc], lowest(y, 1, 30), scan, 1e-7)
    p = 0.07
    z = lambda f: abs(1j * f / 50 * p * xc - 1j * xc * 50 / f)
    case("tuning frequency of a detuned capacitor", [50, p], lowest(z, 60, 1000), scan, 1e-7)
    case("tuning order of a detuned bank", [p], lowest(lambda h: z(50 * h), 1.5, 20), scan, 1e-7)
    whole = lambda h: abs(1 / (1j * h * x) + 1 / (1j * h * p * xc - 1j * xc / h))
    case("parallel resonance order of a bank with reactors", [ssc, qc, p], lowest(whole, 1.5, 3.77), scan, 1e-7)
    case("rated current of a bank", [qc, U], U / np.sqrt(3) / xc, "current through one branch in star")
    case("share of a voltage", [430.1, 440], np.interp(430.1, [0, 440], [0, 1]), "numpy")
    current = U / (1j * p * xc - 1j * xc)
    case("voltage across a detuned capacitor", [U, p], abs(current * -1j * xc), "complex voltage divider")
    case("reactive power of a detuned capacitor", [qc, p], -(U * np.conj(current)).imag, "complex power of reactor and capacitor")


def transformers():
    by = "a source behind impedances, short-circuited"
    S, U, z = 1e6, 400.0, 0.05
    Z = 1j * z * U**2 / S
    I = abs(U / np.sqrt(3) / Z)
    full = bisect(lambda i: 3 * U / np.sqrt(3) * i - S, 0, 1e5)
    case("full-load current of a transformer", [S, U], full, by)
    case("short-circuit current of a transformer", [full, z], I, by)
    case("short-circuit power of a transformer", [S, z], 3 * I**2 * abs(Z), by)
    case("short-circuit current", [S / z, U], I, by)
    Zs = 1j * U**2 / 500e6
    case("short-circuit power in series", [500e6, S / z], U**2 / abs(Z + Zs), by)
    case("short-circuit ratio", [I, 1100], I / bisect(lambda i: i - 1100, 0, 2e3), by)
    p0, pk = 1.7e3, 10.5e3
    loss = lambda x: p0 + pk * (x * full)**2 / full**2
    case("transformer loss", [0.6, p0, pk], loss(0.6), "copper loss from current and resistance")
    best = lowest(lambda x: loss(x) / x, 0.05, 1.5)
    case("best loading of a transformer", [p0, pk], best, "loss for each unit of load, scanned", 1e-7)
    case("efficiency from loss", [480e3, loss(0.6)], 1 - loss(0.6) / (480e3 + loss(0.6)), "loss over input")


def instruments():
    by = "the ends of the band"
    kinds = (("line-to-neutral voltage", 231.2, 0.01, 5, 0.1), ("line-to-line voltage", 400.3, 0.01, 5, 0.1), ("current", 52.0, 0.015, 5, 0.1),
             ("active power", -12400, 0.015, 5, 10), ("ratio", 0.82, 0.02, 3, 0.001))
    for kind, x, a, n, r in kinds:
        ends = np.array([x * (1 + a), x * (1 - a)]) + np.sign(x) * np.array([n * r, -n * r])
        case("error band, " + kind, [x, a, n, r], np.ptp(ends) / 2, by)
    spread = (np.arange(200001) - 100000) / 100000 * 0.4
    case("standard uncertainty from a band", [0.4], np.std(spread), "standard deviation of even values across the band", 2e-5)
    U, I, phi = 230.0, 40.0, np.radians(41.0)
    P = lambda u, i, a: u * i * np.cos(a)
    h = 1e-6
    slopes = [(P(U * (1 + h), I, phi) - P(U * (1 - h), I, phi)) / (2 * h), (P(U, I * (1 + h), phi) - P(U, I * (1 - h), phi)) / (2 * h),
              (P(U, I, phi + h) - P(U, I, phi - h)) / (2 * h)]
    u = [0.012, 0.018, np.radians(0.7)]
    case("uncertainty of power from phase error", [0.012, 0.018, 41, 0.7], np.linalg.norm(np.multiply(slopes, u)) / P(U, I, phi), "numerical slopes", 1e-8)
    case("uncertainty of a product", [0.0025, 0.0057, 0.0082], np.linalg.norm([0.0025, 0.0057, 0.0082]), "numpy norm")
    v, shown = wave((1, 230, 0)), lambda a: wave((1, 10, -a))
    true, off = shown(75.5), shown(76.5)
    case("power error from phase error", [75.5, 1], power(v, off) / power(v, true) - 1, "sampled waves")
    case("reactive power error from phase error", [75.5, 1], reactive(v, off) / reactive(v, true) - 1, "sampled waves")
    k = 400 / 5
    case("ratio of a current transformer", [400, 5], k, "turns")
    case("ratio of a voltage transformer", [11000, 110], 100, "turns")
    case("primary current", [3.2, k], 3.2 * 400 / 5, "turns")
    case("primary line-to-line voltage", [109.2, 100], 10920, "turns")
    case("primary line-to-neutral voltage", [63.1, 100], 6310, "turns")
    vs, i = wave((1, 63.5, 0)), wave((1, 3.2, -30))
    vp, ip = 100 * vs, k * i
    case("primary active power", [power(vs, i), 100, k], power(vp, ip), "sampled waves on both sides")
    case("primary reactive power", [reactive(vs, i), 100, k], reactive(vp, ip), "sampled waves on both sides")
    case("primary apparent power", [rms(vs) * rms(i), 100, k], rms(vp) * rms(ip), "sampled waves on both sides")


def machines():
    by = "balance of power"
    out, eta = 15e3, 0.906
    taken = bisect(lambda p: p * eta - out, 0, 1e5)
    case("rated input of a motor", [out, eta], taken, by)
    case("motor load from input power", [12e3, taken], 12e3 * eta / out, by)
    case("shaft power", [12e3, eta], 12e3 - 12e3 * (1 - eta), by)
    case("efficiency", [out, taken], 1 - (taken - out) / taken, by)
    line = np.polyfit([1500, 1460], [0, 1], 1)
    case("motor load from slip", [1500, 1474, 1460], np.polyval(line, 1474), "a straight line from synchronous to rated speed")
    case("motor load from slip, at another voltage", [26 / 40, 380, 400], 26 / (40 * (400 / 380) ** 2), "the rated slip at the voltage read")
    turns = np.unwrap(np.angle(np.exp(2j * np.pi * 49.9 * np.linspace(0, 60, 600001))))[-1] / (2 * np.pi)
    case("synchronous speed", [49.9, 6], turns / 3, "the turns of a sampled field in a minute", 1e-9)
    case("full-load speed at another frequency", [1460, 49.9, 50], turns / 2 * (1 - 40 / 1500), "the same slip of a sampled field", 1e-9)
    case("motor load from current alone", [18.5, 37], (18.5 * 400) / (37 * 400), "apparent power over rated")
    case("motor load from current", [18.5, 37, 380, 400], (18.5 * 380) / (37 * 400), "apparent power over rated")
    case("energy saved by a better efficiency", [245920e3, 0.91, 0.945], 245920e3 - 245920e3 * 0.91 / 0.945, "output over the better efficiency")
    case("affinity law of power", [30e3, 0.8], 30e3 * np.exp(3 * np.log(0.8)), "logarithms")
    case("derated motor", [15e3, 0.88], 15e3 - 0.12 * 15e3, by)
    case("heating by unbalance", [0.03], 2 * 3.0**2 / 100, "in percent")
    case("current unbalance over voltage unbalance", [0.17, 0.017], 10, "in percent")
    Z, I, phi = complex(0.1006, 0.0128), 100.0, np.radians(31.8)
    fall = (I * np.exp(-1j * phi) * Z).real
    along = "the part of the complex drop along the voltage"
    case("voltage drop, three phases", [I, Z.real, Z.imag, 31.8], abs(fall * (1 - np.exp(-2j * np.pi / 3))), along)
    case("voltage drop, two wires", [I, Z.real, Z.imag, 31.8], 2 * fall, along)
    case("relative voltage drop", [15.98, 400], 1 - (400 - 15.98) / 400, "numpy")


def loadings():
    by = "numpy, by another way of writing it"
    case("share of a current", [80, 100], 1 - np.diff([80, 100])[0] / 100, by)
    case("loading of a rating", [106e3, 250e3], np.interp(106e3, [0, 250e3], [0, 1]), by)
    case("share of an energy", [25e3, 100e3], np.interp(25e3, [0, 100e3], [0, 1]), by)
    case("share of a power", [50e3, 120e3], np.interp(50e3, [0, 120e3], [0, 1]), by)
    case("energy of a steady power", [18967.31, 8760], np.full(8760, 18967.31).sum(), "a sum over the hours")
    case("power above another", [120e3, 90e3], -np.diff([120e3, 90e3])[0], by)
    case("highest current", [168.2, 173.9, 173.5], np.sort([168.2, 173.9, 173.5])[-1], by)
    thirds = sum(wave((3, 30, 0)) for _ in range(3))
    case("neutral current of the third harmonic", [0.3, 100], rms(thirds), "sampled waves of three phases, added up")
    case("fall of voltage between two readings", [277.1, 261.5], -np.diff([277.1, 261.5])[0], by)
    case("relative fall of voltage", [15.6, 277.1], 1 - (277.1 - 15.6) / 277.1, by)


for part in (one_phase, distorted, balanced, unbalanced, effective, sequence, neutrals, losses, correction, transformers, instruments, machines, loadings):
    part()
json.dump(CASES, sys.stdout, indent=1)
print()
