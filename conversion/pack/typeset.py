"""The only place that runs the typesetter: a template, data and pictures in, a PDF out.

Words of a description never become markup: they reach the template as JSON values. Nothing of the machine
gets in: system fonts are ignored and the time is a date from the caller, so equal input gives equal bytes.
"""

from __future__ import annotations

import datetime
import json
import re
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePosixPath
from typing import Any

import typst

from conversion.resources import FONT_FAMILY, fonts_dir

_FAMILY = re.compile(rb"""font-family\s*[=:]\s*(?:"([^"]*)"|'([^']*)'|([^;"'<>]+))""")


class TypesetError(Exception):
    """The typesetter refused the document or warned about it; the text is what it said."""


def compile_pdf(template: Path, data: Mapping[str, Any], files: Mapping[str, bytes], date: datetime.date) -> bytes:
    """Typeset one document.

    The template reads its data with ``json("/data.json")`` and a picture with ``image("/files/NAME")``; it
    may import the other ``.typ`` files of its own folder. It can read nothing else.

    Args:
        template: The main ``.typ`` file.
        data: What JSON can hold; the order of keys is kept.
        files: Pictures by name, such as ``drawings/side-view.svg``; forward slashes.
        date: Becomes the date of the document and the template's today.

    Returns:
        The PDF, the same bytes for the same arguments.

    Raises:
        TypesetError: a fault in the template or a picture, or any warning, such as a missing font. Also text
            of a picture in a family that is not shipped, which the typesetter would leave out in silence.
        ValueError: a file name that leads out of the folder, or a number in `data` that JSON has not (NaN,
            infinity).
    """
    text = json.dumps(data, ensure_ascii=False, allow_nan=False)
    with tempfile.TemporaryDirectory(prefix="treadle-") as folder:
        root = Path(folder).resolve()
        for sibling in sorted(template.parent.glob("*.typ")):
            shutil.copyfile(sibling, root / sibling.name)
        (root / "data.json").write_bytes(text.encode("utf-8"))
        for name, content in files.items():
            if name.endswith(".svg"):
                _check_families(name, content)
            _put(root / "files", name, content)
        return _compile(root, root / template.name, date)


def _check_families(name: str, svg: bytes) -> None:
    found = (b"".join(groups).split(b",")[0] for groups in _FAMILY.findall(svg))
    families = {family.strip(b" '\"").decode("utf-8", "replace") for family in found}
    if b"<text" in svg and families != {FONT_FAMILY}:
        written = ", ".join(sorted(families)) or "no font family"
        raise TypesetError(f"{name}: its text asks for {written}; only {FONT_FAMILY} is shipped")


def _put(folder: Path, name: str, content: bytes) -> None:
    path = PurePosixPath(name)
    if path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name or not path.parts:
        raise ValueError(f"'{name}' is not a file name inside the document's folder")
    target = folder / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(content)


def _compile(root: Path, main: Path, date: datetime.date) -> bytes:
    midnight = datetime.datetime(date.year, date.month, date.day, tzinfo=datetime.UTC)
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(fonts_dir())])
    compiler = typst.Compiler(root=str(root), font_paths=fonts, ignore_system_fonts=True)
    try:
        pdf, warnings = compiler.compile_with_warnings(input=str(main), format="pdf", timestamp=midnight)
    except typst.TypstError as error:
        raise TypesetError(_explain(error, root)) from error
    if warnings:
        raise TypesetError("\n".join(_explain(warning, root) for warning in warnings))
    if not isinstance(pdf, bytes):
        raise TypesetError("the typesetter returned no document")
    return pdf


def _explain(said: typst.TypstError | typst.TypstWarning, root: Path) -> str:
    """What was said, without the name of the temporary folder, which is another one each time."""
    hints = "".join(f"\n  hint: {hint}" for hint in said.hints)
    text = f"{said.message}{hints}\n{said.diagnostic}".strip()
    return re.sub(rf"[^\s(]*{re.escape(root.name)}/?", "", text)
