"""Puts the firmware on a board: the old one runs until the new one is whole."""

from __future__ import annotations

from glossbath.install.bundle import Bundle, bundle
from glossbath.install.procedure import Plan, install, plan

__all__ = ["Bundle", "Plan", "bundle", "install", "plan"]
