"""Event ids: time-ordered UUIDs for what is typed, content-made ones for what is imported or passed in."""

from __future__ import annotations

import hashlib
import uuid
from datetime import datetime

from rackview.core.clock import EPOCH


def uuid7(at: datetime, entropy: bytes) -> str:
    """A version 7 UUID (RFC 9562, section 5.7) for the moment `at` and ten random bytes handed in."""
    milliseconds = int((at - EPOCH).total_seconds() * 1000)
    value = (milliseconds & ((1 << 48) - 1)) << 80 | int.from_bytes(entropy[:10], "big")
    value = value & ~(0xF << 76) | 0x7 << 76
    value = value & ~(0x3 << 62) | 0x2 << 62
    return str(uuid.UUID(int=value))


def content_id(*parts: object) -> str:
    """The same id for the same content on any machine, as a version 8 UUID (RFC 9562, section 5.8)."""
    digits = hashlib.sha256("\x1f".join(map(str, parts)).encode()).hexdigest()
    variant = "89ab"[int(digits[16], 16) & 3]
    return f"{digits[:8]}-{digits[8:12]}-8{digits[13:16]}-{variant}{digits[17:20]}-{digits[20:32]}"
