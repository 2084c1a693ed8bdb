"""Each subcommand as an outsider calls it: what it prints, what it leaves behind, how it ends."""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from rackview import __version__, forecast
from rackview.services import places
from rackview.store import Store

if TYPE_CHECKING:
    from tests.cli.conftest import Run

AT = "2026-03-03T09:00+00:00"


def test_version_and_help(run: Run) -> None:
    assert run("--version").out.strip() == f"rackview {__version__}"
    said = run("--help")
    assert said.status == 0
    assert all(f"\n    {name} " in said.out for name in ("status", "advise", "plan", "merge", "demo"))


@pytest.mark.parametrize(
    "words",
    [
        ["no-such-subcommand"],
        ["status", "--at", "yesterday-ish"],
        ["status", "--at", "2026-13-01"],
        ["status", "--at", "0026-03-01"],
        ["picture", "x.png", "--at", "9999-12-31T23:59"],
        ["plan", "--days", "0"],
        ["plan", "--days", "²"],
        ["import"],
        ["picture", "x.png", "--size", "big"],
        ["picture", "x.png", "--theme", "pink"],
        ["--demo", "--store", "x.db"],
        ["--demo", "status"],
        ["status", "--jso"],
    ],
)
def test_misuse_ends_with_2_and_a_sentence(run: Run, words: list[str]) -> None:
    said = run(*words)
    assert (said.status, said.out) == (2, "")
    assert "rackview" in said.err


@pytest.mark.parametrize("command", [["status"], ["advise"], ["plan"], ["export", "out"], ["check"], ["backup"]])
def test_a_reading_command_never_makes_a_store(run: Run, tmp_path: Path, command: list[str]) -> None:
    said = run("--store", tmp_path / "none.db", *command)
    assert (said.status, said.out) == (1, "")
    assert said.err.startswith(f"There is no store at {tmp_path / 'none.db'}")
    assert said.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_without_a_store_named_it_is_the_keepers_own(run: Run, tables: tuple[Path, Path]) -> None:
    assert run("status").status == 1
    assert run("import", *tables).status == 0
    assert places.store().exists()
    assert len(json.loads(run("status", "--json").out)) == 2


def test_store_goes_before_or_after_the_subcommand(run: Run, store: Path) -> None:
    before = run("--store", store, "status", "--json", "--at", AT)
    after = run("status", "--json", "--at", AT, "--store", store)
    assert before.status == 0
    assert before == after


def test_status_sees_through_the_harvest(run: Run, store: Path) -> None:
    """Worked example of the growth rate with removals: 100 /mL, 6 of 20 L replaced, 130 /mL after two days."""
    a1, a2 = json.loads(run("--store", store, "status", "--json", "--at", AT).out)
    assert 110 < a1["density_per_ml"]["median"] < 150
    assert a1["net_rate_per_day"]["median"] > 0.15
    assert a1["days_since_cleaning"] == 0
    assert a1["days_since_restart"] is None
    assert a2["density_per_ml"]["high90"] > a2["density_per_ml"]["median"] >= 0


def test_the_density_is_that_of_the_forecast_for_the_same_moment(run: Run, store: Path) -> None:
    """What the command line says of now is where tile, page and Python begin the days ahead."""
    with Store.open(store) as opened:
        rack = opened.load()
    for row in json.loads(run("--store", store, "status", "--json", "--at", AT).out):
        (low, middle, high), _ = forecast(rack, row["vessel"], AT, [0.0, 1.0], [0.05, 0.5, 0.95])
        said = row["density_per_ml"]
        assert (said["low90"], said["median"], said["high90"]) == pytest.approx((low, middle, high), rel=1e-4)


def test_status_as_text_is_one_line_per_vessel_in_the_keepers_units(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "settings.csv").write_text("setting,value\nvolume_unit,US gal\nname,Shed\n", encoding="utf-8")
    assert run("--store", store, "import", tmp_path / "settings.csv").status == 0
    lines = run("--store", store, "status", "--at", AT).out.splitlines()
    assert lines[0].startswith("Shed, 2026-03-03")
    assert [line.split()[:3] for line in lines[3:]] == [["A1", "A1", "rotifer-L"], ["A2", "A2", "rotifer-S"]]
    assert "5.3 US gal" in lines[3]


def test_days_ago_are_the_keepers_days_as_in_the_window(run: Run, store: Path) -> None:
    """Counted at 08:00, asked at 23:00 the day after: yesterday, though more than a day and a half ago."""
    lines = run("--store", store, "status", "--at", "2026-03-04T23:00+00:00").out.splitlines()
    assert "1 d ago" in lines[3]
    assert "2 d ago" not in lines[3]


def test_a_feed_is_named_once(run: Run, store: Path, tmp_path: Path) -> None:
    stock = "feed,dry_g_per_ml,amount,unit\npaste of the shed,0.08,500,mL\n"
    (tmp_path / "stock.csv").write_text(stock, encoding="utf-8")
    assert run("--store", store, "import", tmp_path / "stock.csv").status == 0
    feeds = [line for line in run("--store", store, "advise", "--at", AT).out.splitlines() if ": Feed " in line]
    assert feeds
    assert all(line.count("paste of the shed") == 1 for line in feeds)


def test_at_knows_nothing_that_came_later(run: Run, store: Path) -> None:
    a1, a2 = json.loads(run("--store", store, "status", "--json", "--at", "2026-03-01T08:10+00:00").out)
    assert 85 < a1["density_per_ml"]["median"] < 115
    assert a1["days_since_cleaning"] is None
    assert a2["density_per_ml"] is None


def test_advice_is_numbered_in_the_order_of_the_json(run: Run, store: Path) -> None:
    rows = json.loads(run("--store", store, "advise", "--json", "--at", AT).out)
    text = run("--store", store, "advise", "--at", AT).out
    heads = re.findall(r"(?m)^ *(\d+)\. \w+ (\w+): (.*) \(", text)
    assert [h[:2] for h in heads] == [(str(n), r["vessel"]) for n, r in enumerate(rows, 1)]
    assert all(h[2].startswith(r["text"]) for h, r in zip(heads, rows, strict=True))
    assert all(len(line) <= 100 for line in text.splitlines() if line.startswith("    "))


def test_plan_says_what_is_needed_and_who_gives(run: Run, store: Path, tmp_path: Path) -> None:
    demand = tmp_path / "demand.csv"
    demand.write_text("date,strain,animals\n2026-03-04,rotifer-L,250000\n", encoding="utf-8")
    assert run("--store", store, "import", demand).status == 0
    found = json.loads(run("--store", store, "plan", "--json", "--days", 3, "--at", AT).out)
    (day,) = [d for d in found["days"] if d["date"] == "2026-03-04" and d["strain"] == "rotifer-L"]
    assert day["demand"] == 250_000
    text = run("--store", store, "plan", "--days", 3, "--at", AT).out
    assert re.search(r"(?m)^2026-03-04 +rotifer-L +250 thousand ", text)


def test_a_dry_run_says_each_line_and_writes_nothing(run: Run, tables: tuple[Path, Path], tmp_path: Path) -> None:
    said = run("--store", tmp_path / "new.db", "import", "--dry-run", *tables)
    assert said.status == 0
    lines = said.out.splitlines()
    assert lines[0] == "vessels.csv, line 2: would take vessel A1"
    assert lines[2] == "events.csv, line 2: would take count at A1, 2026-03-01T08:00+00:00"
    assert lines[-1] == "7 lines would be taken in, 0 there already."
    assert not (tmp_path / "new.db").exists()


def test_a_dry_run_with_a_wrong_line_fails_as_the_import_would(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("at,vessel,kind\n2026-03-04,A1,rest\n2026-03-04,A9,rest\n", encoding="utf-8")
    said = run("--store", store, "import", "--dry-run", tmp_path / "more.csv")
    assert said.status == 1
    assert said.out.splitlines()[1].startswith("more.csv, line 3: would refuse: vessel: found “A9”")
    assert said.err == "Nothing was taken in, as 1 line can't be.\n"


def test_one_wrong_line_and_nothing_is_taken(run: Run, store: Path, tmp_path: Path) -> None:
    (tmp_path / "more.csv").write_text("at,vessel,kind\n2026-03-04,A1,rest\n2026-03-04,A9,rest\n", encoding="utf-8")
    before = run("--store", store, "status", "--json", "--at", "2026-03-05")
    said = run("--store", store, "import", tmp_path / "more.csv")
    assert (said.status, said.out) == (1, "")
    assert said.err.splitlines()[0].startswith("more.csv, line 3: vessel: found “A9”")
    assert run("--store", store, "status", "--json", "--at", "2026-03-05") == before
    assert run("--store", tmp_path / "new.db", "import", tmp_path / "more.csv").status == 1
    assert not (tmp_path / "new.db").exists()


def test_a_name_with_control_characters_does_not_reach_the_terminal(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x\x1b[31m.csv"
    file.write_text("vessel,strain,shelf,position,volume_l\nA\x1b[2J1,rotifer-L,A,1,20\n", encoding="utf-8")
    store = tmp_path / "rack.db"
    shown = [run("--store", store, "import", "--dry-run", file), run("--store", store, "import", file)]
    shown += [run("--store", store, *words) for words in (["status"], ["advise"], ["import", tmp_path / "\x1b.csv"])]
    assert [said.status for said in shown] == [0, 0, 0, 0, 1]
    assert all("\x1b" not in said.out + said.err for said in shown)


def test_the_same_import_again_adds_nothing(run: Run, store: Path, tables: tuple[Path, Path]) -> None:
    said = run("--store", store, "import", *tables)
    assert said.out == f"0 lines taken into {store}, 7 there already.\n"


def test_a_file_that_is_no_store_is_left_alone(run: Run, tables: tuple[Path, Path], tmp_path: Path) -> None:
    junk = tmp_path / "junk.db"
    junk.write_text("not a store", encoding="utf-8")
    for command in (["status"], ["import", *tables], ["check"], ["backup"], ["merge", junk], ["export", "x"]):
        said = run("--store", junk, *command)
        assert said.status == 1
        assert said.err.startswith(f"{junk} is not a rackview store")
    assert junk.read_text(encoding="utf-8") == "not a store"


def test_an_export_comes_back_as_the_same_store(run: Run, store: Path, tmp_path: Path) -> None:
    said = run("--store", store, "export", tmp_path / "out")
    assert said.out.startswith(f"10 tables written to {tmp_path / 'out'}")
    assert run("--store", tmp_path / "again.db", "import", *sorted((tmp_path / "out").iterdir())).status == 0
    ask = ("status", "--json", "--at", AT)
    assert run("--store", tmp_path / "again.db", *ask) == run("--store", store, *ask)


def test_export_to_a_place_that_is_a_file(run: Run, store: Path) -> None:
    said = run("--store", store, "export", store)
    assert (said.status, said.err) == (1, f"{store}: File exists.\n")


def test_a_full_disk_is_said_in_a_sentence(
    run: Run, store: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("rackview.exchange.writer.os.fsync", full)
    said = run("--store", store, "export", tmp_path / "out")
    assert (said.status, said.err) == (1, f"rackview export stopped: {os.strerror(errno.ENOSPC)}.\n")
    assert list((tmp_path / "out").iterdir()) == []


def test_backup_restore_and_check(run: Run, store: Path, tmp_path: Path) -> None:
    before = run("--store", store, "status", "--json", "--at", AT)
    assert run("--store", store, "backup", tmp_path / "copy.db").out.rstrip().endswith("copy.db.")
    assert run("--store", store, "check").out == f"Nothing is wrong with {store}.\n"
    store.write_bytes(store.read_bytes()[:9000])
    said = run("--store", store, "check")
    assert (said.status, said.out) == (1, "")
    assert "damaged" in said.err
    assert run("--store", store, "restore", tmp_path / "copy.db").out.startswith(f"{store} is made anew with 7 entries")
    assert run("--store", store, "status", "--json", "--at", AT) == before


def test_restore_from_the_day_book_alone(run: Run, store: Path) -> None:
    before = run("--store", store, "status", "--json", "--at", AT)
    store.unlink()
    assert run("--store", store, "restore").status == 0
    assert run("--store", store, "status", "--json", "--at", AT) == before


def test_two_keepers_meet(run: Run, store: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    (tmp_path / "more.csv").write_text("at,vessel,kind,what\n2026-03-04,A1,clean,vessel\n", encoding="utf-8")
    assert run("--store", store, "backup", other).status == 0
    assert run("--store", other, "import", tmp_path / "more.csv").status == 0
    assert run("--store", store, "merge", other).out == f"1 entry of {other} taken into {store}.\n"
    assert run("--store", store, "merge", other).out == f"0 entries of {other} taken into {store}.\n"
    said = run("--store", tmp_path / "none.db", "merge", other)
    assert said.status == 1
    assert not (tmp_path / "none.db").exists()


def test_a_picture_of_a_screen_that_is_not_there_is_misuse(run: Run, store: Path, tmp_path: Path) -> None:
    for words, says in ((["--screen", "attic"], "--screen: found “attic”"), (["--size", "9x9"], "--size: found “9x9”")):
        said = run("--store", store, "picture", tmp_path / "p.png", *words)
        assert said.status == 2
        assert says in said.err
    assert not (tmp_path / "p.png").exists()


def test_a_demo_is_written_to_a_new_file_only(run: Run, store: Path) -> None:
    before = store.read_bytes()
    said = run("demo", store)
    assert said.status == 1
    assert str(store) in said.err
    assert store.read_bytes() == before


def test_a_fault_of_our_own_is_a_sentence_that_names_the_log(
    run: Run, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("a detail for the log")

    monkeypatch.setattr(Store, "open", broken)
    said = run("--store", store, "status")
    log = places.log_dir() / "rackview.log"
    assert (said.status, said.out) == (1, "")
    assert said.err == f"Something went wrong inside rackview (ZeroDivisionError); the details are in {log}.\n"
    kept = log.read_text(encoding="utf-8")
    assert "rackview status failed" in kept
    assert "Traceback" in kept
    assert "a detail for the log" in kept
    log.unlink()
    log.parent.rmdir()
    log.parent.write_text("in the way", encoding="utf-8")
    assert "could not be written" in run("--store", store, "status").err


def test_ctrl_c_ends_quietly(run: Run, store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Store, "open", stopped)
    assert run("--store", store, "status") == (130, "", "")


def test_global_options_go_before_or_after_and_are_refused_where_they_say_nothing(run: Run, store: Path) -> None:
    before = run("--store", store, "--json", "--at", AT, "--vessel", "A1", "status")
    after = run("status", "--vessel", "A1", "--at", AT, "--json", "--store", store)
    assert before == after
    assert [row["vessel"] for row in json.loads(after.out)] == ["A1"]
    for words, name in ((["--json", "backup"], "json"), (["--at", AT, "check"], "at"), (["--vessel", "A1"], "vessel")):
        ended = run("--store", store, *words)
        assert ended.status == 2
        assert f"--{name} is of no use to" in ended.err


def test_advice_of_one_vessel_is_what_concerns_it(run: Run, store: Path) -> None:
    whole = json.loads(run("--store", store, "advise", "--json", "--at", AT).out)
    part = json.loads(run("--store", store, "advise", "--json", "--at", AT, "--vessel", "A2").out)
    assert part == [row for row in whole if "A2" in (row["vessel"], row["other_vessel"])]
    assert 0 < len(part) < len(whole)
    ended = run("--store", store, "status", "--vessel", "A9")
    assert (ended.status, ended.err) == (1, "vessel: found “A9”, but needs one of A1, A2.\n")


def test_quiet_says_nothing_when_all_is_well(run: Run, store: Path, tmp_path: Path) -> None:
    for words in (["check"], ["backup", tmp_path / "copy.db"], ["export", tmp_path / "out"], ["merge", store]):
        ended = run("--store", store, "--quiet", *words)
        assert ended.out == "", words
    ended = run("--quiet", "--store", store, "record", "note", "--vessel", "A1", "text=stirred")
    assert ended == (0, "", "")
    ended = run("--quiet", "--store", store, "record", "note", "--vessel", "A9", "text=stirred")
    assert ended.status == 1
    assert ended.out == ""
    assert "A9" in ended.err


def test_long_texts_end_at_the_width_of_the_terminal(run: Run, store: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for asked, most in (("72", 72), ("20", 60), ("999", 160)):
        monkeypatch.setenv("COLUMNS", asked)
        indented = [line for line in run("--store", store, "advise", "--at", AT).out.splitlines() if line[:4] == "    "]
        assert indented
        assert most - 25 < max(map(len, indented)) <= most


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_knows_every_subcommand(run: Run, shell: str) -> None:
    ended = run("completion", shell)
    assert ended.status == 0
    assert all(name in ended.out for name in ("status", "advise", "install-desktop", "json"))


def test_bash_takes_the_completion(run: Run, tmp_path: Path) -> None:
    """A real bash completes `rackview sta` to `rackview status` with it."""
    (tmp_path / "rackview.bash").write_text(run("completion", "bash").out, encoding="utf-8")
    asked = "source ./rackview.bash; COMP_WORDS=(rackview sta); COMP_CWORD=1; _shtab_rackview; echo ${COMPREPLY[*]}"
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash on this machine")
    ended = subprocess.run([bash, "-c", asked], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert ended.stdout.split() == ["status"]
