"""Turns a slow cooker, a hobby heater board and a stirrer into a chocolate tempering bath."""

from glossbath_board.version import VERSION as __version__

__all__ = ["__version__"]
