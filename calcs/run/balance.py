"""The chamber as one body: what its holding powers say about cooling, energy and the power that a ramp needs.

A furnace record holds a few holding powers, measured at steady temperature, and one effective heat capacity.
Between the rows the power is taken as a straight line, from nothing at the temperature of the room. One
body is rough: a fibre lining cools quicker at first and slower at the end.
"""

from dataclasses import dataclass
from functools import cached_property
from math import log

SAMPLES = 48  # points of a cooling curve


@dataclass(frozen=True)
class Piece:
    """The holding power as a straight line from one temperature (K) to the next, W."""

    low_k: float
    low_w: float
    high_k: float
    high_w: float

    @property
    def slope(self) -> float:
        return (self.high_w - self.low_w) / (self.high_k - self.low_k)

    def power(self, temperature_k: float) -> float:
        return self.low_w + self.slope * (temperature_k - self.low_k)


@dataclass(frozen=True)
class Body:
    """A chamber with its holding powers.

    Args of the fields:
        room_k: temperature of the room, K, where the holding power is nothing.
        rows: (temperature K, holding power W), both rising, the first above the room.
        capacity_j_per_k: effective heat capacity, J/K, above 0.

    Source:
        heat balance of one body, C dT/dt = P − P_hold(T); the straight lines between the rows are ours.
    """

    room_k: float
    rows: tuple[tuple[float, float], ...]
    capacity_j_per_k: float

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """The straight lines, the last carried on beyond the last row."""
        corners = [(self.room_k, 0.0), *self.rows]
        found = [Piece(*a, *b) for a, b in zip(corners, corners[1:], strict=False)]
        last = found[-1]
        beyond = last.high_k + 5000.0
        return (*found, Piece(last.high_k, last.high_w, beyond, last.power(beyond)))

    @property
    def last_k(self) -> float:
        """The temperature of the record's last row, K."""
        return self.rows[-1][0]

    def holding_power(self, temperature_k: float) -> float:
        """Return the power that holds a temperature, W; 0 at and below the room's."""
        if temperature_k <= self.room_k:
            return 0.0
        return next(p for p in self.pieces if temperature_k <= p.high_k).power(temperature_k)

    def power_needed(self, temperature_k: float, ramp_k_per_s: float) -> float:
        """Return the power that a ramp needs at a temperature, W: holding power plus C times the ramp."""
        return self.holding_power(temperature_k) + self.capacity_j_per_k * ramp_k_per_s

    def runs_out_at(self, power_w: float, ramp_k_per_s: float) -> float:
        """Return the temperature, K, from which a ramp needs more than a power."""
        spare = power_w - self.capacity_j_per_k * ramp_k_per_s
        if spare <= 0:
            return self.room_k
        piece = next((p for p in self.pieces if spare <= p.high_w), self.pieces[-1])
        return piece.low_k + (spare - piece.low_w) / piece.slope

    def steepest(self, temperature_k: float, power_w: float) -> float:
        """Return the steepest ramp, K/s, that a power gives at a temperature; negative where it cannot hold it."""
        return (power_w - self.holding_power(temperature_k)) / self.capacity_j_per_k

    def heating_time(self, low_k: float, high_k: float, power_w: float) -> float | None:
        """Return the time of heating with a given power, s, or None where the power does not reach the end.

        Args:
            low_k: temperature at the start, K.
            high_k: temperature at the end, K.
            power_w: power all the way, W.

        Source:
            ∫ C dT / (P − P_hold(T)), in closed form for each straight line.
        """
        if power_w <= self.holding_power(high_k):
            return None
        total = 0.0
        for p in self.pieces:
            low, high = max(low_k, p.low_k), min(high_k, p.high_k)
            if low < high:
                at_low, at_high = power_w - p.power(low), power_w - p.power(high)
                even = abs(at_low - at_high) < 1e-9 * at_low
                total += self.capacity_j_per_k * ((high - low) / at_low if even else log(at_low / at_high) / p.slope)
        return total

    def heat(self, low_k: float, high_k: float, ramp_k_per_s: float) -> float:
        """Return the electrical energy of a heating ramp, J: C ΔT plus the loss on the way."""
        return self.capacity_j_per_k * (high_k - low_k) + self._loss(low_k, high_k) / ramp_k_per_s

    def _loss(self, low_k: float, high_k: float) -> float:
        """Return the integral of the holding power over temperature, W·K."""
        total = 0.0
        for p in self.pieces:
            low, high = max(low_k, p.low_k), min(high_k, p.high_k)
            if low < high:
                total += (p.power(low) + p.power(high)) / 2 * (high - low)
        return total

    def cooling_rate(self, temperature_k: float, ramp_k_per_s: float | None = None) -> float:
        """Return how fast it cools at a temperature, K/s: by nature, or at the ramp asked where that is slower."""
        natural = self.holding_power(temperature_k) / self.capacity_j_per_k
        return natural if ramp_k_per_s is None else min(natural, ramp_k_per_s)

    def cooling_time(self, high_k: float, low_k: float, ramp_k_per_s: float | None = None) -> float:
        """Return the time to cool with the heater off, or at a ramp where nature is quicker, s.

        Args:
            high_k: temperature at the start, K.
            low_k: temperature at the end, K, above the room's.
            ramp_k_per_s: ramp asked, K/s, or None.

        Source:
            ∫ C dT / P_hold(T), in closed form for each straight line: C/m · ln(P_high/P_low).
        """
        total = 0.0
        for p in self.pieces:
            low, high = max(low_k, p.low_k), min(high_k, p.high_k)
            if low < high:
                total += self._piece_time(p, low, high, ramp_k_per_s)
        return total

    def _piece_time(self, p: Piece, low: float, high: float, ramp: float | None) -> float:
        c, at_low, at_high = self.capacity_j_per_k, p.power(low), p.power(high)
        if ramp is not None and at_high > c * ramp:
            if at_low >= c * ramp:
                return (high - low) / ramp
            middle = low + (c * ramp - at_low) / p.slope
            return (high - middle) / ramp + self._piece_time(p, low, middle, None)
        if abs(at_high - at_low) < 1e-9 * at_high:
            return c * (high - low) / at_high
        return c / p.slope * log(at_high / at_low)

    def cooling_curve(
        self, high_k: float, low_k: float, ramp_k_per_s: float | None = None
    ) -> list[tuple[float, float]]:
        """Return the cooling as (time s, temperature K), from the start to the end."""
        step = (high_k - low_k) / SAMPLES
        temperatures = [high_k - step * i for i in range(SAMPLES)] + [low_k]
        time, found = 0.0, [(0.0, high_k)]
        for before, after in zip(temperatures, temperatures[1:], strict=False):
            time += self.cooling_time(before, after, ramp_k_per_s)
            found.append((time, after))
        return found

    def cooling_heat(self, high_k: float, low_k: float, ramp_k_per_s: float) -> float:
        """Return the energy, J, that the heater gives while it holds the cooling back to a ramp."""
        total = 0.0
        for p in self.pieces:
            low, high = max(low_k, p.low_k), min(high_k, p.high_k)
            if low >= high:
                continue
            held = self.capacity_j_per_k * ramp_k_per_s
            if p.power(high) <= held:
                continue
            low = low if p.power(low) >= held else low + (held - p.power(low)) / p.slope
            total += ((p.power(low) + p.power(high)) / 2 - held) * (high - low) / ramp_k_per_s
        return total
