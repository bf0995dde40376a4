"""Changing a recipe, without a screen."""

from __future__ import annotations

from glossbath.editing.draft import Draft
from glossbath.editing.entries import ENTRIES, PAGES, Entry

__all__ = ["ENTRIES", "PAGES", "Draft", "Entry"]
