"""How the plan writes its values: the unit of the trade, rounded towards caution where the caller says so."""

from math import ceil, floor

from calcs import wording
from calcs.data import constant


def _unit(value: float, unit: str, digits: int, towards: str) -> str:
    return wording.with_unit(wording.number(value, digits, towards), unit)


def celsius(kelvin: float) -> str:
    """A temperature: 600 °C."""
    return wording.with_unit(wording.plain_number(round(kelvin - constant("general.zero_celsius"), 1)), "°C")


def whole_celsius(kelvin: float) -> str:
    """A temperature down to the whole degree: 494 °C."""
    return wording.with_unit(wording.plain_number(floor(kelvin - constant("general.zero_celsius"))), "°C")


def kelvins(difference: float) -> str:
    return wording.with_unit(wording.plain_number(round(difference, 1)), "K")


def ramp(k_per_s: float, towards: str = "near") -> str:
    """A ramp: 5 K/min."""
    text = wording.number(k_per_s * 60, 2, towards)
    return wording.with_unit(text.removesuffix(".0"), "K/min")


def mbar(pressure_pa: float, digits: int = 3, towards: str = "near") -> str:
    """A pressure in mbar, without its sense."""
    return (
        wording.with_unit(wording.plain_number(float(wording.rounded_to(pressure_pa / 100, digits, towards))), "mbar")
        if pressure_pa
        else "0 mbar"
    )


def both(absolute_pa: float, ambient_pa: float) -> str:
    """A pressure as the card prints it: 1005 mbar abs = +10 mbar gauge."""
    above = absolute_pa - ambient_pa
    return f"{mbar(absolute_pa, 4)} abs = {'+' if above >= 0 else ''}{mbar(above)} gauge"


def bars(gauge_pa: float, towards: str = "near") -> str:
    return (
        wording.with_unit(wording.plain_number(float(wording.rounded_to(gauge_pa / 1e5, 3, towards))), "bar")
        if gauge_pa
        else "0 bar"
    )


def flow(mol_per_s: float, towards: str = "near", digits: int = 2) -> str:
    """A flow in L/min at 0 °C and 101.325 kPa."""
    return _unit(mol_per_s * _norm() * 6e4, "L/min", digits, towards)


def litres(mol: float, towards: str = "near", digits: int = 3) -> str:
    """An amount of gas as litres at 0 °C and 101.325 kPa, whole."""
    volume = mol * _norm() * 1e3
    whole = {"up": -(-volume // 1), "down": volume // 1}.get(towards, round(volume))
    return wording.with_unit(
        wording.grouped(f"{whole:.0f}") if volume >= 10 else wording.number(volume, digits, towards), "L"
    )


def _norm() -> float:
    return constant("general.gas_constant") * constant("general.zero_celsius") / constant("general.standard_atmosphere")


def ppm(share: float, towards: str = "near", digits: int = 2) -> str:
    """A mole fraction in ppm, or in per cent where that is shorter."""
    if share >= 0.01:
        return percent(share, towards)
    return _unit(share * 1e6, "ppm", digits, towards)


def percent(share: float, towards: str = "near", digits: int = 3) -> str:
    return _unit(share * 100, "%", digits, towards)


def time(seconds: float, towards: str = "near") -> str:
    """A time to the minute; dust of floating point does not count as a minute."""
    if seconds < 60:
        return wording.duration(seconds, towards)
    minutes = seconds / 60
    whole = {"up": ceil(minutes - 1e-6), "down": floor(minutes + 1e-6)}.get(towards, round(minutes))
    return wording.duration(whole * 60)


def power(watt: float, towards: str = "near") -> str:
    return _unit(watt / 1e3, "kW", 2, towards)


def mass(kg: float) -> str:
    number, unit = (kg, "kg") if kg >= 1 else (kg * 1e3, "g")
    return wording.with_unit(wording.plain_number(number), unit)


def volume(m3: float, digits: int = 3) -> str:
    return _unit(m3, "m³", digits, "near") if m3 >= 1 else _unit(m3 * 1e3, "L", digits, "near")


def newtons(force: float) -> str:
    """A force, rounded up: 120 N, 7.5 kN."""
    large = force >= 1e3
    return _unit(force / 1e3 if large else force, "kN" if large else "N", 2 if large else 3, "up")
