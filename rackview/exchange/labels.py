"""Labels for the vessels as a page that any browser prints: name, place, strain, and the name in a code for machines.

The code is a QR code (ISO/IEC 18004) that holds the vessel's name and nothing else, so that a scanner which types like
a keyboard writes it wherever a name is asked for.
"""

from __future__ import annotations

import html
from pathlib import Path

from rackview.core.rack import Rack
from rackview.core.vessel import by_place

NAME = "labels.html"
_PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>{title}</title><style>
@page {{ margin: 10mm }}
body {{ font-family: sans-serif; margin: 0; display: flex; flex-wrap: wrap; gap: 4mm }}
div {{ width: 84mm; height: 30mm; box-sizing: border-box; border: 0.3mm solid #888; border-radius: 2mm; padding: 2mm;
  display: flex; gap: 3mm; align-items: center; overflow: hidden; break-inside: avoid }}
svg {{ width: 26mm; height: 26mm; flex: none }}
b {{ font-size: 16pt; overflow-wrap: anywhere }} span {{ font-size: 10pt; display: block }}
</style></head><body>
{labels}
</body></html>
"""


def labels(rack: Rack) -> str:
    """The page, a label for each vessel in the order of the shelves."""
    shown = []
    for vessel in by_place(rack.vessels.values()):
        strain = rack.strains[vessel.strain].title if vessel.strain in rack.strains else vessel.strain
        words = f"{vessel.place}, {strain}, {vessel.volume_l:g} L" + (", reserve" if vessel.reserve else "")
        shown.append(
            f"<div>{code(vessel.vessel)}<p><b>{html.escape(vessel.vessel)}</b><span>{html.escape(words)}</span></p></div>"
        )
    return _PAGE.format(title=html.escape(rack.settings.name or "Labels"), labels="\n".join(shown))


def code(text: str) -> str:
    """A QR code as a drawing that scales; a quarter of it may be soiled."""
    import segno

    made = segno.make(text, error="q", micro=False)
    return str(made.svg_inline(scale=4, border=2, omitsize=True))


def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The same code as rows of dark (True) and light squares with its quiet border, to be drawn."""
    import segno

    made = segno.make(text, error="q", micro=False)
    return tuple(tuple(bool(square) for square in row) for row in made.matrix_iter(border=2))


def write_labels(rack: Rack, folder: str | Path) -> Path:
    """Write the page into a folder and return it; raises `OSError`."""
    place = Path(folder) / NAME
    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = place.with_name(f".{NAME}.part")
    fresh.write_text(labels(rack), encoding="utf-8")
    fresh.replace(place)
    return place
