"""What is said at a cut: what to bring, set, hold and measure; what falls."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

from tests.sheets.pdf.walk.as_planned import Figures, agree, box, letter_of, side
from tests.sheets.pdf.walk.claims import AstrayError, shortened
from tests.sheets.pdf.walk.rounding import INCH, printed

KERF_AND_RAIL = 0.25
"""Half a kerf to 0.10 and a rail to 0.15 [mm]: common practice, no source. What the band to measure in has beyond the
fence's step.
"""


class WordsOfCuts(Figures):
    """What is said at a cut: what to bring, set, hold, measure; what falls."""

    def part_name(self, name: str) -> str:
        line = next(each for each in self.plan["parts"] if each["name"] == name)
        return f"{name} (filler)" if line["filler"] else name

    def called(self, piece: dict[str, Any], *, onto: Callable[[str], str] = printed) -> str:
        """A part's name as paper or a list shows it, and which of so many it is; nothing for what is no part."""
        if piece["kind"] != "part":
            return ""
        same = [each["id"] for each in self.plan["pieces"] if each["kind"] == "part" and each["part"] == piece["part"]]
        count = f", {same.index(piece['id']) + 1} of {len(same)}" if len(same) > 1 else ""
        return onto(self.part_name(piece["part"])) + count

    def edge(self, piece: dict[str, Any], letter: str) -> str:
        """The letter with the cut that made the edge: the last one whose kerf ends there.
        Else it is the plate's own.
        """
        at, above = side(piece, letter), piece
        while above["parent"] is not None:
            cut = self.maker[above["id"]]
            line, x = cut["line"][0][self.axis(cut)], self.axis(cut)
            if letter in ("BD", "AC")[x]:
                edge = line - cut["kerf"] / 2 if letter in "BC" else line + cut["kerf"] / 2
                if abs(edge - at) < 0.01:
                    return f"{letter} (cut {cut['number']})"
            above = self.pieces[above["parent"]]
        if abs(side(above, letter) - at) > 0.01:
            raise AstrayError(f"{piece['id']}: nothing made its edge {letter}")
        return f"{letter} ({self.plates[piece['plate']]['edges']['ABCD'.index(letter)]})"

    def two(self, piece: dict[str, Any]) -> bool:
        """Above the rig's mass for one person, or long and above six tenths of it."""
        x0, y0, x1, y1 = box(piece)
        limit, longest = self.rig["two_person_mass"], max(x1 - x0, y1 - y0)
        return piece["mass"] > limit or (longest > self.rig["two_person_length"] and piece["mass"] > 0.6 * limit)

    def lifted_by(self, piece: dict[str, Any]) -> str:
        """Beyond twice one person's limit a hoist alone: common practice, no source."""
        return "HOIST" if piece["mass"] > 2 * self.rig["two_person_mass"] else "TWO PEOPLE or hoist"

    def bring(self, cut: dict[str, Any]) -> list[str]:
        """What is done with pieces before edges are scraped, in the order of doing it."""
        setup, piece = cut["setup"], self.pieces[cut["piece"]]
        told = ["Clear the bed." if setup["fetch"] else "Clear the other piece."] * setup["clear"]
        if setup["fetch"] and piece["parent"] is None:
            told.append(f"Fetch plate {cut['plate']} ({printed(self.plates[cut['plate']]['stock'])}) from the rack.")
        elif setup["fetch"]:
            told.append(f"Fetch {piece['id']} (aside since cut {self.maker[piece['id']]['number']}).")
        told += ["Turn the piece over."] * setup["turn_over"]
        turns = {
            1: "Quarter turn LEFT (anticlockwise).",
            2: "Half turn, end for end.",
            3: "Quarter turn RIGHT (clockwise).",
        }
        told += [turns[each] for each in turns if each == setup["quarter_turns"]]
        return told

    def at_the_fence(self, cut: dict[str, Any], before: dict[str, Any] | None) -> list[str]:
        """What is done once edges are clean: pushed up, and the middle pressed where it has bowed."""
        told = [self.push(cut, before)] if cut["setup"]["push"] else []
        bow = cut.get("edge_bow")
        if bow is not None:
            off = f'{bow / 25.4:.3f}"' if self.units == "in" else f"{bow:.1f} mm"
            told.append(f"PRESS its middle to the fence. That edge has bowed by about {off}.")
        return told

    def push(self, cut: dict[str, Any], before: dict[str, Any] | None) -> str:
        """A piece that lay on the fence already and was not turned stays there."""
        if cut["located"] == "marked":
            return "Line the marks up under the torch."
        stays = before is not None and before["makes"][0] == cut["piece"] and len(before["passes"]) == 1
        stays = stays and not cut["setup"]["fence"]
        if stays and before is not None and self.lie(before) == self.lie(cut):
            return "Leave it against the fence."
        return "Push it up to the fence."

    def steps(self, cut: dict[str, Any], before: dict[str, Any] | None, *, origin: bool = True) -> list[str]:
        """The same in few words, scraping before pushing up; in a run without where a scraped edge comes from."""
        few = {"Clear the other piece.": "Clear.", "Turn the piece over.": "TURN OVER.",
         "Push it up to the fence.": "Push up.",
               "Leave it against the fence.": "Leave it."}  # fmt: skip
        told, last = self.bring(cut), [each.partition(" That edge")[0] for each in self.at_the_fence(cut, before)]
        told, last = ([few.get(each, each) for each in some] for some in (told, last))
        piece = self.pieces[cut["piece"]]
        if not origin:
            for long, short in (
                (" (anticlockwise)", " ↺"), (" (clockwise)", " ↻"),
                (f"Fetch {piece['id']} (aside since", "Fetch it (from"),
            ):  # fmt: skip
                told = [each.replace(long, short) for each in told]
        letters = [letter_of(piece, each["edge"]) for each in cut["setup"]["dress"]]
        scraped = [f"Scrape {self.edge(piece, letter) if origin else letter}." for letter in letters]
        return [*told, *scraped, *last]

    def dress(self, cut: dict[str, Any]) -> list[str]:
        piece, lie = self.pieces[cut["piece"]], self.lie(cut)
        use = {lie.right: "goes on the fence", lie.start: "goes to the start", lie.end: "leads in pass 2"}
        letters = [letter_of(piece, each["edge"]) for each in cut["setup"]["dress"]]
        return [f"Edge {self.edge(piece, letter)}: it {use[letter]}." for letter in letters]

    def scribe(self, cut: dict[str, Any]) -> str:
        return " / ".join(dict.fromkeys(self.long(each) for each in cut["marks"]["distance"]))

    def marks(self, cut: dict[str, Any], in_the_way: bool) -> list[str]:
        """The scribed line of a marked cut."""
        if cut["marks"] is None:
            return []
        piece, marks = self.pieces[cut["piece"]], cut["marks"]
        letter = letter_of(piece, marks["edge"])
        at = cut["line"][0][self.axis(cut)]
        for each in marks["distance"]:
            agree(each, abs(side(piece, letter) - at), f"cut {cut['number']}, scribed distance", 0.01)
        x, y = marks["from"]
        corner = "".join(each for each in "ABCD" if abs(side(piece, each) - (x if each in "BD" else y)) < 0.01)
        near, far = (self.long(each) for each in marks["along"])
        distance = self.long(marks["distance"][0])
        room = "FENCE OUT OF THE WAY. " if in_the_way else ""
        return [
            (
                f"{room}Scribe two marks {distance} from edge {self.edge(piece, letter)}, at {near} and {far} from "
                f"corner {corner}."
            )
        ]

    def passes(self, cut: dict[str, Any]) -> list[str]:
        """Two passes in the order of doing."""
        if len(cut["passes"]) == 1:
            return []
        lie, (one, two) = self.lie(cut), map(self.stop, cut["passes"])
        fence = (
            f"edge {lie.right} stays on the fence" if cut["located"] == "fence" else "scribe the marks on this face too"
        )
        return [
            f"Pass 1: cut in to the stop at {one}; it ends inside the metal. Let it cool, scrape the dross.",
            f"Turn over end for end: {fence}, edge {lie.end} to the start line. Letter the new face.",
            f"Pass 2: end stop {two}; cut back to meet pass 1.",
        ]

    def hold(self, cut: dict[str, Any]) -> list[str]:
        """How to hold a piece with a short edge on the fence: it is a third of the other, or less."""
        x0, y0, x1, y1 = box(self.pieces[cut["piece"]])
        across = (y1 - y0) if self.axis(cut) == 1 else (x1 - x0)
        if cut["located"] != "fence" or 3 * cut["length"] >= across:
            return []
        start = self.lie(cut).start
        return [f"HOLD: only {self.long(cut['length'])} on the fence; edge {start} along the start line, clamp it."]

    def passes_in_few(self, cut: dict[str, Any]) -> list[str]:
        """Both passes in one sentence."""
        if len(cut["passes"]) == 1:
            return []
        first, second = (self.stop(each) for each in cut["passes"])
        lie = self.lie(cut)
        held = f"{lie.right} stays on the fence" if cut["located"] == "fence" else "scribe this face too"
        return [
            f"Pass 1 to stop {first}, scrape; TURN OVER end for end, {held}, {lie.end} to the start line; "
            f"pass 2 to stop {second}."
        ]

    def doing(self, cut: dict[str, Any], piece: dict[str, Any]) -> str:
        """What becomes of a piece: a blank waits for the cut that it is for."""
        if piece["kind"] != "blank":
            return {"part": "part, done", "offcut": "OFFCUT, chalk it, to the rack", "scrap": "scrap bin"}[
                piece["kind"]
            ]
        then = self.opened[piece["id"]]
        stays = then["number"] == cut["number"] + 1 and not then["setup"]["fetch"]
        return (
            f"stays on the bed for cut {then['number']}" if stays else f"chalk it, PUT ASIDE for cut {then['number']}"
        )

    def fall(self, cut: dict[str, Any], hand: int) -> list[str | tuple[str, ...]]:
        """What falls right (0) or left (1) of the travel."""
        name = cut["makes"][hand]
        if name is None:
            return ["nothing: the kerf takes it"]
        piece = self.pieces[name]
        told = f"{self.size(piece)}: {self.doing(cut, piece)}."
        return [(shortened(self.called(piece)),), f"({name}) {told}"] if self.called(piece) else [f"{name}, {told}"]

    def measures(self, cut: dict[str, Any]) -> list[tuple[str, str]]:
        """Pieces to measure, each with its width and the band it may lie in: parts that have come off before others,
        then what the next part hangs on.
        """
        made = [name for name in cut["makes"] if name is not None and self.pieces[name]["kind"] != "scrap"]
        x = self.axis(cut)
        matter = [name for name in made if self.matters(name, x)]
        parts = [name for name in matter if self.pieces[name]["kind"] == "part"]
        order = [*parts, *(name for name in matter if name not in parts)] or made[:1]
        return [(name, self.band(name, x)) for name in order[:2]]

    def matters(self, name: str, x: int) -> bool:
        """Whether a part has the piece's size: as it is, or as the next cut alongside leaves it away from the fence."""
        found = [name]
        for each in self.reaching(name, x):
            then = self.opened.get(each["id"])
            if then is not None and self.axis(then) == x and then["makes"][1] is not None:
                found.append(then["makes"][1])
        return any(each["kind"] == "part" for one in found for each in self.reaching(one, x))

    def reaching(self, name: str, x: int) -> Iterator[dict[str, Any]]:
        """A piece, and what is cut from it and reaches from side to side of it."""
        whole = box(self.pieces[name])
        for piece in self.pieces.values():
            line, up = [], piece
            while up is not None:
                line.append(up["id"])
                up = self.pieces.get(up["parent"])  # type: ignore[assignment]
            if name in line and all(abs(box(piece)[side] - whole[side]) < 0.01 for side in (x, x + 2)):
                yield piece

    def band(self, name: str, x: int) -> str:
        """Width to expect, and from where to where it is good."""
        chain = self.chains[name]
        width, band = chain.size[x], chain.off[x] + KERF_AND_RAIL
        low, high = self.fine(max(0.0, width - band)), self.fine(width + band)
        limits = list(self.asked(name, x, width, band))
        least = max((wanted - asked for wanted, asked in limits), default=-math.inf)
        most = min((wanted + asked for wanted, asked in limits), default=math.inf)
        if least > width - band:
            low = self.limit(least, ROUND_CEILING)
        if most < width + band:
            high = self.limit(most, ROUND_FLOOR)
        return f"{self.fine(width)}, go {low} to {high}"

    def limit(self, mm: float, way: str) -> str:
        """A limit, rounded so that what is within it as printed is within it."""
        inch = self.units == "in"
        step = Decimal("0.001") if inch else Decimal("0.1")
        near = Decimal(repr(round(mm / INCH if inch else mm, 7)))
        return f"{near.quantize(step, way)}" + '"' * inch

    def asked(self, name: str, x: int, width: float, band: float) -> Iterator[tuple[float, float]]:
        """The size that a part asks and how true: of the piece,
        or of parts in it that reach from side to side of it.
        """
        for piece in self.reaching(name, x):
            if piece["kind"] != "part":
                continue
            given = next(each for each in self.job["parts"] if each["name"] == piece["part"])
            if given.get("plus_minus") and not given.get("allowance"):
                sizes = (given[key] for key in ("width", "length") if given.get(key))
                wanted = min(sizes, key=lambda each: abs(each - width))
                if abs(width - wanted) <= given["plus_minus"] + band:
                    yield wanted, given["plus_minus"]
