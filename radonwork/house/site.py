"""The site of one house: how much decay product is in the air where people will work."""

from radonwork.house.job import Assumed
from radonwork.house.record import House


def highest_test(house: House) -> tuple[Assumed, ...]:
    """The highest radon test of the record, which stands for the air where the work is done."""
    tested = [test for test in house.test if test.concentration]
    if not tested:
        return ()
    highest = max((test.concentration for test in tested if test.concentration), key=lambda found: found.value)
    because = f"the highest of {len(tested)} tests" if len(tested) > 1 else "the one test there is"
    return (Assumed("highest_radon", highest.text, because),)
