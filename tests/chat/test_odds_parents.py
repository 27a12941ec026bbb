"""`/odds` of parents as they are known, typed by keepers."""

from bot.records import Sex, Stamp, State, Subject
from tests.support.chat import HOLLOW_LOG, MOSS, TAMSIN, WREN, Chat, first_line, labels, only_for


async def mixed_bin(chat: Chat, *groups: tuple[str, State, int], request: int) -> None:
    """Found B-6 with animals of several kinds: the trait that each shows, and how many."""
    await chat.type("/bin open species:Armadillidium vulgare name:mixed")
    stamp = Stamp(HOLLOW_LOG.id, WREN.id, WREN.name, request, chat.clocks.now())
    async with chat.bot.records.write(stamp) as book:
        row = await book.bin_by_code("B-6")
        assert row is not None
        ids = {trait.name: trait.id for trait in await book.traits()}
        for trait, state, number in groups:
            founder = await book.add_founder(row.id, number=number, sex=Sex.UNKNOWN, described=True)
            await book.add_founder_state(founder, ids[trait], state)
        await book.log("founders.added", Subject("bin", row.id))


async def test_the_trap_of_a_mixed_bin(sqlite_chat: Chat) -> None:
    """science.md §2: dams and sires half e/e F/F, half +/+ f/f: double visuals 0, while the product of groups says 1/16."""
    await mixed_bin(sqlite_chat, ("ember", State.VISUAL, 10), ("frost", State.HOMOZYGOUS, 10), request=1 << 40)
    kinds = "10 visual ember or 10 homozygous frost"
    for text in ("B-6 x b6", f"{kinds} x {kinds}"):
        outcome = await sqlite_chat.type(f"/odds cross:{text}")
        assert "ember and frost" not in outcome.text
        assert "· ember, no frost: 1/4" in outcome.text
        assert "· frost in two doses, no ember: 1/4" in outcome.text
        assert "what goes together in an animal stays together" in outcome.text


async def test_a_wild_looking_young_of_two_hets_is_typed_as_that(chat: Chat) -> None:
    outcome = await chat.type("/odds cross:wild from B-4 x B-4 x visual ember", MOSS)
    assert first_line(outcome).startswith(
        "**1 in 2** young will show ember if this pair can give it at all; the chance"
    )
    assert "**67\u00a0%**" in first_line(outcome)
    assert "What carries this answer: where the parent comes from." in outcome.text
    assert r"Dam: wild from \(het ember x het ember\)" in outcome.text


async def test_possible_het_without_a_figure_is_refused_with_the_usual_figures(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:possible het ember x visual ember")
    only_for(WREN, refused)
    assert "possible het needs a figure" in first_line(refused)
    assert labels(refused)[0].startswith("66% het ember")
    answered = await sqlite_chat.press(refused.message, labels(refused)[0])
    assert "What carries this answer: the figure." in answered.text


async def test_males_before_are_reckoned_with_and_a_swap_leaves_them_out(chat: Chat) -> None:
    outcome = await chat.type("/odds cross:visual ember, had males of B-1 x B-2")
    assert "What carries this answer: the dam had males before (B-1 (wild stock), recorded as wild)" in outcome.text
    assert "If none is left, all will show it." in outcome.text
    assert "met no other male" not in outcome.text
    assert labels(outcome) == ["How many to raise", "Carriers", "Gene notation", "Picture", "Swap dam and sire"]
    swapped = await chat.press(outcome.message, "Swap dam and sire", TAMSIN)
    assert first_line(swapped).startswith("**All** young will show ember.")
    assert "and the dam met no other male" in swapped.text
    assert "Swap dam and sire" not in labels(swapped)
    await chat.again(swapped)


async def test_several_dams_are_asked_about_together(sqlite_chat: Chat) -> None:
    outcome = await sqlite_chat.type("/odds cross:3 dams 66% het ember x visual ember")
    assert "3 dams, all with this one sire" in outcome.text
    # 1 − (1/3)³ of such threes can give it at all, so 95 % is reached.
    assert first_line(outcome).startswith("**1 in 3** young on average will show ember. See **16 young**")
    refused = await sqlite_chat.type("/odds cross:3 dams 66% het ember x visual ember observed:4 ember, 9 wild")
    only_for(WREN, refused)
    assert "Ask about each dam's brood by itself" in first_line(refused)


async def test_what_cannot_come_of_a_cross_is_refused(sqlite_chat: Chat) -> None:
    refused = await sqlite_chat.type("/odds cross:ember from wild x wild x het ember")
    only_for(WREN, refused)
    assert "No such animal comes of that cross: ember showing." in first_line(refused)
    refused = await sqlite_chat.type("/odds cross:wild had males of B-9 x het ember")
    assert r"No bin B\-9 here." in first_line(refused)


async def test_a_forged_swap_of_nothing_changes_nothing(sqlite_chat: Chat) -> None:
    before = await sqlite_chat.events()
    for argument in ("", "#1", "#x", "=", "=ember", "=B-9 x wild"):
        outcome = await sqlite_chat.forge(f"m1:odds.swap:{argument}", MOSS)
        only_for(MOSS, outcome)
    assert await sqlite_chat.events() == before


async def test_at_a_recorded_penetrance_a_wild_looking_young_may_hide_the_trait(sqlite_chat: Chat) -> None:
    """science.md §2: at a penetrance of 0.7 the wild-looking young of two hets are 0.61 het and 0.09 hidden visuals."""
    await sqlite_chat.type("/trait define name:shy shows:recessive penetrance:70 %")
    outcome = await sqlite_chat.type("/odds cross:wild from het shy x het shy x wild")
    assert "20 in 33 such dams carry shy once and 1 in 11 twice" in outcome.text
    assert (round(20 / 33, 2), round(1 / 11, 2)) == (0.61, 0.09)
    genes = await sqlite_chat.press(outcome.message, "Gene notation")
    assert "+/s (20/33) or +/+ (10/33) or s/s (1/11)" in first_line(genes)
