"""The version of firmware and host, in this one place: the build and `--version` read it here. And
that of the line between them; a host refuses a board whose protocol it does not know."""

VERSION = "0.2.0"
PROTOCOL = 1
