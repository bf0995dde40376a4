"""Changing a recipe, without a screen."""

from __future__ import annotations

from .draft import Draft
from .entries import ENTRIES, PAGES, Entry

__all__ = ["ENTRIES", "PAGES", "Draft", "Entry"]
