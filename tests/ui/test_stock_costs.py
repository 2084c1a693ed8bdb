"""The stock's page: new salt water with the salt to weigh and its caution, what a million delivered takes by month."""

from __future__ import annotations

from datetime import timedelta

import pytest

from rackview.advice.feeding.costs import costs
from rackview.advice.words.cautions import CAUTIONS
from rackview.core.tables import Stock
from rackview.ui.stock.screen import StockScreen
from rackview.ui.theme import DARK, LIGHT
from rackview.ui.words import keeper_units as ku


@pytest.fixture
def page(qtbot, session):
    made = StockScreen(session, LIGHT)
    qtbot.addWidget(made)
    session.subscribe(made.refresh)
    made.refresh()
    return made


def test_the_days_water_is_told_with_its_salt_and_what_to_mind(page, session):
    water = session.plan(7).water
    assert water
    told = [line.cells for line in page.water_lines.lines]
    assert len(told) == len(water)
    assert (told[0][0] == "today") == (water[0].date == session.now().astimezone().date())
    assert [cells[1] for cells in told] == [ku.with_unit(w.volume_l, session.rack.settings) for w in water]
    assert all(cells[2].endswith(" kg") == (w.salt_g >= 1000) for cells, w in zip(told, water, strict=True))
    assert page.water_caution.text() == CAUTIONS["salt"]
    page.show()
    bar = page.water.verticalScrollBar()
    assert bar.maximum() == bar.minimum(), "every day is seen"
    assert page.water.as_text().splitlines()[1].split("\t") == list(told[0])


def test_costs_are_shown_by_strain_and_month_and_follow_a_price(page, session):
    found = costs(session.rack, session.now().astimezone())
    (month,) = [m for m in found if m.g_per_million is not None]
    told = page.costs.as_text().splitlines()
    assert told[0].split("\t")[-1] == "cost per million"
    assert told[1].split("\t")[1] == f"{month.month:%Y-%m}"
    assert told[1].endswith("\t–"), "no price, no cost"
    session.put_stock(Stock("algae concentrate", dry_g_per_ml=0.1, amount=500.0, price=50.0))
    priced = [m for m in costs(session.rack, session.now().astimezone()) if m.cost_per_million is not None]
    assert page.costs.as_text().splitlines()[1].endswith(f"{priced[0].cost_per_million:.2f}")


def test_costs_are_reckoned_anew_only_where_the_rack_or_the_day_is_another(page, session, clock, monkeypatch):
    reckoned = []

    def counted(rack, at):
        reckoned.append(at)
        return costs(rack, at)

    monkeypatch.setattr("rackview.ui.stock.screen._costs", counted)
    before = page.costs.as_text()
    page.refresh()
    assert not reckoned
    assert page.costs.as_text() == before
    session.put_stock(Stock("algae concentrate", dry_g_per_ml=0.1, amount=500.0, price=50.0))
    assert len(reckoned) == 1
    clock.now += timedelta(days=1)
    page.refresh()
    page.refresh()
    assert len(reckoned) == 2
    page._aside.failed.emit()
    page.refresh()
    assert len(reckoned) == 3, "what could not be worked out is tried again"


def test_it_is_painted_light_and_dark_on_a_small_screen(qtbot, page):
    page.resize(1000, 600)
    page.show()
    light = page.costs.grab().toImage()
    page.set_theme(DARK)
    dark = page.costs.grab().toImage()
    assert light.size() == dark.size()
    assert light != dark
    assert page.costs.accessibleName()


def test_a_rack_that_delivered_nothing_says_nothing_of_costs(qtbot, session_at, quick_folder, clock):
    from rackview.services.sessions import open_session

    empty = open_session(quick_folder / "empty.db", clock)
    made = StockScreen(empty, LIGHT)
    qtbot.addWidget(made)
    made.refresh()
    assert made.costs.isHidden()
    assert made.water.isHidden()
    empty.close()
