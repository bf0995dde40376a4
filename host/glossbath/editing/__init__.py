"""Changing a recipe, without a screen."""

from __future__ import annotations

from .draft import Draft
from .entries import PAGES, Entry, entries

__all__ = ["PAGES", "Draft", "Entry", "entries"]
