"""A plan from the first word of its sheet to the last."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from itertools import pairwise
from typing import Any

from tests.sheets.pdf.walk.as_planned import agree, area, tag
from tests.sheets.pdf.walk.claims import Claim, claim, shortened
from tests.sheets.pdf.walk.lists import SIDES, ListsAndDrawings
from tests.sheets.pdf.walk.rounding import INCH, about, bare, clock, printed


class Reckoning(ListsAndDrawings):
    """A plan's figures worked out for the sheet, from its first word to its last."""

    def heads(self, pages: int, *, by_id: bool = True) -> list[Claim]:
        """Head of each page: the job, the plan's id, page n of so many."""
        name, by = shortened(printed(self.job["name"])), self.tag(by_id=by_id)
        return [claim((name,), "plan", (by,), f"page {number} of {pages}") for number in range(1, pages + 1)]

    def tag(self, *, by_id: bool = True) -> str:
        """A pattern of the plan's id."""
        return tag(self.plan) if by_id else "[0-9a-f]{8}"

    def claims(self, *, by_id: bool = True) -> list[Claim]:
        """All that must be read, in the order of reading."""
        found: list[Claim] = []
        watch = claim("Last cut at ____________ watch for fire until ____________ (60 minutes later)")
        how = ("how to work", map(claim, HOW[self.form]))
        large = (
            ("first page", self.first(by_id=by_id)),
            how,
            ("cautions", self.cautions()),
            ("overview", self.overview()),
            ("plates", (each for plate in self.plan["plates"] for each in self.plate(plate))),
            ("cuts", self.work()),
            ("parts", self.parts()),
            ("offcuts", self.offcuts()),
            ("cost", self.costs()),
            ("fire watch", iter([watch])),
        )
        small = (
            ("first page", self.beside(by_id=by_id)),
            ("cuts", self.work()),
            ("parts", self.parts_in_few()),
            ("fire watch", iter([watch])),
            ("behind the plan", self.behind()),
            ("cost", self.costs()),
            ("cautions", self.cautions()),
            how,
        )
        for where, part in small if len(self.cuts) <= 5 else large:
            found += [replace(each, where=each.where or where) for each in part]
        return found

    def beside(self, *, by_id: bool) -> Iterator[Claim]:
        """The head of a job of few cuts: what to take and to mind, beside the drawings."""
        yield from self.title(by_id=by_id)
        yield from self.stock()
        yield from self.mind()
        yield claim(f"Takes about {about(self.plan['totals']['minutes'])}.")
        for plate in self.plan["plates"]:
            yield claim(f"Plate {plate['id']}: {printed(plate['stock'])}")
            yield self.drawn(plate, f"{plate['id']}: numbers are cuts, in the order of work.")

    def parts_in_few(self) -> Iterator[Claim]:
        """Parts and offcuts to tick, a line or two each."""
        yield claim("Parts: want, made; finished size; size to expect")
        for line, made, over in self.lines():
            count = f"filler, {line['made']}" if line["filler"] else f"{line['wanted']}, {line['made']}"
            short = " SHORT" if line["made"] < line["wanted"] else ""
            size, expected = self.size_of(line, over), self.expected(line, made, over)
            yield claim(f"{printed(line['name'])} {count}{short}; {size}{';' if expected else ''}")
            yield claim(expected, *self.truth(line))
            yield from (claim(f"☐ {each}") for each in made)
        for each in self.plan["pieces"]:
            if each["kind"] == "offcut":
                yield claim(f"Offcut ☐ {each['id']} {self.left(each)}, rack place ________")

    def behind(self) -> Iterator[Claim]:
        """What stands behind the plan of few cuts."""
        yield claim("Rests on:")
        yield from map(claim, self.settings())
        yield from map(claim, self.measured())
        yield from self.assumed()
        yield claim("Totals:")
        yield from map(claim, self.totals())
        yield claim("How good:")
        yield from map(claim, self.proof())
        yield from self.other()
        for each in self.of_all_sizes():
            yield claim("Sizes:")
            yield each
        for line in self.plan["parts"]:
            if line["accuracy"] or line["bow"] is not None or line.get("touch_minutes") is not None:
                yield claim(f"{printed(line['name'])}:")
                yield from self.trueness(line)
        yield claim("Number: cut, in the order of work.")
        yield claim(f"Edge that comes out square: {SIDES[self.rig['square_side']]}.")

    def title(self, *, by_id: bool) -> Iterator[Claim]:
        made = f", made {self.plan['made_at']}" if self.plan["made_at"] else ""
        yield claim(printed(self.job["name"]))
        yield claim(
            "Setup sheet, plan",
            (self.tag(by_id=by_id),),
            f"{made}. All lengths in {'inches, masses in pounds' if self.units == 'in' else 'mm, masses in kg'}.",
        )
        yield claim("Before the first arc read the cautions")

    def first(self, *, by_id: bool) -> Iterator[Claim]:
        yield from self.title(by_id=by_id)
        yield from self.stock()
        yield from self.mind()
        yield claim("Totals")
        yield from map(claim, self.totals())
        left = [each for each in self.plan["pieces"] if each["kind"] == "offcut"]
        for each in left[:8]:
            yield claim(
                f"{each['id']}: {self.long_by_short(each)} × {self.given(self.plates[each['plate']]['thickness'])}"
            )
        if len(left) > 8:
            yield claim(f"and {len(left) - 8} more")
        yield from map(claim, self.proof())
        yield from self.other()
        yield claim("The plan rests on")
        yield from map(claim, self.settings())
        yield from self.assumed()
        yield from map(claim, self.measured())

    def assumed(self) -> Iterator[Claim]:
        if told := self.assumed_times():
            yield claim(f"Assumed figures that move the minutes: {'; '.join(told)}.")

    def other(self) -> Iterator[Claim]:
        """What the other order of work would cost."""
        if (other := self.plan.get("other_order")) is not None:
            apart = other["minutes"] - self.plan["totals"]["minutes"]
            some = "setting" if other["fence_settings"] == 1 else "settings"
            unit = "" if self.units == "in" else " mm"
            time = "as long" if abs(apart) < 0.5 / 60 else f"{clock(abs(apart))} {'less' if apart < 0 else 'more'}"
            alike = (
                f"differ by up to {self.fine(other['differ'])}{unit}" if other["differ"] > 1e-6 else "come out alike"
            )
            wrong = other.get("wrong") or 0
            sizes = f", {wrong} size{'s' * (wrong != 1)} further off than allowed" if wrong else ""
            here = self.plan["totals"]["fence_settings"]
            beside = "too" if here == other["fence_settings"] else f"instead of {here}"
            yield claim(
                f"The other order of work: {other['fence_settings']} fence {some} {beside}: {time}, "
                f"pieces of a part {alike}{sizes}."
            )

    def stock(self) -> Iterator[Claim]:
        for plate in self.plan["plates"]:
            root = next(each for each in self.plan["pieces"] if each["plate"] == plate["id"] and each["parent"] is None)
            agree(plate["mass"], root["mass"], f"mass of plate {plate['id']}")
            heavy = [f": {self.lifted_by(root)}"] * self.two(root)
            notes = ["nominal size, not measured"] * (not plate["measured"])
            given = next(each for each in self.job["plates"] if each["name"] == plate["stock"])
            notes = ["offcut"] * bool(given.get("offcut")) + notes
            if not plate.get("piece") and any(each.get("piece") for each in self.plan["plates"]):
                notes.insert(0, "to be bought")
            if root["id"] not in self.opened:
                notes.append(f"no cut: it is {self.called(root) or root['kind']} as it stands")
            note = f"({'; '.join(notes)})" if notes else ""
            yield claim(f"☐ {plate['id']} {printed(plate['stock'])} {note}")
            yield claim(self.plate_size(plate), plate["material"], self.kilograms(plate["mass"]), *heavy)

    def mind(self) -> Iterator[Claim]:
        """Plates to measure first, and warnings: those of one kind on pieces of one part count as one,
        with how many more.
        """
        warnings = self.plan["warnings"]
        first = [each for each in warnings if each["code"] in FIRST or "ESTIMATED" in each["text"]]
        yield from self.warned(first)
        resting = {self.pieces[each["about"]]["plate"] for each in warnings if each["code"] == "rests_on_plate_size"}
        for plate in self.plan["plates"]:
            if plate["id"] in resting:
                size = f"{self.long(plate['length'])} × {self.long(plate['width'])}"
                yield claim(f"Plate {plate['id']} ({printed(plate['stock'])}): the plan counts on {size}.")
        yield from self.warned([each for each in warnings if each not in first])
        names = {self.job["name"], *(part["name"] for part in self.plan["parts"])}
        names |= {plate[key] for plate in self.plan["plates"] for key in ("stock", "material")}
        count = sum("[U+" in printed(name) for name in names)
        if count:
            holds = "name holds" if count == 1 else "names hold"
            yield claim(
                f"! {count} {holds} letters that this print lacks: they stand by number, [U+hhhh]; drawings have them."
            )

    def warned(self, warnings: list[dict[str, Any]]) -> Iterator[Claim]:
        """Warnings, those of one kind on pieces of one part as one."""
        alike: dict[tuple[str, str], list[str]] = {}
        for each in warnings:
            part = self.pieces.get(each["about"], {}).get("part")
            alike.setdefault((each["code"], part or each["text"]), []).append(each["text"])
        for (_, of), texts in alike.items():
            more = [f"The same goes for {len(texts) - 1} more of {printed(of)}."] * (len(texts) > 1)
            yield claim(f"! {printed(texts[0])}", *more)

    def totals(self) -> Iterator[str]:
        """Each total is the sum over what the plan lists."""
        held, cuts, pieces = self.plan["totals"], self.cuts, self.plan["pieces"]

        def summed(key: str, value: float) -> float:
            return agree(held[key], value, f"total of {key}", 1e-3)

        def over(kind: str) -> float:
            return math.fsum(area(each) for each in pieces if each["kind"] == kind)

        def count(key: str) -> int:
            return round(summed({"fetch": "fetches", "quarter_turns": "turns"}.get(key, f"{key}_settings"),
                                sum(bool(cut["setup"][key]) for cut in cuts)))  # fmt: skip

        yield (
            "time at the rig: "
            f"{clock(summed('minutes', math.fsum(m for cut in cuts for m in cut['minutes'].values())))}"
        )
        yield f"of that arc: {clock(summed('arc_minutes', math.fsum(cut['minutes']['arc'] for cut in cuts)))}"
        rests = math.fsum(cut["rest_before"] for cut in cuts)
        agree(math.fsum(cut["minutes"]["rest"] for cut in cuts), rests, "rests")
        yield f"of that rests: {clock(rests)}"
        yield f"cuts: {len(cuts)}"
        yield f"arc starts: {round(summed('starts', sum(len(cut['passes']) for cut in cuts)))}"
        yield f"fence settings: {count('fence')}"
        yield f"end stop settings: {count('end_stop')}"
        yield f"turns: {count('quarter_turns')}"
        yield f"pieces fetched: {count('fetch')}"
        yield f"edges scraped: {round(summed('dressings', sum(len(cut['setup']['dress']) for cut in cuts)))}"
        if not self.plan["stripplan_version"].startswith("0.1."):
            ways = [self.plates[cut["plate"]]["process"] for cut in cuts]
            yield f"process changes: {round(summed('process_changes', sum(a != b for a, b in pairwise(ways))))}"
            metres, minutes = held["finish_metres"], held["finish_minutes"]
            length = f"{metres / 0.3048:.1f} ft" if self.units == "in" else f"{metres:.1f} m"
            yield f"edges to finish: {length}" + (f", {clock(minutes)}" if minutes else "")
        yield f"plates: {round(summed('plates', len(self.plates)))}"
        cost = summed("cost", math.fsum(plate["cost"] for plate in self.plates.values()))
        currency = self.job.get("currency") or ""
        yield (
            f"plate cost: {f'{cost:.2f} {currency}' if self.priced else f'{self.square(cost * 1e6)} (no price given)'}"
        )
        whole = math.fsum(plate["length"] * plate["width"] for plate in self.plates.values())
        yield f"plate made into parts: {100 * summed('plate_used', over('part') / whole):.0f} %"
        yield f"kept as offcuts: {self.square(summed('offcut_area', over('offcut')))}"
        yield f"scrap: {self.square(summed('scrap_area', over('scrap')))}"

    @property
    def priced(self) -> bool:
        """Whether plates have prices; cost is their area in m2 without."""
        keys = ("cost", "price_per_kg")
        priced = any(each.get(key) is not None for each in self.job["plates"] for key in keys)
        for plate in self.plates.values():
            if not priced:
                agree(plate["cost"], plate["length"] * plate["width"] / 1e6, f"area of plate {plate['id']}")
        return priced

    def proof(self) -> Iterator[str]:
        proof, totals = self.plan["proof"], self.plan["totals"]
        for key, total in (
            ("plates", "plates"),
            ("cost", "cost"),
            ("setups", "fence_settings"),
            ("minutes", "minutes"),
        ):
            agree(proof[key]["found"], totals[total], f"proof of {key}")

        def verdict(bound: dict[str, Any]) -> str:
            return "proven" if bound["proven"] else "not proven best"

        plates, cost, least = proof["plates"], proof["cost"], math.ceil(proof["plates"]["bound"] - 1e-6)
        some = "plate" if plates["found"] == 1 else "plates"
        yield (
            f"{plates['found']} {some}; at least {least} {'is' if least == 1 else 'are'} needed ({plates['how']}): "
            f"{verdict(plates)}."
        )
        if not math.isclose(cost["found"], plates["found"]):
            found, bound = (
                f"{cost[key]:.2f}" if self.priced else self.square(cost[key] * 1e6) for key in ("found", "bound")
            )
            what = "Plate cost" if self.priced else "Plate area"
            yield f"{what} {found}; not below {bound} ({cost['how']}): {verdict(cost)}."
        setups, minutes = proof["setups"], proof["minutes"]
        some = "setting" if setups["found"] == 1 else "settings"
        fewest = f"; for {setups['holds_for']} no order needs fewer than {setups['bound']:.0f}"
        yield f"{setups['found']:.0f} fence {some}{fewest if round(setups['bound']) else ''}."
        yield (
            f"{clock(minutes['found'])} at the rig; for {minutes['holds_for']} no order takes less than "
            f"{clock(minutes['bound'])}."
        )
        yield from self.in_all()

    def in_all(self) -> Iterator[str]:
        """Plate and hands in one currency; nothing where a minute is worth nothing."""
        total = self.plan.get("total")
        if total is None or not total["minute"]:
            return
        unit = "kg of steel" if total["currency"] == "kg" else self.plan["job"]["currency"]
        if unit == "kg of steel" and self.units == "in":
            unit, pound = "lb of steel", 0.45359237
            total = {key: v / pound if isinstance(v, (int, float)) else v for key, v in total.items()}
        hour = {"job": "", "rig": " of the rig", "assumed": ", assumed"}[total["minute_from"]]
        kept = f" - offcuts kept {total['offcuts']:.2f}" if total["offcuts"] else ""
        least = f" No plan costs less than {total['bound']:.2f} in all ({total['how']})." if total["bound"] else ""
        yield (
            f"In all {total['total']:.2f}{' ' if unit else ''}{unit}: plates {total['plates']:.2f} + "
            f"{clock(self.plan['totals']['minutes'])} at {total['minute'] * 60:.2f} an hour{hour}{kept}.{least}"
        )

    def settings(self) -> Iterator[str]:
        rig, settings = self.rig, self.plan["settings"]

        def flag(key: str) -> str:
            return " ASSUMED: CHECK" if key in (rig.get("assumed") or ()) else ""

        for name in dict.fromkeys(plate["process"] for plate in self.plates.values()):
            process = next(each for each in rig["processes"] if each["name"] == name)
            kerf = agree(
                next(p["kerf"] for p in self.plates.values() if p["process"] == name),
                process["kerf"],
                f"kerf of {name}",
            )
            measured = process.get("kerf_measured_on")
            tail = f", measured {measured}" if measured else " NOT MEASURED: CHECK"
            yield f"kerf: {self.fine(kerf) if self.units == 'in' else self.long(kerf)} ({printed(name)}){tail}"
        yield f"trim off mill edges: {self.given(settings['trim'])}"
        yield f"fence zero: {self.given(rig['fence_zero'])}{flag('fence_zero')}"
        yield f"fence scale: {rig['fence_scale']:g}{flag('fence_scale')}"
        for label, key in (
            ("fence read to", "fence_step"), ("lead-in", "lead_in"), ("overrun", "overrun"), ("stroke", "stroke"),
            ("narrowest offcut", "narrowest_offcut"),
        ):  # fmt: skip
            yield f"{label}: {self.given(rig[key])}{flag(key)}"
        yield f"rig: {printed(rig['name'])}"
        steps = f", steps {settings['steps']}" if settings.get("steps") is not None else ""
        yield f"search: seed {settings.get('seed')}{steps}"

    def assumed_times(self) -> list[str]:
        """Each figure that nobody gave and that moves minutes of this plan."""
        rig, seconds = self.rig, self.rig["seconds"]
        spent = {key for cut in self.cuts for key, value in cut["minutes"].items() if value > 0}
        if any(len(cut["passes"]) > 1 for cut in self.cuts):
            spent.add("turn_over")
        if any(cut["setup"]["two_person"] for cut in self.cuts):
            spent.add("two_person")
        if self.plan["totals"]["finish_minutes"]:
            spent.add("finish")
        told = []
        before = ""
        for key, words, causes in MOVERS:
            table, name = (seconds, key[8:]) if key.startswith("seconds.") else (rig, key)
            if key in rig["assumed"] and name in table and spent.intersection(causes.split()):
                said = self.by_inch(words, table[name])
                if not words.startswith("and "):
                    told.append(said)
                elif before in rig["assumed"]:
                    told[-1] += f" {said}"
                else:
                    told.append({"f": "fence", "e": "end stop", "s": "scraping"}[name[0]] + said.removeprefix("and"))
            before = key
        if self.cuts:
            more = [("return_speed", f"return {self.pace(rig['return_speed'])}")]
            more += [(key, f"{words} {self.given(rig[key])}") for key, words in LENGTHS]
            for cut in {self.plates[cut["plate"]]["process"]: cut for cut in self.cuts}.values():
                more.append(("process", f"speed of {printed(self.plates[cut['plate']]['process'])} {self.speed(cut)}"))
            if any(cut["rest_before"] for cut in self.cuts):
                more.append(("process", "duty of the power source"))
            told += [words for key, words in more if key in rig["assumed"]]
        return told

    def by_inch(self, words: str, value: float) -> str:
        """A figure in its unit; by the inch and the pound where inches are read, to three figures."""
        for unit, theirs, times in (
            (" s/mm", " s/in", INCH),
            (" s/m", " s/ft", 0.3048),
            (" s/kg", " s/lb", 0.45359237),
        ):
            if self.units == "in" and unit in words:
                return words.replace(unit, theirs).format(f"{value * times:.3g}")
        return words.format(bare(value, 6))

    def pace(self, speed: float) -> str:
        return self.speed({"travel_speed": speed})

    def measured(self) -> Iterator[str]:
        """What the notebook gave for the processes of these plates:
        twice the standard uncertainty is the plus or minus.
        """
        used = {plate["process"] for plate in self.plates.values()}
        units = {"fence_scale": "mm a mark", "fence_angle": "°", "dial, top speed": "mm/min", "return_speed": "mm/min"}
        for each in self.rig.get("measured") or ():
            process = each["key"].rpartition(", ")[0]
            if process in {other["name"] for other in self.rig["processes"]} - used:
                continue
            used_as = self.rig.get(each["key"])
            if used_as is not None:
                agree(used_as, each["value"], f"{each['key']}, measured and used", 1e-4)
            days = " to ".join(dict.fromkeys(filter(None, (each["first"], each["last"])))) or "day not noted"
            if self.units == "in":  # its words are a sentence of the notebook's report
                yield f"{each['key']}:"
                continue
            yield (
                f"{each['key']}: {each['value']:g} ± {2 * each['u']:.2g} {units.get(each['key'], 'mm')}; "
                f"{each['how']}; {days}{self.age(each['last'])}"
            )

    def age(self, day: str | None) -> str:
        """Days from a measurement to the day the plan was made."""
        if day is None or self.plan["made_at"] is None:
            return ""
        days = (datetime.fromisoformat(self.plan["made_at"]).date() - date.fromisoformat(day)).days
        return f", {days} {'day' if days == 1 else 'days'} old" if days >= 0 else ""

    def cautions(self) -> Iterator[Claim]:
        limits = ("1 in", "6 in") if self.units == "in" else ("25 mm", "150 mm")
        yield from (claim(each.format(*limits)) for each in CAUTIONS)
        yield claim(f"Above {self.kilograms(self.rig['two_person_mass'])} (set in the rig profile)")
        kind = "55 lb" if self.units == "in" else "25 kg"
        yield claim(f"(HSE INDG143: {kind} close in at knuckle height, less with arms out)")


_BOTH = (
    "5. Edge (cut 3): made by cut 3.",
    "Fetch it (from cut 3):",
    "6. Torch: fit and set",
    "7. Measure across the cut,",
)
HOW = {
    "full": ("How to work by this sheet", "1. Before the first cut of a plate:", "2. Stand at home,",
     "3. Set what says SET.",
             "4. Fence A, start D:", *_BOTH),
    "short": ("How to work by this sheet", "1. Before the first cut of a plate:", "2. Stand at home.",
     "3. Work each row from top to bottom,",
              "4. The edge named after fence", *_BOTH),
}  # fmt: skip

FIRST = ("unequal", "size_class", "coarse_marks", "two_pass_heavy", "stroke_assumed")
"""Warnings that stand first, by their code."""

MOVERS = (
    ("seconds.fence", "fence {} s", "fence"), ("seconds.fence_per_mm", "and {} s/mm", "fence"),
    ("seconds.end_stop", "end stop {} s", "end_stop"), ("seconds.end_stop_per_mm", "and {} s/mm", "end_stop"),
    ("seconds.mitre", "mitre bar {} s", "mitre"), ("seconds.quarter_turn", "quarter turn {} s", "quarter_turn"),
    ("seconds.turn_over", "turning over {} s", "turn_over"), ("seconds.fetch", "fetching {} s", "fetch"),
    ("seconds.push", "pushing up {} s", "push"), ("seconds.clear", "clearing {} s", "clear"),
    ("seconds.scrape_each", "scraping an edge {} s", "dress"), ("seconds.scrape_per_m", "and {} s/m", "dress"),
    ("seconds.dress_per_m", "scraping {} s/m", "dress"), ("seconds.process", "change of process {} s", "process"),
    ("seconds.per_kg", "lifting {} s/kg", "fetch push clear quarter_turn turn_over"),
    ("seconds.finish_per_m", "finishing {} s/m", "finish"),
    ("seconds.two_person", "two people × {}", "two_person"), ("pre_flow", "pre-flow {} s", "pre_flow"),
    ("post_flow", "post-flow {} s", "post_flow"),
)  # fmt: skip
"""Key of the rig, words, and which minutes it moves."""
LENGTHS = (("lead_in", "lead-in"), ("overrun", "overrun"), ("end_stop_step", "end stop to"))

CAUTIONS = (
    "Cautions",
    "Plasma below 300 A: shade 8 at least; 300 to 400 A: 9; 400 to 800 A: 10. Oxygen cutting: shade 3 below {0}, "
    "4 to {1}, 5 above (29 CFR 1910.133(a)(5)).",
    "Move what burns at least 11 m (35 ft) away, or shield it; close gaps in floor and walls. Watch for fire at least "
    "60 minutes after the last cut (NFPA 51B-2019; 29 CFR 1910.252 asks 30).",
    "Never cut a drum, tank or any closed hollow that has not been cleaned and made safe (29 CFR 1910.252(a)(3)).",
    "Open-circuit voltage is commonly 200 to 400 V.",
    "Wear hearing protection: from 80 dB(A) offered, from 85 dB(A) worn (Control of Noise at Work Regulations 2005).",
    "(Directive 2013/35/EU, Article 4(5); makers' manuals).",
    "(29 CFR 1910.243(c); HSE HSG17).",
)
