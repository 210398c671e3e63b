"""How slabs fall on pages."""

import pytest

from kit.paper.pdf_slabs import Slab, laid


def nothing(_press, _top):
    """Draw nothing: only places are looked at."""


def slab_of(tall_mm, **more):
    return Slab(tall_mm, nothing, **more)


def places(slabs, room_mm):
    """Return page, place and number of each slab."""
    numbers = {id(slab): number for number, slab in enumerate(slabs)}
    return [
        (page, top, numbers[id(slab)])
        for page, on_it in enumerate(laid(slabs, room_mm))
        for top, slab in on_it
    ]


def test_slabs_stand_below_each_other_and_their_gaps_do_not_begin_a_page():
    slabs = [slab_of(3.0, before_mm=5.0), slab_of(4.0, before_mm=1.5), slab_of(4.0, before_mm=2.0)]
    assert places(slabs, 10.0) == [(0, 0.0, 0), (0, 4.5, 1), (1, 0.0, 2)]


def test_a_slab_that_just_fits_stays():
    assert places([slab_of(0.1), slab_of(0.2)], 0.3) == [(0, 0.0, 0), (0, 0.1, 1)]


@pytest.mark.parametrize("filled", range(1, 12))
def test_kept_slabs_never_stand_last(filled):
    slabs = [
        *(slab_of(1.0) for _ in range(filled)),
        slab_of(2.0, keep=True),
        slab_of(3.0, keep=True),
    ]
    slabs.append(slab_of(1.5))
    on_pages = laid(slabs, 12.0)
    assert all(not page[-1][1].keep for page in on_pages)
    assert sum(len(page) for page in on_pages) == filled + 3


def test_a_chain_longer_than_a_page_goes_on():
    slabs = [slab_of(4.0, keep=True) for _ in range(5)] + [slab_of(4.0)]
    assert places(slabs, 9.0) == [
        (0, 0.0, 0), (0, 4.0, 1), (1, 0.0, 2), (1, 4.0, 3), (2, 0.0, 4), (2, 4.0, 5),
    ]  # fmt: skip


def test_heads_are_repeated_where_their_table_goes_on():
    head = slab_of(2.0, keep=True)
    rows = [slab_of(3.0, again=(head,)) for _ in range(4)]
    other = slab_of(3.0)
    assert [[slab is head for _, slab in page] for page in laid([head, *rows, other], 8.0)] == [
        [True, False, False],
        [True, False, False],
        [False],
    ]


def test_a_fresh_slab_begins_a_page_even_in_a_chain():
    slabs = [slab_of(1.0, keep=True), slab_of(1.0, fresh=True), slab_of(1.0)]
    assert places(slabs, 9.0) == [(0, 0.0, 0), (1, 0.0, 1), (1, 1.0, 2)]
    assert places([slab_of(1.0, fresh=True)], 9.0) == [(0, 0.0, 0)]


def test_nothing_is_one_empty_page():
    assert laid([], 9.0) == [[]]
