"""A form as it arrived, as questions that a terminal asks one after another."""

from bot.practice.values import TEXT_DISPLAY, TEXT_INPUT, FormField, FormShown, walk
from bot.practice.words import Screen, paragraphs, printable, wrapped

HOW_TO_ANSWER = "An empty line keeps what stands in [ ]. A single . leaves the form."


class AnswerError(Exception):
    """An answer the form would not take. The text is a sentence that says what to type instead."""


def title(form: FormShown, screen: Screen) -> str:
    """The form's title, and those of its words that ask nothing."""
    rows = wrapped(f"Form: {printable(form.title)}", screen.width)
    for part in walk(form.components):
        if part.get("type") == TEXT_DISPLAY:
            rows += paragraphs(str(part.get("content", "")), screen)
    return "\n".join(rows)


def question(field: FormField, screen: Screen) -> str:
    """One question as it is asked: its label, what explains it, and what stands in it already."""
    about = [text for text in (field.description, field.placeholder and f"such as {field.placeholder}") if text]
    rows = wrapped(_one_line(": ".join([field.label, "; ".join(about)]) if about else field.label), screen.width)
    for number, option in enumerate(field.options, 1):
        rows += wrapped(f"- {number} {_one_line(option.name)}", screen.width)
    standing = f"[{_one_line(_shown(field))}] " if field.value else "" if field.required else "[nothing] "
    return "\n".join([*rows, f"{standing}> "])


def answer(field: FormField, typed: str) -> str:
    """What is sent for a typed line; an empty line keeps what stands there. A choice is typed by number or by name.

    Raises:
        AnswerError: nothing stands in a required field, the text is too short or too long, or no such choice.
    """
    text = typed.strip() or field.value
    if not text:
        if field.required:
            raise AnswerError(f"{field.label} cannot stay empty. Type an answer, or . to leave the form.")
        return ""
    if field.options:
        return _chosen(field, text)
    if field.kind != TEXT_INPUT:
        raise AnswerError(f"{field.label} cannot be filled in from a terminal. Type . to leave the form.")
    if not field.least <= len(text) <= field.most:
        bounds = f"{field.least} to {field.most}" if field.least else f"at most {field.most}"
        raise AnswerError(f"That is {len(text)} characters; {field.label} takes {bounds}.")
    return text


def _chosen(field: FormField, text: str) -> str:
    for number, option in enumerate(field.options, 1):
        if text.lower() in {str(number), option.name.lower(), str(option.value).lower()}:
            return str(option.value)
    raise AnswerError(f"Type one of: {', '.join(option.name for option in field.options)}; or its number.")


def _shown(field: FormField) -> str:
    return next((option.name for option in field.options if str(option.value) == field.value), field.value)


def _one_line(text: str) -> str:
    return printable(text).replace("\n", " ")
