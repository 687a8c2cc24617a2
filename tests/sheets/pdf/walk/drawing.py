"""The drawing of a plate on a page: what stands where on the plate."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tests.sheets.pdf.walk.as_planned import agree, box
from tests.sheets.pdf.walk.claims import AstrayError
from tests.sheets.pdf.walk.paper import Item, Page, Point, Rectangle
from tests.sheets.pdf.walk.rounding import NUMBERED, printed
from tests.sheets.pdf.walk.words_of_cuts import WordsOfCuts

View = tuple["Page", list["Item"], "Item | None"]
"""A page, the items of one drawing on it, and the words over it, where it is a detail."""

DETAIL = re.compile(r"Detail ([E-Z]), (\d+\.\d) × as large")


def in_views(pages: list[tuple[Page, list[Item]]]) -> Iterator[View]:
    """The drawing of a plate, then its details one by one."""
    page, head, found = pages[0][0], None, list[Item]()
    for each, items in pages:
        for item in items:
            if DETAIL.fullmatch(item.text.strip()):
                yield page, found, head
                page, head, found = each, item, []
            else:
                found.append(item)
    yield page, found, head


@dataclass
class Drawing:
    """The drawing of a plate on a page: everything written is at its place on the plate."""

    reckoning: WordsOfCuts
    plate: dict[str, Any]
    outline: tuple[Point, ...]
    where: str

    def __post_init__(self) -> None:
        self.mine = [cut for cut in self.reckoning.cuts if cut["plate"] == self.plate["id"]]
        ends = ("part", "offcut", "scrap")
        self.ends = [
            each for each in self.reckoning.plan["pieces"] if each["plate"] == self.plate["id"] and each["kind"] in ends
        ]

    def on_plate(self, at: Point) -> Point:
        """Where a point of the paper lies on the plate [mm]:
        its outline is drawn first, from its origin along its length.
        """
        origin, along, _, up = self.outline
        found = []
        for end, size in ((along, self.plate["length"]), (up, self.plate["width"])):
            dx, dy = end[0] - origin[0], end[1] - origin[1]
            found.append(((at[0] - origin[0]) * dx + (at[1] - origin[1]) * dy) / (dx * dx + dy * dy) * size)
        return found[0], found[1]

    @property
    def point(self) -> float:
        """A point of the paper [mm of plate]."""
        return float(self.plate["length"] / math.dist(*self.outline[:2]))

    def walk(self, page: Page, items: list[Item], details: list[View]) -> None:
        """Each item is a figure of the plate, a letter, a label, a position or a cut's number;
        nothing is left or missing. What is not written here is written in a detail.
        """
        corners = self.outline
        shape = math.dist(corners[0], corners[1]) / math.dist(corners[1], corners[2])
        agree(shape, self.plate["length"] / self.plate["width"], f"{self.where}, shape of the plate", 1e-3)
        frames = {letter: frame for item in items if (letter := item.text.strip()) for frame in page.frames
                  if item.centred and len(letter) == 1 and near_middle(item.at, frame)}  # fmt: skip
        numbers, around, labels = self.read(
            [each for each in items if not (each.centred and each.text.strip() in frames)]
        )
        written = [labels]
        for each in details:
            own = self.detail(each, frames)
            more, beside, further = own.read(each[1])
            if beside or len(set(more)) != len(more):
                raise AstrayError(f"{own.where}: {beside}, {more}")
            numbers, written = [*numbers, *more], [*written, further]
        if sorted(frames) != sorted(DETAIL.fullmatch(each.text.strip())[1] for *_, each in details if each):
            raise AstrayError(f"{self.where}: frames {sorted(frames)} and {len(details)} details")
        wanted = [cut["number"] for cut in self.mine]
        if sorted(set(numbers)) != wanted or (not details and len(numbers) != len(wanted)):
            raise AstrayError(f"{self.where}: numbers {sorted(numbers)} for cuts {wanted}")
        missing = {"length", "width", "A", "B", "C", "D"} - set(around)
        if missing or len(set(around)) != len(around):
            raise AstrayError(f"{self.where}: {sorted(around)} stand around the plate")
        for each in self.ends:
            told = [lines[each["id"]] for lines in written if lines[each["id"]]]
            for lines in told or [[]]:
                self.label(each, lines)

    def read(self, items: list[Item]) -> tuple[list[int], list[str], dict[str, list[str]]]:
        """Numbers of cuts, what stands around the plate, and the lines on each piece."""
        labels: dict[str, list[str]] = {each["id"]: [] for each in self.ends}
        numbers: list[int] = []
        around: list[str] = []
        for item in items:
            text = " ".join(item.text.split())
            if item.centred:
                x, y = self.on_plate(item.at)
                inside = 0 <= x <= self.plate["length"] and 0 <= y <= self.plate["width"]
                if inside:
                    labels[self.piece_at(x, y, text)].append(text)
                else:
                    around.append(self.outside(x, y, text))
            else:
                numbers.append(self.cut_at(item, text))
        return numbers, around, labels

    def detail(self, view: View, frames: dict[str, Rectangle]) -> Drawing:
        """A detail as a drawing of the whole plate, as its frame and that of its region say that it lies, and as large
        as it says."""
        page, _, head = view
        said = DETAIL.fullmatch(head.text.strip()) if head else None
        if head is None or said is None or said[1] not in frames:
            raise AstrayError(f"{self.where}: no frame for {head}")
        where = f"{self.where}, detail {said[1]}"
        below = [each for each in page.frames if abs(each[0] - head.at[0]) < 1 and 0 < head.at[1] - each[3] < 12]
        if len(below) != 1:
            raise AstrayError(f"{where}: {len(below)} frames below its words")
        (x0, y0, x1, y1), region = below[0], frames[said[1]]
        times = (x1 - x0) / (region[2] - region[0])
        agree(times, (y1 - y0) / (region[3] - region[1]), f"{where}, across and up", 0.02 * times)
        agree(times, float(said[2]), f"{where}, how large", 0.06)

        def moved(at: Point) -> Point:
            return x0 + (at[0] - region[0]) * times, y0 + (at[1] - region[1]) * times

        return Drawing(self.reckoning, self.plate, tuple(map(moved, self.outline)), where)

    def piece_at(self, x: float, y: float, text: str) -> str:
        for each in self.ends:
            x0, y0, x1, y1 = box(each)
            if x0 <= x <= x1 and y0 <= y <= y1:
                return str(each["id"])
        raise AstrayError(f"{self.where}: {text!r} stands on no piece")

    def outside(self, x: float, y: float, text: str) -> str:
        """A dimension along its edge, the letter of an edge beside it,
        or how far a torch line runs from edge A or D.
        """
        long, wide, off = self.plate["length"], self.plate["width"], 2 * self.point
        sides = {"A": y < 0, "B": x > long, "C": y > wide, "D": x < 0}
        if sides.get(text):
            return text
        if text == self.reckoning.long(long) and y < 0 and abs(x - long / 2) < off:
            return "length"
        if text == self.reckoning.long(wide) and x > long and abs(y - wide / 2) < off:
            return "width"
        for cut in self.mine:
            axis = self.reckoning.axis(cut)
            at = cut["line"][0][axis]
            if text == f"{'DA'[axis]} {self.reckoning.long(at)}" and abs((x, y)[axis] - at) < off:
                return text
        raise AstrayError(f"{self.where}: {text!r} at ({x:.0f}, {y:.0f}) is no figure of the plate")

    def cut_at(self, item: Item, text: str) -> int:
        """A number stands on the line of the cut that bears it;
        half a line's height and width are guessed from the size of its letters.
        """
        middle = item.at[0] + 0.31 * item.size * len(text), item.at[1] + 0.36 * item.size
        x, y = self.on_plate(middle)
        for cut in self.mine:
            (ax, ay), (bx, by) = cut["line"]
            along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / cut["length"]
            aside = abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / cut["length"]
            if text == str(cut["number"]) and aside < 2 * self.point and -self.point < along < cut["length"]:
                return int(text)
        raise AstrayError(f"{self.where}: {text!r} at ({x:.0f}, {y:.0f}) is on no cut of that number")

    def label(self, piece: dict[str, Any], lines: list[str]) -> None:
        """Name and size, longer side first; name, size or id alone where there is no room; scrap may have none."""
        x0, y0, x1, y1 = box(piece)
        long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        size = f"{self.reckoning.long(long)} x {self.reckoning.long(short)}"
        if piece["kind"] == "part":
            name = self.reckoning.part_name(piece["part"])
            names = [printed(name), printed(name if len(name) <= 14 else name[:13] + "…")]
        else:
            names = [piece["kind"]]
        names += [NUMBERED.sub("?", each) for each in names]
        names = [" ".join(each.split()) for each in names]
        words = printed(self.reckoning.part_name(piece["part"])).split() if piece["kind"] == "part" else []
        broken = [[" ".join(words[:at]), " ".join(words[at:])] for at in range(1, len(words))]
        allowed = [*broken, *([*each, size] for each in broken)]
        allowed += [[f"{each} {size}"] for each in names] + [[each, size] for each in names] + [[piece["id"]]]
        allowed += {"part": [[each] for each in names], "offcut": [[size]], "scrap": [[size], []]}[piece["kind"]]
        if lines not in allowed:
            raise AstrayError(f"{self.where}: {piece['id']} bears {lines}, not {allowed[0]}")


def near_middle(at: Point, frame: Rectangle) -> bool:
    """Whether a letter stands in the middle of a frame."""
    return math.dist(at, ((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)) < 1
