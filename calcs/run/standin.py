from calcs.data import constant


def closed_pressure(pressure_pa, start_k, end_k):
    return pressure_pa * end_k / start_k


def gas_change_flow(volume_m3, pressure_pa, temperature_k, rate):
    return pressure_pa * volume_m3 * rate / (constant("general.gas_constant") * temperature_k**2)


def sudden_oxygen(room_m3, released_m3):
    return constant("general.oxygen_in_air") * (room_m3 - released_m3) / room_m3


def steady_oxygen(flow_m3_per_s, ventilation_m3_per_s):
    total = flow_m3_per_s + ventilation_m3_per_s
    return constant("general.oxygen_in_air") * ventilation_m3_per_s / total if total else 0.0
