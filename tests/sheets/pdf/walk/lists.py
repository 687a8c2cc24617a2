"""What stands around the cuts: drawings of plates, the overview, parts to check, offcuts, costs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

from tests.sheets.pdf.walk.as_planned import agree
from tests.sheets.pdf.walk.claims import AstrayError, Claim, claim, shortened
from tests.sheets.pdf.walk.cuts import CutsInTurn
from tests.sheets.pdf.walk.drawing import Drawing, in_views
from tests.sheets.pdf.walk.paper import Item, Page
from tests.sheets.pdf.walk.rounding import about, printed


def most_of(size: dict[str, Any]) -> str:
    """What most of a doubt about a size comes from."""
    return " and ".join(doubt["cause"] + " (assumed)" * doubt["assumed"] for doubt in size["doubts"][:2])


class ListsAndDrawings(CutsInTurn):
    """What stands around the cuts: drawings of plates, the overview, parts to check, offcuts, costs."""

    def plate(self, plate: dict[str, Any]) -> Iterator[Claim]:
        yield claim(
            f"Plate {plate['id']}: {printed(plate['stock'])}, {self.plate_size(plate)} {plate['material']}, "
            f"{self.kilograms(plate['mass'])}"
        )
        yield self.drawn(plate, "Number: cut, in the order of work.")
        yield claim(f"Edge that comes out square: {SIDES[self.rig['square_side']]}.")

    def drawn(self, plate: dict[str, Any], below: str) -> Claim:
        """The drawing of a plate, up to the words below it."""
        where = f"drawing of plate {plate['id']}"

        def drawn(pages: list[tuple[Page, list[Item]]]) -> None:
            views = list(in_views(pages))
            page, items, _ = views[0]
            Drawing(self, plate, page.around(items, plate["length"] / plate["width"]), where).walk(
                page, items, views[1:]
            )

        return replace(claim(below), where=where, more=drawn)

    def overview(self) -> Iterator[Claim]:
        """When each plate is begun, goes on and is done; its settings in the order of work."""
        begun, passed = {}, 0.0
        for cut in self.cuts:
            begun[cut["number"]] = passed
            passed += math.fsum(cut["minutes"].values())
            begun[-cut["number"]] = passed
        of: dict[str, list[int]] = {}
        for cut in self.cuts:
            of.setdefault(cut["plate"], []).append(cut["number"])

        def mark(what: str, number: int, end: int = 1) -> str:
            at = begun[end * number]
            return f"{what} with cut {number}" + (f" at about {about(at)}" if at else "")

        for name, numbers in of.items():
            plate = self.plates[name]
            back = [later for one, later in pairwise(numbers) if later != one + 1][:1]
            marks = [
                mark("begins", numbers[0]),
                *(mark("goes on", each) for each in back),
                mark("is done", numbers[-1], -1),
            ]
            yield claim(f"Plate {name} ({printed(plate['stock'])}, {self.plate_size(plate)}) {', '.join(marks)}.")
        yield claim(f"All of it takes about {about(self.plan['totals']['minutes'])}.")
        for name in of:
            yield claim(f"Plate {name}")
            for run in self.runs():
                if run[0]["plate"] == name:
                    cut = run[0]
                    set_to = self.reading(cut) if cut["located"] == "fence" else f"scribe {self.scribe(cut)}"
                    what = [";", (shortened(self.what(run)),)] if self.what(run) else []
                    yield claim(f"{self.numbers(run)}: {set_to}, {self.stops(cut)}", *what)

    def lines(self) -> Iterator[tuple[dict[str, Any], list[str], float]]:
        """Each line of the part list, what was made of it, and its allowance."""
        for line in self.plan["parts"]:
            given = next((each for each in self.job["parts"] if each["name"] == line["name"]), {})
            made = [
                each["id"] for each in self.plan["pieces"] if each["kind"] == "part" and each["part"] == line["name"]
            ]
            agree(line["made"], len(made), f"{line['name']}, made")
            agree(line["wanted"], 0 if line["filler"] else given["quantity"], f"{line['name']}, wanted")
            width, length = line["size_wanted"]
            agree(width, given["width"], f"{line['name']}, width")
            if length is not None:
                agree(length, given["length"], f"{line['name']}, length")
            yield line, made, given.get("allowance") or 0.0

    def size_of(self, line: dict[str, Any], over: float) -> str:
        width, length = line["size_wanted"]
        extra = f" (cut {self.long(over)} over on each edge" if over else ""
        return f"{self.long(length) if length is not None else 'as the plate'} × {self.long(width)}{extra}"

    def parts(self) -> Iterator[Claim]:
        yield from self.of_all_sizes()
        for line, made, over in self.lines():
            count = f"filler, {line['made']}" if line["filler"] else f"{line['wanted']}, {line['made']}"
            short = " SHORT" if line["made"] < line["wanted"] else ""
            yield claim(f"{printed(line['name'])} {count}{short} {self.size_of(line, over)}")
            yield claim(self.expected(line, made, over), *self.truth(line))
            yield from self.trueness(line)
            for each in made:
                yield claim(f"☐ {each}")

    def expected(self, line: dict[str, Any], made: list[str], over: float) -> str:
        """The distinct sizes that the chains of readings leave, the allowance taken off; length first on paper."""
        sizes = [tuple(each) for each in line["size_expected"]]
        wanted, lengths = line["size_wanted"], line["size_wanted"][1] is not None
        reckoned = set()
        for name in made:
            x, y = self.chains[name].size
            ways = [(y - 2 * over, x - 2 * over * lengths), (x - 2 * over, y - 2 * over * lengths)]
            fit = [way for way in ways for size in sizes if math.dist(way, size) < 2e-3]
            if not fit:
                raise AstrayError(f"{name} of {wanted} will measure {ways[0]}, which the plan does not expect")
            reckoned |= {size for size in sizes for way in ways if math.dist(way, size) < 2e-3}
        if reckoned != set(sizes):
            raise AstrayError(f"{line['name']}: nothing made measures {set(sizes) - reckoned}")
        return "; ".join(f"{self.fine(long)} × {self.fine(wide)}" for wide, long in sizes)

    def truth(self, line: dict[str, Any]) -> list[str]:
        found = ", ".join(f"{each['of']} ±{self.fine(each['likely'])}" for each in line["accuracy"])
        return [f"({found})"] if found else []

    def most_of_all(self) -> str:
        """What most of a doubt comes from, where it is one thing for all sizes."""
        told = {most_of(each) for line in self.plan["parts"] for each in line["accuracy"]}
        return told.pop() if len(told) == 1 else ""

    def of_all_sizes(self) -> Iterator[Claim]:
        """What is said once of how true sizes are."""
        if any(line["accuracy"] for line in self.plan["parts"]):
            most = self.most_of_all()
            told = [f"Most of what sizes may be off comes from {most}."] if most else []
            classes = "9013, 2768-1: classes of ISO 9013 and ISO 2768-1 that are likely met; * as a yardstick."
            yield claim(*told, classes)

    def trueness(self, line: dict[str, Any]) -> Iterator[Claim]:
        told: dict[tuple[str, ...], list[str]] = {}
        for each in line["accuracy"]:
            asked = (
                [f"; ±{self.given(each['asked'])} asked: {'likely kept' if each['met'] else 'NOT LIKELY KEPT'}"]
                if each["asked"]
                else []
            )
            most = "" if self.most_of_all() else f"; most of it from {most_of(each)}"
            classes = each["classes"].replace(" (outside its scope: a yardstick)", "*")
            for standard, number in (("ISO 9013 class", "9013:"), ("ISO 2768-1 class", "2768-1:")):
                classes = classes.replace(standard, number)
            words = (
                f"±{self.fine(each['likely'])} likely, ±{self.fine(each['worst'])} at worst", *asked,
                f"{most}; {classes}",
            )  # fmt: skip
            told.setdefault(words, []).append(each["of"])
        for words, sizes in told.items():
            yield claim(f"{' and '.join(sizes)}:", *words)
        if (bow := line["bow"]) is not None:
            words = f"bow: about {self.fine(bow['bow'])} ({self.fine(bow['low'])} to {self.fine(bow['high'])};"
            limit = [f"; {self.fine(bow['limit'])} allowed"] if bow["limit"] is not None else []
            yield claim(words, "as measured)" if bow["calibrated"] else "a model)", *limit)
        if (hot := line.get("touch_minutes")) is not None:
            yield claim(f"too hot for bare hands for about {about(hot)} after its cuts")

    def offcuts(self) -> Iterator[Claim]:
        yield claim("Offcuts to register")
        for each in self.plan["pieces"]:
            if each["kind"] == "offcut":
                yield claim(f"☐ {each['id']} {self.left(each)}")
        if any(each["kind"] == "scrap" for each in self.plan["pieces"]):
            long, short = sorted(self.job["options"]["keep"], reverse=True)
            yield claim(f"What is left below {self.long(long)} × {self.long(short)} goes to the scrap bin:",
                        "`keep` in [options], or `stripplan rack keep`, sets it.")  # fmt: skip

    def costs(self) -> Iterator[Claim]:
        """Quantity times price is the amount, to the cent; lines and parts add up to the total."""
        quoted = self.plan["quotation"]
        if quoted is None:
            return
        yield claim("What it costs")
        for line in quoted["lines"]:
            agree(line["amount"], line["quantity"] * line["price"], f"cost of {line['what']}", 0.0051)
            yield claim(
                printed(line["what"]),
                f"{line['quantity']:,.2f} {line['unit']} {line['price']:,.4g} {line['amount']:,.2f}",
                line["how"],
            )  # fmt: skip
            if line["what"] == "time at the rig":
                agree(line["quantity"], self.plan["totals"]["minutes"] / 60, "hours at the rig")
        for key in ("lines", "parts"):
            name = {"lines": "amount", "parts": "total"}[key]
            agree(quoted["total"], math.fsum(each[name] for each in quoted[key]), f"total of the {key}", 1e-3)
        yield claim(f"total {quoted['total']:,.2f} {quoted['currency']}")
        for part in quoted["parts"]:
            line = next(each for each in self.plan["parts"] if each["name"] == part["name"])
            agree(part["made"], line["made"], f"{part['name']}, made and paid for")
            each = 0.0 if part["each"] is None else part["each"]
            agree(each * part["made"], part["total"], f"cost of each {part['name']}", 0.005 * part["made"] + 1e-6)
            agree(part["total"], math.fsum(part["amounts"]), f"shares of {part['name']}", 1e-3)
            shown = "-" if part["each"] is None else f"{each:,.2f}"
            yield claim(f"{printed(part['name'])} {part['made']} {shown} {part['total']:,.2f}")
        yield from map(claim, (*quoted["left_out"], quoted["how"]))

    def left(self, piece: dict[str, Any]) -> str:
        """An offcut's size with its thickness, material and mass."""
        plate = self.plates[piece["plate"]]
        size = f"{self.long_by_short(piece)} × {self.given(plate['thickness'])}"
        return f"{size} {plate['material']} {self.kilograms(piece['mass'])}"


SIDES = {"fence": "right, on the fence", "far": "left, away from the fence", "equal": "both alike"}
"""Which edge of a kerf comes out square, by the rig's key."""
