"""The air of the room: pressure against altitude, and whether a barometer reading is a station reading."""

from calcs.core import Range, Refused
from calcs.data import constant
from calcs.wording import plain_number

ALTITUDE = Range(
    "-430 m", "5000 m", because="Furnaces stand there, and the lowest layer of the standard atmosphere covers it."
)
STATION_PRESSURE = Range("45 kPa", "110 kPa", because="The air of no workshop lies outside this.")
WEATHER = 0.03  # share by which weather moves the pressure; common practice, no source
SEA_LEVEL_READING = 0.05  # more than this above the standard value: a reading reduced to sea level
NOTEWORTHY = 0.02


def air_pressure(altitude_m: float) -> float:
    """Return the standard air pressure at an altitude, in Pa.

    Weather moves the true pressure by about 3 % either way; a barometer in the room beats this.

    Args:
        altitude_m: height above mean sea level, -430 m to 5000 m.

    Raises:
        OutOfRange: the altitude lies outside that range.

    Source:
        U.S. Standard Atmosphere, 1976, equation 33a, with geopotential height.
    """
    ALTITUDE.check("Altitude", altitude_m)
    radius = constant("general.earth_radius")
    height = radius * altitude_m / (radius + altitude_m)
    temperature = constant("general.sea_level_temperature")
    ratio = 1 - constant("general.lapse_rate") * height / temperature
    return constant("general.sea_level_pressure") * ratio ** constant("general.altitude_exponent")


def altitude_outside(altitude_m: float) -> Refused:
    """Return the refusal for an altitude that the standard atmosphere of this project does not cover.

    Args:
        altitude_m: the altitude typed, m, outside ALTITUDE.
    """
    return Refused(
        "altitude_outside",
        "the altitude is outside the table",
        f"The air pressure is worked out for {ALTITUDE.said}; {plain_number(altitude_m)} m is outside it.",
        "Check the unit, or type what a barometer in the room shows.",
        field="altitude",
    )


def check_station(ambient_pa: float, altitude_m: float) -> str:
    """Return a note where barometer and altitude disagree, or "" where they agree within 2 %.

    Args:
        ambient_pa: barometer reading, Pa absolute.
        altitude_m: altitude of the room, m.

    Raises:
        Refused: more than 5 % above the standard value, which is how a reading reduced to sea level looks.

    Source:
        the 2 % and 5 % are ours: weather moves the pressure by about 3 % (common practice, no source).
    """
    standard = air_pressure(altitude_m)
    excess = ambient_pa / standard - 1
    if excess > SEA_LEVEL_READING:
        raise Refused(
            "ambient_not_station",
            "the barometer value looks reduced to sea level",
            f"{ambient_pa / 100:.0f} mbar at {altitude_m:.0f} m is {excess:.0%} above what the air there can be "
            f"({standard / 100:.0f} mbar, give or take the weather).",
            "Weather reports and airports give the value reduced to sea level. Read a barometer in the room, or "
            "leave the field empty and give the altitude.",
            field="ambient_pressure",
        )
    if abs(excess) > NOTEWORTHY:
        return (
            f"Barometer and altitude differ by {abs(excess):.1%} (the standard value there is {standard / 100:.0f} mbar): "
            "weather can do that; a wrong altitude can too."
        )
    return ""
