"""Every screen at every size: nothing cut, nothing on top of another, nothing outside of what holds it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import combinations

import pytest
from PySide6.QtCore import QCoreApplication, QSize, Qt
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QWidget,
)

from rackview.services.faults import StoreError
from rackview.services.rescue import CHOICES, Trouble
from rackview.services.sessions import open_session
from rackview.ui.forms.form import Form
from rackview.ui.forms.table_page import TablePage
from rackview.ui.registry import SCREENS
from rackview.ui.store.opening import OpeningWindow
from rackview.ui.store.page import PARTS
from rackview.ui.theme import fonts
from rackview.ui.window import MainWindow

SIZES = ((904, 462), (952, 500), (1024, 600), (1272, 680), (1366, 728), (1920, 1040))
"""1366 x 768 (at 150 and 100 %) and 1920 x 1080 (at 200, 150 and 100 %) less frame and task bar; the least screen."""
SLACK = 2
NOW = datetime(2026, 5, 14, 9, 0, tzinfo=UTC)


def named(widget: QWidget) -> str:
    text = getattr(widget, "text", str)()
    return f"{type(widget).__name__} “{(widget.objectName() or text)[:40]}” {widget.geometry().getRect()}"


def scrolls(widget: QWidget) -> bool:
    """Whether what holds the widget scrolls, so that it may reach beyond what is seen."""
    held = widget.parentWidget()
    while held is not None:
        if isinstance(held, QAbstractScrollArea):
            return True
        held = held.parentWidget()
    return False


def cut(widget: QWidget) -> Iterator[str]:
    """Words that have no room."""
    if isinstance(widget, QLabel) and widget.text():
        if widget.wordWrap() and widget.heightForWidth(widget.width()) > widget.height() + SLACK:
            yield f"{named(widget)} needs {widget.heightForWidth(widget.width())} px of height"
        elif not widget.wordWrap() and widget.sizeHint().width() > widget.width() + SLACK:
            yield f"{named(widget)} needs {widget.sizeHint().width()} px of width"
    if isinstance(widget, QPushButton):
        words = widget.fontMetrics().horizontalAdvance(widget.text().replace("&", ""))
        if words > widget.width() - SLACK:
            yield f"{named(widget)} needs {words} px for its words"


def faults(window: QWidget) -> Iterator[str]:
    """What is cut, covered or outside, as a sentence each."""
    for widget in (window, *window.findChildren(QWidget)):
        if not widget.isVisible() or (widget.isWindow() and widget is not window):
            continue
        held = None if widget is window else widget.parentWidget()
        if (
            held is not None
            and not scrolls(widget)
            and not held.rect().adjusted(-1, -1, 1, 1).contains(widget.geometry())
        ):
            yield f"{named(widget)} reaches out of {named(held)}"
        yield from cut(widget)
        if isinstance(widget, QScrollArea) and widget.horizontalScrollBar().maximum() > SLACK:
            yield f"{named(widget)} must be scrolled sideways"
        if isinstance(widget, QAbstractScrollArea | QStackedWidget):
            continue
        inside = [c for c in widget.children() if isinstance(c, QWidget) and c.isVisible() and not c.isWindow()]
        for one, other in combinations(inside, 2):
            common = one.geometry().intersected(other.geometry())
            if common.width() > SLACK and common.height() > SLACK:
                yield f"{named(one)} and {named(other)} lie on each other"


@pytest.fixture(scope="module")
def read_rack(demo_at):
    """The demo rack, in the middle of its day, only looked at: what was worked out for one window serves the next."""
    session = demo_at(lambda: NOW)
    yield session
    session.close()


@pytest.fixture
def demo(read_rack):
    """A session on it that nobody listens to and without drafts, as a closed window goes on listening."""
    yield read_rack
    read_rack._listeners.clear()
    for form in read_rack.drafts():
        read_rack.drop_draft(form)


def made(session, size):
    """A window of a size, shown."""
    window = MainWindow(session, look="light")
    window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    resized(window, size)
    window.show()
    assert (window.width(), window.height()) == size, "no screen needs more room than there is"
    return window


def resized(window, size) -> None:
    window.setMinimumSize(window.minimumSize().boundedTo(QSize(*size)))  # as on a screen of that size
    window.resize(*size)


@pytest.fixture
def shown(qtbot):
    """Opens a window of a size and gives it."""

    def show(session, size):
        window = made(session, size)
        qtbot.addWidget(window)
        return window

    return show


def growing(window, sizes) -> Iterator[str]:
    """The window at each of the sizes, the smallest first; gives the words for it."""
    for size in sorted(sizes):
        resized(window, size)
        assert (window.width(), window.height()) == size, "no screen needs more room than there is"
        yield f"{size[0]} x {size[1]}"


def settle() -> None:
    for _ in range(4):
        QCoreApplication.sendPostedEvents()
        QCoreApplication.processEvents()


def test_every_screen_of_a_full_rack(demo, shown):
    window, found = shown(demo, min(SIZES)), []
    for size in growing(window, SIZES):
        for name in SCREENS:
            window.go(name, "Limpet" if name == "vessel" else None)
            settle()
            found += [f"{size}, {name}: {fault}" for fault in faults(window)]
    assert not found


@pytest.mark.parametrize("size", [min(SIZES), (1366, 728)])
@pytest.mark.parametrize("name", ["add_vessel", "settings", "larvae", "stock"])
def test_the_buttons_of_a_form_are_in_sight_while_it_is_filled_in(demo, shown, name, size):
    window = shown(demo, size)
    window.go(name)
    for page in window.findChildren(TablePage)[:1]:
        settle()
        assert page.table.width() == page.width(), "without a form the rows have the whole width"
        page.add()
    settle()
    (form,) = (f for f in window.findChildren(Form) if f.isVisible())
    for one in (form.button, next(iter(form.findChildren(QLineEdit)))):
        assert one.visibleRegion().boundingRect().size() == one.size(), f"all of {named(one)}"


@pytest.mark.parametrize("size", [min(SIZES), (1366, 728)])
def test_the_buttons_of_an_entry_are_in_sight_while_it_is_typed_or_corrected(demo, shown, size):
    window = shown(demo, size)
    window.go("vessel", "Limpet")
    page = window.screen_widget()
    count = next(e for e in reversed(list(demo.rack.events())) if e.kind == "count" and e.vessel == "Limpet")
    for begin in (lambda: page.panel.begin("Limpet", "count"), lambda: page.panel.correct(count)):
        begin()
        page._stack.setCurrentWidget(page.panel)
        settle()
        button = page.panel.form.button
        assert button.visibleRegion().boundingRect().size() == button.size()
    assert any("A1 Limpet" in line.text for line in page.panel._why._lines), "it says which entry is corrected"


def test_the_page_of_every_vessel(demo, shown):
    """Each says something else, and some of it is long."""
    window, found = shown(demo, min(SIZES)), []
    for size in growing(window, [SIZES[0], SIZES[4]]):
        for name in demo.rack.vessels:
            window.go("vessel", name)
            settle()
            found += [f"{size}, {name}: {fault}" for fault in faults(window)]
    assert not found


@pytest.mark.parametrize("size", SIZES[:2])
def test_every_screen_of_an_empty_rack(qtbot, quick_folder, clock, shown, size):
    session = open_session(quick_folder / "empty.db", clock)
    window, found = shown(session, size), []
    for name in (s for s in SCREENS if s not in {"vessel", "loss"}):
        window.go(name)
        settle()
        found += [f"{name}: {fault}" for fault in faults(window)]
    window.close()
    session.close()
    assert not found


@pytest.mark.parametrize("size", SIZES[:1])
def test_forms_with_their_errors(demo, shown, size):
    """Each form of a vessel opened and sent off blank, so that it says what is missing."""
    window, found = shown(demo, size), []
    for kind in ("harvest", "feed", "clean", "split", "restart", "top_up", "reading", "note"):
        window.go("vessel", "Limpet")
        page = window.screen_widget()
        page._wanted(kind)
        settle()
        page.panel.form.submit()
        settle()
        found += [f"{kind}: {fault}" for fault in faults(window)]
        page.panel.close_form()
    for name, table in (("larvae", "broods"), ("larvae", "demand"), ("stock", "page")):
        window.go(name)
        page = getattr(window.screen_widget(), table)
        page.add()
        settle()
        page.form.submit()
        settle()
        found += [f"{name}: {fault}" for fault in faults(window)]
        page.close_form()
    assert not found


def test_a_window_made_smaller_has_room_for_the_round(demo, shown):
    window = shown(demo, SIZES[-1])
    window.go("round")
    settle()
    window.setMinimumSize(1, 1)
    window.resize(*SIZES[0])
    settle()
    assert list(faults(window)) == []


def test_the_test_sees_what_is_cut_covered_or_outside(qtbot):
    whole = QWidget()
    qtbot.addWidget(whole)
    whole.resize(200, 100)
    cut, over, out = QLabel("far too many words for this", whole), QPushButton("on it", whole), QLabel("x", whole)
    cut.setGeometry(0, 0, 40, 20)
    over.setGeometry(20, 5, 60, 20)
    out.setGeometry(150, 90, 40, 40)
    whole.show()
    said = list(faults(whole))
    assert any("far too many words" in s and "px of width" in s for s in said)
    assert any("far too many words" in s and "on it" in s and "lie on each other" in s for s in said)
    assert any("“x”" in s and "reaches out of" in s for s in said)
    over.setGeometry(0, 30, 5, 20)
    assert any("on it" in s and "px for its words" in s for s in faults(whole))
    cut.setGeometry(0, 0, 180, 25)
    over.setGeometry(0, 30, 140, 36)
    out.setGeometry(150, 70, 20, 20)
    assert not list(faults(whole))


@pytest.mark.parametrize("size", SIZES[:2])
def test_every_part_of_the_store_and_the_bars_over_the_screens(demo, shown, size):
    window, found = shown(demo, size), []
    window.trouble.show_fault(StoreError("gone", "away"))
    window.reminder_bar.remind("It is 18:00. Without an entry today: " + ", ".join(demo.rack.vessels) + ".")
    for part in PARTS:
        window.go("store", part)
        panel = window.screen_widget().panel
        panel.work.wait()
        settle()
        found += [f"{part}: {fault}" for fault in faults(window)]
    assert not found


@pytest.mark.parametrize("what", CHOICES)
@pytest.mark.parametrize("size", [(1022, 560), (640, 400)])
def test_the_window_of_a_store_that_cannot_be_opened(qtbot, quick_folder, clock, what, size):
    trouble = Trouble(what, quick_folder / "a folder with a long name" / "rack.db", "The store is damaged (page 7).")
    window = OpeningWindow(trouble, clock)
    qtbot.addWidget(window)
    window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    window.resize(*size)
    window.show()
    qtbot.waitUntil(lambda: not window.work.running)
    settle()
    assert not list(faults(window))


@pytest.mark.parametrize("scale", [0.625, 1.0, 2.0])
def test_the_words_beneath_the_strip_of_the_round_are_drawn_whole(demo, shown, scale):
    window = shown(demo, SIZES[-1])
    window.go("round")
    strip = window.screen_widget().strip
    strip.set_scale(scale)
    strip.resize(strip.width(), strip.height())
    picture = strip.grab().toImage()
    ratio = picture.devicePixelRatio()
    colours = [[picture.pixelColor(x, y) for x in range(picture.width())] for y in range(picture.height())]
    red = [any(c.red() - c.blue() > 60 for c in row) for row in colours]
    words = red[len(red) - red[::-1].index(False, red[::-1].index(True)) :]  # the last rows of red; over them the board
    face = QFontMetricsF(fonts.font(fonts.px(12, scale), fonts.SEMIBOLD))
    assert sum(words) / ratio >= face.tightBoundingRect("separate tools").height() - 1
