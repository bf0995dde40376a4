"""The firmware's version; the host refuses a board whose protocol differs."""

VERSION = "0.1.0"
