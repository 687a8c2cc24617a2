"""The guillotine tree by hand: a plate of 100 x 60 with kerfs of 2."""

from __future__ import annotations

from stripplan.layout.tree import FilledStock, Tree, cut_from, gathered, of_pieces

KERF = 2
A, B = Tree(40, 60, item=0), Tree(30, 60, item=1, turned=True)


def test_what_children_do_not_take_is_left_behind_a_kerf() -> None:
    """100 - 40 - 2 - 30 - 2 = 26; and nothing where they end at the edge: 40 + 2 + 58 = 100."""
    tree = cut_from(100, 60, "across", [A, B], KERF)
    assert (tree.left, tree.rest) == (26, Tree(26, 60))
    assert cut_from(100, 60, "across", [A, Tree(58, 60, item=1)], KERF).left is None
    assert cut_from(100, 60, "across", [Tree(99, 60, item=0)], KERF).left == -1  # the kerf runs off the edge


def test_a_child_that_fills_the_rectangle_is_the_rectangle() -> None:
    """No cut is needed; without children all is metal."""
    assert cut_from(40, 60, "across", [A], KERF) == A
    assert cut_from(40, 60, "across", [], KERF).is_metal


def test_cuts_of_one_direction_are_one_node() -> None:
    """Cut in two and the rest cut the same way again: three pieces side by side; cut the other way it stays a child."""
    rest = of_pieces(58, 60, "across", [B, Tree(26, 60)])
    assert of_pieces(100, 60, "across", [A, rest]) == cut_from(100, 60, "across", [A, B], KERF)
    other = of_pieces(58, 60, "along", [Tree(58, 20, item=1), Tree(58, 38)])
    assert of_pieces(100, 60, "across", [A, other]).children == (A, other)


def test_cuts_come_one_after_the_other() -> None:
    """40 comes off 100 and leaves 58, 30 comes off these and leaves 26; a last child at the edge needs no cut."""
    tree = cut_from(100, 60, "across", [A, B], KERF)
    assert list(tree.cuts(KERF)) == [(40, 58), (30, 26)]
    assert list(cut_from(72, 60, "across", [A, B], KERF).cuts(KERF)) == [(40, 30)]
    first, rest = tree.parted(KERF)
    assert (first, rest) == (A, cut_from(58, 60, "across", [B], KERF))
    assert {(each.length, each.width) for each in tree.rectangles(KERF)} == {
        (100, 60),
        (40, 60),
        (58, 60),
        (30, 60),
        (26, 60),
    }


def test_metal_is_gathered_at_the_end() -> None:
    """Metal between items, and an item left out, join what is left: 100 - 30 - 2 = 68."""
    tree = of_pieces(100, 60, "across", [A, Tree(24, 60), B])
    assert gathered(tree, KERF) == cut_from(100, 60, "across", [A, B], KERF)
    alone = gathered(tree, KERF, without=0)
    assert alone is not None
    assert (alone.children, alone.left) == ((B,), 68)
    assert gathered(Tree(100, 60), KERF) is None
    assert FilledStock(0, tree).items == (0, 1)
    assert list(tree.free()) == [Tree(24, 60)]
