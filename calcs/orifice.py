"""Gas through a small opening: how much passes, when it is choked, and how long it fills a vessel."""

from dataclasses import dataclass
from functools import cached_property
from math import exp, expm1, log1p, sqrt

from calcs import gases
from calcs.data import constant

SIMPSON_STEPS = 24  # of the part that is not choked; the integrand is smooth, 24 steps are exact to 1e-6


def critical_ratio(heat_capacity_ratio: float) -> float:
    """Return the ratio of pressures, downstream over upstream, at and below which the opening is choked.

    Args:
        heat_capacity_ratio: k = cp/cv, above 1.

    Source:
        isentropic flow of an ideal gas: (2/(k+1))^(k/(k-1)); Shapiro (known, source not looked up).
    """
    k = heat_capacity_ratio
    return (2 / (k + 1)) ** (k / (k - 1))


def choked_function(heat_capacity_ratio: float) -> float:
    """Return C in m = A p1 C / sqrt(R T / M) of a choked opening: 0.685 for k = 1.4, 0.726 for k = 5/3.

    Args:
        heat_capacity_ratio: k = cp/cv, above 1.

    Source:
        isentropic flow of an ideal gas: sqrt(k) (2/(k+1))^((k+1)/(2(k-1))).
    """
    k = heat_capacity_ratio
    return sqrt(k) * (2 / (k + 1)) ** ((k + 1) / (2 * (k - 1)))


def valve_area(flow_coefficient_kv: float) -> float:
    """Return the effective area, m², of a valve with a flow coefficient Kv (m³/h of water at 1 bar).

    A = Kv q / sqrt(2 dp / rho): the area through which a loss-free jet of water carries that flow. For gas
    it is an approximation, about 15 % low against the equations for valves.

    Args:
        flow_coefficient_kv: Kv, above 0; Kv = 0.865 Cv.

    Source:
        definition of Kv: constants orifice.kv_flow, kv_drop, kv_density.
    """
    jet_m_per_s = sqrt(2 * constant("orifice.kv_drop") / constant("orifice.kv_density"))
    return flow_coefficient_kv * constant("orifice.kv_flow") / jet_m_per_s


@dataclass(frozen=True)
class Opening:
    """An opening that a gas passes from a supply at constant pressure. SI units.

    Args of the fields:
        area_m2: effective area, discharge coefficient times bore area, above 0.
        supply_pa: pressure upstream, absolute.
        supply_k: temperature upstream.
        gas_name: a gas of the table.
    """

    area_m2: float
    supply_pa: float
    supply_k: float
    gas_name: str

    @cached_property
    def ratio(self) -> float:
        """cp/cv of the gas at 298 K."""
        return gases.gas(self.gas_name).gamma

    @cached_property
    def choked_mol_per_s(self) -> float:
        """The greatest flow, mol/s; real gas passes more above about 20 bar, argon 12 % more at 200 bar."""
        molar_mass = gases.gas(self.gas_name).molar_mass
        rt = constant("general.gas_constant") * self.supply_k
        return self.area_m2 * self.supply_pa * choked_function(self.ratio) / sqrt(rt * molar_mass)

    @cached_property
    def critical_pa(self) -> float:
        """Pressure downstream up to which the flow is choked."""
        return critical_ratio(self.ratio) * self.supply_pa

    def flow(self, downstream_pa: float) -> float:
        """Return the flow into a pressure, mol/s; 0 at the supply pressure and above.

        Args:
            downstream_pa: pressure downstream, absolute Pa.

        Source:
            isentropic flow of an ideal gas through an opening; Shapiro (known, source not looked up).
        """
        if downstream_pa >= self.supply_pa:
            return 0.0
        if downstream_pa <= self.critical_pa:
            return self.choked_mol_per_s
        return self._unchoked_flow(1 - downstream_pa / self.supply_pa)

    def _unchoked_flow(self, drop: float) -> float:
        """Flow for a pressure drop as a share of the supply; small drops keep their digits."""
        k, logarithm = self.ratio, log1p(-drop)
        part = exp(2 / k * logarithm) * -expm1((k - 1) / k * logarithm)
        return self.choked_mol_per_s * sqrt(2 * k / (k - 1) * part) / choked_function(k)

    def fill_time(self, volume_m3: float, temperature_k: float, from_pa: float, to_pa: float) -> float:
        """Return the time to fill a vessel from one pressure to another, s, its gas staying at one temperature.

        t = V/(R T) times the integral of dp/n(p): straight while choked, Simpson's rule after that in
        u = sqrt(1 - p/p_supply), in which the end of the filling is smooth.

        Args:
            volume_m3: gas volume, m³.
            temperature_k: gas in the vessel, K.
            from_pa: pressure at the start, Pa.
            to_pa: pressure at the end, below the supply pressure, Pa.

        Source:
            balance of amounts; compared with scipy's integration by the tests.
        """
        per_pascal = volume_m3 / (constant("general.gas_constant") * temperature_k)
        turn = min(max(from_pa, self.critical_pa), to_pa)
        choked = (turn - from_pa) / self.choked_mol_per_s
        return per_pascal * (choked + (self._unchoked(turn, to_pa) if to_pa > turn else 0.0))

    def _unchoked(self, from_pa: float, to_pa: float) -> float:
        """Integral of dp/n(p) by Simpson's rule in u; dp = 2 p_s u du."""
        begin, end = sqrt(1 - to_pa / self.supply_pa), sqrt(1 - from_pa / self.supply_pa)
        step = (end - begin) / SIMPSON_STEPS
        total = 0.0
        for number in range(SIMPSON_STEPS + 1):
            u = begin + number * step
            weight = 1 if number in (0, SIMPSON_STEPS) else 4 if number % 2 else 2
            total += weight * 2 * self.supply_pa * u / self._unchoked_flow(u * u)
        return total * step / 3


def filled_temperature(
    heat_capacity_ratio: float, supply_k: float, start_k: float, start_pa: float, end_pa: float
) -> float:
    """Return the temperature of the gas in a rigid vessel after filling without any loss of heat, K.

    T = k Ts / (1 + (p_i/p_f) (k Ts/T_i - 1)); from vacuum T = k Ts.

    Args:
        heat_capacity_ratio: k = cp/cv of the gas.
        supply_k: temperature of the gas let in, K.
        start_k: temperature of the gas in the vessel at the start, K.
        start_pa: pressure at the start, 0 or more, Pa.
        end_pa: pressure at the end, Pa, above that of the start.

    Source:
        first law for a rigid vessel that is filled; textbooks of thermodynamics (known, source not looked up).
    """
    hot = heat_capacity_ratio * supply_k
    return hot / (1 + start_pa / end_pa * (hot / start_k - 1))
