"""What the book refuses, as facts. No sentences for people: those are made elsewhere.

RecordsError
├── BadAddress     the database address is not one the book can live at (also a ValueError)
├── NotOpened      there is no book at the address, or its server does not let us in
├── BrokenReference  a migration left a row that points to nothing
├── Unlogged       a unit changed the book and was left without its event
├── AlreadyLogged  a second event for one request
├── Repeated       a write in a unit whose request is already in the book
├── Missing        a write to a row that this server does not have
└── NotUndone      an undo that was refused; nothing was changed
    ├── Changed       a row is no longer as the event left it
    ├── Depended      rows written later hang on a row the event made
    └── Irreversible  the event left nothing to take back
"""


class RecordsError(Exception):
    """The book refused."""


class BadAddress(RecordsError, ValueError):
    """The database address is not one the book can live at. `address` is shown without its password."""

    def __init__(self, address: str, expected: str) -> None:
        super().__init__(f"{address}: {expected}")
        self.address = address
        self.expected = expected


class NotOpened(RecordsError):
    """The database could not be opened and brought up to date. `address` is shown without its password."""

    def __init__(self, address: str, reason: str) -> None:
        super().__init__(f"{address}: {reason}")
        self.address = address
        self.reason = reason


class BrokenReference(RecordsError):
    """A migration was taken back whole: a row of `table` pointed to no row of `target` after it."""

    def __init__(self, table: str, target: str) -> None:
        super().__init__(f"{table} to {target}")
        self.table = table
        self.target = target


class Unlogged(RecordsError):
    """A unit changed these tables and was left without its event. It was rolled back."""

    def __init__(self, tables: frozenset[str]) -> None:
        super().__init__(", ".join(sorted(tables)))
        self.tables = tables


class AlreadyLogged(RecordsError):
    """The request has its event already: `seq`."""

    def __init__(self, seq: int) -> None:
        super().__init__(f"event {seq}")
        self.seq = seq


class Repeated(RecordsError):
    """The request was done before, as event `seq`; nothing may be written for it again."""

    def __init__(self, seq: int) -> None:
        super().__init__(f"event {seq}")
        self.seq = seq


class Missing(RecordsError):
    """This server has no such row."""

    def __init__(self, table: str, row_id: int) -> None:
        super().__init__(f"{table} {row_id}")
        self.table = table
        self.id = row_id


class NotUndone(RecordsError):
    """The event could not be taken back. Nothing was changed."""


class Changed(NotUndone):
    """This row is no longer as the event left it."""

    def __init__(self, table: str, row_id: int) -> None:
        super().__init__(f"{table} {row_id}")
        self.table = table
        self.id = row_id


class Depended(NotUndone):
    """Rows of `by` hang on this row, which the event had made."""

    def __init__(self, table: str, row_id: int, by: str) -> None:
        super().__init__(f"{table} {row_id} by {by}")
        self.table = table
        self.id = row_id
        self.by = by


class Irreversible(NotUndone):
    """The event holds no row to put back, as an erasure does not."""

    def __init__(self, seq: int) -> None:
        super().__init__(f"event {seq}")
        self.seq = seq
