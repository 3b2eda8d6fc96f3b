"""Readings against time: chamber temperature, and power where there is one, of a log in any of its forms."""

from dataclasses import dataclass

from calcs import logs, straight
from calcs.core import Refused
from calcs.form import Problem, Problems
from calcs.log_heads import POWER, TEMPERATURE

DOUBTFUL = ("number_ambiguous", "time_unreadable", "unit_unknown")  # it could mean two things; the rest is no log


@dataclass(frozen=True)
class Readings:
    """Readings in SI units, time rising from 0; `power_w` is None where the log has no power.

    `left_out` counts rows that hold no reading or do not go on in time; `begins_s` is the first time by the log's
    own count, 0 where it has a clock.
    """

    time_s: tuple[float, ...]
    temperature_k: tuple[float, ...]
    power_w: tuple[float, ...] | None
    left_out: int = 0
    begins_s: float = 0.0

    def __len__(self) -> int:
        return len(self.time_s)


def read(field: str, label: str, given: str | list[dict]) -> Readings:
    """Return the readings of a log.

    Args:
        field: name of the field, for problems.
        label: its label.
        given: what `calcs.logs.read` takes: rows, lines such as "30 min 212.4 °C 2.4 kW", the text of a file, or the
            line that refers to a log kept in memory.

    Raises:
        Problems: a row cannot be read, or no heading says which column is which.
        Refused: log_not_usable, where units or decimal signs can mean two things.
    """
    try:
        found = logs.read(given)
    except logs.Trouble as trouble:
        if trouble.reason in DOUBTFUL:
            raise Refused("log_not_usable", trouble.heading, trouble.why, trouble.remedy, field=field) from None
        raise Problems({field: Problem(f"{label}: {trouble}".strip())}) from None
    power = found.first(POWER)
    whole = power and all(p == p for p in power.values)
    return Readings(
        tuple(found.times), tuple(found.first(TEMPERATURE).values), tuple(power.values) if whole else None,
        found.left_out, 0.0 if found.clock else found.begins_s,
    )  # fmt: skip


# ---------------------------------------------------------------- work with readings


def at(readings: Readings, time_s: float) -> float:
    """Return the temperature, K, at a time by straight lines between readings; the end values outside.

    Args:
        readings: at least one of them.
        time_s: time from the first reading, s.
    """
    return straight.at(readings.time_s, readings.temperature_k, time_s)


def thinned(readings: Readings, most: int) -> Readings:
    """Return at most so many readings, spread evenly; power becomes the mean of what falls between them.

    Args:
        readings: as read.
        most: 2 or more.
    """
    count = len(readings)
    if count <= most:
        return readings
    kept = sorted({round(i * (count - 1) / (most - 1)) for i in range(most)})
    powers = readings.power_w
    if powers is not None:
        means = [
            sum(powers[i] * (readings.time_s[i + 1] - readings.time_s[i]) for i in range(a, b))
            / (readings.time_s[b] - readings.time_s[a])
            for a, b in zip(kept, kept[1:], strict=False)
        ]
        powers = (*means, powers[kept[-1]])
    return Readings(
        tuple(readings.time_s[i] for i in kept), tuple(readings.temperature_k[i] for i in kept), powers,
        readings.left_out, readings.begins_s,
    )  # fmt: skip
