"""Puts the firmware on a board: the old one runs until the new one is whole."""

from __future__ import annotations

from .bundle import Bundle, bundle
from .procedure import Plan, install, plan

__all__ = ["Bundle", "Plan", "bundle", "install", "plan"]
