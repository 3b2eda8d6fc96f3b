"""What one check of a plan found."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Found:
    """What a check found: verdict, figure and limit as text, and the values for its words.

    judged is False where an input that nobody must type is missing, so that nothing was compared; such a check
    stands among what was not checked.
    """

    verdict: str = "within"
    figure: str = ""
    limit: str = ""
    values: dict | None = None
    judged: bool = True
