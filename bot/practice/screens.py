"""What a person's screen sends: a press on a button or select, and a filled form, as the data of an interaction."""

from collections.abc import Mapping, Sequence

from bot.practice import values as v
from bot.practice.values import FormField, FormShown, Json, Message, NotOffered, walk

Filled = str | Sequence[str] | bool


def press_data(message: Message, custom_id: str, chosen: Sequence[str]) -> Json:
    """The data of a press. Raises NotOffered if the message has no such thing, or it cannot be pressed so."""
    part = next((each for each in walk(message.components) if each.get("custom_id") == custom_id), None)
    if part is None:
        there = [each["custom_id"] for each in walk(message.components) if each.get("custom_id")]
        raise NotOffered(f"nothing to press has the custom id {custom_id!r}; there are {there}")
    if part.get("disabled"):
        raise NotOffered(f"{custom_id!r} is disabled")
    data: Json = {"custom_id": custom_id, "component_type": part["type"], "id": part["id"]}
    if part["type"] in v.SELECTS:
        offered = [option["value"] for option in part.get("options") or []]
        _check_chosen(custom_id, chosen, offered, part.get("min_values", 1), part.get("max_values", 1))
        data["values"] = list(chosen)
    return data


def form_data(form: FormShown, filled: Mapping[str, Filled]) -> Json:
    """The data of a submitted form. A field that is not named keeps what stood in it.

    Raises:
        NotOffered: a name is no field of the form, or the chat would not let it be submitted so.
    """
    fields = {field.custom_id: field for field in form.fields}
    for name in filled:
        if name not in fields:
            raise NotOffered(f"the form has no field {name!r}; there are {list(fields)}")
    components = []
    for number, part in enumerate(form.components, start=1):
        inner = part["component"] if part["type"] == v.LABEL else (part.get("components") or [None])[0]
        if inner is None:
            components.append({"type": part["type"], "id": number})
            continue
        field = fields[inner["custom_id"]]
        answer = {"type": field.kind, "custom_id": field.custom_id, **_answer(field, filled.get(field.custom_id))}
        if part["type"] == v.LABEL:
            components.append({"type": v.LABEL, "id": number, "component": answer})
        else:
            components.append({"type": v.ACTION_ROW, "id": number, "components": [answer]})
    return {"custom_id": form.custom_id, "components": components}


def _answer(field: FormField, given: Filled | None) -> Json:
    if field.kind == v.TEXT_INPUT:
        text = field.value if given is None else str(given)
        if field.required and not text:
            raise NotOffered(f"the field {field.custom_id!r} ({field.label}) is required")
        if text and not field.least <= len(text) <= field.most:
            raise NotOffered(
                f"the field {field.custom_id!r} takes {field.least} to {field.most} characters, not {len(text)}"
            )
        return {"value": text}
    if field.kind == v.CHECKBOX:
        return {"value": bool(given)}
    if given is None:
        chosen = [field.value] if field.value else []
    else:
        chosen = (
            [given] if isinstance(given, str) else [str(each) for each in given] if not isinstance(given, bool) else []
        )
    least = field.least if field.required else 0
    _check_chosen(field.custom_id, chosen, [str(choice.value) for choice in field.options], least, field.most)
    if field.kind == v.RADIO_GROUP:
        return {"value": chosen[0] if chosen else None}
    return {"values": chosen}


def _check_chosen(name: str, chosen: Sequence[str], offered: Sequence[str], least: int, most: int) -> None:
    strange = [value for value in chosen if value not in offered]
    if strange:
        raise NotOffered(f"{name!r} offers {list(offered)}, not {strange[0]!r}")
    if not least <= len(chosen) <= most:
        raise NotOffered(f"{name!r} takes {least} to {most} choices, not {len(chosen)}")
