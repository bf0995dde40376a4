"""What this one rig is: which probe is which, and what it does with heat.

Read from flash at start; a missing or damaged record leaves every probe unbound, and an unbound
probe is a fault: nothing heats.
"""

from .errors import OrderError
from .model import Model

PROBES = ("chocolate", "bath", "body")


class Settings:
    """probe(name) is the ROM code of a probe as 8 bytes, or None where the rig does not say.

    model is what the rig does with heat: the reference rig's where the record does not say.
    """

    def __init__(self, content: dict | None) -> None:
        self._content = content if isinstance(content, dict) else {}
        try:
            self.model = Model(self._content.get("model"))
        except OrderError:
            self.model = Model()

    def probe(self, name: str) -> bytes | None:
        """The ROM code bound to chocolate, bath or body."""
        bound = self._content.get("probes")
        text = bound.get(name) if isinstance(bound, dict) else None
        if not isinstance(text, str) or len(text) != 16:
            return None
        try:
            return bytes([int(text[at : at + 2], 16) for at in range(0, 16, 2)])
        except ValueError:
            return None
