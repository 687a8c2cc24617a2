"""Sentences about how true parts will be, and how far strips will bow."""

from __future__ import annotations

from stripplan.wording.figures import in_runs
from stripplan.wording.message import Facts
from stripplan.wording.sentence import Sentence
from stripplan.wording.sentences.planner.order import joined_words


def _unequal(facts: Facts) -> str:
    others = "{others:|, }, {last}" if facts["others"] else "{last}"
    more = " and {more} more" if facts["more"] else ""
    return f"{{about}}: {{dimension}} {{usual:.2f}}, but {others}{more}, which take what is left beside the fence."


def _out_of_class(facts: Facts) -> str:
    by = "of ISO 2768-1 class {general_class}" if facts["general_class"] else "asked"
    cure = (
        "A fence scale read to finer steps"
        if facts["alike"]
        else "A trim, where it takes what is left beside the fence, a finer scale"
    )
    return (
        f"{{about}}: {{off}} of {{made}} come out beyond ± {{limit:g}} {by} in {{dimension}}: {{piece}} at "
        f"{{size:.2f}} for {{asked:g}}. {cure}, a measured kerf, or an allowance to dress back cures it."
    )


def _improve(facts: Facts) -> str:
    return "{about}: its {dimension} is asked within ± {asked:g}, and ± {likely:.2f} is likely. To improve first: " + (
        "{advice}" if "advice" in facts else ""
    )


def _improve_shape(facts: Facts) -> str:
    where = "between two edges" if facts["of"] == "across" else "along an edge"
    return (
        f"{{about}}: its {{size:g}} {where} is asked within ± {{asked:g}}, and ± {{likely:.2f}} is likely, most of it "
        "from {cause}."
    )


def _bow(facts: Facts) -> str:
    source = "as strips of this rig did" if facts["calibrated"] else "a model, not measured on this rig"
    remedy = " {remedy}" if "remedy" in facts else ""
    return (
        f"{{about}} will bow by about {{bow:.1f}} ({{low:.1f-}} to {{high:.1f}}; {source}); {{limit:g}} are "
        f"allowed.{remedy}"
    )


def _bow_beyond_model(facts: Facts) -> str:
    bows = (
        "{about} is so narrow that it is hot right through: it will bow by more than can be said, and must be "
        "straightened."
    )
    return f"{bows} {{remedy}}" if "remedy" in facts else bows


def _bow_at_fence(facts: Facts) -> str:
    also = " and {more} more" if facts["more"] else ""
    cuts = f"cut{'s' if facts['count'] != 1 else ''} {_in_runs(facts['cuts'])}"
    return (
        f"{{about}}: the rest bows once it is narrow, and {{count}} of {{about}} ({{pieces:|, }}{also}) will be up to "
        f"{{narrower:.1f}} narrower in the middle. At {cuts} press its middle to the fence, or straighten it first."
    )


def _in_runs(numbers: object) -> str:
    """Numbers in order, neighbours drawn together.

    >>> _in_runs((3, 4, 5, 7)), _in_runs((3, 4))
    ('3 to 5 and 7', '3 and 4')
    """
    assert isinstance(numbers, tuple)
    rows = in_runs(numbers)
    return joined_words(
        [told for row in rows for told in ([f"{row[0]} to {row[-1]}"] if len(row) > 2 else map(str, row))]
    )


SENTENCES: dict[str, Sentence] = {
    "unequal": Sentence(_unequal),
    "size_of_piece": Sentence("{about} {size:.2f-}"),
    "size_of_last_piece": Sentence("{about} {size:.2f}"),
    "size_class": Sentence(_out_of_class),
    "coarse_marks": Sentence(
        lambda facts: (
            f"{{about}}: its {{dimension}} comes out {{off:.2f}} too {'small' if facts['small'] else 'large'}, as the "
            "fence is read to {step:g} and set to the nearest mark. Set it between the marks by a rule, or give it an "
            "allowance to dress back."
        )
    ),
    "bow_at_fence": Sentence(_bow_at_fence),
    "plus_minus": Sentence(_improve),
    "plus_minus_of_shape": Sentence(_improve_shape),
    "bow": Sentence(_bow),
    "bow_beyond_model": Sentence(_bow_beyond_model),
}
"""How true and how straight parts come out."""
