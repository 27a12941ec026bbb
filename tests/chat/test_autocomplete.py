"""What is offered while an option is being typed."""

from typing import Any

import pytest

from tests.support.chat import BINS, ELSEWHERE, ELSEWHERE_ROOM, HOLLOW_LOG, MOSS, STRANGER, TAMSIN, WREN, Chat

HALF_TYPED = [
    "/odds cross:",
    "/odds cross:het em",
    "/odds cross:het ember x",
    "/bin show bin:",
    "/bin show bin:ember",
    "/count log bin:B",
    "/care add task:moisture day:Monday time:18:00 bin:b-",
    "/care add bin:B-1 task:moisture day:Monday time:18:00 zone:",
    "/care add bin:B-1 task:moisture day:Monday time:18:00 zone:eur",
    "/bin open species:",
    "/bin open species:arma",
    "/trait define name:x shows:recessive species:por",
]


async def test_every_completion_offers_something_that_fits(chat: Chat) -> None:
    for line in HALF_TYPED:
        choices = await chat.offered(line)
        assert 1 <= len(choices) <= 25, line
        for choice in choices:
            assert 1 <= len(choice.name) <= 100
            assert 1 <= len(str(choice.value)) <= 100
        assert len({choice.value for choice in choices}) == len(choices)


async def test_a_cross_is_completed_at_its_last_word(sqlite_chat: Chat) -> None:
    async def crosses(text: str) -> list[object]:
        options = {"cross": text}
        found = await sqlite_chat.service.complete(HOLLOW_LOG, BINS, WREN, "odds", options, "cross")
        return [choice.value for choice in found]

    assert await crosses("het em") == ["het ember"]
    assert "het ember x " in await crosses("het ember ")
    assert "het ember x visual " in await crosses("het ember x ")
    assert await crosses("het ember x") == await crosses("het ember x ")
    assert "het ember x B-5" in await crosses("het ember x b-")
    assert "wild x het " in await crosses("wild x h")


async def test_bins_are_offered_by_code_and_name_the_persons_own_first(sqlite_chat: Chat) -> None:
    for person, own in ((TAMSIN, "B-5"), (MOSS, "B-3")):
        offered = await sqlite_chat.offered("/bin show bin:", person)
        assert offered[0].value == own
    assert [(c.name, c.value) for c in await sqlite_chat.offered("/bin show bin:FROST")] == [("B-3 frost line", "B-3")]


async def test_species_and_zones_are_offered_by_any_part_of_the_name(sqlite_chat: Chat) -> None:
    assert [c.value for c in await sqlite_chat.offered("/bin open species:nasat")] == ["Armadillidium nasatum"]
    zones = await sqlite_chat.offered("/care add bin:B-1 task:moisture day:Monday time:18:00 zone:lisb")
    assert [c.value for c in zones] == ["Europe/Lisbon"]


async def test_text_that_fits_nothing_is_offered_nothing(sqlite_chat: Chat) -> None:
    for option in ("/bin show bin:", "/bin open species:", "/odds cross:"):
        assert await sqlite_chat.offered(option + "qqqq") == ()
        assert await sqlite_chat.offered(option + "@everyone " + "z" * 90) == ()


async def test_a_cross_as_long_as_a_choice_can_be_is_not_cut_but_left_out(sqlite_chat: Chat) -> None:
    head = "het ember, homozygous frost x "
    text = head + " " * (97 - len(head)) + "het"
    assert len(text) == 100
    assert all(
        len(str(c.value)) <= 100 and str(c.value).startswith(head)
        for c in await sqlite_chat.offered(f"/odds cross:{text}")
    )


async def test_many_bins_are_offered_twenty_five_at_a_time(sqlite_chat: Chat) -> None:
    for number in range(25):
        await sqlite_chat.type(f"/bin open species:Porcellio scaber name:box {number} {'long ' * 8}")
    choices = await sqlite_chat.offered("/bin show bin:box")
    assert len(choices) == 25
    assert len(await sqlite_chat.offered("/odds cross:B")) == 25


async def test_another_server_is_offered_nothing_of_this_one(chat: Chat) -> None:
    for option in ("/bin show bin:", "/count log bin:b", "/odds cross:em", "/odds cross:B-"):
        assert await chat.offered(option, STRANGER, ELSEWHERE_ROOM, ELSEWHERE) == ()


@pytest.mark.parametrize(
    ("service", "line"),
    [
        ("bot.chat.odds.complete_cross", "/odds cross:em"),
        ("bot.chat.bins.choose_bin", "/bin show bin:B"),
        ("bot.chat.bins.choose_bin", "/count log bin:B"),
        ("bot.chat.care.zones_matching", "/care add bin:B-1 task:moisture day:Monday time:18:00 zone:eur"),
    ],
)
async def test_an_exception_inside_a_completion_offers_nothing_and_leaves_a_line_in_the_log(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, service: str, line: str
) -> None:
    def broken(*_: Any, **__: Any) -> Any:
        raise RuntimeError("broken for the test")

    monkeypatch.setattr(service, broken)
    assert await sqlite_chat.offered(line) == ()
    (record,) = [record for record in caplog.records if record.levelname == "ERROR"]
    assert "autocomplete" in record.getMessage()
    assert record.exc_info is not None
    assert "broken for the test" in str(record.exc_info[1])


async def test_an_exception_among_the_species_offers_nothing(
    sqlite_chat: Chat, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: Any) -> Any:
        raise RuntimeError("broken for the test")

    monkeypatch.setattr("bot.services.species.Catalogue.matching", broken)
    assert await sqlite_chat.offered("/bin open species:arm") == ()
    assert "broken for the test" in caplog.text
