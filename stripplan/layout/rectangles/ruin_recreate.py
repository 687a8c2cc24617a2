"""Rectangles into plates: take a few plates apart, rebuild them, keep what is no worse; any depth of cuts.

Method: ruin and recreate (G. Schrimpf and others, J. Computational Physics 159 (2000) 139-171) with a goal, as in
goal-driven search for guillotine layouts (J. Gardeyn, T. Wauters, EJOR 301 (2022) 432-444): once all parts have
a place, plates are closed until the cost is below the best so far, and the area of the parts without a place is
driven to nothing. Late acceptance (E. K. Burke, Y. Bykov, EJOR 258 (2017) 70-78) decides what is kept. Not exact.

Why this neighbourhood: a guillotine layout has no small moves. To swap two parts of unlike sizes shifts every cut
beyond them, while a blank taken out whole leaves a rectangle that anything may fill. And why areas: between "all placed
on nine plates" and "not all on eight" the count of plates shows no progress, the area still without a place does.

What a plate is, `plate_nodes` tells; where a part goes, `placing`.

Cost of a step: each part thrown out is tried in every node of at most `NEAR` plates beside those taken apart, in
each way it may lie; the plates of the best answer are copied whenever it is bettered.

There are two of this search with the same answers: `Search` here, and a compiled twin in kernel/ruin_recreate.c. All
numbers are whole; scores are products and sums of doubles in the same order.
"""

from __future__ import annotations

from collections.abc import Sequence

from stripplan.kernel import Rng
from stripplan.layout.rectangles.placing import HANDS, Place, Placing
from stripplan.layout.rectangles.plate_nodes import SearchPlate, empty_plate
from stripplan.layout.rectangles.search_task import MANY, Found, Task, as_blank
from stripplan.layout.tree import FilledStock

HISTORY = 60
"""Length of the list of late acceptance [steps]: a longer one leaves poor layouts more easily and settles more slowly.
Measured as in `Search._take_apart`: 5678 plates with 1 and with 15, 5692 with 60, 5710 with 240. So in 3000 steps it
is rather too long than too short; long runs were not compared."""
KIND_DRAWS = 8
"""Draws of a node until one is a part whose copies are taken out: where blanks outnumber parts, some draws hit none.
Chosen, not tuned."""
NEAR = 40
"""Plates that a part is tried in, beside those taken apart: keeps a step short on jobs of many plates. Measured as in
`Search._take_apart`: 5688 plates with 10, 5692 with 40 and with all, so on jobs of up to 100 parts it costs nothing."""


class Search:
    """The search in Python; `Compiled` is its twin.

    Loaded, begun, run; the best so far may be asked for at any time. Parts of 100 x 25 on plates of 100 x 50, no kerf:

    >>> from stripplan.layout.rectangles.search_task import SearchItem, SearchStock
    >>> part = SearchItem(demand=3, over=0, area=2500, ways=(((100, 25, False),),))
    >>> search = Search(Task((SearchStock(kerf=0, size=(100, 50), cost=1),), (part,), depth=None, enough=2), seed=1)
    >>> search.begin()
    >>> search.found().cost, search.found().out
    (2, ())
    >>> search.run(100)  # two plates are enough, so no step is done
    0
    """

    def __init__(self, task: Task, seed: int) -> None:
        self.task = task
        self._below = Rng(seed).below
        self._placing = Placing(task, self._below)
        self.plates: list[SearchPlate] = []
        self.saved: dict[int, SearchPlate] = {}
        self.saved_open = 0
        self.touched: list[int] = []
        self.is_touched: set[int] = set()
        self.out: list[int] = []
        self.saved_out: list[int] = []
        self.used = [0] * len(task.stocks)
        self.cost = 0
        self.budget = MANY
        self.history = [0] * HISTORY
        self.current = self.at = 0
        self.best: list[SearchPlate] = []
        self.best_cost = self.best_out = self.best_total = MANY
        self.best_left: list[int] = []

    def load(self, plates: Sequence[FilledStock]) -> None:
        """Plates to begin with, before `begin`. Each must be cuttable as `as_blank` writes it (`Limits.located`)."""
        for each in plates:
            plate = empty_plate(each.stock, self.task.stocks[each.stock])
            plate.read(self.task, -1, as_blank(self.task, each))
            self.plates.append(plate)
            self.used[each.stock] += 1
            self.cost += self.task.stocks[each.stock].cost

    def begin(self) -> None:
        """Place what is not in the plates loaded, large first.

        No plate is passed over and no way blinked at: where the user asks for no steps, this is the answer.
        """
        have = [0] * len(self.task.items)
        for plate in self.plates:
            for node in plate.nodes:
                if node.item >= 0:
                    have[node.item] += 1
        self.out = [n for n, item in enumerate(self.task.items) for _ in range(have[n], item.demand)]
        self._start_step()
        self._sort_out(0, noise=False)
        # No rule is drawn, nor any noise: with one stock the first answer is the same for every seed.
        self._placing.rule = 1
        self._rebuild(near=False, blink=False)
        self._keep_best()
        # One unit of cost less from the start, or the first steps would only move parts about at the same cost.
        if not self.out:
            self.budget = self.best_cost - 1
        self._within_budget()

    def run(self, steps: int) -> int:
        """Steps done: fewer than asked once the answer costs no more than `enough`."""
        done = 0
        while done < steps and not (self.best_out == 0 and self.best_cost <= self.task.enough):
            self._step()
            done += 1
        return done

    def run_by_total(self, steps: int) -> int:
        """From the best plates to such as cost less in plate and hands together. Steps done: none where a part has no
        place.
        """
        if self.best_out or not self.best or self.task.objective is None:
            return 0
        if self.best_total == MANY:
            self._start_by_total()
        for _ in range(steps):
            self._step_by_total()
        return steps

    def accept_up_to(self, total: int) -> None:
        """Keep layouts of up to this total in a search by total from here on, until late acceptance has come down.

        Late acceptance that begins with nothing but the total of a good layout keeps nothing dearer ever after: it
        goes downhill alone, and from a layout that no step betters it goes nowhere.
        """
        self.history = [total] * HISTORY

    def lower_budget(self, budget: int) -> None:
        """Look only for answers that cost no more than this from now on.

        Plates are closed until that holds. The best so far stays the answer, also where it costs more: it is the one
        found here, and `search.RectangleSearch` compares it with the one that set the budget.
        """
        if budget < self.budget:
            self.budget = budget
            self._within_budget()

    def cost_found(self) -> int:
        """Cost of the best so far; `MANY` while a part has no place."""
        return self.best_cost if self.best_out == 0 else MANY

    def total_found(self) -> int:
        """What the best so far costs in plate and hands together [ticks]; `MANY` before a search by total."""
        return self.best_total

    def found(self) -> Found:
        """The best so far."""
        return Found(
            tuple(self._filled(self.best)), self.best_cost, tuple(self.best_left), self.best_out, self.best_total
        )

    def close(self) -> None:
        """Nothing to give back."""

    def _filled(self, plates: Sequence[SearchPlate]) -> list[FilledStock]:
        """Plates as trees."""
        stocks, ways = self.task.stocks, self._placing.ways
        return [FilledStock(each.stock, each.tree(0, ways, stocks[each.stock].kerf)) for each in plates]

    # taking apart

    def _touch(self, number: int) -> None:
        """Remember a plate as it is before its first change in this step, for `_undo`.

        Copying all plates instead would make a step as dear as the job is large. Plates opened within the step are not
        copied: going back means to close them.
        """
        if number not in self.is_touched:
            self.is_touched.add(number)
            self.touched.append(number)
            if number < self.saved_open:
                self.saved[number] = self.plates[number].copy()

    def _take_apart(self) -> None:
        """Ruin: one to three plates drawn at random lose all parts, up to eight of them, or one node.

        Three kinds because they free different shapes: a whole plate, single holes, and one rectangle of any size. One
        kind is drawn for all plates of a step. A plate drawn twice is taken apart further.
        Measured on 100 published jobs (parts that turn, 3000 steps, four seeds each; data of
        `tests.benchmarks.rectangles`, every fifth): 5692 plates with all three (5688 and 5690 with other seeds), 5672
        with whole plates alone, 5710 with nodes alone, 5737 with single parts alone; 5716 where a step takes one
        plate apart, 5683 where up to five. Those jobs have one size of plate and no limits; others were not measured.
        """
        plates, how = 1 + self._below(3), self._below(3)
        for _ in range(plates):
            number = self._below(len(self.plates))
            if self.plates[number].parts == 0:
                continue
            self._touch(number)
            plate, gone = self.plates[number], set[int]()
            if how == 0:
                plate.throw_out(0, gone, self.out)
            elif how == 1:
                # Draws that hit a blank, or a part that is out already, take nothing out.
                for _ in range(1 + self._below(min(plate.parts, 8))):
                    node = self._below(len(plate.nodes))
                    if plate.nodes[node].item >= 0:
                        plate.throw_out(node, gone, self.out)
            else:
                plate.throw_out(self._below(len(plate.nodes)), gone, self.out)
            self.plates[number] = plate.settle(gone, self.out, self.task.stocks[plate.stock])

    # rebuilding

    def _sort_out(self, how: int, *, noise: bool) -> None:
        """Order the parts without a place: 0 by area, 1 by longer side, 2 by x, 3 by y, 4 at random.

        `noise` multiplies each size by 0.7 to 1.3, so that parts of nearly one size change places between steps. The
        range matters little: measured as `_take_apart` tells, 5692 plates, 5685 without noise, 5693 with 0.4 to 1.6.
        """
        keyed = []
        for item in self.out:
            factor = 700.0 + self._below(600) if noise else 1000.0
            keyed.append((-(factor if how == 4 else self._size(how, item) * factor), item))
        self.out = [item for _, item in sorted(keyed)]

    def _size(self, how: int, item: int) -> float:
        """What parts are ordered by (`_sort_out`), of a part's first way."""
        x, y = (float(each) for each in self._placing.ways[item][0][:2])
        if how == 0:
            return x * y
        if how == 1:
            return x * x if x > y else y * y
        return x * x if how == 2 else y * y

    def _open_plate(self, item: int, out_area: int) -> bool:
        """Open the plate that uses most area for its cost; False where none can be had within the budget.

        The budget may stop a plate that the stock still has: a plan dearer than the best so far is of no use.

        Where there is a choice of stocks, a plate larger than what is still wanted (and a tenth more) counts no more
        than that, and each cost is shaken by a fifth either way: otherwise the same stock would win at every step.
        """
        stocks, starts = self.task.stocks, self._placing.first_way[item]
        chosen, least = -1, 0.0
        for n, stock in enumerate(stocks):
            if starts[n] == starts[n + 1]:
                continue
            if (stock.limit is not None and self.used[n] >= stock.limit) or stock.cost > self.budget - self.cost:
                continue
            area, wanted = float(stock.size[0]) * stock.size[1], float(out_area) * 1.1
            use = wanted if len(stocks) > 1 and wanted < area else area
            dear = float(stock.cost) * (80 + self._below(40) if len(stocks) > 1 else 100)
            # Use over cost compared as a product: a plate may cost nothing.
            if chosen < 0 or dear * least < use:
                chosen, least = n, (use / dear if dear > 0 else 1e300)
        if chosen < 0:
            return False
        # The number is touched so that later parts of this step try the new plate even where `near` leaves out others.
        self._touch(len(self.plates))
        self.plates.append(empty_plate(chosen, stocks[chosen]))
        self.used[chosen] += 1
        self.cost += stocks[chosen].cost
        return True

    def _drop_last(self) -> None:
        """Close the last plate, whose parts are out already, and give its cost back."""
        stock = self.plates.pop().stock
        self.used[stock] -= 1
        self.cost -= self.task.stocks[stock].cost

    def _in_plate(self, number: int, item: int, blink: bool, best: Place) -> None:
        """Try a part in every free rectangle of a plate that has at least the part's area free.

        Most plates of a good layout are nearly full, so this one comparison saves most of the work.
        """
        plate = self.plates[number]
        x, y = self.task.stocks[plate.stock].size
        if x * y - plate.filled >= self.task.items[item].area:
            for node in range(len(plate.nodes)):
                self._placing.consider(plate, number, node, item, blink, best)

    def _rebuild(self, *, near: bool, blink: bool) -> None:
        """Recreate: each part without a place, in order, goes to its best place, or to a plate opened for it.

        Best of all plates together, not the first plate that has room: a good fit in a plate far down the list is what
        lets a plate be closed. A part without any place waits; later parts, smaller ones too, are tried all the same.
        With `near` only the plates taken apart and `NEAR` others in a row from a random one are tried.
        """
        out_area = self._out_area()
        begin = self._below(max(len(self.plates), 1)) if near else 0
        kept = []
        for item in self.out:
            best, count = Place(), len(self.plates)
            if near and count > NEAR:
                # Plates of this step first: of equal scores the first stays, so holes just made are filled again first.
                ring = ((begin + j) % count for j in range(NEAR))
                numbers = [j for j in self.touched if j < count] + [j for j in ring if j not in self.is_touched]
            else:
                numbers = list(range(count))
            for number in numbers:
                self._in_plate(number, item, blink, best)
            if best.plate < 0 and self._open_plate(item, out_area):
                self._placing.consider(self.plates[-1], len(self.plates) - 1, 0, item, False, best)
                if best.plate < 0:  # this plate cannot take it after all
                    self._drop_last()
            if best.plate < 0:
                kept.append(item)
                continue
            self._touch(best.plate)
            self._placing.put(self.plates[best.plate], best, item)
            out_area -= self.task.items[item].area
        self.out = kept

    def _close_empty(self) -> None:
        """Close plates without parts, so that their cost is free for another stock."""
        # From the end, as the last plate takes the place of the one closed.
        for n in range(len(self.plates) - 1, -1, -1):
            if self.plates[n].parts == 0:
                self._touch(n)
                self._touch(len(self.plates) - 1)
                self._swap_with_last(n)
                self._drop_last()

    def _swap_with_last(self, n: int) -> None:
        """Bring a plate to the end, where it can be closed; no other plate changes its number but the last."""
        self.plates[n], self.plates[-1] = self.plates[-1], self.plates[n]

    def _out_area(self) -> int:
        """Area of the parts without a place: what the search drives to nothing."""
        return sum(self.task.items[item].area for item in self.out)

    def _keep_best(self) -> None:
        """Copy everything, as the plates go on changing; an answer is bettered far less often than tried."""
        self.best = [plate.copy() for plate in self.plates]
        self.best_cost, self.best_out, self.best_left = self.cost, self._out_area(), list(self.out)

    def _within_budget(self) -> None:
        """Close the plates that hold least for their cost until the rest is within the budget.

        Their parts go to the list without a place: that is the area which the next steps drive to nothing. Plates that
        cost nothing are closed last, as closing them saves nothing.
        """
        while self.plates and self.cost > self.budget:
            worst, least = -1, 0.0
            for n, plate in enumerate(self.plates):
                cost = float(self.task.stocks[plate.stock].cost)
                worth = plate.filled / cost if cost > 0 else 1e300
                if worst < 0 or worth < least:
                    worst, least = n, worth
            self.plates[worst].throw_out(0, set(), self.out)
            self._swap_with_last(worst)
            self._drop_last()
        self.current = self._out_area()
        # A new goal: areas under the old budget say nothing about it.
        self.accept_up_to(self.current)

    def _start_step(self) -> None:
        """Forget what was saved for the step before. Plates are saved only when first touched."""
        self.touched, self.is_touched, self.saved = [], set(), {}
        self.saved_open, self.saved_out = len(self.plates), list(self.out)

    def _undo(self) -> None:
        """Back to how the plates stood before the step: only what it touched is put back."""
        # Plates opened by the step go; for those closed by it, empty ones hold the place until what was saved is back.
        del self.plates[self.saved_open :]
        self.plates += [empty_plate(0, self.task.stocks[0]) for _ in range(len(self.plates), self.saved_open)]
        for number, plate in self.saved.items():
            self.plates[number] = plate
        self.out = list(self.saved_out)
        self.used, self.cost = [0] * len(self.task.stocks), 0
        for plate in self.plates:
            self.used[plate.stock] += 1
            self.cost += self.task.stocks[plate.stock].cost

    def _step(self) -> None:
        """One step: ruin, recreate, and late acceptance of the area without a place.

        A new best that places everything sets a new goal, one unit of cost lower, and the list of late acceptance
        begins anew with it: areas measured against another budget cannot be compared.
        """
        self._start_step()
        if self.plates:
            self._take_apart()
        self._close_empty()
        # One order in ten is wholly random, and the rule of placing is drawn anew too. Set by trial; the share matters
        # little (5692 plates, and 5681 with no random order, measured as `_take_apart` tells).
        self._sort_out(4 if self._below(10) == 0 else self._below(4), noise=True)
        self._placing.rule = self._below(4)
        self._rebuild(near=True, blink=True)
        area = self._out_area()
        if area < self.best_out or (area == 0 and self.cost < self.best_cost):
            self._keep_best()
        if area == 0 and self.best_out == 0:
            self.budget = self.best_cost - 1
            self._within_budget()
            return
        self._accept_or_undo(area)

    def _accept_or_undo(self, value: int) -> None:
        """Late acceptance (Burke and Bykov) of what a step came to: no worse than now, or than `HISTORY` steps ago."""
        if value <= self.current or value <= self.history[self.at]:
            self.current = value
        else:
            self._undo()
        self.history[self.at] = self.current
        self.at = (self.at + 1) % HISTORY

    # steps by total: every part has its place, before and after

    def _start_by_total(self) -> None:
        """Back to the best plates, with no limit on their cost: a dearer plate may spare hands."""
        self.plates, self.out = [plate.copy() for plate in self.best], []
        self._start_step()
        self._undo()  # counts what is used
        self.budget = MANY
        self.best_total = self.current = self._total()
        self.accept_up_to(self.current)

    def _total(self) -> int:
        """Plate and hands together, in ticks; remembers the readings as they stand."""
        assert self.task.objective is not None
        filled = self._filled(self.plates)
        self._placing.readings = self.task.objective.readings(filled)
        return self.task.objective.total(filled)

    def _take_kinds_apart(self) -> None:
        """Ruin: the copies of one part leave one or two plates, so that rows are made anew beside other neighbours."""
        item = -1
        for _ in range(1 + self._below(2)):
            number = self._below(len(self.plates))
            plate, gone = self.plates[number], set[int]()
            if plate.parts == 0:
                continue
            self._touch(number)
            draws = 0
            while item < 0 and draws < KIND_DRAWS:
                item, draws = plate.nodes[self._below(len(plate.nodes))].item, draws + 1
            if item < 0:
                return
            for n, node in enumerate(plate.nodes):
                if node.item == item:
                    plate.throw_out(n, gone, self.out)
            self.plates[number] = plate.settle(gone, self.out, self.task.stocks[plate.stock])

    def _sort_kinds_out(self, how: int) -> None:
        """Order the parts without a place as `_sort_out` does, but copies of one part next to each other, for a row."""
        factors = [700.0 + self._below(600) for _ in self.task.items]
        keyed = []
        for item in self.out:
            keyed.append((-(factors[item] if how == 4 else self._size(how, item) * factors[item]), item))
        self.out = [item for _, item in sorted(keyed)]

    def _step_by_total(self) -> None:
        """One step: ruin, recreate, late acceptance of the total; a step that leaves a part without a place is
        undone.
        """
        self._start_step()
        if self._below(4) == 0:
            self._take_kinds_apart()
        else:
            self._take_apart()
        self._close_empty()
        self._sort_kinds_out(self._below(5))
        self._placing.rule = HANDS if self._below(2) else self._below(4)
        self._rebuild(near=True, blink=True)
        total = MANY if self.out else self._total()
        if total < self.best_total:
            self._keep_best()
            self.best_total = total
        self._accept_or_undo(total)
