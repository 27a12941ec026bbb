"""How finds of odd animals are said: a disease first, then the first steps, then what will be asked."""

from bot.cards import verbs, words
from bot.cards.card import Button, Card, Tone, Weight
from bot.cards.find_words import SHEEN, animal, facts, its, step_said
from bot.cards.leads import lead
from bot.cards.photos import picture_of
from bot.records import CareKind, FindRow, Sex
from bot.services.find_lists import FindLine, FindList
from bot.services.find_steps import Step, alive_later
from bot.services.finds import FindView
from bot.services.pairings import pairing_code

_ONE_PAGE = 8


def logged_card(view: FindView) -> Card:
    """The reply to `/find log`: the sheen first, then the steps in their order."""
    row = view.row
    return Card(
        lead=_lead(view),
        blocks=(
            *((_found(view),) if row.sheen else ()),
            _steps(view),
            *((f"Kept as typed, but not understood: {words.plain(view.unread, 120)}.",) if view.unread else ()),
            *((f"Your photo is not kept. {lead(view.missing)}",) if view.missing is not None else ()),
        ),
        buttons=(*_buttons(view), Button("More", verbs.FIND_SHOW, str(row.number)), *_undo(view)),
        tone=Tone.REFUSAL if row.sheen else Tone.GOOD,
    )


def sheen_card(view: FindView) -> Card:
    """The reply once a sheen was seen after all."""
    return Card(
        lead=_lead(view),
        blocks=(_steps(view),),
        buttons=(*_buttons(view), *_undo(view)),
        tone=Tone.REFUSAL,
    )


def quiet_card(view: FindView) -> Card:
    """The reply once a find asks for nothing any more."""
    return Card(
        lead=f"I won't ask about find {view.row.number}. Photograph {its(view.row)[0]} after the next moult all the same.",
        buttons=_undo(view),
        tone=Tone.GOOD,
    )


def find_card(view: FindView) -> Card:
    """The reply to `/find show`."""
    row = view.row
    told = [
        f"Found {words.when(row.found_at, 'D')} by {words.plain(row.keeper_name) or 'a former keeper'}",
        *facts(row),
    ]
    return Card(
        lead=_lead(view, told=False),
        blocks=(
            *((_found(view, told=False),) if row.sheen else ()),
            " · ".join(told) + ".",
            _steps(view),
            *_paired(view),
            *((f"As typed: {words.plain(row.typed)}",) if row.typed else ()),
            *((f"Note: {words.plain(row.note)}",) if row.note else ()),
        ),
        buttons=(*_buttons(view), *_photos(view)),
        pictures=(picture_of(view.photos[0], view.picture),) if view.picture else (),
        page=(verbs.FIND_SHOW, str(row.number)),
        tone=Tone.REFUSAL if row.sheen else Tone.PLAIN,
    )


def list_card(finds: FindList, page: int) -> Card:
    """The reply to `/find list`: a line for each, the newest first."""
    of = (f" of {words.plain(finds.name, 60)}" if finds.name else "") + (f" in {finds.code}" if finds.code else "")
    lines = finds.lines
    more = f" {words.plural(finds.settled, 'find')} more: how {_those(finds.settled)} inherited is known by now."
    if not lines:
        none = f"No find{of} is open." if finds.settled else f"No odd animal{of} is in the book. `/find log` logs one."
        return Card(lead=none + (more if finds.settled else ""), buttons=_every(finds))
    page = max(0, min(page, (len(lines) - 1) // _ONE_PAGE))
    shown = lines[page * _ONE_PAGE : (page + 1) * _ONE_PAGE]
    kind = "find" if finds.every else "open find"
    return Card(
        lead=f"**{words.plural(len(lines), kind)}**{of}, the newest first.{more if finds.settled and not finds.every else ''}",
        blocks=("\n".join(map(_line, shown)),),
        buttons=(
            *_turn(finds, "Earlier", page + 1, (page + 1) * _ONE_PAGE < len(lines)),
            *_turn(finds, "Later", page - 1, page > 0),
            *_every(finds),
        ),
    )


def _lead(view: FindView, *, told: bool = True) -> str:
    row = view.row
    if row.sheen:
        held = f" {row.bin_code} is on hold." if view.held else ""
        return f"**{SHEEN}**{held}"
    return _found(view, told=told)


def _found(view: FindView, *, told: bool = True) -> str:
    """What was found, with what was said of it if it is `told` here."""
    row, name = view.row, words.plain(view.row.trait_name, 60)
    unknown = f" Nobody knows yet how {name} is inherited." if view.is_open and not row.sheen else ""
    # Whether there is a sheen decides what stands above, and below.
    known = [fact for fact in facts(row, view.units) if "sheen" not in fact]
    said = f"Noted: {', '.join(known)}." if told and known else ""
    place = words.bin_name(row.bin_code, row.bin_name)
    return f"**Find {row.number}**: {animal(row)} in {place} that shows **{name}**.{unknown} {said}".rstrip()


def _steps(view: FindView) -> str:
    """The first steps, numbered, the photograph and the count of the sisters last."""
    row, alive = view.row, f"about {words.percent(alive_later(view.species))}"
    steps = [step_said(step, row, alive) for step in view.steps]
    steps += _asked(view)
    return "\n".join(f"{number}. {step}" for number, step in enumerate(steps, start=1))


def _asked(view: FindView) -> list[str]:
    it, own = its(view.row)
    days = {ping.kind: f": I'll ask {words.when(ping.at, 'D')}" for ping in view.pings}
    first = "Photograph" if view.photos else "Photo now and"
    return [
        f"{first} {it + ' again ' if view.photos else ''}after {own} next moult{days.get(CareKind.MOULT_PHOTO, '')}.",
        f"Count {own} sisters, odd or not{days.get(CareKind.SISTERS, '')}.",
    ]


def _paired(view: FindView) -> tuple[str, ...]:
    if not view.pairings:
        return ()
    codes = words.listed(pairing_code(one.number) for one in view.pairings)
    return (f"Put into {codes}.",)


def _buttons(view: FindView) -> tuple[Button, ...]:
    """What may come next; nobody breeds from an animal that may be ill, or is not grown."""
    row, number = view.row, str(view.row.number)
    waits = not {Step.SICK_APART, Step.SLOW_APART, Step.YOUNG_ALONE, Step.YOUNG_MALE}.isdisjoint(view.steps)
    pair = () if waits or row.sex is Sex.UNKNOWN else (Button("Pair", verbs.FIND_PAIR, number, Weight.MAIN),)
    sheen = (Button("It has a blue sheen", verbs.FIND_SHEEN, number),) if row.sheen is None else ()
    quiet = (Button("No pings", verbs.FIND_QUIET, number),) if view.pings else ()
    return (*pair, *sheen, *quiet)


def _photos(view: FindView) -> tuple[Button, ...]:
    return (Button("All photos", verbs.PHOTO_LIST, f"f{view.row.id}"),) if len(view.photos) > 1 else ()


def _undo(view: FindView) -> tuple[Button, ...]:
    return (Button("Undo", verbs.UNDO, str(view.event)),) if view.event is not None else ()


def _line(line: FindLine) -> str:
    row: FindRow = line.row
    state = "" if line.is_open else ", known by now"
    sheen = ", **blue sheen**" if row.sheen else ""
    return f"· {row.number}: {words.plain(row.trait_name, 60)}, {animal(row)} in {row.bin_code}, {words.when(row.found_at, 'D')}{sheen}{state}"


def _those(many: int) -> str:
    return "its trait is" if many == 1 else "their traits are"


def _argument(finds: FindList, page: int, every: bool) -> str:
    return f"{finds.place}/{finds.trait}/{int(every)}/{page}"


def _turn(finds: FindList, label: str, page: int, there: bool) -> tuple[Button, ...]:
    return (Button(label, verbs.FIND_LIST, _argument(finds, page, finds.every)),) if there else ()


def _every(finds: FindList) -> tuple[Button, ...]:
    if finds.every or not finds.settled:
        return ()
    return (Button("All finds", verbs.FIND_LIST, _argument(finds, 0, True)),)
