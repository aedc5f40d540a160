"""What several tests of values share."""

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
