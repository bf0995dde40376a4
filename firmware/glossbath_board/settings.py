"""What this one rig is: its name, its probes and their corrections, limits tighter than the
firmware's, what it does with heat, and how far it has been commissioned.

Read from flash at start. A record that is missing, damaged or implausible makes `fault` a
word, and then nothing heats. A field that this firmware does not know is kept for the one that
wrote it. One value is changed at a time, by the key that the orders `set` and `get` name.
"""

from .cutoffs import CUTOFFS, UNDER
from .errors import OrderError
from .model import Model
from .port import const
from .program import whole
from .sensors.ds18b20 import is_rom

if False:  # for the type checker alone
    from .cutoffs import Cutoff
    from .kinds import Save

VERSION = const(1)
PROBES = ("chocolate", "bath", "body")
NTC = "ntc"  # in place of a ROM code: the body's probe is the thermistor on the ADC
# In place of a ROM code: the chocolate's probe is platinum at the MAX31865, "pt1000-3-50" for
# Pt1000 with three wires beside mains of 50 Hz.
_PLATINUM = (("pt100", "pt1000"), ("2", "3", "4"), ("50", "60"))

NOT_COMMISSIONED = const(0)
WATER_ONLY = const(1)
COMMISSIONED = const(2)

# A correction can hide heat, so a probe that needs more of it is to be replaced.
MOST_OFFSET_MC = const(2_000)
MOST_GAIN_PPM = const(20_000)
_NAME_CHARS = const(32)
_GROUPS = {"probe": "probes", "cal": "calibration", "limit": "limits"}


class Settings:
    """content is the record, or None where there is none; damaged means that a copy of it is not
    whole: what is left may be of before the last change, so the rig is to be commissioned again.

    fault is '' for good settings, else a word or two. level is how far the rig was commissioned.
    lowered are limits by cut-off, model is what the rig does with heat: the reference rig's where
    the record has no value.
    """

    def __init__(self, content: dict | None, damaged: bool = False) -> None:
        kept = dict(content) if isinstance(content, dict) else {}
        if damaged:
            kept["level"] = NOT_COMMISSIONED
        self._read(kept)
        if damaged:
            self.fault = "damaged"
        elif content is None:
            self.fault = "missing"

    def _read(self, content: dict) -> None:
        self._content = content
        self.lowered: dict = {}
        self.model = Model()
        self.fault = (
            self._read_version()
            or self._read_limits()
            or self._unbound()
            or self._read_corrections()
            or self._read_model()
        )

    @property
    def level(self) -> int:
        """NOT_COMMISSIONED, WATER_ONLY or COMMISSIONED; anything else is the first."""
        level = self._content.get("level")
        return level if level in (WATER_ONLY, COMMISSIONED) else NOT_COMMISSIONED

    def probe(self, name: str) -> bytes | None:
        """The ROM code bound to chocolate, bath or body, or None where there is none."""
        return _rom(self._of("probes", name))

    @property
    def body_is_ntc(self) -> bool:
        """Whether the body's probe is the thermistor."""
        return self._of("probes", "body") == NTC

    @property
    def platinum(self) -> tuple | None:
        """(ohm at 0 °C, wires, mains in Hz) of the chocolate's platinum probe, or None."""
        return _platinum(self._of("probes", "chocolate"))

    def correction(self, name: str) -> tuple:
        """(offset in m°C, gain in millionths) of a probe's readings."""
        return _correction(self._of("calibration", name)) or (0, 0)

    def get(self, key: str) -> object:
        """The value in force under a key; raises OrderError for a key that there is not."""
        group, _, name = key.partition(".")
        if key == "level":
            return self.level
        if key == "rig":
            return self._content.get("rig")
        if key == "model":
            return list(self.model.values)
        if group == "cal" and name in PROBES:
            return list(self.correction(name))
        if group == "probe" and name in PROBES:
            return self._of("probes", name)
        row = _row(name) if group == "limit" else None
        if row is None:
            raise OrderError("unknown key", "key")
        return self.lowered.get(name, row.limit)

    def put(self, key: str, value: object, save: "Save") -> object:
        """Change one value, None to forget it; returns what holds now.

        save(content) writes the record and may raise, which leaves everything as it was. Another
        probe takes the rig back to water: it is to be looked at again. Raises OrderError.
        """
        group, _, name = key.partition(".")
        self.get(key)
        if self._read_version():
            raise OrderError("version", "v", VERSION, VERSION)
        content = dict(self._content)
        content["v"] = VERSION
        checked = None if value is None else self._checked(key, group, name, value)
        if group in _GROUPS:
            table = dict(self._table(_GROUPS[group]))
            _set(table, name, checked)
            content[_GROUPS[group]] = table
        else:
            _set(content, key, checked)
        if group == "probe":
            content["level"] = min(self.level, WATER_ONLY)
        save(content)
        self._read(content)
        return self.get(key)

    def _checked(self, key: str, group: str, name: str, value: object) -> object:
        if key == "level":
            level = whole(value, key, NOT_COMMISSIONED, COMMISSIONED)
            if level > self.level and self.fault:
                raise OrderError("objection", "settings", None, None, self.fault)
            return level
        if key == "rig":
            return _name(value)
        if key == "model":
            return list(Model(value).values)
        if group == "limit":
            return _limit(name, value)
        if group == "cal":
            pair = _correction(value)
            if pair is None:
                raise OrderError("range", key, -MOST_OFFSET_MC, MOST_OFFSET_MC)
            return list(pair)
        return self._free_probe(key, name, value)

    def _free_probe(self, key: str, name: str, value: object) -> object:
        if not is_rom(_rom(value) or b"") and not _off_the_wire(name, value):
            raise OrderError("no probe", key)
        for other in PROBES:
            if other != name and self._of("probes", other) == value:
                raise OrderError("taken", "probe." + other)
        return value

    def _table(self, name: str) -> dict:
        table = self._content.get(name)
        return table if isinstance(table, dict) else {}

    def _of(self, table: str, name: str) -> object:
        return self._table(table).get(name)

    def _read_version(self) -> str:
        version = self._content.get("v", VERSION)
        return "" if version == VERSION else "version " + str(version)

    def _unbound(self) -> str:
        for name in PROBES:
            if self.probe(name) is None and not _off_the_wire(name, self._of("probes", name)):
                return "no probe " + name
        return ""

    def _read_corrections(self) -> str:
        for name, pair in self._table("calibration").items():
            if name in PROBES and _correction(pair) is None:
                return "calibration " + str(name)
        return ""

    def _read_model(self) -> str:
        try:
            self.model = Model(self._content.get("model"))
        except OrderError as error:
            return "model " + str(error.field)
        return ""

    def _read_limits(self) -> str:
        """Take limits that are tighter; the code of one that is not, or ''."""
        asked = self._content.get("limits", {})
        if not isinstance(asked, dict):
            return "limits"
        for code, limit in asked.items():
            try:
                self.lowered[code] = _limit(code, limit)
            except OrderError:
                return "limit " + str(code)
        return ""


def _set(table: dict, name: str, value: object) -> None:
    if value is None:
        table.pop(name, None)
    else:
        table[name] = value


def _name(value: object) -> str:
    if not isinstance(value, str) or not 0 < len(value) <= _NAME_CHARS:
        raise OrderError("range", "rig", 1, _NAME_CHARS)
    for character in value:
        if not ("0" <= character <= "9" or "a" <= character.lower() <= "z" or character in "-_"):
            raise OrderError("name", "rig")
    return value


def _rom(text: object) -> bytes | None:
    if not isinstance(text, str) or len(text) != 16:
        return None
    try:
        return bytes([int(text[at : at + 2], 16) for at in range(0, 16, 2)])
    except ValueError:
        return None


def _off_the_wire(name: str, value: object) -> bool:
    """Whether this probe may stand elsewhere than on the 1-Wire, and is set to."""
    if name == "body":
        return value == NTC
    return name == "chocolate" and _platinum(value) is not None


def _platinum(text: object) -> tuple | None:
    parts = text.split("-") if isinstance(text, str) else []
    if len(parts) != len(_PLATINUM):
        return None
    for part, choices in zip(parts, _PLATINUM):
        if part not in choices:
            return None
    return int(parts[0][2:]), int(parts[1]), int(parts[2])


def _correction(pair: object) -> tuple | None:
    if not isinstance(pair, (list, tuple)) or len(pair) != 2:
        return None
    for value, most in zip(pair, (MOST_OFFSET_MC, MOST_GAIN_PPM)):
        if not isinstance(value, int) or isinstance(value, bool) or not -most <= value <= most:
            return None
    return tuple(pair)


def _limit(code: object, limit: object) -> int:
    """A limit that is tighter than the firmware's own; raises OrderError."""
    row = _row(code)
    if row is None:
        raise OrderError("unknown key", "key")
    low, high = (row.limit, 1 << 29) if row.does & UNDER else (1, row.limit)
    return whole(limit, "limit." + row.code, low, high)


def _row(code: object) -> "Cutoff | None":
    for row in CUTOFFS:
        if row.code == code and row.limit:
            return row
    return None
