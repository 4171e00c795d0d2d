"""What each kind of link is called, and where its setting stands: words that rules, checklist and drawings share."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description.linkage_forms import LinkageForm


@dataclass(frozen=True, slots=True)
class LinkWords:
    """Words of one kind of linkage.

    Attributes:
        link: What joins pedal and lever, with its article; of a pedal that is part of the module, that pedal.
        setting: Steps from ``linkage`` to what is set at fitting.
        adjust: How it is set, as the beginning of an imperative.
        whole: What a link in its place is called; empty where nothing can part.
        parted: What a parted one is called.
        steeper: What turns the lever further, and what less far, for the same pedal travel.
        slower: The other way round.
    """

    link: str
    setting: tuple[str, ...]
    adjust: str
    whole: str
    parted: str
    steeper: str
    slower: str

    @property
    def subject(self) -> str:
        """What a finding about the setting names."""
        return ".".join(("linkage", *self.setting))

    @property
    def path(self) -> tuple[str, ...]:
        """Steps to the setting from the top of the conversion file."""
        return ("linkage", *self.setting)


_ROD_SLOWER = "lengthen the module's lever, or take the rod's pin nearer to the pedal's axis"
_ROD_STEEPER = "shorten the module's lever, or take the rod's pin farther from the pedal's axis"
_WORDS = {
    "rod": LinkWords("the rod", ("rod",), "Adjust the rod", "rod on", "rod off", _ROD_STEEPER, _ROD_SLOWER),
    "bell-crank": LinkWords(
        "the rods",
        ("rod",),
        "Adjust the second rod",
        "rod on",
        "rod off",
        f"{_ROD_STEEPER}, or change the arms of the bell-crank",
        f"{_ROD_SLOWER}, or change the arms of the bell-crank",
    ),
    "cable": LinkWords(
        "the cable",
        ("cable",),
        "Turn the cable's adjuster",
        "cable on",
        "cable off",
        "take a smaller quadrant, or hang the cable farther from the pedal's axis",
        "take a larger quadrant, or hang the cable nearer to the pedal's axis",
    ),
    "contact": LinkWords(
        "the contact",
        ("contact",),
        "Set the packing or the screw at the contact",
        "roller on its face",
        "roller taken off its face",
        "let them touch nearer to the lever's axis, or farther from the pedal's",
        "let them touch farther from the lever's axis, or nearer to the pedal's",
    ),
    "direct": LinkWords(
        "the module's own pedal",
        ("module",),
        "Set the added rest stop",
        "",
        "",
        "let the pedal travel further",
        "let the pedal travel less far",
    ),
}  # fmt: skip


def link_words(form: LinkageForm) -> LinkWords:
    """The words of a described linkage.

    Example:
        >>> _WORDS["cable"].subject
        'linkage.cable'
    """
    return _WORDS[form.kind]
