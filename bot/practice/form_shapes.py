"""What the chat service refuses in a form, and a form's JSON read into what a person sees.

Limits after its public documentation, "Modal" and "Component Reference": 1 to 5 components, a title of 45, a label of
45 with a description of 100, a text of at most 4,000 characters.
"""

from bot.practice import values as v
from bot.practice.component_shapes import check_options, check_select, check_unique
from bot.practice.errors import Problems
from bot.practice.values import Choice, FormField, Json

Path = tuple[str | int, ...]
FORM_TOP = frozenset({v.ACTION_ROW, v.LABEL, v.TEXT_DISPLAY})
IN_LABEL = v.SELECTS | {v.TEXT_INPUT, v.FILE_UPLOAD, v.RADIO_GROUP, v.CHECKBOX_GROUP, v.CHECKBOX}
LONGEST_ANSWER = 4000


def check_form(data: object) -> None:
    """Refuse (50035) a form that the service would refuse."""
    problems = Problems()
    form: Json = data if isinstance(data, dict) else {}
    problems.text(("data", "custom_id"), form.get("custom_id"), 1, 100)
    problems.text(("data", "title"), form.get("title"), 1, 45)
    parts = problems.amount(("data", "components"), form.get("components"), 1, 5)
    for index, part in enumerate(parts):
        at: Path = ("data", "components", index)
        if problems.kind((*at, "type"), part.get("type"), FORM_TOP):
            _check_part(problems, at, part)
    check_unique(problems, parts)
    problems.refuse()


def read_fields(components: list[Json]) -> tuple[FormField, ...]:
    """The questions of a form that has passed `check_form`, in order."""
    fields = []
    for part in components:
        if part["type"] == v.LABEL:
            fields.append(_field(part["component"], part["label"], part.get("description") or ""))
        elif part["type"] == v.ACTION_ROW:
            fields.append(_field(part["components"][0], part["components"][0]["label"], ""))
    return tuple(fields)


def _check_part(problems: Problems, at: Path, part: Json) -> None:
    if part["type"] == v.TEXT_DISPLAY:
        problems.text((*at, "content"), part.get("content"), 1, 4000)
    elif part["type"] == v.ACTION_ROW:
        inside: Path = (*at, "components", 0)
        for child in problems.amount((*at, "components"), part.get("components"), 1, 1):
            if problems.kind((*inside, "type"), child.get("type"), frozenset({v.TEXT_INPUT})):
                _check_text_input(problems, inside, child)
                problems.text((*inside, "label"), child.get("label"), 1, 45)
    else:
        problems.text((*at, "label"), part.get("label"), 1, 45)
        problems.text((*at, "description"), part.get("description"), 0, 100)
        question = part.get("component")
        inside = (*at, "component")
        if not isinstance(question, dict):
            problems.add(inside, "BASE_TYPE_REQUIRED", "This field is required")
        elif problems.kind((*inside, "type"), question.get("type"), IN_LABEL):
            _check_question(problems, inside, question)


def _check_question(problems: Problems, at: Path, part: Json) -> None:
    """A component under a label."""
    kind = part["type"]
    if kind == v.TEXT_INPUT:
        _check_text_input(problems, at, part)
        if part.get("label"):
            problems.add((*at, "label"), "BASE_TYPE_FORBIDDEN", "A text input under a label has no label of its own")
    elif kind in v.SELECTS:
        check_select(problems, at, part)
    else:
        problems.text((*at, "custom_id"), part.get("custom_id"), 1, 100)
        if kind in (v.RADIO_GROUP, v.CHECKBOX_GROUP):
            options = problems.amount((*at, "options"), part.get("options"), 2 if kind == v.RADIO_GROUP else 1, 10)
            check_options(problems, (*at, "options"), options)
        problems.number((*at, "min_values"), part.get("min_values"), 0, 10)
        problems.number((*at, "max_values"), part.get("max_values"), 1, 10)


def _check_text_input(problems: Problems, at: Path, part: Json) -> None:
    problems.text((*at, "custom_id"), part.get("custom_id"), 1, 100)
    problems.kind((*at, "style"), part.get("style"), frozenset({1, 2}))
    problems.number((*at, "min_length"), part.get("min_length"), 0, LONGEST_ANSWER)
    problems.number((*at, "max_length"), part.get("max_length"), 1, LONGEST_ANSWER)
    problems.text((*at, "value"), part.get("value"), 0, LONGEST_ANSWER)
    problems.text((*at, "placeholder"), part.get("placeholder"), 0, 100)
    least, most = part.get("min_length"), part.get("max_length")
    if isinstance(least, int) and isinstance(most, int) and least > most:
        problems.add((*at, "min_length"), "TEXT_INPUT_MIN_LENGTH", "min_length must not be over max_length")


def _field(part: Json, label: str, description: str) -> FormField:
    kind = part["type"]
    text = kind == v.TEXT_INPUT
    options = [(Choice(o["label"], o["value"]), o.get("default")) for o in part.get("options") or []]
    least = part.get("min_length" if text else "min_values")
    most = part.get("max_length" if text else "max_values")
    required = part.get("required")
    return FormField(
        custom_id=part["custom_id"],
        label=label,
        description=description,
        kind=kind,
        value=part.get("value") or next((str(choice.value) for choice, default in options if default), ""),
        required=True if required is None else bool(required),
        least=least if least is not None else (0 if text else 1),
        most=most if most is not None else (LONGEST_ANSWER if text else 1),
        long=text and part.get("style") == 2,
        placeholder=part.get("placeholder") or "",
        options=tuple(choice for choice, _ in options),
    )
