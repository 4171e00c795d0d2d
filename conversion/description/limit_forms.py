"""What the builder lets pass of a fault that no check notices."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from conversion.description import figures as fig
from conversion.description.parts import Described

UNNOTICED_RISE = 0.10
"""Two sensors may differ by 10 % of the travel before power is cut: Formula SAE Rules 2026 v1.0, T.4.2.4."""
UNNOTICED_RISE_AT_REST = 0.05
"""Half of that, since with the foot off nobody is there to take it back. Common practice, no source."""


class LimitsForm(Described):
    """How far a fault that nothing notices may raise what the control unit takes above what the pedal asks."""

    words_of: ClassVar[str] = "the limits"
    unnoticed_rise: fig.Share = Field(
        None,
        description="Anywhere in the travel. Default: 10 %, by which the two sensors of a racing car may differ before "
        "its power is cut (Formula SAE Rules 2026 v1.0, T.4.2.4).",
    )
    unnoticed_rise_at_rest: fig.Share = Field(
        None,
        description="With the foot off. Default: 5 %, half of that, since nobody is there to take it back (common "
        "practice, no source).",
    )

    @property
    def rise(self) -> float:
        """Greatest rise anywhere, as a share of the travel."""
        return UNNOTICED_RISE if self.unnoticed_rise is None else self.unnoticed_rise.nominal

    @property
    def rise_at_rest(self) -> float:
        """Greatest rise with the foot off, as a share of the travel."""
        return UNNOTICED_RISE_AT_REST if self.unnoticed_rise_at_rest is None else self.unnoticed_rise_at_rest.nominal
