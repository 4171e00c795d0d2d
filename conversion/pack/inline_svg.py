"""Drawings made fit to stand side by side inside one HTML page."""

from __future__ import annotations

import re

_PROLOGUE = re.compile(r"\A.*?(?=<svg\b)", re.DOTALL)
_ID = re.compile(r"""(\sid=["'])([^"']+)""")
_REFERENCE = re.compile(r"""(url\(["']?#|(?:xlink:)?href=["']#|(?:aria-labelledby|aria-describedby)=["'])([^"')]+)""")
_NAMESPACE = re.compile(r"""\sxmlns(?::\w+)?=["'][^"']*["']""")
# Most tags have nothing to rewrite: one of these stands in each that has.
_TOUCHED = ("id=", "xmlns", "url(", "href=", "aria-")
_TAG = re.compile(r"<[^!?][^>]*>")


def inline_svg(svg: str, name: str) -> str:
    """The drawing as an element of a page: nothing before it, no namespaces, its ids under its own name.

    Names of namespaces mean nothing in HTML and look like addresses; ids of two drawings must not collide.

    Args:
        svg: A whole SVG document.
        name: Of the drawing; lower case, digits and hyphens.

    Returns:
        The ``svg`` element.

    Example:
        >>> inline_svg('<svg xmlns="http://www.w3.org/2000/svg"><g id="a"/><use href="#a"/></svg>', "face")
        '<svg><g id="face-a"/><use href="#face-a"/></svg>'
    """

    def own(tag: re.Match[str]) -> str:
        if not any(sign in tag[0] for sign in _TOUCHED):
            return tag[0]
        text = _NAMESPACE.sub("", tag[0])
        text = _ID.sub(rf"\g<1>{name}-\2", text)
        return _REFERENCE.sub(rf"\g<1>{name}-\2", text)

    # Only tags are rewritten: words of a description that look like an id stay as they are.
    return _TAG.sub(own, _PROLOGUE.sub("", svg)).strip()
