"""Pages are looked at in a real browser, at two sizes of window."""

from __future__ import annotations

from tests.browser import DESKTOP, PHONE, OpenPage

__all__ = ["DESKTOP", "PHONE", "OpenPage"]
