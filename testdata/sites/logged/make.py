"""Writes the logs of the invented bakery: python3 make.py.

Energies come from a linear congruence, so that every run writes the same bytes.
"""

from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Dublin")
state = 20310520


def chance():
    """0 to 999."""
    global state
    state = (state * 1103515245 + 12345) % 2**31
    return (state >> 8) % 1000


def open_between(local, first, last):
    return local.weekday() < 6 and first <= local.hour < last


def oven(local):
    """W over a quarter of an hour or an hour: heating up, holding, or off."""
    if not open_between(local, 2, 11):
        return 60
    return 14200 if local.hour == 2 else 6500 + 4 * chance()


def shop(local):
    return (1250 if open_between(local, 7, 18) else 40) + 450 + chance() // 2


def rest(local):
    """What nobody listed: a cellar pump and whatever else."""
    return 350 + (1600 + chance() if open_between(local, 2, 11) else 0)


def hours(first, last, minutes):
    at = datetime(first.year, first.month, first.day, tzinfo=ZONE).astimezone(timezone.utc)
    end = datetime(last.year, last.month, last.day, tzinfo=ZONE).astimezone(timezone.utc)
    while at < end:
        yield at, at.astimezone(ZONE)
        at += timedelta(minutes=minutes)


def tidy(name, first, last, watts):
    with open(f"intervals/{name}.csv", "w", newline="\n") as f:
        f.write("start_utc,duration_s,energy_kwh\n")
        for at, local in hours(first, last, 15):
            f.write(f"{at:%Y-%m-%dT%H:%M:%SZ},900,{watts(local) / 4000:.3f}\n")


def main():
    tidy("oven", date(2031, 3, 3), date(2031, 3, 24), oven)
    tidy("shop-board", date(2031, 4, 7), date(2031, 4, 21), shop)
    with open("intervals/main-meter.csv", "w", newline="\n") as f:
        f.write("Date;Time;Taken;Reactive;State\n")
        for at, local in hours(date(2031, 1, 20), date(2031, 5, 1), 60):
            w = oven(local) + shop(local) + rest(local)
            row = f"{local:%d.%m.%Y;%H:%M};{w / 1000:.2f};{w * (45 + chance() // 50) / 100000:.2f};A\n".replace(".", ",").replace(",", ".", 2)
            if local.date() == date(2031, 3, 11) and local.hour in (13, 14):
                continue  # a cut
            f.write(row)
            if local.date() == date(2031, 2, 4) and local.hour == 9:
                f.write(row)  # sent twice


if __name__ == "__main__":
    main()
