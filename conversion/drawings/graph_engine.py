"""The only place that runs a graph layout engine.

The engine that pip installs with treadle is preferred, so that most machines draw the same picture; a
system's ``dot`` stands in where that one is missing or fails. Both read the same source, and what either adds
of its own (declaration, comments, version, numbered ids) is taken off.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

import graphviz

from conversion.resources import FONT_FAMILY

_PIP_ENGINE = "graphviz-pure"
_SYSTEM_ENGINE = "dot"
_TIME_LIMIT_S = 60.0
_NEXT_STEP = (
    "Put it right: python -m pip install 'graphviz-pure>=0.2.2,<0.3', or install Graphviz so that 'dot' can be run."
)

_PROLOGUE = re.compile(r"\A.*?(?=<svg\b)", re.DOTALL)
_COMMENT = re.compile(r"<!--.*?-->\n?", re.DOTALL)
# Pages that hold several drawings must not hold one id twice.
_NUMBERED_ID = re.compile(r' id="(?:a_)?(?:graph|node|edge|clust)\d+"')
_FAMILY = re.compile(r'font-family="[^"]*"')
_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


class EngineError(Exception):
    """No engine could draw the graph; the text says what to do."""


def escape_label(text: str) -> str:
    r"""Make any text safe as a label: it is shown as written, and a line end starts a new line.

    Escaped pieces may be joined, with ``\n`` (or ``\l``, ``\r``) of the label language between them.

    Args:
        text: Anything, for example words from a description.

    Returns:
        The label; characters that cannot be printed become U+FFFD.

    Example:
        >>> escape_label('<B1> & "a\\b"')
        '&lt;B1&gt; &amp; &quot;a\\\\b&quot;'
        >>> escape_label("two\nlines")
        'two\\nlines'
    """
    text = re.sub(r"\r\n?", "\n", text).replace("\t", " ")
    lines = (_UNPRINTABLE.sub("\ufffd", line) for line in text.split("\n"))
    escaped = "\\n".join(line.replace("\\", "\\\\") for line in lines)
    escaped = escaped.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return escaped.replace('"', "&quot;")


def render_svg(source: graphviz.Digraph | graphviz.Graph) -> str:
    """Lay a graph out and return the picture, the same text each time on the same engine.

    The source is not changed. Edges are polylines unless its ``splines`` says otherwise.

    Args:
        source: The graph. No ``record`` shapes (the engines disagree about them) and no fonts of its own:
            all text is set in the shipped family, regular.

    Returns:
        One ``svg`` element, without declaration, ending in a line end.

    Raises:
        EngineError: no engine is installed, or none could read the graph.
        ValueError: ``splines`` is ``ortho``, which loses the ports of edges in every engine.
    """
    if source.graph_attr.get("splines") == "ortho":
        raise ValueError("splines='ortho' ignores ports; use 'polyline' or 'spline'")
    drawn = source.copy()
    drawn.graph_attr.setdefault("splines", "polyline")
    for attributes in (drawn.graph_attr, drawn.node_attr, drawn.edge_attr):
        attributes["fontname"] = FONT_FAMILY
    engines = _engines()
    if not engines:
        raise EngineError(f"The graph layout engine '{_PIP_ENGINE}' was not found. {_NEXT_STEP}")
    failures = []
    for engine in engines:
        try:
            return _tidy(_run(engine, drawn.source))
        except EngineError as error:
            failures.append(str(error))
    raise EngineError(f"The graph could not be laid out: {'; '.join(failures)}. {_NEXT_STEP}")


def _engines() -> list[Path]:
    """Executables to try, best first."""
    here = Path(sys.executable).parent
    folders = [here, here / "Scripts", Path(sysconfig.get_path("scripts"))]
    beside = (shutil.which(_PIP_ENGINE, path=str(folder)) for folder in folders)
    anywhere = (shutil.which(name) for name in (_PIP_ENGINE, _SYSTEM_ENGINE))
    found = (Path(path) for path in (*beside, *anywhere) if path)
    return list(dict.fromkeys(found))


def _run(engine: Path, dot: str) -> str:
    try:
        done = subprocess.run(
            [str(engine), "-Kdot", "-Tsvg"],
            input=dot.encode("utf-8"),
            capture_output=True,
            timeout=_TIME_LIMIT_S,
            check=False,
            env={**os.environ, "LC_ALL": "C"},
        )
    except subprocess.TimeoutExpired:
        raise EngineError(f"{engine.name} took longer than {_TIME_LIMIT_S:.0f} s") from None
    except OSError as error:
        raise EngineError(f"{engine.name} cannot be run ({error.strerror})") from error
    svg = done.stdout.decode("utf-8", "replace")
    if done.returncode != 0 or "</svg>" not in svg:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise EngineError(f"{engine.name} gave up ({said[-1] if said else f'exit {done.returncode}'})")
    return svg


def _tidy(svg: str) -> str:
    svg = svg.replace("\r\n", "\n")
    svg = _COMMENT.sub("", _PROLOGUE.sub("", svg))
    svg = _NUMBERED_ID.sub("", svg)
    svg = _FAMILY.sub(f'font-family="{FONT_FAMILY}"', svg)
    # The older engine's word for "no line" is not one of SVG.
    svg = svg.replace('stroke="transparent"', 'stroke="none"').replace('fill="transparent"', 'fill="none"')
    return svg.strip() + "\n"
