"""The bar follows what it is told, and sends no more than it must."""

from kit.show.large_floor.progress import Progress


def test_shares_are_shown_as_whole_steps():
    bar, seen = Progress("reading"), []
    bar.bar.observe(lambda change: seen.append(change["new"]), names="value")
    for share in (0.0, 0.001, 0.25, 0.251, 1.0, 1.2):
        bar.tell(share)
    assert seen == [25, 100]
    assert bar.share.value == "100 %"
