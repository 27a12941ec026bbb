"""Refusals of the chat service, with the documented HTTP status and JSON error code.

Codes and shape after the service's public documentation, "Opcodes and Status Codes" and "Error Messages".
"""

from bot.practice.values import Json


class ApiError(Exception):
    """A request is refused. `status` is HTTP's, `code` the service's own."""

    def __init__(self, status: int, code: int, message: str, errors: Json | None = None) -> None:
        super().__init__(f"{status} ({code}): {message} {errors or ''}".rstrip())
        self.status = status
        self.code = code
        self.message = message
        self.errors = errors

    @property
    def body(self) -> Json:
        """The JSON body of the refusal."""
        body: Json = {"message": self.message, "code": self.code}
        if self.errors is not None:
            body["errors"] = self.errors
        return body


class Problems:
    """Collects what is wrong with a request, by path, and refuses it as an invalid form (50035) if anything is."""

    def __init__(self) -> None:
        self._tree: Json = {}

    def add(self, at: tuple[str | int, ...], code: str, message: str) -> None:
        """Note a problem at a path such as ("components", 0, "label")."""
        node = self._tree
        for step in at:
            node = node.setdefault(str(step), {})
        node.setdefault("_errors", []).append({"code": code, "message": message})

    def text(self, at: tuple[str | int, ...], value: object, least: int, most: int) -> None:
        """Note that `value` is no text of `least` to `most` characters. None passes when `least` is 0."""
        if value is None and least == 0:
            return
        if value is None:
            self.add(at, "BASE_TYPE_REQUIRED", "This field is required")
        elif not isinstance(value, str):
            self.add(at, "BASE_TYPE_STRING", "Could not interpret value as string.")
        elif not least <= len(value) <= most:
            self._length(at, least, most)

    def number(self, at: tuple[str | int, ...], value: object, least: int, most: int) -> None:
        """Note that `value` is no whole number from `least` to `most`. None passes."""
        if value is None:
            return
        if not isinstance(value, int) or isinstance(value, bool):
            self.add(at, "NUMBER_TYPE_COERCE", f'Value "{value}" is not int.')
        elif value > most:
            self.add(at, "NUMBER_TYPE_MAX", f"int value should be less than or equal to {most}.")
        elif value < least:
            self.add(at, "NUMBER_TYPE_MIN", f"int value should be greater than or equal to {least}.")

    def amount(self, at: tuple[str | int, ...], items: object, least: int, most: int) -> list[Json]:
        """The objects of a list, noting that it is none or that their number is not from `least` to `most`."""
        if items is None:
            items = []
        if not isinstance(items, list) or not all(isinstance(item, dict) for item in items):
            self.add(at, "LIST_TYPE_CONVERT", "Only iterables may be used in a ListType")
            return []
        if not least <= len(items) <= most:
            self.add(at, "BASE_TYPE_BAD_LENGTH", f"Must be between {least} and {most} in length.")
        return items

    def kind(self, at: tuple[str | int, ...], value: object, allowed: frozenset[int]) -> bool:
        """Whether `value` is one of the allowed types; notes it if not."""
        if value in allowed:
            return True
        listed = ", ".join(str(number) for number in sorted(allowed))
        self.add(at, "BASE_TYPE_CHOICES", f"Value must be one of {{{listed}}}.")
        return False

    def refuse(self) -> None:
        """Raise the collected problems as one refusal, if there are any."""
        if self._tree:
            raise ApiError(400, 50035, "Invalid Form Body", self._tree)

    def _length(self, at: tuple[str | int, ...], least: int, most: int) -> None:
        if least > 0:
            self.add(at, "BASE_TYPE_BAD_LENGTH", f"Must be between {least} and {most} in length.")
        else:
            self.add(at, "BASE_TYPE_MAX_LENGTH", f"Must be {most} or fewer in length.")


def unauthorized() -> ApiError:
    """The token is missing or wrong."""
    return ApiError(401, 0, "401: Unauthorized")


def not_found() -> ApiError:
    """There is no such route."""
    return ApiError(404, 0, "404: Not Found")


def invalid_json() -> ApiError:
    """The body is no JSON."""
    return ApiError(400, 50109, "The request body contains invalid JSON.")


def unknown_channel() -> ApiError:
    """There is no such channel, or no more."""
    return ApiError(404, 10003, "Unknown Channel")


def unknown_guild() -> ApiError:
    """There is no such server, or the bot is not in it."""
    return ApiError(404, 10004, "Unknown Guild")


def unknown_message() -> ApiError:
    """There is no such message, or no more, or it is not for these eyes."""
    return ApiError(404, 10008, "Unknown Message")


def unknown_user() -> ApiError:
    """There is no such person."""
    return ApiError(404, 10013, "Unknown User")


def unknown_webhook() -> ApiError:
    """No interaction with this token has been answered yet, so nothing can follow."""
    return ApiError(404, 10015, "Unknown Webhook")


def unknown_interaction() -> ApiError:
    """No such interaction, or its first three seconds are over."""
    return ApiError(404, 10062, "Unknown interaction")


def already_answered() -> ApiError:
    """The interaction has its first answer."""
    return ApiError(400, 40060, "Interaction has already been acknowledged.")


def token_expired() -> ApiError:
    """The fifteen minutes of an interaction's token are over."""
    return ApiError(401, 50027, "Invalid Webhook Token")


def missing_access() -> ApiError:
    """The bot cannot see the channel."""
    return ApiError(403, 50001, "Missing Access")


def missing_permissions() -> ApiError:
    """The bot sees the channel but may not do this in it."""
    return ApiError(403, 50013, "Missing Permissions")


def not_the_author() -> ApiError:
    """The message is another's."""
    return ApiError(403, 50005, "Cannot edit a message authored by another user")


def empty_message() -> ApiError:
    """A message without any content."""
    return ApiError(400, 50006, "Cannot send an empty message")


def invalid_recipient() -> ApiError:
    """A direct message to nobody."""
    return ApiError(400, 50033, "Invalid Recipient(s)")


def too_large() -> ApiError:
    """A file over the limit."""
    return ApiError(413, 40005, "Request entity too large")


def too_many_files() -> ApiError:
    """More than ten files in a message."""
    return ApiError(400, 30015, "Maximum number of attachments in a message reached (10)")


def too_many_commands(most: int) -> ApiError:
    """More commands than an application may have."""
    return ApiError(400, 30032, f"Maximum number of application commands reached ({most})")
