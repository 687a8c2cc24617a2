"""Sentences about drawings: files, layers, and why an outline is no part."""

from __future__ import annotations

from stripplan.wording.message import Facts, Message
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.files.hints import nearest
from stripplan.wording.sentences.planner.parts import counted_words, why_left_out

LAYER_FORM = 'write 6, "1/4 in" or, with the material, "6 mm, S235"'
_DXF_AGAIN = "save it again as DXF (text), version R2000 or later"
_SVG_AGAIN = "save it again as plain SVG"
_ALONE = "at most {most:,}; keep the outlines of the parts alone"
_WITHIN = "at most {most} within one another"
_STRAIGHT = "parts are closed outlines with straight sides, no corner pointing inward"
_ASK = "--list-units, or units beside the file in cut_list"


def _more(facts: Facts) -> str:
    return "" if facts["all_said"] else " ..."


def _near_layer(facts: Facts) -> str:
    if "near" in facts:
        return "did you mean {near}?"
    if "layers" not in facts:
        return ""
    return "its layers are {layers:|, }" + _more(facts) if facts["layers"] else "the drawing has no layers"


def _left_out(facts: Facts) -> str:
    reason = facts["reason"]
    plain = facts["why"] == "holes" or (isinstance(reason, Message) and reason.key == "why.curved")
    return f"{{name}}, {{quantity}} off: {why_left_out(facts)} ({{what}}{'' if plain else ': {reason}'})"


def _ways(facts: Facts) -> str:
    ways = "mend the drawing; or go on without them: --leave-out, or leave_out beside the file in cut_list"
    later = "to plan what has holes as a plain rectangle, and drill later: --drill-later, or drill_later in cut_list"
    return f"{ways}; {later}" if facts["holes"] else ways


_FILES: dict[str, Sentence] = {
    "dxf.unreadable": Sentence("the drawing cannot be read", _DXF_AGAIN),
    "dxf.damaged": Sentence("the drawing is damaged", _DXF_AGAIN),
    "dxf.other": Sentence("this is no DXF drawing", _DXF_AGAIN),
    "dxf.cut_off": Sentence("the drawing is cut off: its end mark is missing", "copy the file again"),
    "binary.dxf": Sentence("this is a binary DXF", "save it as DXF text (ASCII)"),
    "binary.dwg": Sentence("this is a DWG drawing, no DXF", "save it as DXF text (ASCII)"),
    "too_large.pairs": Sentence("the drawing has {count:,} pairs of lines", _ALONE),
    "too_large.entities": Sentence("the drawing has {count:,} entities", _ALONE),
    "too_large.blocks": Sentence("taken apart, the blocks make {count} objects and points", _ALONE),
    "blocks.circle": Sentence("block {block} holds itself", _DXF_AGAIN),
    "blocks.deep": Sentence("the blocks are nested too deep", _WITHIN),
    "svg.other": Sentence("this is no SVG drawing", "save it as plain SVG"),
    "svg.damaged": Sentence("this is no SVG drawing, or it is damaged", _SVG_AGAIN),
    "svg.view_box": Sentence("its viewBox cannot be read", "four numbers, the last two above 0"),
    "binary.svgz": Sentence("this is a compressed drawing (.svgz)", "save it as plain SVG"),
    "entities.svg": Sentence(
        "the file declares a document type with entities, which can hide any amount of text", _SVG_AGAIN
    ),
    "too_large.elements": Sentence("the drawing has too many elements", _ALONE),
    "too_large.copies": Sentence("with its copies the drawing has {count} elements and numbers", _ALONE),
    "too_deep.elements": Sentence("elements are nested too deep", _WITHIN),
    "copies.circle": Sentence("the copy in line {line} holds itself", _SVG_AGAIN),
    "copies.deep": Sentence("copies are nested too deep", _WITHIN),
}

_HOW_READ: dict[str, Sentence] = {
    "value.drawing_units": Sentence("{said} is no unit of a drawing", nearest),
    "value.tolerance": Sentence("{given:g} is not from {least:g-} to {most:g}", "left out it is {left_out:g}"),
    "no_units.dxf": Sentence(
        lambda facts: (
            "the drawing does not name its units"
            if facts["unit_code"] == "0"
            else "its units (code {unit_code}) are not read here"
        ),
        f"say which, mm, cm, m, in or ft: {_ASK}",
    ),
    "units.others": Sentence(
        lambda facts: (
            "the drawing names "
            + ("{named}" if "named" in facts else "units of code {unit_code}")
            + " and was read in {units}, as asked"
        )
    ),
    "units.asked": Sentence("one unit of the drawing was read as 1 {units}, as asked"),
    "units.pixels": Sentence(
        "the drawing has no physical size: 96 of its units were read as an inch",
        f"say which unit it is drawn in: {_ASK}",
    ),
    "units.one_scale": Sentence(
        "width and height do not suit the viewBox: both directions were read at one scale", "check a size"
    ),
    "own.drawing": Sentence("the drawing has the layers of a cutting plan: only PART was read"),
    "rounded.sizes": Sentence("sizes were rounded to {step:g}, by at most {most:g}"),
    "off_square.corners": Sentence(
        "corners are off those of true rectangles by at most {most:g}", "the tolerance is {tolerance:g}"
    ),
    "texts.others": Sentence(
        lambda facts: "of its texts {name} is the name, and its note: {others:|, }" + _more(facts)
    ),
    "same_name.outlines": Sentence("outlines of several sizes or layers are all called {name}; their sizes were added"),
    "too_many.outlines": Sentence("the drawing holds {count:,} outlines", "at most {most:,}"),
    "too_many.overlaps": Sentence(
        "too many outlines and texts lie over one another", "read the layers of the parts alone"
    ),
    "too_many.drawn": Sentence("{count} of {name} are drawn", "at most {most:,}"),
    "no_part.drawing": Sentence("the drawing holds no part", "draw each part as a closed rectangle of straight lines"),
    "no_part.nothing": Sentence("no part was found", _STRAIGHT),
    "no_part.left_out": Sentence("no part was found; {what}: {why}", _STRAIGHT),
    "skipped.outline": Sentence("{what} is not taken: {why}"),
    "left_out.ways": Sentence(
        lambda facts: (
            "one thing that is drawn is no part, and the plan stops"
            if facts["count"] == 1
            else "{count} things that are drawn are no parts, and the plan stops"
        ),
        _ways,
    ),
    "left_out.outline": Sentence(_left_out),
    "left_out.text": Sentence("the text {name}: {reason}"),
}

_LAYERS: dict[str, Sentence] = {
    "layer.word": Sentence("{why}", "write PL6=6 or PL6=6,S235"),
    "layer.name": Sentence(
        lambda facts: (
            "layer {layer} was read as thickness {thickness:g}"
            + (", material {material}" if "material" in facts else "")
        )
    ),
    "same_layer.drawing": Sentence("layer {layer} is named twice, whatever its capitals", "name it once"),
    "no_layer.drawing": Sentence("there is no layer {layer}", _near_layer),
    "value.layer_thickness": Sentence("thickness {thickness:g} is not above 0", "write it in mm"),
    "value.no_thickness": Sentence("it says no thickness", LAYER_FORM),
    "value.no_material": Sentence("no material follows the comma", LAYER_FORM),
    "value.layer": Sentence("{said}", LAYER_FORM),
    "value.layer_type": Sentence("this is no thickness", LAYER_FORM),
    "value.no_layers": Sentence("this names no layers", 'write ["PL6"], or {{ PL6 = "6 mm, S235" }}'),
    "value.layer_two_ways": Sentence(
        "{said} can be read in two ways",
        lambda facts: "write {decimal}, or {parted}" if "decimal" in facts else "write {parted}",
    ),
}

_NO_PARTS: dict[str, Sentence] = {
    # the outline
    "why.nothing": Sentence("it encloses nothing"),
    "why.corners": Sentence("its edges cross each other"),
    "why.corner_inward": Sentence(
        "it has {count} corners, and the one at {x:g}, {y:g} points inward: straight cuts from edge to edge cannot "
        "free it"
    ),
    "why.not_square": Sentence("its corners are not square: no rectangle within {tolerance:g}"),
    "why.too_long": Sentence("it is longer than a kilometre"),
    "why.too_narrow": Sentence("it is narrower than {least:g}"),
    "why.curved": Sentence("it is curved"),
    "why.curved_in_steps": Sentence("it is curved in short steps, {off:g} off straight edges between {count} corners"),
    "why.curved_open": Sentence("it is curved and does not close"),
    "why.open": Sentence("it does not close"),
    "why.loose_end": Sentence("it does not close: a line ends here"),
    "why.line_within": Sentence("it is a line within an outline"),
    "why.fork": Sentence("more than two lines meet here"),
    "why.no_length": Sentence("it has no length"),
    "why.twice": Sentence("it is drawn twice"),
    "why.twice_over": Sentence("it is drawn twice, over: {other}"),
    "why.hole": Sentence(lambda facts: f"it has {counted_words(facts['count'], 'hole')}"),
    "why.frame": Sentence(
        "outlines that may be parts lie in it: a frame around them (read the layers of the parts alone), or a part "
        "with openings (put them on a layer of their own)"
    ),
    "why.count_nowhere": Sentence("it counts, and stands at no part"),
    "why.count_between": Sentence("it counts, and stands between several parts"),
    "why.crosses": Sentence("it crosses another outline: {other}"),
    "why.within": Sentence("it lies in another outline: {other}"),
    "why.not_flat": Sentence("it does not lie flat"),
    "why.too_far": Sentence("its coordinates are no numbers, or too far away"),
    "why.two_quantities": Sentence("it has two quantities, {one} and {other}"),
    "why.two_thicknesses": Sentence("it has two thicknesses, {one:g-} and {other:g}"),
    "why.two_materials": Sentence("it has two materials, {one} and {other}"),
    "why.quantity": Sentence("its quantity {count} is not from 1 to {most}"),
    "why.attribute": Sentence("its attribute {attribute}, {text}, is no whole number"),
    # what is no outline, or is not shown
    "why.no_outline": Sentence("it is no outline"),
    "why.hidden": Sentence("it is hidden"),
    "why.frozen": Sentence("its layer is frozen"),
    "why.off": Sentence("its layer is off"),
    "why.layer_not_asked": Sentence("its layer was not asked for"),
    "why.no_part_around": Sentence("it stands in no part"),
    "why.no_block": Sentence("it is an external drawing, or missing"),
    "why.paper_space": Sentence("only model space is read"),
    "why.damaged": Sentence("it is damaged"),
    "why.mesh": Sentence("meshes are not read"),
    "why.no_points": Sentence("it has no points"),
    "why.long_text": Sentence("the text is too long for a name"),
    "why.not_read": Sentence("it was not read: draw a closed polyline"),
    # what cannot be read in SVG
    "why.style": Sentence("style sheets are not read: what they hide is read as if it showed"),
    "why.transform": Sentence("its transform cannot be read"),
    "why.inner_drawing": Sentence("a drawing within the drawing is not read"),
    "why.no_copied": Sentence("what it copies is not in the file"),
    "why.place": Sentence("its place cannot be read"),
    "why.symbol": Sentence("a symbol with a scale of its own is not read"),
    "why.length": Sentence("its {key} {text} cannot be read"),
    "why.odd_coordinates": Sentence("it has an odd count of coordinates"),
    "why.coordinates": Sentence("{text} in its coordinates cannot be read"),
    "why.path_begin": Sentence("its path does not begin with m"),
    "why.path": Sentence("{text} in its path cannot be read"),
    "why.path_letter": Sentence("{letter} in its path is not known"),
    "why.path_number": Sentence("a number in its path belongs to nothing"),
    "why.path_few": Sentence("{letter} in its path has too few numbers"),
}

SENTENCES: dict[str, Sentence] = _FILES | _HOW_READ | _LAYERS | _NO_PARTS
