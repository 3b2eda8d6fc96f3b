"""The furnace that a log gave, in time: two nodes, stepped at a wanted temperature or at a given power.

It moves the two nodes of calibration.TwoNodes, and is driven in the same way as the lining of lining.Model.
"""

from dataclasses import dataclass

from calcs.data import constant
from calcs.heat.calibration import TwoNodes

ROUGH = 2.0  # steps longer than so many time constants are taken implicitly, or trapezoids ring; a textbook rule


@dataclass(frozen=True)
class Pair:
    """Temperatures at one time, K: the hot node, which the chamber's sensor reads, and the insulation node."""

    chamber_k: float
    insulation_k: float


class Model:
    """Two nodes in time.

    Args:
        furnace: the two nodes, from a fit.
        room_k: temperature of the room, K.

    Source:
        the balance of calibration.TwoNodes; trapezoidal steps, the radiation linearised where the power is given.
    """

    def __init__(self, furnace: TwoNodes, room_k: float):
        self.furnace, self.room_k = furnace, room_k
        self._radiation = furnace.radiative_m2 * constant("heat_in_gas.stefan_boltzmann")

    def cold(self, start_k: float | None = None) -> Pair:
        """Return the furnace at one temperature all through, K; that of the room unless another is given."""
        start = self.room_k if start_k is None else start_k
        return Pair(start, start)

    def step(self, state: Pair, dt: float, wanted_k: float | None, power_w: float) -> tuple[Pair, float]:
        """Return the state after dt and the mean power that it took, W.

        Args:
            state: the state before.
            dt: step, s.
            wanted_k: the controller brings the hot node there within the step where 0 to power_w suffices;
                None for full power.
            power_w: the most that the heater gives, W; 0 for a heater that is off.
        """
        if wanted_k is not None:
            found, power = self._led(state, dt, wanted_k)
            if 0.0 <= power <= power_w:
                return found, power
            power_w = min(max(power, 0.0), power_w)
        return self._driven(state, dt, power_w), power_w

    def _led(self, state: Pair, dt: float, wanted: float) -> tuple[Pair, float]:
        """The hot node goes straight to a temperature: the insulation follows, and the power is what is left over."""
        f, before, behind, room = self.furnace, state.chamber_k, state.insulation_k, self.room_k
        loses = f.inner_w_per_k + f.outer_w_per_k
        new = _share(dt * loses / f.insulation_j_per_k)
        old, holds = 1 - new, f.insulation_j_per_k / dt
        after = holds * behind + f.inner_w_per_k * (new * wanted + old * before) - old * loses * behind
        after = (after + f.outer_w_per_k * room) / (holds + new * loses)
        lost = self._radiation * (new * wanted**4 + old * before**4 - room**4)
        inwards = f.inner_w_per_k * (new * (wanted - after) + old * (before - behind))
        return Pair(wanted, after), f.hot_j_per_k * (wanted - before) / dt + inwards + lost

    def _driven(self, state: Pair, dt: float, power: float) -> Pair:
        """Both nodes under a given power, as in calibration.simulate."""
        f, t1, t2, room = self.furnace, state.chamber_k, state.insulation_k, self.room_k
        g12, g2, cube = f.inner_w_per_k, f.outer_w_per_k, self._radiation * t1**3
        new = _share(dt * max((g12 + 4 * cube) / f.hot_j_per_k, (g12 + g2) / f.insulation_j_per_k))
        f1 = power - g12 * (t1 - t2) - cube * t1 + self._radiation * room**4
        f2 = g12 * (t1 - t2) - g2 * (t2 - room)
        d1, d2 = f.hot_j_per_k / dt + new * (g12 + 4 * cube), f.insulation_j_per_k / dt + new * (g12 + g2)
        cross = new * g12
        whole = d1 * d2 - cross * cross
        return Pair(t1 + (f1 * d2 + f2 * cross) / whole, t2 + (f2 * d1 + f1 * cross) / whole)


def _share(constants: float) -> float:
    """The weight of the end of a step of so many time constants: a half, or all where the step is long."""
    return 0.5 if constants <= ROUGH else 1.0
