"""What `mutate.py` changes, part by part, and which tests should notice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

RIG = ["test_cycle", "test_cutoffs", "test_cutoffs_start", "test_host_alone", "test_chip_faults"]


@dataclass(frozen=True)
class Part:
    """Files that are changed, and the tests of their folder; tree has tests of processes."""

    files: Sequence[str]
    tests: Sequence[str]
    tree: Sequence[str] = ()


def _host(*rooms: str) -> list[str]:
    return [f"host/glossbath/{room}" for room in rooms]


PARTS = {
    "firmware": Part(
        ["firmware/glossbath_board"],
        ["tests/firmware"],
        ["tests/firmware/test_on_micropython.py", *(f"tests/rig/{name}.py" for name in RIG)],
    ),
    "keeper": Part(
        _host("keeper", "board", "checks", "client"),
        [
            *(f"tests/host/{room}" for room in ("keeper", "checks", "board", "process")),
            *(f"tests/host/screens/test_{name}.py" for name in ("client", "orders", "leaving")),
            *(f"tests/rig/test_{name}.py" for name in ("link_faults", "wire", "next_phase")),
            *(f"tests/rig/test_{name}.py" for name in ("host_alone", "alone", "losses")),
            "tests/rig/test_commission_faults.py",
            "tests/host/away/test_away_status.py",
        ],
        [
            "tests/host/keeper/test_serve_life.py",
            "tests/rig/test_processes.py",
            "tests/rig/test_processes_found.py",
        ],
    ),
    "record": Part(
        _host("record"),
        ["tests/host/record", "tests/host/cli", "tests/host/report", "tests/host/keeper"],
        ["tests/rig/test_processes.py"],
    ),
    "process": Part(
        _host("process"),
        [
            *("tests/host/process", "tests/host/keeper", "tests/host/editing"),
            *("tests/rig/test_seeding.py", "tests/rig/test_remelt.py"),
        ],
    ),
    "commission": Part(
        _host("commission"),
        [
            "tests/host/commission",
            "tests/rig/test_commission_walk.py",
            "tests/rig/test_commission_faults.py",
            "tests/rig/test_commission_leaving.py",
        ],
        ["tests/rig/test_commission_processes.py"],
    ),
    "recipe": Part(
        _host("recipe", "editing", "forms"),
        ["tests/host/recipe", "tests/host/editing", "tests/host/desk"],
    ),
    "thermal": Part(_host("thermal"), ["tests/host/thermal"]),
    "chocolate": Part(_host("chocolate"), ["tests/host/chocolate", "tests/host/desk"]),
    "desk": Part(_host("desk"), ["tests/host/desk"]),
    "view": Part(_host("view"), ["tests/host/view", "tests/host/screens"]),
    "report": Part(_host("report"), ["tests/host/report", "tests/host/desk", "tests/host/cli"]),
    "away": Part(
        _host("away"),
        ["tests/host/away"],
        ["tests/rig/test_phone.py", "tests/host/away"],
    ),
    "cli": Part(
        _host("cli"),
        [
            *(f"tests/host/{room}" for room in ("cli", "desk", "away", "report", "screens")),
            *("tests/docs/test_commands.py", "tests/docs/test_desk_examples.py"),
            "tests/host/thermal/test_tuning_commands.py",
        ],
        [
            *(f"tests/host/cli/test_{name}.py" for name in ("app", "bad_surroundings")),
            *("tests/rig/test_processes.py", "tests/rig/test_virtual_hand.py"),
        ],
    ),
    "install": Part(_host("install"), ["tests/host/install"]),
    "tui": Part(_host("tui"), ["tests/host/screens"], ["tests/rig/test_a_persons_path.py"]),
    "virtual": Part(
        _host("virtual"),
        [
            f"tests/rig/test_{name}.py"
            for name in (
                *("plant", "plant_distributed", "probe", "chips", "chip_faults", "platinum"),
                *("kitchen", "melting", "losses", "room_sensor", "virtual_hand", "wire"),
                "impossible_rigs",
            )
        ],
        ["tests/rig/test_cycle.py", "tests/rig/test_room_sensor.py"],
    ),
    "hardware": Part(["hardware"], ["tests/docs"]),
}
