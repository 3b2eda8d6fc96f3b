"""Water vapour: its pressure over ice and over liquid water, frost point, dew point, and what room air holds of it."""

from functools import cache
from math import exp, log, tanh

from calcs.core import Range
from calcs.data import constant, number_or_none, rows

ICE = Range("110 K", "273.16 K", because="The equation for ice holds there; above it ice melts.")
LIQUID = Range("123 K", "332 K", because="The equation for liquid water holds there.")
ICE_PRESSURE = Range("2.6e-12 Pa", "611.657 Pa", because="There the equation for ice ends.")
LIQUID_PRESSURE = Range("2.9e-9 Pa", "18.9 kPa", because="There the equation for liquid water ends.")


@cache
def _coefficients(surface: str) -> tuple[float, ...]:
    row = next(row for row in rows("water_vapour.csv") if row["surface"] == surface)
    found = (number_or_none(row[letter]) for letter in "abcdghijkl")
    return tuple(value for value in found if value is not None)


def ice_pressure(temperature_k: float) -> float:
    """Return the vapour pressure of ice, Pa.

    Args:
        temperature_k: 110 K to 273.16 K.

    Raises:
        OutOfRange: the temperature lies outside that.

    Source:
        Murphy and Koop 2005, equation 7; within 0.1 % of IAPWS R14-08 from -80 °C up.
    """
    ICE.check("Temperature of the ice", temperature_k)
    return exp(_log_ice(temperature_k))


def _log_ice(t: float) -> float:
    a, b, c, d = _coefficients("ice")
    return a + b / t + c * log(t) + d * t


def liquid_pressure(temperature_k: float) -> float:
    """Return the vapour pressure of liquid water, Pa, also of water colder than 0 °C that has not frozen.

    Args:
        temperature_k: 123 K to 332 K.

    Raises:
        OutOfRange: the temperature lies outside that.

    Source:
        Murphy and Koop 2005, equation 10; within 0.01 % of IAPWS-IF97 from 5 °C to 50 °C.
    """
    LIQUID.check("Temperature of the water", temperature_k)
    return exp(_log_liquid(temperature_k))


def _log_liquid(t: float) -> float:
    a, b, c, d, g, h, i, j, k, m = _coefficients("liquid")
    logarithm = log(t)
    return a + b / t + c * logarithm + d * t + tanh(g * (t - h)) * (i + j / t + k * logarithm + m * t)


def frost_point(vapour_pressure_pa: float) -> float:
    """Return the temperature of ice with a vapour pressure, K.

    Args:
        vapour_pressure_pa: 2.6e-12 Pa to 611.657 Pa (110 K to 273.16 K).

    Raises:
        OutOfRange: the pressure lies outside that.

    Source:
        Murphy and Koop 2005, equation 7, solved by halving.
    """
    ICE_PRESSURE.check("Vapour pressure", vapour_pressure_pa)
    return _solve(_log_ice, vapour_pressure_pa, *ICE.ends)


def dew_point(vapour_pressure_pa: float) -> float:
    """Return the temperature of liquid water with a vapour pressure, K.

    Args:
        vapour_pressure_pa: 2.9e-9 Pa to 18.9 kPa (123 K to 332 K).

    Raises:
        OutOfRange: the pressure lies outside that.

    Source:
        Murphy and Koop 2005, equation 10, solved by halving.
    """
    LIQUID_PRESSURE.check("Vapour pressure", vapour_pressure_pa)
    return _solve(_log_liquid, vapour_pressure_pa, *LIQUID.ends)


def _solve(log_pressure, pressure_pa: float, low_k: float, high_k: float) -> float:
    """The temperature at which a rising curve has a pressure: false position on 1/T, on which it is nearly straight."""
    wanted = log(pressure_pa)
    low, high = log_pressure(low_k) - wanted, log_pressure(high_k) - wanted
    for _ in range(60):
        inverse = (high / low_k - low / high_k) / (high - low)
        middle_k = min(max(1 / inverse, low_k), high_k)
        middle = log_pressure(middle_k) - wanted
        if abs(middle) < 1e-13:
            return middle_k
        if middle > 0:  # halve the weight of the end that stays, so that it moves too
            high_k, high, low = middle_k, middle, low / 2
        else:
            low_k, low, high = middle_k, middle, high / 2
    return middle_k


def enhancement_factor(temperature_k: float, pressure_pa: float) -> float:
    """Return by how much air raises the vapour pressure over ice or water: about 1.004 at 1 bar.

    Below 2 bar it is left out everywhere on this site; above 2 bar it is an estimate, good for saying how much.

    Args:
        temperature_k: frost or dew point, K.
        pressure_pa: total pressure, Pa.

    Source:
        as coded in a public package of atmospheric research; constants water.enhancement_a, _b, _c.
    """
    a, b, c = constant("water.enhancement_a"), constant("water.enhancement_b"), constant("water.enhancement_c")
    return 1 + pressure_pa / 100 * (a + b * temperature_k + c * temperature_k**2)


def share_in_air(relative_humidity: float, temperature_k: float, pressure_pa: float) -> float:
    """Return the mole fraction of water in room air.

    Args:
        relative_humidity: 0 to 1, over liquid water.
        temperature_k: 123 K to 332 K.
        pressure_pa: pressure of the room, Pa.

    Source:
        definition of relative humidity; see liquid_pressure.
    """
    return relative_humidity * liquid_pressure(temperature_k) / pressure_pa
