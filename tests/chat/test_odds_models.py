"""`/odds` of traits that are more than recessive or dominant: published cases typed as commands, and crosses that cannot be."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest

from bot.practice.outcome import Outcome
from tests.support.chat import ELSEWHERE, ELSEWHERE_ROOM, MOSS, STRANGER, Chat, first_line, labels, only_for

VULGARE, NASATUM = "Armadillidium vulgare", "Armadillidium nasatum"
"""ZW females, ZZ males; XX females, XY males: isopods.md §2.1."""


async def typed(chat: Chat, *lines: str) -> str:
    """The answer to the last of several commands; none may fail."""
    for line in lines:
        outcome = await chat.type(line)
        assert not outcome.messages[-1].ephemeral, outcome.text
    return said(outcome)


def said(outcome: Outcome) -> str:
    """The answer, with plain blanks before its per cent signs."""
    return outcome.text.replace("\u00a0", " ")


async def refused(chat: Chat, line: str) -> str:
    """The sentence of a refusal; it is private, and nothing was written."""
    before = await chat.events()
    outcome = await chat.type(line, MOSS)
    only_for(MOSS, outcome)
    assert await chat.events() == before
    assert "Edit" in labels(outcome)
    return said(outcome).partition("\n")[0]


def line(text: str, start: str) -> str:
    """The line of a table that begins so."""
    (found,) = [one for one in text.splitlines() if one.startswith(f"· {start}:")]
    return found


COAT = (
    "/trait define name:brown shows:recessive symbol:br",
    "/trait define name:pale shows:recessive symbol:p",
    "/trait combine name:coat traits:pale, brown way:9:3:4 looks:grey, brown mouse, white",
)


async def test_two_loci_of_coat_colour_give_nine_to_three_to_four(chat: Chat) -> None:
    """Mice: two recessive copies of the first locus hide the second (Bateson 1909, Mendel's Principles of Heredity)."""
    text = await typed(chat, *COAT, "/odds cross:het pale, het brown x het pale, het brown")
    assert text.startswith("**1 in 4** young will show white.")
    assert line(text, "grey").startswith("· grey: 9/16 · 56 % · ")
    assert line(text, "brown mouse").startswith("· brown mouse: 3/16 · 19 % · ")
    assert line(text, "white").startswith("· white: 1/4 · 25 % · ")
    assert line(text, "white").endswith("1 in 2 of them carry brown and 1 in 4 of them have two copies of brown unseen")
    assert "Pale and brown make coat together (recessive epistasis, 9:3:4: grey, brown mouse and white)." in text


async def test_one_of_two_is_enough_to_be_asked_by_the_looks_that_both_make(sqlite_chat: Chat) -> None:
    text = await typed(sqlite_chat, *COAT, "/odds cross:het brown x het brown")
    assert line(text, "grey").startswith("· grey: 3/4")
    assert line(text, "brown mouse").startswith("· brown mouse: 1/4")
    text = await typed(sqlite_chat, "/odds cross:visual pale x visual brown")
    assert text.startswith("All young look **grey**. All carry pale and all carry brown.")


async def test_counts_of_looks_with_names_of_their_own_are_read(sqlite_chat: Chat) -> None:
    cross = "cross:het pale, het brown x het pale, het brown"
    text = await typed(sqlite_chat, *COAT, f"/odds {cross} observed:90 grey, 30 brown mouse, 40 white")
    assert text.startswith("These 160 young **fit 9:3:4** (p = 1.00).")
    assert "· brown mouse: **30** seen, 30.0 expected" in text


async def test_white_sweet_peas_that_need_both_give_nine_to_seven(sqlite_chat: Chat) -> None:
    """Bateson 1909, ch. IX: purple or red 9, white 7; two whites give all purple young."""
    text = await typed(
        sqlite_chat,
        "/trait define name:cee shows:recessive symbol:c",
        "/trait define name:ar shows:recessive symbol:r",
        "/trait combine name:flower traits:cee, ar way:9:7 looks:purple, white",
        "/odds cross:het cee, het ar x het cee, het ar",
    )
    assert line(text, "purple").startswith("· purple: 9/16 · 56 %")
    assert line(text, "white").startswith("· white: 7/16 · 44 %")
    text = await typed(sqlite_chat, "/odds cross:visual cee x visual ar")
    assert text.startswith("All young look **purple**.")


async def test_yellow_mice_give_two_to_one(chat: Chat) -> None:
    """Castle & Little 1910, Science 32:868: yellow × yellow gave 800 : 435, and no yellow mouse breeds true."""
    text = await typed(
        chat,
        "/trait define name:yellow shows:dominant symbol:yl survival:two copies lethal",
        "/odds cross:het yellow x het yellow",
    )
    assert text.startswith("**2 in 3** young will show yellow.")
    assert "Rests on: yellow is dominant and kills with two copies; and the dam met no other male." in text
    assert "If it did no harm, 3 in 4 young would show it." in text
    seen = await typed(chat, "/odds cross:het yellow x het yellow observed:800 yellow, 435 wild")
    assert seen.startswith("These 1,235 young **fit 1:2**")
    cannot = "/odds cross:homozygous yellow x homozygous yellow"
    assert "No young of this cross would live" in await refused(chat, cannot)


async def test_white_eyes_go_from_mothers_to_sons(chat: Chat) -> None:
    """Morgan 1910, Science 32:120, in a species of XX females: white dam × red sire gives red daughters and white sons."""
    define = f"/trait define name:white eye shows:recessive symbol:w place:X or Z species:{NASATUM}"
    text = await typed(chat, define, "/odds cross:visual white eye x wild")
    assert text.startswith("**1 in 2** young will show white eye: none of the daughters and all of the sons.")
    assert (
        "Daughters, 1 in 2 of the young:\n· wild-looking: 1 · 100 % · all 20 of 20 – every one carries white eye"
        in text
    )
    assert "*Armadillidium nasatum*: XX females, XY males. Sons get their one X from the dam." in text
    text = await typed(chat, "/odds cross:wild x visual white eye")
    assert text.startswith("**None** of the young will show white eye. All of the daughters carry white eye.")
    text = await typed(chat, "/odds cross:het white eye x wild")
    assert text.startswith("**1 in 4** young will show white eye: none of the daughters and 1 in 2 of the sons.")
    text = await typed(chat, "/odds cross:het white eye x visual white eye")
    assert text.startswith("**1 in 2** young will show white eye.")


async def test_a_recessive_shown_in_females_only_is_an_eighth_of_unsexed_young(chat: Chat) -> None:
    """science.md §5: twice proven in woodlice; het × het shows it in a quarter of the daughters."""
    define = "/trait define name:blush shows:recessive sex:females only week:8"
    text = await typed(chat, define, "/odds cross:het blush x het blush")
    assert text.startswith("**1 in 8** young will show blush: 1 in 4 of the daughters and none of the sons.")
    assert "Sons, 1 in 2 of the young:" in text
    assert "1 in 2 of them carry blush and 1 in 4 of them have two copies of blush unseen" in text
    assert "How the sexes come about is not known; daughters are taken as 50 % of the young." in text
    assert "Count them from week 8 on; younger ones cannot be read." in text
    assert "If both sexes showed it, 1 in 4 young would show it." in text
    seen = await typed(chat, "/odds cross:het blush x het blush observed:3 blush, 20 wild")
    assert seen.startswith("These 23 young **fit 7:1**")
    assert "Count them from week 8 on; younger ones cannot be read." in seen
    text = await typed(chat, "/odds cross:het blush x het blush daughters:80 %")
    assert text.startswith("**1 in 5** young will show blush: 1 in 4 of the daughters and none of the sons.")


async def test_a_sex_limited_and_a_sex_linked_trait_differ_in_the_cross_that_tells(sqlite_chat: Chat) -> None:
    """science.md §5: an F1 son × trait dam gives half of sons and daughters if Z-linked, half of daughters if not."""
    for name, more in (("blush", "sex:females only"), ("zed", "place:X or Z")):
        await typed(sqlite_chat, f"/trait define name:{name} shows:recessive {more} species:{VULGARE}")
    limited = await typed(sqlite_chat, "/odds cross:visual blush x het blush")
    assert limited.startswith("**1 in 4** young will show blush: 1 in 2 of the daughters and none of the sons.")
    linked = await typed(sqlite_chat, "/odds cross:visual zed x het zed")
    assert linked.startswith("**1 in 2** young will show zed. See")
    assert "If it were shown in one sex only, 1 in 2 of the daughters and none of the sons would show it." in linked


async def test_what_shows_only_sometimes_hides_among_the_wild_looking(sqlite_chat: Chat) -> None:
    """science.md §2: at a penetrance of 0.7 the wild-looking young of two hets are 0.61 het and 0.09 hidden visuals."""
    define = "/trait define name:shy shows:recessive penetrance:70 %"
    outcome = await sqlite_chat.type(define)
    assert "shy shows in 70 % of those that should show it." in said(outcome)
    odds = await sqlite_chat.type("/odds cross:het shy x het shy")
    assert first_line(odds).startswith("**7 in 40** young will show shy.")
    assert "If all showed it that should, and no others, 1 in 4 young would show it." in said(odds)
    carriers = await sqlite_chat.press(odds.message, "Carriers")
    assert "· wild-looking: 20 in 33 carry shy (20/33, 61 %)" in said(carriers)
    assert "· wild-looking: 1 in 11 have two copies of shy unseen (1/11, 9 %)" in said(carriers)


async def test_look_alikes_are_told_from_those_that_have_it(sqlite_chat: Chat) -> None:
    """By hand: 1 of 10 wild-looking young looks so all the same; of het × wild all that are seen only look so."""
    define = "/trait define name:dust shows:recessive phenocopies:10 %"
    text = await typed(sqlite_chat, define, "/odds cross:het dust x visual dust")
    assert line(text, "dust").endswith("1 in 11 of them only look so")
    text = await typed(sqlite_chat, "/odds cross:het dust x wild")
    assert line(text, "dust").endswith("all of them only look so")


LINKED = (
    "/trait define name:ash shows:recessive symbol:a",
    "/trait define name:soot shows:recessive symbol:s",
    "/trait link traits:ash, soot distance:10 %",
)


async def test_linked_traits_stay_together_or_apart_by_their_phase(sqlite_chat: Chat) -> None:
    """A test cross at r = 0.1: 45 % of either parental class in coupling, 5 % in repulsion; without the phase, both."""
    text = await typed(sqlite_chat, *LINKED, "/odds cross:+ +/a s x a s/a s")
    assert text.startswith("**9 in 20** young will show ash and soot.")
    assert "Ash and soot lie on one chromosome: 10 % recombination between ash and soot." in text
    assert "If ash and soot were not linked, 1 in 4 young would be so." in text
    text = await typed(sqlite_chat, "/odds cross:+ s/a + x a s/a s")
    assert text.startswith("**1 in 20** young will show ash and soot.")
    text = await typed(sqlite_chat, "/odds cross:het ash, het soot x visual ash, visual soot")
    assert text.startswith("**1 in 4** young on average will show ash and soot.")
    assert "`+ +/a s` has them on one, `+ s/a +` on both." in text


async def test_sires_that_do_not_recombine_pass_what_they_got(sqlite_chat: Chat) -> None:
    """science.md §1: in some taxa one sex does not recombine."""
    lines = (*LINKED[:2], "/trait link traits:ash, soot distance:10 % sires:0 %")
    text = await typed(sqlite_chat, *lines, "/odds cross:a s/a s x + +/a s")
    assert text.startswith("**1 in 2** young will show ash and soot.")
    assert "in sires no recombination between ash and soot" in text


@pytest.mark.parametrize(("by", "rate"), [("Kosambi", "9.869 %"), ("Haldane", "9.063 %")])
async def test_map_distances_are_said_as_recombination(sqlite_chat: Chat, by: str, rate: str) -> None:
    """Kosambi 1944: 10 cM are 9.87 % recombination; Haldane 1919: 9.06 %."""
    text = await typed(sqlite_chat, *LINKED[:2], f"/trait link traits:ash, soot distance:10 cM {by}")
    assert f"10 cM by {by}, {rate} recombination between ash and soot" in text


async def test_alleles_of_one_locus_show_by_their_order(sqlite_chat: Chat) -> None:
    """By hand, s over + over a: s/a × +/a gives s/+, s/a (soot), +/a (wild), a/a (ash)."""
    text = await typed(
        sqlite_chat,
        "/trait define name:soot shows:dominant symbol:s",
        "/trait define name:ash shows:recessive symbol:a",
        "/trait series order:soot > wild > ash name:shade",
        "/odds cross:s/a x +/a",
    )
    assert text.startswith("**1 in 2** young will show soot.")
    assert line(text, "soot").startswith("· soot: 1/2")
    assert line(text, "wild-looking").startswith("· wild-looking: 1/4")
    assert line(text, "ash").startswith("· ash: 1/4")
    reason = await refused(sqlite_chat, "/odds cross:het soot x het soot, visual ash")
    assert reason.startswith("That is more than two alleles at shade.")


async def test_what_mothers_pass_on_alone_goes_to_every_young(sqlite_chat: Chat) -> None:
    define = "/trait define name:hum shows:dominant place:mothers alone"
    text = await typed(sqlite_chat, define, "/odds cross:homozygous hum x wild")
    assert text.startswith("**All** young will show hum.")
    text = await typed(sqlite_chat, "/odds cross:wild x homozygous hum")
    assert text.startswith("**None** of the young will show hum.")


async def test_a_clonal_species_is_asked_by_the_mother_alone(sqlite_chat: Chat) -> None:
    defined = await typed(sqlite_chat, "/trait define name:ink shows:recessive species:Trichorhina tomentosa")
    assert defined.endswith("Ask with it: `/odds cross:het ink`")
    outcome = await sqlite_chat.type("/odds cross:het ink x het ink")
    assert first_line(outcome).startswith("*Trichorhina tomentosa* is clonal: there are no males")
    asked = await sqlite_chat.press(outcome.message, "Use that")
    assert first_line(asked) == "**None** of the young will show ink. All carry ink."
    assert "Mother: het ink; no sire." in asked.text
    genes = await sqlite_chat.press(asked.message, "Gene notation")
    assert first_line(genes) == "`+/i`, no sire"
    opened = await typed(sqlite_chat, "/bin open species:Trichorhina tomentosa holds:visual ink")
    code = opened.split("**")[1].split()[0].strip(".")
    assert (await typed(sqlite_chat, f"/odds cross:{code}")).startswith("**All** young will show ink.")
    assert "no `x`" in await refused(sqlite_chat, "/odds cross:het ember")


async def test_haploid_males_have_one_copy(sqlite_chat: Chat) -> None:
    """By hand: a het mother's sons are half h and half +; her daughters by an h male are half h/h."""
    await typed(sqlite_chat, "/trait define name:hap shows:recessive symbol:h")
    text = await typed(sqlite_chat, "/odds cross:+/h x +/- daughters:80 %")
    assert text.startswith("**1 in 10** young will show hap: none of the daughters and 1 in 2 of the sons.")
    assert "Males hatch from unfertilised eggs, as written in the cross; 80 % are daughters." in text


async def test_feminised_mothers_and_young_with_two_w(chat: Chat) -> None:
    """isopods.md §2: a Z/Z mother has no young with a W, so bacteria alone decide their sex; W/W live in some lines."""
    await typed(chat, f"/trait define name:zed shows:recessive symbol:z1 place:X or Z species:{VULGARE}")
    cross = "/odds cross:het zed x het zed sexes:feminised mother"
    assert "Say how many of the young are daughters" in await refused(chat, cross)
    text = await typed(chat, f"{cross} daughters:90 %")
    assert text.startswith("**1 in 4** young will show zed.")
    assert "this mother is a Z/Z that bacteria made a female, so no young has a W; 90 % are daughters." in text
    die = await typed(chat, "/odds cross:Z^z1/W x Z^+/W")
    assert die.startswith("**1 in 3** young will show zed: 1 in 2 of the daughters and none of the sons.")
    assert "W/W young are taken to die" in die
    live = await typed(chat, "/odds cross:Z^z1/W x Z^+/W sexes:W/W young live")
    assert live.startswith("**1 in 4** young will show zed: 1 in 3 of the daughters and none of the sons.")


@pytest.mark.parametrize(
    ("define", "cross", "reason"),
    [
        ("place:X or Z", "visual zed x wild", "no species is named"),
        (
            "place:X or Z",
            "visual zed x wild species:Porcellio scaber",
            "how *Porcellio scaber* makes its sexes is not known",
        ),
        ("place:X or Z", f"het zed x wild species:{VULGARE}", "has a single copy of zed, so it cannot be het"),
        ("place:Y or W", f"visual zed x wild species:{NASATUM}", "has no chromosome on which zed lies"),
        ("place:X or Z", f"Z^zd/W x Z^+/Z^+ species:{NASATUM}", "has no such chromosome"),
        ("place:X or Z", f"visual zed x wild species:{VULGARE} daughters:80 %", "chromosomes decide the sex (ZZ/ZW)"),
        (
            "place:X or Z",
            f"visual zed from (visual zed x wild) x wild species:{VULGARE}",
            "A daughter does not get zed from its dam",
        ),
        (
            "place:X or Z",
            f"wild x visual zed from (wild x visual zed) species:{NASATUM}",
            "A son does not get zed from its sire",
        ),
        ("sex:females only", "het zed x het zed daughters:170 %", "cannot be: all of them are 100 %"),
        ("sex:females only", "het zed x het zed daughters:many", "Type it like 70 %, 0.7 or 7 in 10."),
        (
            "sex:females only",
            f"het zed x het zed species:{NASATUM} sexes:feminised mother",
            "is none. Leave `sexes:` out",
        ),
        ("survival:one copy lethal; two copies lethal", "visual zed x wild", "No young of this cross would live"),
    ],
)
async def test_crosses_that_cannot_be_are_refused_with_the_reason(
    sqlite_chat: Chat, define: str, cross: str, reason: str
) -> None:
    await typed(sqlite_chat, f"/trait define name:zed shows:recessive symbol:zd {define}")
    assert reason in await refused(sqlite_chat, f"/odds cross:{cross}")


async def test_what_was_typed_beside_a_cross_stands_behind_its_buttons(chat: Chat) -> None:
    await typed(chat, "/trait define name:zed shows:recessive place:X or Z")
    odds = await chat.type(f"/odds cross:visual zed x wild species:{NASATUM}")
    raising = await chat.press(odds.message, "How many to raise")
    assert first_line(raising).startswith("See **5 young** grown")
    carriers = await chat.press(odds.message, "Carriers")
    assert "· daughters, wild-looking: all carry zed" in carriers.text
    assert "XX females, XY males" in carriers.text
    genes = await chat.press(odds.message, "Gene notation")
    assert first_line(genes) == "`X^z/X^z` × `X^+/Y`"


async def test_what_one_server_knows_of_a_trait_no_other_does(sqlite_chat: Chat) -> None:
    await typed(sqlite_chat, *COAT)
    there = (STRANGER, ELSEWHERE_ROOM, ELSEWHERE)
    for name in ("brown", "pale"):
        await sqlite_chat.type(f"/trait define name:{name} shows:recessive", *there)
    outcome = await sqlite_chat.type("/odds cross:het pale, het brown x het pale, het brown", *there)
    assert first_line(outcome).startswith("**1 in 16** young will show")
    assert "coat" not in outcome.text


async def test_models_take_no_statement_more(
    chat: Chat, statements: Callable[[], AbstractContextManager[list[str]]]
) -> None:
    """The traits come with their models and all that they are to each other in one statement, the bins in another."""
    await typed(chat, *LINKED, "/trait combine name:coat traits:ash, soot way:9:7 looks:grey, white")
    await typed(chat, "/bin open species:Porcellio scaber holds:het ash, het soot")
    opened = await typed(chat, "/bin open species:Porcellio scaber holds:visual ash")
    code = opened.split("**")[1].split()[0].strip(".")
    await chat.bot.clockwork.wake()  # so that the clock's first look is over
    with statements() as seen:
        outcome = await chat.type(f"/odds cross:{code} x {code}")
    assert first_line(outcome).startswith("**All** young will show white.")
    assert 1 <= len(seen) <= 2


async def test_an_answer_longer_than_a_phone_screen_goes_on_behind_a_button(sqlite_chat: Chat) -> None:
    long = "week:8 penetrance:70 % phenocopies:2 % survival:two copies 50 %"
    names = ("a trait of long name", "b trait of long name", "c trait of long name")
    for name, more in zip(names, ("sex:females only", "sex:males only", "place:X or Z"), strict=True):
        await typed(sqlite_chat, f"/trait define name:{name} shows:recessive species:{VULGARE} {more} {long}")
    await typed(sqlite_chat, f"/trait link traits:{names[0]}, {names[1]} distance:10 %")
    hets = ", ".join(f"het {name}" for name in names)
    odds = await sqlite_chat.type(f"/odds cross:{hets.replace('het c', 'visual c')} x {hets}")
    text = said(odds)
    assert "\nDaughters, 1 in 2 of the young:" in text
    assert "more under *Carriers*" in text
    assert "Rests on" not in text
    assert len(text) <= 1400
    more = await sqlite_chat.press(odds.message, "More (2 of 2)")
    rest = said(more)
    assert "is recessive (and more: `/trait show`)" in rest
    assert "If a trait of long name and b trait of long name were not linked, " in rest
    assert "Count them from week 8 on" in rest
