"""The cuts as the sheet tells them: in runs, as blocks with a picture, as rows."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from tests.sheets.pdf.walk.as_planned import agree, letter_of
from tests.sheets.pdf.walk.claims import AstrayError, Claim, claim, loose, shortened
from tests.sheets.pdf.walk.rounding import INCH, clock, printed
from tests.sheets.pdf.walk.words_of_cuts import WordsOfCuts


class CutsInTurn(WordsOfCuts):
    """The cuts as the sheet tells them: in runs, as blocks with a picture, as rows."""

    def work(self) -> Iterator[Claim]:
        """Every cut, with what stays as it was before it: a run of several under its head, in the full form."""
        turns = list(self.in_turn())
        for run in self.runs():
            first = run[0]["number"] - 1
            where = f"cut {first + 1}"
            for cut, before, *_ in turns[first : first + len(run)]:
                yield from (replace(each, where=where) for each in self.torch(cut, before))
            if self.form == "full" and len(run) > 1:
                yield from self.run(run, turns)
                continue
            told = self.block if self.form == "full" else self.row
            for cut, *state in turns[first : first + len(run)]:
                goes_on = self.form == "short" and cut is not run[0]
                for each in self.further(run, cut, state) if goes_on else told(cut, *state):
                    yield replace(each, where=f"cut {cut['number']}")

    def runs(self) -> list[list[dict[str, Any]]]:
        """Cuts made without touching fence, end stop, speed or process; those of the plan file must be the same."""
        found: list[list[dict[str, Any]]] = []
        for cut in self.cuts:
            if found and self.goes_on(found[-1][-1], cut):
                found[-1].append(cut)
            else:
                found.append([cut])
        held = [tuple(run["cuts"]) for run in self.plan.get("runs") or ()]
        if held and held != [(run[0]["number"], run[-1]["number"]) for run in found]:
            raise AstrayError("the plan's runs are not those of its cuts")
        for run, each in zip(self.plan.get("runs") or (), found, strict=False):
            agree(run["count"], len(each), "cuts of a run")
            agree(run["end_stop"], each[-1]["passes"][-1]["end_stop"], "end stop of a run")
            agree(run["fence_reading"] or 0, each[0]["fence_reading"] or 0, "reading of a run")
        return found

    def goes_on(self, before: dict[str, Any], cut: dict[str, Any]) -> bool:
        stop = before["passes"][-1]["end_stop"]
        keys = ("plate", "located", "fence_reading", "travel_speed", "dial")
        return (
            cut["located"] == "fence"
            and all(before[key] == cut[key] for key in keys)
            and all(each["end_stop"] == stop for each in cut["passes"])
        )

    def numbers(self, run: list[dict[str, Any]]) -> str:
        return f"{run[0]['number']}–{run[-1]['number']}" if len(run) > 1 else str(run[0]["number"])

    def fallen(self, run: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Parts that fall in a run, left before right."""
        made = (self.pieces[name] for cut in run for name in reversed(cut["makes"]) if name is not None)
        return [piece for piece in made if piece["kind"] == "part"]

    def what(self, run: list[dict[str, Any]]) -> str:
        names = [piece["part"] for piece in self.fallen(run)]
        counted = ((name, names.count(name)) for name in dict.fromkeys(names))
        return printed(", ".join(f"{name} × {count}" if count > 1 else name for name, count in counted))

    def torch(self, cut: dict[str, Any], before: dict[str, Any] | None) -> Iterator[Claim]:
        """How the torch is set up where the process is another than before."""
        process = self.plates[cut["plate"]]["process"]
        stays = before is not None and self.plates[before["plate"]]["process"] == process
        by_hand = self.plan["stripplan_version"] == "0"  # such plans say nothing of the torch
        if not (by_hand or self.plan["stripplan_version"].startswith("0.1.")) and cut["setup"]["process"] is stays:
            raise AstrayError(f"cut {cut['number']}: the torch is set up without need, or not where there is need")
        if stays:
            return
        given = next(each for each in self.rig["processes"] if each["name"] == process)

        def told(value: Any, unit: str) -> str:
            return "not given" if value is None else f"{value:g} {unit}"

        air = given.get("air_pressure")
        pressed = told(None if air is None else round(air * 14.5038), "psi") if self.units == "in" else told(air, "bar")
        off = given.get("stand_off")
        height = "not given" if off is None else self.given(off) + " mm" * (self.units == "mm")
        day = given.get("kerf_measured_on")
        known = f"measured {day}" if day else "ESTIMATED" if given.get("estimated") else "not measured"
        kerf = self.fine(cut["kerf"]) if self.units == "in" else self.long(cut["kerf"])
        title = "CHANGE TO" if before is not None else "TORCH FOR"
        yield claim(
            f"{title} {printed(process)}:",
            f"current {told(given.get('current'), 'A')}, tip {given.get('tip') or 'not given'},"
            f" stand-off {height}, air {pressed}, post-flow {told(self.rig['post_flow'], 's')}, kerf {kerf}, {known};"
            f" {self.speed(cut)}, that is {self.timed(cut)}.",
        )

    def timed(self, cut: dict[str, Any]) -> str:
        """Seconds over a marked distance."""
        over = 20 * INCH if self.units == "in" else 500
        return f"{over / cut['travel_speed'] * 60:.0f} s over {'20 in' if self.units == 'in' else '500 mm'}"

    def dry_run(self, cut: dict[str, Any]) -> list[Claim]:
        return [claim("DRY RUN, trigger unplugged.")] if cut["setup"].get("dry_run") else []

    def run(self, run: list[dict[str, Any]], turns: list[Any]) -> Iterator[Claim]:
        """The block of a run: head, rows beside its picture, picture, further rows."""
        first, where = run[0], f"cut {run[0]['number']}"
        _, before, unset, _ = turns[first["number"] - 1]
        (_, reading), (_, stops), _ = self.figures(first, before, unset)
        sizes = {self.size(piece) for piece in self.fallen(run)}
        what = f": {self.what(run)}" if self.what(run) else ""
        size = f"; {sizes.pop()}" if len(sizes) == 1 else ""
        yield replace(claim(f"cuts {self.numbers(run)}{self.big(first, before, unset)}"), where=where)
        yield from (replace(each, where=where) for each in self.dry_run(first))
        yield replace(claim(f"{len(run)} cuts{what}{size}.", self.laid(first, before)), where=where)
        yield from (replace(claim(each), where=where) for each in self.hold(first))
        if self.marks(first, False):
            raise AstrayError(f"{where}: a marked cut is no run of several")
        yield from (replace(each, where=where) for each in self.long_cut(first, before))
        if self.alike(run):
            yield replace(claim(f"Measure each part {self.measures(first)[0][1]}."), where=where)
        again = f"cuts, still {self.numbers(run)} same fence {reading} same stop {stops}"
        lie = self.lie(first)
        names = self.pictured(first)
        picture = rf"(?:FENCE\s*start\s*(?:stop|1\s*2)\s*{lie.right}\s*{lie.left}\s*{lie.start}\s*{lie.end})"
        for cut in run:
            state = list(turns[cut["number"] - 1][1:])
            between = (rf"(?:{names}\s*{picture}\s*)?(?:{loose(again)}\s*)?",)
            for n, each in enumerate(self.about(run, cut, state)):
                if n == 0:
                    whole = re.compile(rf"{between[0]}\b{cut['number']}\s*{each.pattern.pattern}")
                    each = replace(each, pattern=whole)
                yield replace(each, where=f"cut {cut['number']}")

    def pictured(self, cut: dict[str, Any]) -> str:
        """A pattern of what the picture of a run calls the pieces left and right of the torch."""
        found = []
        for name in reversed(cut["makes"]):
            if name is None:
                continue
            piece = self.pieces[name]
            stays = self.doing(cut, piece).startswith("stays")
            words = {"part": "part", "scrap": "scrap", "blank": "rest" if stays else "piece"}.get(piece["kind"], name)
            called = [printed(self.part_name(piece["part"]))] if piece["kind"] == "part" else []
            called += [name] * (piece["kind"] == "scrap")
            found.append("|".join(map(shortened, [*called, words])))
        return r"\s*".join(f"(?:{each})" for each in found)

    def alike(self, run: list[dict[str, Any]]) -> bool:
        """One part a cut on the side of the first, of one name and band: the band is told once."""
        name = run[0]["makes"][0]
        hand = 0 if name is not None and self.pieces[name]["kind"] == "part" else 1
        found = set()
        for cut in run:
            name, told = cut["makes"][hand], self.measures(cut)
            if name is None or self.pieces[name]["kind"] != "part" or not told or told[0][0] != name:
                return False
            found.add((self.pieces[name]["part"], told[0][1]))
        return len(found) == 1

    def further(self, run: list[dict[str, Any]], cut: dict[str, Any], state: list[Any]) -> Iterator[Claim]:
        """The row of the short form of a cut that goes on with a run."""
        (fence, reading), (stop, stops), _ = self.figures(cut, state[0], state[1])
        yield claim(f"cut {cut['number']} {fence} {reading} {stop.replace(' end', '')} {stops}")
        yield from self.about(run, cut, state)

    def about(self, run: list[dict[str, Any]], cut: dict[str, Any], state: list[Any]) -> Iterator[Claim]:
        """A row of a run: the piece, what is done before, what is new; then what falls, with its width."""
        before = state[0]
        yield from self.bring_it(cut, before)
        if cut is not run[0] and before is not None:
            yield from self.dry_run(cut)
            one, other = self.lie(cut), self.lie(before)
            face = cut["passes"][0]["face_up"] != before["passes"][0]["face_up"]
            if face or (one.right, one.start) != (other.right, other.start):
                yield claim(self.laid(cut, before))
            if self.hold(cut) != self.hold(before):
                yield from map(claim, self.hold(cut))
            yield from self.long_cut(cut, before)
        yield from map(claim, [f"REST {each}." for each in self.rest(cut)])
        yield from map(claim, self.passes(cut) if self.form == "full" else self.passes_in_few(cut))
        yield from self.after(run, cut)

    def after(self, run: list[dict[str, Any]], cut: dict[str, Any], *, alone: bool = False) -> Iterator[Claim]:
        """What falls, with what it measures; of a cut by itself also what stays."""
        widths = dict(self.measures(cut))
        for side, hand in (("Left:", 1), ("Right:", 0)):
            name = cut["makes"][hand]
            if name is None:
                yield claim(side, *self.fall(cut, hand))
                continue
            fallen, width = self.pieces[name], [f"{widths[name]}; is _______"] if name in widths else []
            if fallen["kind"] == "part" and not alone and self.alike(run) and name == next(iter(widths)):
                yield claim(f"{name} is ________")
            elif fallen["kind"] == "part":
                yield claim(side, (shortened(self.called(fallen)),), f"({name}):", *(width or ["done"]))
            elif not self.doing(cut, fallen).startswith("stays"):
                yield claim(side, *self.gone(cut, hand, width))
            elif alone or width:
                yield claim(f"{side} {name} stays{':' if width else '.'}", *width)

    def gone(self, cut: dict[str, Any], hand: int, width: list[str]) -> list[Any]:
        """What leaves the bed and is no part: a piece put aside has its size only where it is not measured;
        no chalk, no size of scrap.
        """
        piece = self.pieces[cut["makes"][hand]]
        doing = self.doing(cut, piece).removeprefix("chalk it, ")
        if piece["kind"] == "blank":
            return [f"{piece['id']}, {doing}." if width else f"{piece['id']}, {self.size(piece)}: {doing}.", *width]
        if piece["kind"] == "scrap" and not width:
            return [f"{piece['id']}, {doing}."]
        return [*self.fall(cut, hand), *width]

    def bring_it(self, cut: dict[str, Any], before: Any) -> Iterator[Claim]:
        """The piece: its size where it is fetched, its mass where one may not lift it; then what is done with it."""
        piece, steps = self.pieces[cut["piece"]], self.steps(cut, before, origin=False)
        size = f", {self.size(piece)}" if cut["setup"]["fetch"] else ""
        two = f", {self.kilograms(piece['mass'])}, {self.lifted_by(piece)}".removesuffix(" or hoist") * self.two(piece)
        yield claim(f"{piece['id']}{size}{two}{':' if steps else '.'}")
        yield from map(claim, steps)

    def laid(self, cut: dict[str, Any], before: Any) -> str:
        """Face, edge on the fence, edge at the start line:
        each where it is new, an edge also where another cut has made it.
        """

        def fence(each: dict[str, Any]) -> str:
            return self.edge(self.pieces[each["piece"]], self.lie(each).right) if each["located"] == "fence" else ""

        def start(each: dict[str, Any]) -> str:
            return self.edge(self.pieces[each["piece"]], self.lie(each).start)

        lie, up, told = self.lie(cut), cut["passes"][0]["face_up"], []
        if cut["setup"]["fetch"] and self.pieces[cut["piece"]]["parent"] is None:
            on = f"fence {fence(cut)}, " if fence(cut) else ""
            return f"{'TOP' if up else 'UNDER'} face up, {on}start {start(cut)}."
        if before is None or before["passes"][0]["face_up"] != up:
            told.append(f"{'TOP' if up else 'UNDER'} face up")
        if fence(cut) and (before is None or fence(cut) != fence(before)):
            told.append(f"fence {lie.right}")
        if before is None or start(cut) != start(before):
            told.append(f"start {lie.start}")
        words = ", ".join(told)
        return f"{words[0].upper()}{words[1:]}." if told else ""

    def long_cut(self, cut: dict[str, Any], before: Any) -> Iterator[Claim]:
        """How long the cut is, where that is new."""
        if before is None or self.cutting(cut) != self.cutting(before):
            yield claim(f"Cut {self.cutting(cut).replace(', one pass', '')}")

    def in_turn(self) -> Iterator[tuple[dict[str, Any], dict[str, Any] | None, bool, bool]]:
        """Each cut with the one before it, whether the fence stands nowhere,
        and whether it is in the way of the piece.
        """
        before: dict[str, Any] | None = None
        fence: float | None = None
        for cut in self.cuts:
            reach = self.to_fence(cut) if cut["located"] == "marked" else 0.0
            in_the_way = cut["located"] == "marked" and (fence is None or reach > fence - 0.01)
            yield cut, before, fence is None, in_the_way
            fence = cut["fence_offset"] if cut["located"] == "fence" else None if in_the_way else fence
            before = cut

    def figures(self, cut: dict[str, Any], before: dict[str, Any] | None, unset: bool) -> list[tuple[str, str]]:
        """Fence or scribed distance, end stop, speed: each with its label."""

        def how(new: bool) -> str:
            return "SET" if new else "same"

        dial = cut["dial"] is not None
        speed = f"{cut['dial']:g}" if dial else self.speed(cut).split()[0]
        old = None if before is None else (before["dial"], self.speed(before))
        word = f"dial, {self.speed(cut)}" if dial else self.speed(cut).split()[1]
        new = old is None or (old[0] != cut["dial"] if dial else old[1] != self.speed(cut))
        if before is not None and not new:  # what is not said again is as it was
            agree(cut["travel_speed"], before["travel_speed"], f"cut {cut['number']}, speed", 0.5)
        if cut["located"] == "fence":
            where = f"{how(cut['setup']['fence'] or unset)} fence", self.reading(cut)
        else:
            where = f"SCRIBE from {letter_of(self.pieces[cut['piece']], cut['marks']['edge'])}", self.scribe(cut)
        stop = f"{how(cut['setup']['end_stop'])} end stop", self.stops(cut)
        return [where, stop, (f"{how(new)} {word}", speed)]

    def rest(self, cut: dict[str, Any]) -> list[str]:
        return [f"{clock(cut['rest_before'])} before the arc"] if cut["rest_before"] * 60 > 0.5 else []

    def piece(self, cut: dict[str, Any]) -> str:
        piece = self.pieces[cut["piece"]]
        return (
            f"{piece['id']}, {self.size(piece)}, {self.kilograms(piece['mass'])}"
            + f", {self.lifted_by(piece)}".removesuffix(" or hoist") * self.two(piece)
        )

    def lay(self, cut: dict[str, Any]) -> str:
        piece, lie = self.pieces[cut["piece"]], self.lie(cut)
        face = "TOP" if cut["passes"][0]["face_up"] else "UNDER"
        fence = f" fence: {self.edge(piece, lie.right)};" if cut["located"] == "fence" else ""
        return f"{face} face up;{fence} start: {self.edge(piece, lie.start)}."

    def cutting(self, cut: dict[str, Any]) -> str:
        return f"{self.long(cut['length'])} long, {'one pass' if len(cut['passes']) == 1 else 'TWO PASSES'}."

    def big(self, cut: dict[str, Any], before: Any, unset: bool) -> str:
        """The big figures behind the number: plate and speed only where they are new."""
        (where, reading), (stop, stops), (speed, mark) = self.figures(cut, before, unset)
        plate = f" plate {cut['plate']}" if before is None or before["plate"] != cut["plate"] else ""
        fast = f" {speed} {mark} {self.timed(cut)}" if speed.startswith("SET") else ""
        return f"{plate} {where} {reading} {stop.replace('end ', '')} {stops}{fast}"

    def block(self, cut: dict[str, Any], before: Any, unset: bool, in_the_way: bool) -> Iterator[Claim]:
        """The block of the full form, with its small picture."""
        yield claim(f"cut {cut['number']}{self.big(cut, before, unset)}")
        yield from self.dry_run(cut)
        yield from self.bring_it(cut, before)
        yield claim(self.laid(cut, before), *self.hold(cut), *self.marks(cut, in_the_way))
        yield from self.long_cut(cut, before)
        yield from map(claim, [f"REST {each}" for each in self.rest(cut)])
        yield from map(claim, self.passes(cut))
        yield from self.after([cut], cut, alone=True)
        yield self.picture(cut)

    def picture(self, cut: dict[str, Any]) -> Claim:
        """Names left and right of the torch, the passes, the letters right, left, at the start and at the end."""
        lie, parts = self.lie(cut), []
        for name in reversed(cut["makes"]):
            if name is None:
                continue
            piece = self.pieces[name]
            kinds = {"part": shortened(self.called(piece)) if self.called(piece) else "", "scrap": "scrap"}
            parts.append((*filter(None, [kinds.get(piece["kind"])]), re.escape(name)))
        fence = "FENCE" if cut["located"] == "fence" else "no fence"
        ways = "stop" if len(cut["passes"]) == 1 else "1 2"
        return claim(*parts, f"{fence} start {ways} {lie.right} {lie.left} {lie.start} {lie.end}")

    def row(self, cut: dict[str, Any], before: Any, unset: bool, in_the_way: bool) -> Iterator[Claim]:
        """The row of the short form: figures, then what is new in words."""
        (where, reading), (stop, stops), (speed, mark) = self.figures(cut, before, unset)
        where = where.replace(" from", "")
        yield claim(f"cut {cut['number']} {where} {reading} {stop.replace(' end', '')} {stops}")
        if before is None or before["plate"] != cut["plate"]:
            yield claim(f"Plate {cut['plate']}.")
        yield from self.dry_run(cut)
        steps = self.steps(cut, before)
        yield claim(f"{self.piece(cut)}{':' if steps else '.'}")
        yield from map(claim, steps)
        if speed.startswith("SET"):
            yield claim(f"{speed} {mark} ({self.timed(cut)}).")
        face = before is None or before["passes"][0]["face_up"] != cut["passes"][0]["face_up"]
        lay = self.lay(cut) if face else self.lay(cut).partition("face up; ")[2]
        yield claim(lay, *self.marks(cut, in_the_way), *self.hold(cut))
        if before is None or self.cutting(cut) != self.cutting(before):
            yield claim(self.cutting(cut))
        yield from map(claim, [f"REST {each}." for each in self.rest(cut)])
        yield from map(claim, self.passes_in_few(cut))
        yield from self.after([cut], cut, alone=True)

    def cells(self) -> Iterator[list[str]]:
        """The rows of the cut list, cell by cell."""
        for cut, before, _, in_the_way in self.in_turn():
            piece, lie, fence = self.pieces[cut["piece"]], self.lie(cut), cut["located"] == "fence"
            yield [
                str(cut["number"]), cut["plate"], piece["id"], self.size(piece),
                clock(cut["rest_before"]) if cut["rest_before"] * 60 > 0.5 else "",
                "; ".join(self.bring(cut)), "; ".join(self.dress(cut)),
                self.reading(cut) if fence else "marks", self.long(cut["fence_offset"]) if fence else "",
                "".join(f"{each} Torch centre over both." for each in self.marks(cut, in_the_way)),
                "; ".join(self.at_the_fence(cut, before)),
                self.edge(piece, lie.right) if fence else "no edge: follow the marks", self.edge(piece, lie.start),
                self.stops(cut), "" if cut["dial"] is None else f"{cut['dial']:g}",
                self.speed(cut), self.cutting(cut).rstrip("."), "; ".join(self.passes(cut)),
                self.falls(cut, 0), self.falls(cut, 1),
                f"{math.fsum(cut['minutes'].values()):.2f}",
                next(self.numbers(run) for run in self.runs() if cut in run),
            ]  # fmt: skip

    def falls(self, cut: dict[str, Any], hand: int) -> str:
        name = cut["makes"][hand]
        if name is None:
            return ""
        piece = self.pieces[name]
        called = self.called(piece, onto=str)
        return f"{f'{called} ({name})' if called else name} {self.size(piece)}: {self.doing(cut, piece)}"
