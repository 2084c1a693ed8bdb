"""How well one colour can be told from another."""

from __future__ import annotations

from PySide6.QtGui import QColor


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio of two opaque colours, 1 to 21 (WCAG 2.2, definitions of contrast ratio and luminance)."""
    brighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (brighter + 0.05) / (darker + 0.05)


def _luminance(colour: QColor) -> float:
    def linear(channel: float) -> float:
        return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(c) for c in (colour.redF(), colour.greenF(), colour.blueF()))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
