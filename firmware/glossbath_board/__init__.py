"""Firmware of a tempering bath: importable on the board, on MicroPython's unix port and on CPython."""
