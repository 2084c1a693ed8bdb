"""Where the tiles stand, in numbers: shelves as rows, as large as the room allows."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rackview.ui.rack.arrange import LEAST_TALL, LEAST_WIDE, ShelfRow, arrange, tile_size


def test_a_shelf_is_a_row() -> None:
    grid = arrange([4, 4, 4], 1000, 640)
    assert grid.rows == (ShelfRow(0, 0, 4), ShelfRow(1, 0, 4), ShelfRow(2, 0, 4))
    assert grid.columns == 4


def test_a_long_shelf_goes_on_in_a_second_row() -> None:
    grid = arrange([12], 970, 690)
    assert grid.columns == 4
    assert [(r.first, r.end) for r in grid.rows] == [(0, 4), (4, 8), (8, 12)]


def test_a_shelf_is_not_broken_for_a_little_gain() -> None:
    assert arrange([5, 5, 3], 970, 640).columns == 5


def test_eight_to_twelve_vessels_fit_every_usual_screen() -> None:
    """At 1280 x 720 with the row of screens, the header and the list taken off; so it does on all larger ones."""
    for shelves in ([4, 4], [4, 4, 4], [3, 3, 3], [6, 6], [12], [5, 5, 5], [2, 4, 6]):
        for width, height in ((960, 630), (1480, 980), (2040, 1340)):
            grid = arrange(shelves, width, height)
            assert grid.width >= LEAST_WIDE
            assert len(grid.rows) * (grid.height + 22) <= height + 1


def test_thirty_vessels_fit_without_scrolling() -> None:
    grid = arrange([6] * 5, 960, 630)
    assert grid.height >= LEAST_TALL
    assert grid.width >= LEAST_WIDE


def test_sixty_vessels_scroll_as_little_as_they_can_on_even_rows() -> None:
    """Five long shelves: at the widths of 1366 and 1024 px, list and letters taken off."""
    grid = arrange([12] * 5, 1037, 690)
    assert (grid.columns, len(grid.rows)) == (6, 10)
    grid = arrange([12] * 5, 699, 520)
    assert (grid.columns, len(grid.rows)) == (4, 15)
    assert grid.width >= LEAST_WIDE


def test_an_empty_rack_has_no_rows() -> None:
    assert arrange([], 900, 600).rows == ()


def test_few_vessels_do_not_fill_the_wall() -> None:
    width, height = tile_size(arrange([1], 960, 700), 700)
    assert height <= 0.5 * 700
    assert width <= 1.5 * height


@given(
    st.lists(st.integers(1, 40), min_size=1, max_size=12),
    st.floats(300, 4000),
    st.floats(200, 2500),
)
def test_every_place_stands_exactly_once(lengths: list[int], width: float, height: float) -> None:
    grid = arrange(lengths, width, height)
    places = [(row.shelf, at) for row in grid.rows for at in range(row.first, row.end)]
    assert places == [(shelf, at) for shelf, length in enumerate(lengths) for at in range(length)]
    assert all(row.end - row.first <= grid.columns for row in grid.rows)
    wide, tall = tile_size(grid, height)
    assert wide >= min(LEAST_WIDE, tall * 1.5)
    assert tall >= LEAST_TALL
