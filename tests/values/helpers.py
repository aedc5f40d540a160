"""What several tests of values share."""

import time

from planner.errors import Refusal


def outcome(parse, text):
    """Give what was read, or the refusal; anything else is a fault and is raised."""
    try:
        return parse(text)
    except Refusal as refusal:
        return refusal


def helps_or(found, fine):
    """Say whether a refusal says what to type, or a value is `fine`."""
    if isinstance(found, Refusal):
        return bool(found.instead)
    return fine(found)


def least_seconds(act, times=5):
    """Give the least processor time of a few tries, so that a busy machine is fair."""
    tries = []
    for _ in range(times):
        before = time.process_time()
        act()
        tries.append(time.process_time() - before)
    return min(tries)
