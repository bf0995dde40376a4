"""What this one rig is: which probe is which, and limits tighter than the firmware's.

Read from flash at start. A record that is missing, damaged or says what cannot be makes `fault` a
word, and then nothing heats.
"""

from .cutoffs import CUTOFFS, UNDER
from .errors import OrderError
from .model import Model

PROBES = ("chocolate", "bath", "body")
NTC = "ntc"  # in place of a ROM code: the body's probe is the thermistor on the ADC


class Settings:
    """content is the record, or None where there is none; damaged says that there was one.

    fault is '' for good settings, else a word or two. lowered are limits by cut-off, model is what
    the rig does with heat: the reference rig's where the record does not say.
    """

    def __init__(self, content: dict | None, damaged: bool = False) -> None:
        self._content = content if isinstance(content, dict) else {}
        self.lowered: dict = {}
        self.model = Model()
        if content is None:
            self.fault = "damaged" if damaged else "missing"
        else:
            self.fault = self._read_limits() or self._unbound() or self._read_model()

    def probe(self, name: str) -> bytes | None:
        """The ROM code bound to chocolate, bath or body, or None where the rig does not say."""
        text = self._bound(name)
        if not isinstance(text, str) or len(text) != 16:
            return None
        try:
            return bytes([int(text[at : at + 2], 16) for at in range(0, 16, 2)])
        except ValueError:
            return None

    @property
    def body_is_ntc(self) -> bool:
        """Whether the body's probe is the thermistor."""
        return self._bound("body") == NTC

    def _bound(self, name: str) -> object:
        bound = self._content.get("probes")
        return bound.get(name) if isinstance(bound, dict) else None

    def _unbound(self) -> str:
        for name in PROBES:
            if self.probe(name) is None and not (name == "body" and self.body_is_ntc):
                return "no probe " + name
        return ""

    def _read_model(self) -> str:
        try:
            self.model = Model(self._content.get("model"))
        except OrderError as error:
            return "model " + error.field
        return ""

    def _read_limits(self) -> str:
        """Take limits that are tighter; the code of one that is not, or ''."""
        asked = self._content.get("limits", {})
        if not isinstance(asked, dict):
            return "limits"
        for code, limit in asked.items():
            row = _row(code)
            if row is None or not isinstance(limit, int) or isinstance(limit, bool):
                return "limit " + str(code)
            if not (row.limit <= limit if row.does & UNDER else 0 < limit <= row.limit):
                return "limit " + str(code)
            self.lowered[code] = limit
        return ""


def _row(code: object):  # type: ignore[no-untyped-def]
    for row in CUTOFFS:
        if row.code == code and row.limit:
            return row
    return None
