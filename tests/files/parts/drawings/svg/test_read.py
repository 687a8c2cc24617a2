"""SVG drawings: which outlines become parts, in which units, and what is said of the others."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stripplan.errors import InputError
from stripplan.files.parts.drawings.layers import HowDrawn
from stripplan.files.parts.drawings.outlines import DrawnParts
from stripplan.files.parts.drawings.svg.elements import MOST_ELEMENTS
from stripplan.files.parts.drawings.svg.read import read_svg_parts
from stripplan.model.part import Hole, Rectangle, Shape
from stripplan.model.polygon import area
from tests.checking import calls, examples, few, in_turn
from tests.files.parts.specimens import said, write

MM = 'width="1000mm" height="500mm" viewBox="0 0 1000 500"'


def svg(inside: str, size: str = MM) -> str:
    """A drawing, in mm unless said otherwise."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {size}>\n{inside}\n</svg>'
    )


def read(folder: Path, inside: str, size: str = MM, **options: Any) -> DrawnParts:
    """The parts of a drawing, by way of a file."""
    return read_svg_parts(write(folder, svg(inside, size), "x.svg"), HowDrawn(**options))


def sizes(drawn: DrawnParts) -> list[tuple[float, float, int]]:
    """Length, width and quantity of each part."""
    return [(each.length, each.width, each.quantity) for each in drawn.parts if isinstance(each, Rectangle)]


@pytest.mark.parametrize(
    "shape",
    [
        '<rect x="5" y="6" width="100" height="50"/>',
        '<rect x="5" y="6" width="100" height="50" rx="0"/>',
        '<rect width="100" height="50" rx="9" ry="0"/>',
        '<polygon points="5,6 105,6 105,56 5,56"/>',
        '<polyline points="5 6 105 6 105 56 5 56 5 6"/>',
        '<path d="M5 6h100v50h-100z"/>',
        '<path d="m5,6 100,0 0,50 -100,0 Z"/>',
        '<path d="M5 6L105 6 105 56H5V6"/>',
        '<path d="M5 6 H.5e1 H1.05e2V56H5z"/>',
        '<g transform="translate(3)"><rect width="50" height="25" transform="scale(2)"/></g>',
        '<rect width="100" height="50" transform="rotate(33, 7 9) translate(4 5)"/>',
        '<rect width="100" height="50" transform="matrix(0 1 -1 0 5 6)"/>',
        '<rect width="20" height="100" transform="scale(5 -.5)"/>',
        '<defs><rect id="a" width="100" height="50"/></defs><use href="#a" x="5" y="6"/>',
        '<defs><g id="b"><use xlink:href="#a"/></g><rect id="a" width="100" height="50"/></defs><use xlink:href="#b"/>',
        '<symbol id="a"><rect width="100" height="50"/></symbol><use href="#a" transform="rotate(10)"/>',
    ],
)
def test_a_rectangle_however_it_is_drawn(tmp_path: Path, shape: str) -> None:
    """100 x 50 mm by shape, path, transform and copy."""
    drawn = read(tmp_path, shape)
    assert sizes(drawn) == [(100, 50, 1)]
    assert drawn.skipped == ()
    assert drawn.notes == ()


@examples(25)
@given(
    length=st.integers(100, 90_000),
    width=st.integers(100, 90_000),
    turn=st.floats(-360, 360),
    way=st.sampled_from(["rect", "path", "copy"]),
)
def test_random_rectangles_come_back(
    length: int, width: int, turn: float, way: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever size [0.01 mm] and angle: the same size."""
    x, y = length / 100, width / 100
    shape = {
        "rect": f'<rect width="{x}" height="{y}" transform="rotate({turn:f})"/>',
        "path": f'<g transform="rotate({turn:f})"><path d="M0 0h{x}v{y}H0z"/></g>',
        "copy": (
            f'<defs><rect id="a" width="{y}" height="{x}"/></defs><use href="#a" transform="rotate({turn:f} 5 5)"/>'
        ),
    }[way]
    drawn = read(tmp_path_factory.mktemp("drawn"), shape)
    assert sizes(drawn) == [(max(x, y), min(x, y), 1)]


@pytest.mark.parametrize(
    ("size", "options", "mm", "noted"),
    [
        (MM, {}, 1.0, False),
        ('width="10cm" height="5cm" viewBox="0 0 100 50"', {}, 1.0, False),
        ('width="4in" height="2in" viewBox="0 0 4 2"', {}, 25.4, False),
        ('width="288pt" height="144pt" viewBox="0 0 4 2"', {}, 25.4, False),  # 72 points to the inch (CSS)
        ('width="100mm" viewBox="0 0 50 25"', {}, 2.0, False),
        ('width="960" height="480"', {}, 25.4 / 96, True),  # 96 px to the inch (CSS Values and Units 3, 5.2)
        ('width="960px" height="480px" viewBox="0 0 96 48"', {}, 10 * 25.4 / 96, True),
        ("", {}, 25.4 / 96, True),
        ('width="100%" height="100%" viewBox="0 0 96 48"', {}, 25.4 / 96, True),
        ('width="960" height="480"', {"units": "mm"}, 1.0, True),
        ("", {"units": "in"}, 25.4, True),
    ],
)
def test_units(tmp_path: Path, size: str, options: Any, mm: float, noted: bool) -> None:
    """Size and viewBox tell the scale; without a physical unit it is 96 to the inch, and said."""
    drawn = read(tmp_path, '<rect width="96" height="48"/>', size, **options)
    assert sizes(drawn) == [(pytest.approx(96 * mm, abs=0.006), pytest.approx(48 * mm, abs=0.006), 1)]
    assert any(each.code == "units" for each in drawn.notes) == noted


def test_a_view_box_that_does_not_suit_the_size(tmp_path: Path) -> None:
    """By default both directions have the smaller scale, with `slice` the larger; `none` stretches."""
    size = 'width="100mm" height="100mm" viewBox="0 0 100 50"'
    drawn = read(tmp_path, '<rect width="50" height="20"/>', size)
    assert sizes(drawn) == [(50, 20, 1)]
    assert "one scale" in drawn.notes[0].worded().text
    sliced = read(tmp_path, '<rect width="25" height="20"/>', size + ' preserveAspectRatio="xMidYMid slice"')
    assert sizes(sliced) == [(50, 40, 1)]
    assert sizes(read(tmp_path, '<rect width="50" height="20"/>', size + ' preserveAspectRatio="none"')) == [
        (50, 40, 1)
    ]


def test_names_by_title_and_id(tmp_path: Path) -> None:
    """A title, of the shape or of its group, goes before an id; same name and size are counted; texts count too."""
    drawn = read(
        tmp_path,
        '<rect id="r1" width="50" height="20"><title>foot  plate</title></rect>'
        '<g transform="translate(100)"><title>foot plate</title><rect width="20" height="50"/></g>'
        '<rect id="rail" x="200" width="50" height="20"/><rect x="300" width="9" height="5"/><text x="301" y="3">qty '
        "9</text>",
        first=5,
    )
    assert [(each.name, each.quantity) for each in drawn.parts] == [("foot plate", 2), ("rail", 1), ("part 7", 9)]
    assert drawn.skipped == ()


@pytest.mark.parametrize(
    ("shape", "what", "why"),
    [
        ('<rect id="a" width="50" height="20" rx="3"/>', "rect 'a'", "it is curved"),
        ('<rect width="50" height="20" ry="3"/>', "rect in line 2", "it is curved"),
        ('<rect width="50" height="0"/>', "rect in line 2", "it encloses nothing"),
        ('<rect width="50%" height="10"/>', "rect in line 2", "its width '50%' cannot be read"),
        ('<rect width="50" height="40" transform="skewX(0.5)"/>', "rect in line 2", "its corners are not square"),
        ('<path d="M0 0h50l-40 9v30z"/>', "path in line 2", "it has 4 corners, and the one at 10 mm, 9 mm points"),
        ('<rect width="5" height="4" transform="turn(9)"/>', "rect in line 2", "its transform cannot be read"),
        ('<rect width="5" height="4" style="transform: rotate(9deg)"/>', "rect in line 2",
         "its transform cannot be read"),
        ('<circle r="5"/>', "circle in line 2", "it is curved"),
        ('<path d="M0 0h50v20h-50"/>', "path in line 2", "it does not close"),
        ('<path d="M0 0h50v20a5 5 0 0150 9z"/>', "path in line 2", "it is curved"),
        ('<path d="M0 0C1 1 2 2 50 0V20H0z"/>', "path in line 2", "it is curved"),
        ('<path d="M0 0h50v20h-20v-9h-30z"/>', "path in line 2", "it has 6 corners"),
        ('<path d="M0 0h50x9"/>', "path in line 2", "x in its path is not known"),
        ('<path d="M0 0L50"/>', "path in line 2", "L in its path has too few numbers"),
        ('<path d="9 9"/>', "path in line 2", "a number in its path belongs to nothing"),
        ('<path d="M0 0h1e999v20h-50z"/>', "path in line 2", "its coordinates are no numbers"),
        ('<polygon points="0,0 5"/>', "polygon in line 2", "it has an odd count of coordinates"),
        ('<line x2="50"/>', "line in line 2", "it does not close"),
        ('<use href="#gone"/>', "use in line 2", "what it copies is not in the file"),
        ('<use href="other.svg#a"/>', "use in line 2", "what it copies is not in the file"),
        ('<svg width="5"><rect width="5" height="4"/></svg>', "svg in line 2",
         "a drawing within the drawing is not read"),
        ('<g display="none"><rect width="5" height="4"/></g>', "1 g", "it is hidden"),
        ('<rect width="5" height="4" style="visibility:hidden"/>', "1 rect", "it is hidden"),
        ('<image width="5" height="4" href="http://example.org/x.png"/>', "1 image", "it is no outline"),
    ],
)  # fmt: skip
def test_what_is_no_rectangle_is_said(tmp_path: Path, shape: str, what: str, why: str) -> None:
    """Each is listed once with its id or line and the reason."""
    drawn = read(tmp_path, shape)
    assert drawn.parts == ()
    assert [each.what for each in drawn.skipped] == [what]
    assert drawn.skipped[0].why.startswith(why)


def test_slanted_outlines_are_shapes(tmp_path: Path) -> None:
    """What is skewed or stretched aslant is a part with straight sides: its area is that of the drawing, and it is one
    part however it is turned or in mirror image."""
    skewed = '<rect width="50" height="10" transform="skewX(30)"/>'
    turned = f'<g transform="translate(200 90) rotate(40) scale(-1 1)">{skewed}</g>'
    (one,) = read(tmp_path, skewed + turned).parts
    assert isinstance(one, Shape)
    assert (one.quantity, round(area(one.outline))) == (2, 500)


@in_turn("number", ["1e999", "-1e999", "1e9999", "1e308", "nan", "inf", "9" * 500])
@in_turn(
    "shape",
    [
        '<rect width="50" height="20" transform="{}({})"/>'.replace("{}", kind, 1)
        for kind in ("rotate", "translate", "scale", "skewX", "skewY")
    ]
    + [
        '<rect width="50" height="20" transform="rotate(5 {} {})"/>',
        '<rect width="50" height="20" transform="matrix(1 0 0 1 {} 0)"/>',
        '<g transform="scale(1e300)"><g transform="scale({})"><rect width="50" height="20"/></g></g>',
        '<rect x="{}" width="50" height="20"/>', '<rect width="{}" height="20"/>',
        '<rect width="50" height="20" rx="{}"/>',
        '<circle cx="5" cy="5" r="{}"/>', '<path d="M0 0H{}V20H0z"/>', '<path d="M0 0a{} 5 0 0 0 9 9z"/>',
        '<polygon points="0,0 {},0 50,20 0,20"/>',
        '<rect id="a" width="50" height="20"/><use href="#a" x="{}"/>',
    ],
)  # fmt: skip
def test_numbers_beyond_all_bounds_are_a_plain_fault(tmp_path: Path, shape: str, number: str) -> None:
    """No number of a drawing stops the reader: what cannot be read is said of the shape."""
    drawn = read(tmp_path, shape.replace("{}", number))
    assert drawn.skipped or drawn.parts
    assert all(each.why.isprintable() and each.what.isprintable() for each in drawn.skipped)
    read_view = f'width="{number}mm" height="500mm" viewBox="0 0 {number} 500"'
    try:
        read(tmp_path, '<rect width="50" height="20"/>', size=read_view)
    except InputError as error:
        assert error.faults[0].sentence().isprintable()


def test_a_hole_in_one_path(tmp_path: Path) -> None:
    """The outer outline is refused with its hole, whichever way round the hole is drawn; or it is drilled later."""
    hexagon = '<path id="p" d="M0 0H100V50H0z M20 10l5 -8h10l5 8l-5 8h-10z"/>'
    drawn = read(tmp_path, hexagon)
    assert [(each.what, each.where, each.why, each.name) for each in drawn.skipped] == [
        ("path 'p', outline 1", "at 50, 25 mm", "it has one hole", "p"),
    ]
    (part,) = read(tmp_path, hexagon, drill_later=True).parts
    assert part.holes == (Hole(x=30, y=40, length=20, width=16, round=False),)


def test_a_rectangle_within_another_may_be_a_part(tmp_path: Path) -> None:
    """A frame around parts, or a part with an opening: neither is planned, also where holes are drilled later."""
    for drill_later in (False, True):
        drawn = read(tmp_path, '<path id="p" d="M0 0H100V50H0z m10 10v10h10v-10z"/>', drill_later=drill_later)
        assert drawn.parts == ()
        assert [(left.name, left.why) for each in drawn.skipped if (left := each.missing)] == [
            ("p", "frame"),
            ("p", "overlap"),
        ]


LAUGHS = (
    '<!DOCTYPE svg [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {chr(98 + k)} "{f"&{chr(97 + k)};" * 10}">' for k in range(9))
    + ']><svg xmlns="http://www.w3.org/2000/svg"><title>&j;</title></svg>'
)
FETCH = '<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg><title>&x;</title></svg>'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "this is no SVG drawing, or it is damaged"),
        ("<html/>", "this is no SVG drawing"),
        (svg("<rect")[:-30], "this is no SVG drawing, or it is damaged"),
        (b"\x1f\x8b" + bytes(20), "this is a compressed drawing (.svgz)"),
        (LAUGHS, "line 1: the file declares a document type with entities"),
        (FETCH, "line 1: the file declares a document type with entities"),
        (svg("<g>" * 200 + "</g>" * 200), "elements are nested too deep (at most 100 within one another)"),
        (svg("<g/>" * MOST_ELEMENTS), "the drawing has too many elements"),
        (svg('<g id="a"><use href="#a"/></g>'), "the copy in line 2 holds itself"),
        (svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'), "holds itself"),
        (
            svg(
                '<rect id="a0" width="5" height="4"/>'
                + "".join(f'<g id="a{k + 1}">' + f'<use href="#a{k}"/>' * 10 + "</g>" for k in range(20))
            ),
            "with its copies the drawing has more than 10^15 elements and numbers",
        ),
        (
            svg(
                '<rect id="a0" width="5" height="4"/>'
                + "".join(f'<use id="a{k + 1}" href="#a{k}"/>' for k in range(400))
            ),
            "copies are nested too deep",
        ),
        (svg("", 'viewBox="0 0 0 5"'), "its viewBox cannot be read"),
    ],
    ids=lambda each: str(each)[:24],
)
def test_damaged_and_endless_drawings(tmp_path: Path, text: str | bytes, words: str) -> None:
    """Each is refused in one plain sentence, before anything is fetched or unfolded."""
    assert words in said(read_svg_parts, write(tmp_path, text, "x.svg"))


def test_a_plain_document_type_is_no_harm(tmp_path: Path) -> None:
    """The line that SVG 1.1 files begin with names a file on the net, which is not fetched."""
    kind = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    path = write(tmp_path, kind + svg('<rect width="50" height="20"/>'), "x.svg")
    assert sizes(read_svg_parts(path)) == [(50, 20, 1)]


@examples(40)
@given(data=st.data())
def test_good_drawings_with_splinters(data: st.DataObject, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Overwritten in places, a drawing is read or refused in sentences of one line."""
    text = svg(
        '<g transform="rotate(5)"><path d="M0 0h50v20H0z"/></g><rect id="a" x="90" width="5" height="4"/><use '
        'href="#a" x="9"/>'
    )
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        more = data.draw(
            st.sampled_from(["1e999", "-", "0", '"', "<", "/>", "M", "a", "z", "é", "%", " ", "\u0007", ""])
        )
        text = text[:at] + more + text[at + data.draw(st.integers(0, 6)) :]
    try:
        drawn = read_svg_parts(write(tmp_path_factory.mktemp("any"), text, "x.svg"))
    except InputError as error:
        assert all(fault.sentence().isprintable() and len(fault.sentence()) < 600 for fault in error.faults)
    else:
        assert all(f"{each.what}{each.where}{each.why}".isprintable() for each in drawn.skipped)


HOSTILE: dict[str, tuple[Callable[[int], bytes], int]] = {
    "blanks": (lambda n: svg('<path d="M0 0' + " " * n + '#"/>'), 1_500_000),
    "text": (lambda n: svg("<title>" + "x" * n + "</title>"), 20_000_000),
    "path": (lambda n: svg('<path d="M0 0' + "l1 1" * n + '"/>'), 5_000_000),
    "elements": (lambda n: svg('<rect width="5" height="4"/>' * n), MOST_ELEMENTS // 10),
    "long path": (lambda n: svg('<path d="M0 0' + "l1 1" * n + '"/>'), 100_000),
    "transform": (lambda n: svg('<rect width="5" height="4" transform="' + "scale(1)" * n + '"/>'), 3_000_000),
}
"""What costs most, and how many of these are in a whole drawing."""


def look(path: Path) -> None:
    """Read or refused."""
    try:
        assert len(read_svg_parts(path).parts) <= 1
    except InputError as error:
        assert len(error.faults) == 1


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_drawings_take_no_more_work_than_their_length(tmp_path: Path, name: str) -> None:
    """Drawings filled with what costs most are refused, or read; twice as long, for some twice the work."""
    make, most = HOSTILE[name]
    paths = [write(tmp_path, make(times * min(most // 100, 1000)), f"{times}.svg") for times in (1, 2)]
    less, more = (calls(lambda path=path: look(path)) for path in paths)  # type: ignore[misc]
    assert more < 2.5 * less + 200


@pytest.mark.parametrize("name", few(3, HOSTILE))
def test_the_largest_hostile_drawings_are_refused_or_read(tmp_path: Path, name: str) -> None:
    """So too whole."""
    make, most = HOSTILE[name]
    look(write(tmp_path, make(most), "x.svg"))
