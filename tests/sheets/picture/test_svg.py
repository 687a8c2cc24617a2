"""Pictures as SVG: well formed, self-contained, escaped, the same bytes each time."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from stripplan.sheets.picture import svg
from tests.checking import in_turn
from tests.sheets.plans import NAMES, PLANS

NUMBER = re.compile(r"-?\d+(\.\d{1,3})?")


@in_turn("name", sorted(PLANS))
def test_pictures_are_well_formed_and_self_contained(name: str) -> None:
    """The picture parses, refers to nothing outside itself, and holds no number but plain decimals."""
    text = svg.plate_picture(PLANS[name](), "P1")
    root = ElementTree.fromstring(text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    assert not re.search(
        r"href|https?://(?!www\.w3\.org/2000/svg)|<script|<style|nan|inf\b", text.partition("<defs>")[2]
    )
    for each in root.iter():
        for key in ("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "width", "height", "font-size", "stroke-width"):
            assert key not in each.attrib or NUMBER.fullmatch(each.attrib[key]), each.attrib
            assert each.attrib.get(key) != "-0"


def test_pictures_are_the_same_bytes_each_time() -> None:
    """Nothing of clock or chance is in a picture."""
    assert len({svg.plate_picture(PLANS["two passes"](), "P1") for _ in range(2)}) == 1


def test_foreign_names_are_text_and_nothing_else() -> None:
    """Markup in a name shows as it was typed; controls and marks that turn reading round are replaced."""
    for n, name in enumerate(NAMES):
        root = ElementTree.fromstring(svg.plate_picture(PLANS[f"name {n}"](), "P1"))
        texts = ["".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")]
        clean = "".join(letter if letter.isprintable() else "\ufffd" for letter in name)
        assert any((clean if len(name) <= 14 else clean[:13]) in each for each in texts), name


def test_meaning_does_not_hang_on_colour() -> None:
    """Offcuts are hatched, scrap is crossed, torch lines are dashed, for a person and a printer without colour."""
    text = svg.plate_picture(PLANS["trimmed"](), "P1")
    assert text.count('fill="url(#hatch-') == 1
    assert text.count("stroke-dasharray") == 2
    scrap = next(line for line in text.splitlines() if line.count("<line") == 2 and "<polygon" in line)
    assert 'x1="0" y1="0" x2="1000" y2="-10"' in scrap


def test_a_light_ground_is_painted_under_everything() -> None:
    """A rectangle of the whole view box comes first, so that a dark page does not swallow black lettering."""
    root = ElementTree.fromstring(svg.plate_picture(PLANS["one strip"](), "P1"))
    first = next(each for each in root if each.tag.endswith("rect"))
    x, y, wide, high = root.attrib["viewBox"].split()
    assert [first.attrib[key] for key in ("x", "y", "width", "height")] == [x, y, wide, high]
    assert first.attrib["fill"] == "#FFFFFF"
