"""The log of the worked example: made up, the chamber model of `calcs.heat.lining` for furnace HS-1 with noise put on.

One reading of the pressure was lowered by hand, so that there is something to find.
"""

EXAMPLE_LOG = (
    "0 min 20.3 °C 1006 mbar · 10 min 68.9 °C 1006 mbar · 20 min 119.6 °C 1006 mbar · "
    "30 min 170.1 °C 1006 mbar · 40 min 219.6 °C 1005 mbar · 50 min 270.2 °C 1006 mbar · "
    "60 min 320.5 °C 1006 mbar · 70 min 370.0 °C 1006 mbar · 80 min 420.8 °C 1006 mbar · "
    "90 min 469.8 °C 1006 mbar · 100 min 520.0 °C 1006 mbar · 110 min 569.9 °C 1006 mbar · "
    "113 min 585.1 °C 1006 mbar · 115 min 595.3 °C 1006 mbar · 118 min 599.5 °C 1006 mbar · "
    "121 min 599.6 °C 1006 mbar · 124 min 599.6 °C 1006 mbar · 127 min 599.8 °C 1006 mbar · "
    "130 min 601.0 °C 1006 mbar · 133 min 600.3 °C 1005 mbar · 136 min 599.9 °C 1006 mbar · "
    "139 min 600.0 °C 1006 mbar · 142 min 600.0 °C 1006 mbar · 145 min 600.2 °C 1006 mbar · "
    "148 min 580.6 °C 1006 mbar · 154 min 534.7 °C 1006 mbar · 160 min 497.6 °C 991 mbar · "
    "166 min 465.7 °C 1006 mbar · 172 min 437.7 °C 1006 mbar · 178 min 412.5 °C 1006 mbar · "
    "184 min 390.2 °C 1006 mbar · 190 min 370.2 °C 1006 mbar · 196 min 351.2 °C 1006 mbar · "
    "205 min 326.0 °C 1006 mbar · 220 min 289.9 °C 1006 mbar · 235 min 259.2 °C 1006 mbar · "
    "250 min 233.6 °C 1007 mbar · 265 min 211.2 °C 1006 mbar · 300 min 168.7 °C 1006 mbar · "
    "360 min 118.6 °C 1006 mbar · 420 min 87.0 °C 1006 mbar · 480 min 65.2 °C 1007 mbar"
)
