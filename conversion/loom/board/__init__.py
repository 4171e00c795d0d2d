"""The loom laid out on the board on which it is built."""

from conversion.loom.board.layout import Fold, Layout, lay_board
from conversion.loom.board.tree import BoardRun, BoardTree, Leaf, find_loop

__all__ = ["BoardRun", "BoardTree", "Fold", "Layout", "Leaf", "find_loop", "lay_board"]
