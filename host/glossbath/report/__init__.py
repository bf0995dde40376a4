"""A cycle's folder becomes a page that a person can read, print and hand on."""

from __future__ import annotations

from .page import write_report

__all__ = ["write_report"]
