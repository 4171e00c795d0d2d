"""The loom on its board, reduced: where everything is before the first wire is cut."""

from __future__ import annotations

from conversion.drawings import Drawings
from conversion.pack.blocks import Block, Paragraph
from conversion.pack.board_files import MOST_PAGES
from conversion.pack.document import Section
from conversion.pack.sections.pictures import left_out, pictures

_FILES = (
    "At true scale 'treadle loom --out' writes the board, and so does 'treadle pack --board': board.pdf on one page of "
    "the board's own size, board-A4.pdf, board-A3.pdf and board-Letter.pdf cut into pages, board.dxf and board.svg. A "
    f"paper of which it takes more than {MOST_PAGES} pages is left out. "
    "Print pages at actual size, measure both bars of each, lay the crosses of neighbouring pages over each other, and "
    "glue them to the board. Then drive in two nails at every station and one on each side of the loom at every clip, "
    "and lay the wires between them."
)


def board_section(drawn: Drawings) -> Section:
    """The section: the reduced drawing, or why there is none, and what to print."""
    blocks: list[Block] = [*pictures(drawn, "board"), *left_out(drawn, "loom-board")]
    if not blocks:
        blocks.append(Paragraph("No loom is described that could be laid on a board."))
    lead = "How the loom lies while it is built: every length is true on the board, no angle is."
    return Section("loom-board", "Board of the loom", lead, (*blocks, Paragraph(_FILES)))
