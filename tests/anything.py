"""Text that people and enemies type, for tests that no text does harm."""

from hypothesis import strategies as st

HOSTILE = (
    "", " ", "two buckets", "12..5 L", "5 bananas", "💥", "nan", "inf", "1e999 L", "1e300 Pa", "0", "-40 K", "1e-30 mbar",
    "9**9**9", "2*3 mbar", "1 Pa; 2 Pa", "<img src=x onerror=alert(1)>", '"><script>', "__import__('os')", "javascript:1",
    "x" * 300, "1,500 Pa", "1.000,5 Pa", "−5 Pa", "1:30", "1_000", "٣ L", "1e-400 Pa", "\x00", "1 000 Pa", "10 mT", "1e9",
)  # fmt: skip

UNITS = ("L", "m3", "mbar", "Pa", "mbar abs", "mbar gauge", "°C", "K", "K/min", "min", "h", "L/min", "ppm", "%", "mm", "kg",
         "mbar L/s", "W", "kW", "J/kg/K", "W/m/K", "m2", "V", "mV", "L/s", "m3/h", "")  # fmt: skip

numbers = st.one_of(
    st.floats(min_value=-1e12, max_value=1e12, allow_nan=False).map(lambda x: f"{x:.4g}"),
    st.integers(-100, 100_000).map(str),
    st.sampled_from(["0", "1e-30", "1e30", "1e300", "0.5", "1,5", "1,500"]),
)
texts = st.one_of(
    st.sampled_from(HOSTILE),
    st.builds(lambda n, u: f"{n} {u}".strip(), numbers, st.sampled_from(UNITS)),
    st.text(max_size=30),
)
