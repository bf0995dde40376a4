"""Strokes, boxes and words of the layout plans, as SVG elements."""

from __future__ import annotations

import xml.etree.ElementTree as ET


def line(
    svg: ET.Element, x1: float, y1: float, x2: float, y2: float, color: str, width: float
) -> None:
    """A straight stroke."""
    ET.SubElement(
        svg,
        "line",
        {
            "x1": f"{x1:g}",
            "y1": f"{y1:g}",
            "x2": f"{x2:g}",
            "y2": f"{y2:g}",
            "stroke": color,
            "stroke-width": str(width),
        },
    )


def text(
    svg: ET.Element,
    x: float,
    y: float,
    words: str,
    size: int,
    *,
    anchor: str = "start",
    color: str = "#1a1a1a",
    weight: str = "normal",
) -> None:
    """Words at a point."""
    element = ET.SubElement(
        svg,
        "text",
        {
            "x": f"{x:g}",
            "y": f"{y:g}",
            "font-size": str(size),
            "font-family": "sans-serif",
            "text-anchor": anchor,
            "font-weight": weight,
            "fill": color,
        },
    )
    element.text = words


def box(svg: ET.Element, x: float, y: float, width: float, height: float, fill: str) -> None:
    """A rectangle with a thin edge."""
    ET.SubElement(
        svg,
        "rect",
        {
            "x": f"{x:g}",
            "y": f"{y:g}",
            "width": f"{width:g}",
            "height": f"{height:g}",
            "fill": fill,
            "stroke": "#555555",
        },
    )


def sheet(width: int) -> ET.Element:
    """An empty drawing; `finish` gives it its height."""
    return ET.Element("svg", xmlns="http://www.w3.org/2000/svg", width=str(width))


def finish(svg: ET.Element, height: int) -> str:
    """The drawing as SVG text on white."""
    width = svg.get("width", "0")
    svg.set("height", str(height))
    svg.set("viewBox", f"0 0 {width} {height}")
    svg.insert(0, ET.Element("rect", width=width, height=str(height), fill="white"))
    ET.indent(svg)
    return ET.tostring(svg, encoding="unicode") + "\n"
