"""What holds for every test: no network, no window on the screen, none of the keeper's own folders."""

from __future__ import annotations

import itertools
import os
import runpy
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from rackview.core.garbage import pass_over, uncollected

NO_NETWORK = Path(__file__).parent / "no_network"

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
"""Whatever the machine is set to: tests start the program a hundred times, and each start compiled it anew."""

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [str(NO_NETWORK), os.environ.get("PYTHONPATH", "")]))
if "sitecustomize" not in sys.modules or not hasattr(sys.modules["sitecustomize"], "NetworkUsedError"):
    runpy.run_path(str(NO_NETWORK / "sitecustomize.py"))

settings.register_profile(
    "suite", max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile(
    "torture", max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile(os.environ.get("RACKVIEW_HYPOTHESIS", "suite"))

MOST_PROCESSES = 4
"""More would wait for each other at the disk; many tests start processes of their own."""


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Run folders in a process for each processor and one more, as a sixth of the time one of them waits.

    Files that are named, and long runs, are run in this one. `-n` rules, and so it does where lines are counted: what
    counts them has looked at it already.
    """
    if "PYTEST_XDIST_WORKER" in os.environ:
        return  # one of those processes: it must not start more
    asked, long = getattr(config.option, "numprocesses", 0), "not torture" not in config.option.markexpr
    alone = config.option.usepdb or bool(getattr(config.option, "cov_source", None))
    if asked is None and not alone and not long and not any(".py" in named for named in config.args):
        config.option.numprocesses = min((os.cpu_count() or 1) + 1, MOST_PROCESSES)
        config.option.dist = "worksteal"
        config.option.tx = ["popen"] * config.option.numprocesses


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Iterator[None]:
    """Search for no garbage while the tests are gathered, and pass over what stays of that until the end."""
    with uncollected():
        gathered = yield
    pass_over()
    return gathered


FOLDERS = ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME", "APPDATA", "LOCALAPPDATA", "HOME")
_number = itertools.count()


@pytest.fixture(scope="session")
def homes(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder under which each test has folders of its own."""
    return tmp_path_factory.mktemp("homes")


@pytest.fixture(autouse=True)
def own_folders(homes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Point every folder of the keeper's at an empty place, for this process and those it starts."""
    here = homes / str(next(_number))
    for name in FOLDERS:
        monkeypatch.setenv(name, str(here / name.lower()))


@pytest.fixture(scope="session")
def quick_root(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder in memory where the machine has one: for tests that write much and don't ask what a disk would keep."""
    memory = Path("/dev/shm")  # noqa: S108 - a folder of our own is made in it
    if not (memory.is_dir() and os.access(memory, os.W_OK)):
        yield tmp_path_factory.mktemp("quick")
        return
    with tempfile.TemporaryDirectory(dir=memory, prefix="rackview-tests-", ignore_cleanup_errors=True) as folder:
        yield Path(folder)


@pytest.fixture
def quick_folder(quick_root: Path) -> Iterator[Path]:
    """An empty folder of this test's own in `quick_root`."""
    folder = quick_root / f"t{next(_number)}"
    folder.mkdir()
    yield folder
    shutil.rmtree(folder, ignore_errors=True)
