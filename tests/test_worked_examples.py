"""The worked examples of DEVELOPERS.md, done step by step in a copy of the program: what they say is enough."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def blocks(heading: str) -> list[str]:
    """The pieces of code under a heading of the guide."""
    part = GUIDE.split(f"## Worked example: {heading}", 1)[1].split("\n## ", 1)[0]
    return [textwrap.dedent(code) for code in re.findall(r"```python\n(.*?)```", part, re.DOTALL)]


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """A copy of the program."""
    for name in ("rackview", "resources"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "rackview" / "resources").symlink_to(tmp_path / "resources", target_is_directory=True)
    return tmp_path


def put(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1, f"{path.name} has no {old!r}"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def add(path: Path, text: str) -> None:
    path.write_text(path.read_text(encoding="utf-8") + "\n\n" + text, encoding="utf-8")


def said(tree: Path, program: str) -> list[str]:
    """What a program prints that imports the copy."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(tree), os.environ.get("PYTHONPATH", "")])}
    program = f"import rackview; assert rackview.__file__.startswith({str(tree)!r})\n{textwrap.dedent(program)}"
    done = subprocess.run(
        [sys.executable, "-c", program], env=env, cwd=tree, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_a_rule_is_added_as_the_guide_says(tree: Path) -> None:
    rule, speaks = blocks("adding a rule")
    rules, threshold = tree / "rackview" / "rules", '"top_up_days": {"value": 14, "source": "a test"},\n  '
    add(rules / "catalogue" / "care.py", f"CARE = (*CARE, *{rule})")
    put(
        tree / "rackview" / "core" / "profile.py",
        "    salinity_step: float\n",
        "    salinity_step: float\n    top_up_days: float\n",
    )
    for path in (tree / "resources" / "profiles").glob("*.json"):
        put(path, '"salinity_step"', f'{threshold}"salinity_step"') if not path.stem.startswith("larvae") else None
    row = 'Threshold("salinity_step",'
    put(
        rules / "catalogue" / "thresholds.py",
        row,
        f'Threshold("top_up_days", "top up every", DAYS, 1.0, 90.0),\n        {row}',
    )
    add(rules / "flags" / "care.py", speaks)
    put(rules / "flags" / "care.py", "feed_expired))", "feed_expired, top_up_due))")
    put(
        rules / "care.py",
        "    started: float | None = None\n",
        "    started: float | None = None\n    water_added: float | None = None\n",
    )
    put(
        rules / "care.py",
        "    facts.harvests.append(event)\n",
        "    facts.harvests.append(event)\n    facts.water_added = day\n",
    )
    words = "lambda v, s: f\"No water added for {v['days']:.0f} days.\""
    add(tree / "rackview" / "advice" / "words" / "flags.py", f'FLAG_WORDS["top_up_due"] = {words}\n')
    program = """
        from rackview import Rack, assess
        rows = [{"at": "2026-03-01T08:00", "vessel": "A", "kind": "count", "tallies": "200 210"},
                {"at": "2026-03-02T08:00", "vessel": "A", "kind": "harvest", "volume_l": 4, "refill_l": 4}]
        vessel = {"vessel": "A", "strain": "rotifer-L", "shelf": "A", "position": 1, "volume_l": 20}
        rack = Rack.from_frames([vessel], rows)
        for day in ("03-15T08:00", "03-16T09:00"):
            print("top_up_due" in {f.code for f in assess(rack, "A", f"2026-{day}").flags})
    """
    assert said(tree, program) == ["False", "True"]


def test_a_kind_of_event_is_added_as_the_guide_says(tree: Path) -> None:
    (event,) = blocks("adding a kind of event")
    core = tree / "rackview" / "core"
    put(core / "events.py", "KINDS: dict", f"{event}\n\nKINDS: dict")
    put(core / "events.py", "Withdraw)", "Withdraw, Moved)")
    add(
        core / "parse.py",
        'def _moved(row):\n    return {"where": str(row.get("where") or "")}\n\n\nREADERS["moved"] = _moved\n',
    )
    dictionary, row = tree / "rackview" / "exchange" / "dictionary.py", 'Column("tallies", "animals",'
    put(dictionary, row, f'Column("where", "", "where it stands now"),\n        {row}')
    program = """
        from pathlib import Path
        import sys, tempfile
        from datetime import UTC, datetime
        from rackview.core.vessel import Vessel
        from rackview.services.sessions import open_session
        from rackview.services.files import give_out
        from rackview.ui.words.event_words import summary
        folder = Path(tempfile.mkdtemp())
        session = open_session(folder / "rack.db", lambda: datetime(2026, 3, 2, tzinfo=UTC))
        session.put_vessel(Vessel("A", "rotifer-L", "A", 1, 20.0))
        session.record([{"at": "2026-03-01T08:00", "vessel": "A", "kind": "moved", "where": "window"}])
        session.close()
        session = open_session(folder / "rack.db", lambda: datetime(2026, 3, 2, tzinfo=UTC))
        event = session.rack.log("A").event
        print(event.kind, event.where, summary(event, session.rack.settings))
        session.undo()
        print(session.rack.log("A").event is None)
        session.close()
    """
    assert said(tree, program) == ["moved", "window", "moved", "True"]


def test_a_number_is_added_to_the_tile_as_the_guide_says(tree: Path) -> None:
    (drawn,) = blocks("adding a number to the tile")
    part = " ".join(GUIDE.split("## Worked example: adding a number to the tile", 1)[1].split())
    field, believed, shown, words = (
        next(said for said in re.findall("`([^`]*)`", part) if said.startswith(begin))
        for begin in ("animals: float", "animals=view", "animals: str", "animals=formats")
    )
    package, used = tree / "rackview", drawn.splitlines()[0].removeprefix("used = ")
    put(package / "core" / "assessment.py", "    level_l: float = 0.0\n", f"    level_l: float = 0.0\n    {field}\n")
    put(package / "advice" / "beliefs.py", "level_l=est.level_l,", f"level_l=est.level_l, {believed},")
    put(package / "ui" / "rack" / "tile.py", '    tooltip: str = ""\n', f'    tooltip: str = ""\n    {shown}\n')
    put(package / "ui" / "rack" / "tile.py", "trend=trend,", f"trend=trend, {words},")
    put(package / "ui" / "paint" / "tile.py", f"    {used}\n", textwrap.indent(drawn, "    "))
    program = """
        from datetime import UTC, datetime
        from PySide6.QtCore import QRectF
        from PySide6.QtGui import QImage, QPainter
        from rackview import Rack, app, assess
        from rackview.ui.paint import tile as paint
        from rackview.ui.rack.tile import tile
        from rackview.ui.theme import LIGHT
        application, at = app.application(), datetime(2026, 3, 1, 9, tzinfo=UTC)
        rows = [{"at": "2026-03-01T08:00", "vessel": "A", "kind": "count", "tallies": "200 210"}]
        vessels = [{"vessel": v, "strain": "rotifer-L", "shelf": "A", "position": n, "volume_l": 20}
                   for n, v in enumerate("AB", 1)]
        rack, written, plain = Rack.from_frames(vessels, rows), [], paint.write
        paint.write = lambda painter, x, base, text, *more, **named: (
            written.append(text), plain(painter, x, base, text, *more, **named))[1]
        for name in "AB":
            state = tile(rack, assess(rack, name, at), None, None, at)
            image = QImage(400, 300, QImage.Format.Format_RGB32)
            painter = QPainter(image)
            paint.paint_tile(painter, QRectF(0, 0, 400, 300), state, LIGHT)
            painter.end()
            print((state.animals or "none").replace(" ", "_"), bool(state.animals) and state.animals in written)
    """
    assert said(tree, program) == ["4.1_M", "True", "none", "False"], "205 animals per mL in 20 L"


def test_lines_can_be_counted_where_folders_are_run(tmp_path: Path) -> None:
    """With a process for each processor, whoever counts lines must be told of it by `-n`, and else there is one."""
    pytest.importorskip("pytest_cov")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "--cov", "--cov-report=", "--cov-fail-under=0", "tests/no_network"],
        cwd=ROOT, env={**os.environ, "COVERAGE_FILE": str(tmp_path / "counted")},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == pytest.ExitCode.NO_TESTS_COLLECTED, done.stdout + done.stderr
