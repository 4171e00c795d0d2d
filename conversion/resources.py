"""Where the files are that go with the program: the font, the templates, the worked conversions.

In a checkout the templates and worked conversions lie beside the package; an installed wheel carries them
inside it. Everybody else asks here and never builds such a path.
"""

from __future__ import annotations

from pathlib import Path

FONT_FAMILY = "DejaVu Sans"
"""The family of every document and drawing; regular and bold are shipped, so all machines print the same."""

_PACKAGE = Path(__file__).resolve().parent


def fonts_dir() -> Path:
    """Folder of the shipped font files and their licence.

    Example:
        >>> sorted(path.name for path in fonts_dir().glob("*.ttf"))
        ['DejaVuSans-Bold.ttf', 'DejaVuSans.ttf']
    """
    return _PACKAGE / "fonts"


def templates_dir() -> Path:
    """Folder of the templates of the build pack.

    Raises:
        FileNotFoundError: the installation is incomplete.
    """
    return _beside_or_inside("templates")


def harnesses_dir() -> Path:
    """Folder of the worked conversions and of the part files that come with them.

    Raises:
        FileNotFoundError: the installation is incomplete.
    """
    return _beside_or_inside("harnesses")


def _beside_or_inside(name: str) -> Path:
    inside = _PACKAGE / "_shipped" / name
    if inside.is_dir():
        return inside
    # Only a checkout has a project file there; a stranger's folder in site-packages is not ours.
    checkout = _PACKAGE.parent
    beside = checkout / name
    if (checkout / "pyproject.toml").is_file() and beside.is_dir():
        return beside
    raise FileNotFoundError(
        f"the folder '{name}' is missing from this installation of treadle ({inside}); install treadle again"
    )
