"""The wiring as a netlist that circuit editors read: KiCad's s-expressions.

Only the clauses that KiCad's own reader uses: components with ref, value and description, nets
with code, name and nodes. Components come first, since a node of an unknown one is an error.
"""

from __future__ import annotations

from hardware.wiring import Wiring


def text(wiring: Wiring) -> str:
    """The netlist of one variant, parts and nets in the order of wiring.toml."""
    lines = ['(export (version "E")']
    lines.append(
        f'  (design (source "wiring.toml") (tool {_quoted("glossbath " + wiring.variant)}))'
    )
    lines.append("  (components")
    for ref, part in wiring.parts.items():
        value = f"(value {_quoted(part.value)})"
        fields = f"(fields (field (name {_quoted('Description')}) {_quoted(part.text)}))"
        lines.append(f"    (comp (ref {_quoted(ref)}) {value} {fields})")
    lines.append("  )")
    lines.append("  (nets")
    for code, (name, nodes) in enumerate(nets(wiring).items(), 1):
        lines.append(f'    (net (code "{code}") (name {_quoted(name)})')
        lines += [f"      (node (ref {_quoted(r)}) (pin {_quoted(p)}))" for r, p in nodes]
        lines[-1] += ")"
    lines.append("  ))")
    return "\n".join(lines) + "\n"


def nets(wiring: Wiring) -> dict[str, list[tuple[str, str]]]:
    """Net name -> the (part, terminal) pairs on it."""
    found: dict[str, list[tuple[str, str]]] = {name: [] for name in wiring.nets}
    for ref, part in wiring.parts.items():
        for pin, net in part.pins.items():
            found[net].append((ref, pin))
    return found


def _quoted(words: str) -> str:
    escaped = words.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
