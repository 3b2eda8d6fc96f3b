"""Water vapour over ice and over liquid water, against IAPWS and the values that the equations' authors printed."""

import pytest
from iapws._iapws import _Sublimation_Pressure
from iapws.iapws97 import _PSat_T

from calcs import water
from calcs.core import OutOfRange

# Murphy and Koop 2005, values for checking computer code (known, source not looked up)
ICE = ((150, 6.106e-6), (180, 0.0053975), (210, 0.70202), (240, 27.272), (273.16, 611.657))
LIQUID = (
    (150, 1.562e-5),
    (180, 0.011239),
    (210, 1.2335),
    (240, 37.667),
    (273.15, 611.213),
    (273.16, 611.657),
    (300, 3536.8),
)


@pytest.mark.parametrize("temperature, pressure", ICE)
def test_over_ice_as_printed(temperature, pressure):
    assert water.ice_pressure(temperature) == pytest.approx(pressure, rel=1e-4)


@pytest.mark.parametrize("temperature, pressure", LIQUID)
def test_over_water_as_printed(temperature, pressure):
    assert water.liquid_pressure(temperature) == pytest.approx(pressure, rel=1e-4)


@pytest.mark.parametrize("celsius", range(-120, 1, 5))
def test_over_ice_against_iapws(celsius):
    allowed = 1e-3 if celsius >= -90 else 2e-3

    assert water.ice_pressure(celsius + 273.15) == pytest.approx(
        _Sublimation_Pressure(celsius + 273.15) * 1e6, rel=allowed
    )


@pytest.mark.parametrize("celsius", range(1, 59, 3))
def test_over_water_against_iapws(celsius):
    assert water.liquid_pressure(celsius + 273.15) == pytest.approx(_PSat_T(celsius + 273.15) * 1e6, rel=4e-4)


@pytest.mark.parametrize("pressure, point, low, high", [(water.ice_pressure, water.frost_point, 111, 273),
                                                        (water.liquid_pressure, water.dew_point, 124,
                                                         331)])  # fmt: skip
def test_a_point_leads_back_to_its_pressure(pressure, point, low, high):
    found = [pressure(low + (high - low) * i / 50) for i in range(51)]

    assert found == sorted(found)
    for i, value in enumerate(found):
        assert point(value) == pytest.approx(low + (high - low) * i / 50, abs=1e-9)


def test_ice_has_less_vapour_than_water_of_its_temperature():
    for temperature in range(150, 273, 5):
        assert water.ice_pressure(temperature) < water.liquid_pressure(temperature)


@pytest.mark.parametrize("function, value", [(water.ice_pressure, 273.2), (water.ice_pressure, 109),
                                             (water.liquid_pressure, 333),
                                             (water.frost_point, 612), (water.frost_point, 1e-13), (water.dew_point,
                                                                                                    19e3)])  # fmt: skip
def test_outside_its_range_there_is_no_number(function, value):
    with pytest.raises(OutOfRange):
        function(value)


def test_air_raises_the_vapour_pressure_a_little():
    assert water.enhancement_factor(293.15, 101325) == pytest.approx(1.0042, abs=2e-4)
    assert water.enhancement_factor(250, 1e6) > water.enhancement_factor(250, 1e5) > 1


def test_room_air_holds_about_a_per_cent_of_water():
    assert water.share_in_air(0.5, 296.15, 101325) == pytest.approx(0.0138708, rel=2e-4)  # IAPWS-IF97
    assert water.share_in_air(0, 296.15, 101325) == 0
