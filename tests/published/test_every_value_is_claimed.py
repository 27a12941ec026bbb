"""Every published value is claimed by a test or listed as not yet claimed; the files are as they were received."""

import hashlib

import pytest

from tests.support.claims import DATA, claimed_ids, claims, claims_in, known_ids, listed_ids

RECEIVED = {
    "check_values.json": "9930a34a356cf9b5a5791a3e9a58388a68ef108ffd8c26dcf1b25e09c81ededf",
    "families.json": "5f2f53bcad1d0babb59b2dd929a7e3e4f0719b84dbe8e8a259562c5b1bbb715e",
}

# What the list held at first. Ids leave it and none may come back: shrink this set with the list.
AT_MOST = frozenset(
    [
        "bayes.cf",
        "grow.carlson",
        "grow.rat42",
        "hwe.emigh",
        "hwe.ford",
        "hwe.mn",
        "hwe.wigginton",
        "isopod.brood",
        "plan.females-AA",
        "plan.penetrance-0-8",
        "pop.carlestrub",
        "pop.chapman",
        "pop.schnabel",
        "pop.schnute",
    ]
)


@pytest.mark.parametrize("name", sorted(RECEIVED))
def test_the_data_are_byte_for_byte_as_received(name: str) -> None:
    assert hashlib.sha256((DATA / name).read_bytes()).hexdigest() == RECEIVED[name]


def test_nothing_else_lies_among_the_data() -> None:
    assert {path.name for path in DATA.iterdir()} == set(RECEIVED)


def test_every_id_is_claimed_or_listed_and_never_both() -> None:
    claimed, listed, known = set(claimed_ids()), set(listed_ids()), known_ids()
    assert known - claimed - listed == set(), "neither claimed by a test nor in not_yet.toml"
    assert claimed & listed == set(), "claimed by a test and still in not_yet.toml"
    assert (claimed | listed) - known == set(), "no such id in the data"


def test_the_list_only_shrinks() -> None:
    assert set(listed_ids()) == AT_MOST, "an id that left the list leaves AT_MOST too; none is ever added"
    assert len(AT_MOST) <= 20


def test_claims_are_found_without_running_a_test() -> None:
    source = (
        '@claims("a.b", "c")\ndef test_one() -> None: ...\n@pytest.mark.x\n@support.claims("d")\ndef test_two(): ...'
    )
    assert claims_in(source) == [("test_one", "a.b"), ("test_one", "c"), ("test_two", "d")]


def test_a_claim_that_names_nothing_or_stands_on_no_test_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one id"):
        claims()
    with pytest.raises(ValueError, match="helper"):
        claims_in('@claims("a")\ndef helper(): ...')
    with pytest.raises(ValueError, match="malformed"):
        claims_in("@claims(NAME)\ndef test_one(): ...")
