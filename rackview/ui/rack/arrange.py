"""Where the tiles stand: shelves as rows, places as columns, as large as the room allows. Plain numbers, no Qt."""

from __future__ import annotations

from collections.abc import Sequence

from rackview.core.dataclass import dataclass

WIDE, TALL = 268.0, 236.0
"""The shape of a tile at its best; a layout is as good as the smaller share of either that it reaches."""
LEAST_WIDE, LEAST_TALL = 116.0, 104.0
"""Smaller tiles are not made; the rack scrolls instead."""
BROADEST = 1.5
"""A tile gets no broader than this much of its height."""
BROADEST_FAR = 2.0
HIGHEST = 0.48
"""A tile gets no higher than this much of the room."""
WHOLE_SHELF = 1.15
"""A shelf goes on in a second row only if tiles get this much larger by it."""


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """Part of a shelf: its index, and its places from `first` up to before `end`."""

    shelf: int
    first: int
    end: int


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows of tiles, and the width and height of a tile, px."""

    columns: int
    rows: tuple[ShelfRow, ...]
    width: float
    height: float


def arrange(lengths: Sequence[int], width: float, height: float, *, gap: float = 12.0, board: float = 22.0) -> Grid:
    """The best grid for shelves of these many places in a room of this size.

    A shelf is one row; where its tiles would get too narrow it goes on in a second row. `gap` lies beside a tile,
    `board` below it. Where even the smallest tiles don't fit, the rows are higher than the room.
    """
    longest = max(lengths, default=0)
    if longest == 0:
        return Grid(0, (), 0.0, 0.0)
    grids = [_grid(lengths, columns, width, height, gap, board) for columns in range(longest, 0, -1)]
    return max(grids, key=lambda grid: _worth(grid, longest))


def _grid(lengths: Sequence[int], columns: int, width: float, height: float, gap: float, board: float) -> Grid:
    rows = tuple(
        ShelfRow(shelf, first, min(first + columns, length))
        for shelf, length in enumerate(lengths)
        for first in range(0, length, columns)
    )
    tall = height / len(rows) - board
    wide = width / columns - gap
    return Grid(columns, rows, wide, tall)


def _worth(grid: Grid, longest: int) -> tuple[bool, float]:
    fits = grid.width >= LEAST_WIDE and grid.height >= LEAST_TALL
    if not fits:  # the rows will scroll: few of them, and of as few the even ones, whose tiles are wider
        return grid.width >= LEAST_WIDE, grid.width / 1e4 - len(grid.rows)
    return True, min(grid.width / WIDE, grid.height / TALL) * (WHOLE_SHELF if grid.columns == longest else 1.0) + 100.0


def tile_size(grid: Grid, room: float, *, far: bool = False) -> tuple[float, float]:
    """Width and height of the tiles in a room of this height, held within what still looks like a tile.

    Tiles to be read from afar hold large words, so they may get broader.
    """
    height = max(min(grid.height, max(300.0, room * HIGHEST)), LEAST_TALL)
    return min(max(grid.width, LEAST_WIDE), height * (BROADEST_FAR if far else BROADEST)), height
