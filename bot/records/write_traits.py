"""Writing traits, and what they are to each other, into a server's book."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from bot.records import tables
from bot.records.kinds import Dominance, RelationKind
from bot.records.writing import Writing

NAMES_OF_TRAITS: Final = (tables.traits.c.name_id, tables.trait_relations.c.name_id, tables.trait_relations.c.looks_id)
"""The columns whose texts are words of the whole server, whoever typed them first."""


class TraitWriting(Writing):
    """The part of a book that writes traits."""

    async def add_trait(
        self,
        *,
        name: str,
        symbol: str,
        dominance: Dominance,
        species_key: str | None = None,
        model: Mapping[str, Any] | None = None,
    ) -> int:
        """Define a trait; `species_key` None means any species, `model` None that its dominance says all."""
        return await self._add(
            tables.traits,
            name_id=await self.add_text(name),
            symbol=symbol,
            dominance=dominance,
            species_key=species_key,
            author_id=self.stamp.actor,
            created_at=self.stamp.now,
            retired_at=None,
            model=None if model is None else dict(model),
        )

    async def change_trait(
        self,
        trait_id: int,
        *,
        symbol: str,
        dominance: Dominance,
        species_key: str | None,
        model: Mapping[str, Any] | None,
    ) -> None:
        """Say anew how a trait is inherited; its name stays.

        Raises:
            Missing: this server has no such trait.
        """
        await self._change(
            tables.traits,
            trait_id,
            symbol=symbol,
            dominance=dominance,
            species_key=species_key,
            model=None if model is None else dict(model),
        )

    async def add_relation(
        self,
        kind: RelationKind,
        members: Sequence[int],
        body: Mapping[str, Any],
        *,
        name: str | None = None,
        looks: Sequence[str] = (),
    ) -> int:
        """Record what traits are to each other, in the order that `body` speaks of them.

        Args:
            kind: alleles of one locus, loci on one chromosome, or makers of one look.
            members: ids of the traits.
            body: the document that says the rest.
            name: what keepers call it.
            looks: the names of the classes made together; none holds a line end.
        """
        relation_id = await self._add(
            tables.trait_relations,
            kind=kind,
            name_id=await self._text(name),
            looks_id=await self._text("\n".join(looks) or None),
            body=dict(body),
            author_id=self.stamp.actor,
            created_at=self.stamp.now,
            ended_at=None,
        )
        for place, trait_id in enumerate(members):
            await self._add(tables.trait_relation_members, relation_id=relation_id, trait_id=trait_id, place=place)
        return relation_id

    async def end_relation(self, relation_id: int) -> None:
        """The traits are that to each other no more.

        Raises:
            Missing: this server has no such relation.
        """
        await self._change(tables.trait_relations, relation_id, ended_at=self.stamp.now)
