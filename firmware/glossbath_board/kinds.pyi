"""What the firmware is given from outside, for the type checker: the board has no such file.

Modules import from here inside `if False:`, which both compilers leave out, and name the kinds in
quotes.
"""

from collections.abc import Callable
from typing import Any, Protocol

from .facts import Facts
from .loop import Loop as Loop
from .reading import Reading

Message = dict[Any, Any]
Save = Callable[[Message], None]
Ticks = Callable[[], Any]
"""time.ticks_ms: the clock in ms that wrap, for ticks_diff alone."""

Look = Callable[[Facts], int | str | None]
"""What a cut-off compares: a value in its unit, a word for what is wrong, None for unknown."""

class Dog(Protocol):
    """The watchdog, machine.WDT."""

    def feed(self) -> None: ...

class Wire(Protocol):
    """A 1-Wire line, onewire.OneWire."""

    def reset(self) -> bool: ...
    def write(self, buf: bytes, /) -> None: ...
    def readinto(self, buf: bytearray, /) -> None: ...
    def scan(self) -> list[bytearray]: ...

class Adc(Protocol):
    """One input of the converter, machine.ADC."""

    def read_u16(self) -> int: ...

class InputPin(Protocol):
    """machine.Pin as an input."""

    def value(self) -> int: ...

class OutputPin(Protocol):
    """machine.Pin as an output."""

    def value(self, level: int, /) -> None: ...

class Spi(Protocol):
    """machine.SPI."""

    def write_readinto(self, out: bytes, answer: bytearray, /) -> None: ...

Select = Callable[[int], None]
"""A chip select: 0 selects, 1 releases."""

class I2c(Protocol):
    """machine.I2C."""

    def writeto(self, address: int, buf: bytes, /) -> object: ...
    def readfrom_into(self, address: int, buf: bytearray, /) -> None: ...

class Source(Protocol):
    """A raw stream to read from."""

    def readinto(self, buf: bytearray, /) -> int | None: ...

class Sink(Protocol):
    """A raw stream to write to."""

    def write(self, data: bytes | memoryview, /) -> int | None: ...

class Poll(Protocol):
    """select.poll() with one stream registered."""

    def register(self, stream: object, flags: int, /) -> object: ...
    def poll(self, timeout_ms: int, /) -> list[Any]: ...

class Switches(Protocol):
    """The rig's yes-or-no inputs, or a stand-in for them."""

    arm: Any
    stop: Any
    lid: Any
    load: Any
    water: Any

    def step(self, now_ms: int) -> None: ...

class SwitchPins(Protocol):
    """The pins of the switches."""

    arm: Any
    stop: Any
    lid: Any
    load: Any
    water: Any

class Probes(Protocol):
    """The readings and what fills them, or a stand-in for them."""

    @property
    def chocolate(self) -> Reading: ...
    @property
    def bath(self) -> Reading: ...
    @property
    def body(self) -> Reading: ...
    @property
    def stir_current(self) -> Reading: ...
    @property
    def supply(self) -> Reading: ...
    @property
    def room(self) -> Reading: ...
    @property
    def humidity(self) -> Reading: ...
    @property
    def surveying(self) -> bool: ...
    def use(self, settings: Any) -> None: ...
    def step(self, now_ms: int) -> None: ...
    def survey(self) -> list[Reading]: ...

class Keeps(Protocol):
    """A record in flash, or a stand-in for one."""

    def save(self, content: Message) -> None: ...

class Counts(Protocol):
    """The loop's counters since boot."""

    passes: int
    overruns: int
    longest_ms: int
    free_bytes: int

class LineCounts(Protocol):
    """The line's counters since boot."""

    dropped: int

    @property
    def bad(self) -> int: ...

class Serving(Protocol):
    """What Orders needs of Service."""

    orders: dict[str, Any]

    def objection(self, water: bool) -> tuple[str, str]: ...
    def stop(self) -> None: ...
