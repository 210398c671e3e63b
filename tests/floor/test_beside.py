import threading

from kit.floor.beside import beside


def test_what_comes_out_is_in_the_order_of_what_went_in():
    gate = threading.Event()

    def work(number):
        if number == 0:
            # The first waits for the second where there are two processors to wait with.
            gate.wait(0.2)
        gate.set()
        return number**2

    assert list(beside(work, iter(range(50)))) == [number**2 for number in range(50)]


def test_no_more_is_taken_than_is_soon_worked_on():
    taken = []

    def pieces():
        for number in range(10_000):
            taken.append(number)
            yield number

    found = beside(lambda number: number, pieces())
    assert next(found) == 0
    # Eight processors at most, four pieces each, and the one that follows.
    assert len(taken) <= 34
    found.close()
