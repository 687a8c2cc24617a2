"""Generators of random jobs and rigs for property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from stripplan.model.bevel import Bevel
from stripplan.model.effort import Effort
from stripplan.model.job import Job, Options
from stripplan.model.part import AS_MANY_AS_FIT, Part, Rectangle, Shape, Strip
from stripplan.model.plate import Plate
from stripplan.model.rig import Process, Rig


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
    """Rigs of many makes: short and long strokes, coarse and fine scales, with and without marking and two passes."""
    kerf = draw(st.sampled_from([0.8, 1.5, 1.6, 2.25, 3.0]))
    return Rig(
        name="drawn",
        stroke=draw(st.sampled_from([700.0, 1303.0, 2100.0])),
        lead_in=draw(st.sampled_from([0.0, 10.0, 30.0])),
        overrun=draw(st.sampled_from([0.0, 8.0])),
        fence_min=draw(st.sampled_from([0.0, 12.0, 25.0])),
        fence_max=draw(st.sampled_from([400.0, 1300.0])),
        fence_zero=draw(st.sampled_from([-1.25, 0.0, 3.1])),
        fence_scale=draw(st.sampled_from([1.0, 0.998])),
        fence_step=draw(st.sampled_from([0.1, 0.5, 1.0])),
        end_stop_min=draw(st.sampled_from([0.0, 50.0])),
        end_stop_step=draw(st.sampled_from([1.0, 5.0, 20.0])),
        square_side=draw(st.sampled_from(["fence", "far", "equal"])),
        far_max=draw(st.sampled_from([None, None, None, 300.0])),
        bed_length=draw(st.sampled_from([None, None, None, 700.0])),
        two_person_mass=draw(st.sampled_from([5.0, 25.0])),
        dial=draw(st.sampled_from([(), ((1.0, 100.0), (9.0, 760.0))])),
        narrowest_offcut=draw(st.sampled_from([0.0, 3.0, 5.0, 12.0])),
        two_pass=draw(st.booleans()),
        hoist=draw(st.booleans()),
        narrowest_part=draw(st.sampled_from([None, 0.0])),
        slot_width=draw(st.sampled_from([None, 60.0])),
        post_flow_returning=draw(st.booleans()),
        marked=draw(st.sampled_from([True, True, False])),
        tilt_max=draw(st.sampled_from([50.0, 50.0, 35.0, 0.0])),
        tilt_pivot=draw(st.sampled_from([0.0, 40.0])),
        tilt_shift=draw(st.sampled_from([(), ((30.0, 25.5),), ((20.0, -3.0), (45.0, 61.25))])),
        tilt_u=draw(st.sampled_from([None, 0.4])),
        processes=(
            Process(
                name="air",
                material="mild steel",
                thickness=6,
                kerf=kerf,
                travel_speed=600,
                current=40,
                duty=((40, 50),),
            ),
        ),
    )


_lengths = st.one_of(st.integers(15, 400).map(float), st.integers(60, 1600).map(lambda n: n / 4))


@st.composite
def bevels(draw: st.DrawFn, edges: int = 4) -> tuple[Bevel, ...]:
    """No bevel, or one or two edges bevelled that fit plate of 6 mm, from either face or from both."""
    chosen = draw(st.sampled_from([(0,), (), (1, 2), (0, 2)]))
    angle, face = draw(st.sampled_from([20.0, 30.0, 45.0])), draw(st.sampled_from(["first", "first", "other", "both"]))
    depth = draw(st.sampled_from([None, None, 2.5]))
    return tuple(
        Bevel(edge=n % edges, angle=angle, root_face=draw(st.sampled_from([0.0, 1.5])), depth=depth, face=face)
        for n in chosen
    )


@st.composite
def parts(draw: st.DrawFn, number: int) -> Part:
    """A strip or a rectangle, now and then with allowance, tolerance, rolling direction or square edges,
    or a filler.
    """
    shared = {
        "name": f"part {number}",
        "width": draw(_lengths),
        "quantity": draw(st.integers(1, 6)),
        "allowance": draw(st.sampled_from([0.0, 0.0, 0.5])),
        "tolerance": draw(st.sampled_from([None, None, 6.0])),
        "rolling": draw(st.sampled_from(["free", "free", "length", "width"])),
        "plate": draw(st.sampled_from([None, None, None, "plate 1"])),
    }
    if not shared["allowance"]:
        shared["bevels"] = draw(bevels())
    if number > 1 and draw(st.integers(0, 3)) == 0:
        shared |= {"filler": True, "quantity": draw(st.sampled_from([AS_MANY_AS_FIT, 1, 5]))}
    else:
        shared["square"] = draw(st.sampled_from(["none", "none", "none", "long", "all"]))
    if draw(st.integers(0, 2)) == 0:
        return Strip(**shared)
    return Rectangle(**shared, length=draw(_lengths), rotate=draw(st.booleans()))


@st.composite
def shapes(draw: st.DrawFn, number: int) -> Shape:
    """A triangle, a mitred piece or a rectangle with a clipped corner, now and then with an allowance."""
    long, wide = float(draw(st.integers(60, 300))), float(draw(st.integers(40, 150)))
    lean, cut = float(draw(st.integers(0, 30))), float(draw(st.integers(10, 30)))
    outline = draw(
        st.sampled_from(
            [
                ((0.0, 0.0), (long, 0.0), (0.0, wide)),
                ((0.0, 0.0), (long, 0.0), (long - lean, wide), (lean, wide)),
                ((0.0, 0.0), (long, 0.0), (long + lean, wide), (lean, wide)),
                ((0.0, 0.0), (long, 0.0), (long, wide), (cut, wide), (0.0, wide - cut)),
            ]
        )
    )
    allowance = draw(st.sampled_from([0.0, 0.0, 0.5]))
    return Shape(
        name=f"shape {number}",
        outline=outline,
        quantity=draw(st.integers(1, 4)),
        allowance=allowance,
        bevels=() if allowance else draw(bevels(3)),
        rotate=draw(st.booleans()),
        rolling=draw(st.sampled_from(["free", "free", "length", "width"])),
    )


@st.composite
def plates(draw: st.DrawFn, number: int, length: float, *, priced: bool) -> Plate:
    """A plate of a given length, full or offcut, with a price or without; now and then one to be used first."""
    quantity, offcut = draw(st.sampled_from([None, 1, 2, 3])), draw(st.booleans())
    return Plate(
        name=f"plate {number}",
        length=length,
        width=draw(st.sampled_from([250.0, 600.0, 1000.0])),
        thickness=6,
        material="mild steel",
        quantity=quantity,
        offcut=offcut,
        first=(quantity is not None or offcut) and draw(st.sampled_from([False, False, True])),
        measured=draw(st.booleans()),
        edges=draw(st.sampled_from([("mill",) * 4, ("cut", "mill", "dressed", "mill"), ("dressed",) * 4])),
        rolling=draw(st.sampled_from(["none", "length", "width"])),
        cost=draw(st.sampled_from([0.0, 20.0, 128.0])) if priced else None,
    )


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """A small job on one to three stocks of one length, so that strips are never unclear."""
    length, priced = draw(st.sampled_from([500.0, 800.0, 1250.0])), draw(st.booleans())
    return Job(
        name="drawn",
        plates=tuple(draw(plates(n, length, priced=priced)) for n in range(1, draw(st.integers(1, 3)) + 1)),
        parts=(
            *(draw(parts(n)) for n in range(1, draw(st.integers(1, 5)) + 1)),
            *(draw(shapes(n)) for n in range(draw(st.sampled_from([0, 0, 0, 1, 2])))),
        ),
        options=Options(
            trim=draw(st.sampled_from([0.0, 0.0, 12.0])),
            effort=Effort(seed=draw(st.integers(0, 9)), steps=4),
            partial=True,
            depth=draw(st.sampled_from([None, None, 2, 3])),
            fill=draw(st.sampled_from(["scrap", "offcuts", "all"])),
            aim=draw(st.sampled_from(["one_setting", "one_setting", "plate", "time"])),
            price_per_minute=draw(st.sampled_from([None, None, 0.0, 0.75])),
            offcut_share=draw(st.sampled_from([0.5, 0.5, 0.0, 1.0])),
            kg_per_hour=draw(st.sampled_from([30.0, 30.0, 3.0])),
        ),
    )
