"""Prices a year of quarter hours with pandas, apart from the program.

Usage: python3 year.py [--steady] [FILE.csv]. Prints the twelve bills as JSON; with a
file name, writes the quarter hours there first. With --steady the months before
January are taken to be like the same months of the year, as an assessment does.

The tariff is that of year.yaml beside this file, written out again by hand.
Energies are whole watt-hours; money is decimal throughout.
"""

import json
import sys
from decimal import ROUND_HALF_UP, Decimal, getcontext

import pandas as pd

getcontext().prec = 40
ZONE = "Europe/Berlin"
ROWS = 35040


def quarter_hours():
    """The made-up load: whole Wh and varh, from a linear congruence."""
    x, wh, varh = 2031, [], []
    for i in range(ROWS):
        x = (x * 1103515245 + 12345) % 2**31
        hour, day = i // 4 % 24, i // 96
        e = 9000 + (x >> 16) % 4000
        if (day + 2) % 7 < 5 and 7 <= hour < 18:
            e += 16000 + (x >> 8) % 6000
        if day < 59 or day > 304:
            e += 2500
        if i % 2911 == 1200:
            e += 9000
        wh.append(e)
        varh.append(e * (40 + (x >> 12) % 50) // 100)
    start = pd.date_range("2030-12-31 23:00", periods=ROWS, freq="15min", tz="UTC")
    return pd.DataFrame({"start": start, "wh": wh, "varh": varh})


def kilo(n):
    return str(Decimal(int(n)) / 1000)


def write(frame, name):
    with open(name, "w", newline="\n") as f:
        f.write("start_utc,duration_s,energy_kwh,reactive_kvarh\n")
        for s, e, q in zip(frame.start, frame.wh, frame.varh):
            f.write(f"{s:%Y-%m-%dT%H:%M:%SZ},900,{kilo(e)},{kilo(q)}\n")


def to(d, step):
    return (d / Decimal(step)).quantize(Decimal(1), ROUND_HALF_UP) * Decimal(step)


def main():
    frame = quarter_hours()
    args = sys.argv[1:]
    steady = "--steady" in args
    for name in args:
        if name != "--steady":
            write(frame, name)
    local = frame.start.dt.tz_convert(ZONE)
    frame["month"] = local.dt.month
    minute = local.dt.hour * 60 + local.dt.minute
    holidays = ["2031-01-01", "2031-04-14", "2031-05-01", "2031-12-25", "2031-12-26"]
    work = (local.dt.dayofweek < 5) & ~local.dt.strftime("%Y-%m-%d").isin(holidays)
    winter = ~local.dt.month.isin([4, 5, 6, 7, 8, 9])

    def within(*spans):
        return sum(((minute >= a) & (minute < b)).astype(int) for a, b in spans) > 0

    frame["period"] = "night"
    frame.loc[work & winter & within((450, 690), (990, 1200)), "period"] = "peak"
    frame.loc[work & winter & within((690, 990), (1200, 1320)), "period"] = "day"
    frame.loc[work & ~winter & within((420, 1320)), "period"] = "day"

    energy = frame.groupby(["month", "period"]).wh.sum().unstack(fill_value=0)
    daytime = frame[frame.period != "night"]
    sums = daytime.groupby("month")[["wh", "varh"]].sum()
    peak = daytime.groupby("month").wh.max()  # Wh in 15 min; x 4 is W
    halves = frame.groupby(["month", frame.start.dt.floor("30min")])[["wh", "varh"]].sum()
    halves["square"] = halves.wh**2 + halves.varh**2  # (VAh in 30 min)^2; x 4 is VA^2
    square = halves.groupby("month").square.max()

    owns = [Decimal(int(peak.loc[m])) * 4 / 1000 for m in range(1, 13)]
    bills = []
    for m in range(1, 13):
        lines = []

        def line(name, quantity, price):
            lines.append((name, quantity, to(quantity * Decimal(price), "0.01")))

        days = pd.Period(f"2031-{m:02d}").days_in_month
        line("standing", Decimal(days), "1.92")
        for name, price in (("peak", "0.23147"), ("day", "0.15231"), ("night", "0.09873")):
            wh = int(energy.loc[m].get(name, 0))
            if wh:
                line(name + "-units", Decimal(wh) / 1000, price)
        earlier = owns[: m - 1] + (owns[m:] if steady else [])
        billed = max([owns[m - 1], Decimal(60)] + [Decimal("0.8") * d for d in earlier])
        line("demand", to(billed, "0.1"), "8.45")
        kva = to(Decimal(int(square.loc[m])).sqrt() * 2 / 1000, "0.000001")
        line("network", to(kva, "0.001"), "1.37")
        beyond = Decimal(int(sums.varh.loc[m])) - Decimal("0.5") * int(sums.wh.loc[m])
        line("kvarh", to(max(Decimal(0), beyond / 1000), "0.001"), "0.0131")
        units = sum(a for n, _, a in lines if n.endswith("-units"))
        line("levy", units, "0.032")
        line("vat", sum(a for _, _, a in lines), "0.21")
        bills.append({
            "month": f"2031-{m:02d}",
            "lines": {n: [format(q.normalize(), "f"), str(a)] for n, q, a in lines},
            "total": str(sum(a for _, _, a in lines)),
        })
    json.dump(bills, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
