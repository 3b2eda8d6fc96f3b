"""What one check of a plan found."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Found:
    """What a check found: verdict, figure and limit as text, and the values for its words."""

    verdict: str = "within"
    figure: str = ""
    limit: str = ""
    values: dict | None = None
