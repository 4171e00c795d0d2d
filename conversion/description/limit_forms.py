"""What the builder lets pass: of a fault that no check notices, and of what the loom itself costs."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from conversion.description import figures as fig
from conversion.description.parts import Described

UNNOTICED_RISE = 0.10
"""Two sensors may differ by 10 % of the travel before power is cut: Formula SAE Rules 2026 v1.0, T.4.2.4."""
UNNOTICED_RISE_AT_REST = 0.05
"""Half of that, since with the foot off nobody is there to take it back. Common practice, no source."""

LOOM_SHARE = 0.10
"""A tenth, so that the sensors' own tolerances keep the rest. Common practice, no source."""


class LimitsForm(Described):
    """What the builder lets pass: of a fault that nothing notices, and of the loom's own resistance."""

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

    loom_share: fig.Share = Field(
        None,
        description="Of the agreement limit, what the loom's own resistance may take. Default: 10 %, so that the "
        "sensors' tolerances keep the rest (common practice, no source).",
    )

    @property
    def of_agreement(self) -> float:
        """Of the agreement limit, what the loom may take, as a share."""
        return LOOM_SHARE if self.loom_share is None else self.loom_share.nominal

    @property
    def rise(self) -> float:
        """Greatest rise anywhere, as a share of the travel."""
        return UNNOTICED_RISE if self.unnoticed_rise is None else self.unnoticed_rise.nominal

    @property
    def rise_at_rest(self) -> float:
        """Greatest rise with the foot off, as a share of the travel."""
        return UNNOTICED_RISE_AT_REST if self.unnoticed_rise_at_rest is None else self.unnoticed_rise_at_rest.nominal
