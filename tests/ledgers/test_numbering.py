"""Accounts by number: bundles carry their own, and leave no name behind."""

from __future__ import annotations

import pytest

from planner.ledgers.numbering import BUNDLES, MANY, Accounts, Names, bundle_number


def test_a_bundles_account_carries_its_own_number() -> None:
    """Both ways, without a name being kept."""
    names = Names({0: "opening"})

    assert [bundle_number(f"bundle:C{n}") for n in (0, 7, 12_345)] == [
        BUNDLES, BUNDLES + 7, BUNDLES + 12_345,
    ]  # fmt: skip
    assert names[BUNDLES + 12_345] == "bundle:C12345"
    assert dict(names) == {0: "opening"}
    with pytest.raises(KeyError):
        names[3]


@pytest.mark.parametrize(
    "account",
    ["left", "bundle:C07", "bundle:C", "bundle:B7", "bundle:C1x", "bundle:C-1",
     "bundle:C 7", "bundle:C1_0", "bundle:C1000000000", "parcels:C7"],
)  # fmt: skip
def test_any_other_account_is_numbered_in_its_turn(account: str) -> None:
    """Two spellings would else be one account, or a number too long to keep."""
    accounts = Accounts()

    assert bundle_number(account) is None
    assert accounts.number_of(account) is None
    assert [accounts.number(one) for one in ("opening", account, "opening")] == [
        0,
        1,
        0,
    ]
    assert (accounts.names[1], accounts.number_of(account)) == (account, 1)


def test_thousands_of_bundles_are_numbered_and_let_go_again() -> None:
    """The accounts told in turn keep their numbers meanwhile."""
    accounts = Accounts()
    told = {name: accounts.number(name) for name in ("opening", "left", "bows")}
    for n in range(2 * MANY + 5):
        assert accounts.number(f"bundle:C{n}") == BUNDLES + n

    assert {name: accounts.number_of(name) for name in told} == told
    assert accounts.number("bundle:C3") == BUNDLES + 3
    assert (accounts.next, len(accounts.names)) == (3, 3)
