"""Writes the invented monitor series of the two example houses, the same bytes each time.

    python tests/make_series.py [folder, data/houses by itself]

Both are made up: level, season, resemblance of days, gaps and a fan start are stated here and drawn from a seeded
generator, so that what the workbooks find in them can be held against what was put in. Alder Court is read hourly by a
clock that is put forward and back; its fan was started on 14 March 2026 at 10:30 and stood still for five days in July.
Kestrel Lane has one reading a day and no fan.
"""

import math
import random
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

HOUSES = Path(__file__).parents[1] / "data" / "houses"
CHICAGO = ZoneInfo("America/Chicago")
FAN_START = datetime(2026, 3, 14, 10, 30, tzinfo=CHICAGO)
FAN_OFF = (datetime(2026, 7, 6, 9, 0, tzinfo=CHICAGO), datetime(2026, 7, 11, 17, 0, tzinfo=CHICAGO))
LEFT = 0.093
"""What the fan leaves of the radon in Alder Court: the reduction that was put in is 90.7 %."""
_CLEARING = 4.0  # hours until all but 1/e of a change has been made


def resembling(draw: random.Random, count: int, correlation: float) -> list[float]:
    """Normal numbers of spread 1, each of which passes on this share of itself."""
    found = [draw.gauss(0, 1)]
    rest = math.sqrt(1 - correlation**2)
    for _ in range(count - 1):
        found.append(correlation * found[-1] + rest * draw.gauss(0, 1))
    return found


def season(swing: float, peak: date) -> Callable[[date], float]:
    """A swing over the year, in logarithms, highest on a day."""
    return lambda day: swing * math.cos(2 * math.pi * (day - peak).days / 365.25)


def alder_court() -> str:
    """Hourly, pCi/L to a tenth, by the local clock as it is written in the United States."""
    draw = random.Random(1986)
    first = datetime(2025, 10, 18, 17, 0, tzinfo=UTC)
    moments = [first + timedelta(hours=n) for n in range(24 * 378)]
    weather, hours = resembling(draw, len(moments), math.exp(-1 / 40)), resembling(draw, len(moments), 0.5)
    swing = season(0.22, date(2026, 1, 20))
    shares, share = [], 1.0
    for at in moments:  # the fan's effect builds up and fades as the air of the house is changed
        on = at >= FAN_START and not FAN_OFF[0] <= at < FAN_OFF[1]
        share += (1 - math.exp(-1 / _CLEARING)) * ((LEFT if on else 1.0) - share)
        shares.append(share)
    levels = [
        left * math.exp(swing(at.date()) + 0.3 * w + 0.1 * h + 0.06 * math.cos(2 * math.pi * (at.hour - 12) / 24))
        for at, left, w, h in zip(moments, shares, weather, hours, strict=True)
    ]
    shown = [at for at in range(len(moments)) if datetime(2026, 1, 10, 15, tzinfo=UTC) <= moments[at] < FAN_START]
    scale = 8.2 / (sum(levels[n] for n in shown) / len(shown))  # what the display of this house showed of these weeks
    values = [max(scale * level + draw.gauss(0, 0.12), 0.1) for level in levels]
    gone = [
        (datetime(2025, 12, 27, 3, tzinfo=UTC), 31),
        (datetime(2026, 2, 19, 20, tzinfo=UTC), 5),
        (datetime(2026, 5, 24, 14, tzinfo=UTC), 24 * 8 + 3),
        (datetime(2026, 9, 3, 1, tzinfo=UTC), 15),
    ]
    lines = ["Time,Radon (pCi/L)"]
    for at, value in zip(moments, values, strict=True):
        if any(start <= at < start + timedelta(hours=long) for start, long in gone):
            continue
        local = at.astimezone(CHICAGO)
        clock = (
            f"{local.month}/{local.day}/{local.year} {(local.hour - 1) % 12 + 1}:00 {'AM' if local.hour < 12 else 'PM'}"
        )
        lines.append(f"{clock},{value:.1f}")
    # What such files hold: a line sent twice, a reading that failed, a line without its value, and a blank one.
    lines.insert(4001, lines[4000])
    lines[5200] = f"{lines[5200].split(',')[0]},ERR"
    lines[6100] = f"{lines[6100].split(',')[0]},"
    lines.insert(7000, "")
    return "\n".join(lines) + "\n"


def kestrel_lane() -> str:
    """Daily, whole Bq/m³, with the day first."""
    draw = random.Random(1997)
    first = date(2026, 2, 2)
    days = [first + timedelta(days=n) for n in range(222)]
    weather, swing = resembling(draw, len(days), 0.55), season(0.35, date(2026, 1, 5))
    levels = [math.exp(swing(day) + 0.32 * w) for day, w in zip(days, weather, strict=True)]
    tested = [n for n, day in enumerate(days) if date(2026, 4, 6) <= day < date(2026, 4, 13)]
    scale = 340 / (sum(levels[n] for n in tested) / len(tested))  # the week of the test of this house
    lines = ["Day;Radon Bq/m3;Temperature"]
    for day, level in zip(days, levels, strict=True):
        if date(2026, 7, 11) <= day < date(2026, 7, 20) or day == date(2026, 3, 29):
            continue
        lines.append(f"{day:%d.%m.%Y};{scale * level:.0f};{20 + draw.gauss(0, 0.7):.1f}")
    return "\n".join(lines) + "\n"


SERIES: dict[str, Callable[[], str]] = {
    "alder-court-monitor.csv": alder_court,
    "kestrel-lane-monitor.csv": kestrel_lane,
}


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HOUSES
    for name, made in SERIES.items():
        (folder / name).write_bytes(made().encode("utf-8"))
        print(f"written: {folder / name}")


if __name__ == "__main__":
    main()
