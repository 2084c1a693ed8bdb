"""rackview: every culture vessel of a live-feed rack at a glance, and what to do with it next."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["Rack", "__version__", "advise", "assess", "forecast", "plan"]

if TYPE_CHECKING:
    from rackview.advice.api import advise, assess, forecast, plan
    from rackview.notebook import Rack


def __getattr__(name: str) -> Any:
    """Load the public names on first use, so that `rackview --version` imports nothing heavy."""
    if name == "Rack":
        from rackview.notebook import Rack

        return Rack
    if name in {"advise", "assess", "forecast", "plan"}:
        from rackview.advice import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
