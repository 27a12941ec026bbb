"""Every command with who may do it: what the tests of access go over. A new command has no place to hide: it must stand here."""

from dataclasses import dataclass
from enum import Enum, auto

from discord import app_commands

from bot.chat.discovery import Command, discover


class Needs(Enum):
    """What a person needs for a command."""

    READ = auto()
    """To read the bin that it names."""
    TEND = auto()
    """To tend it."""
    SHARE = auto()
    """To share it."""
    HIDE = auto()
    """To own it."""
    AUTHOR = auto()
    """To have written the trait that it names, or to be a steward."""
    STEWARD = auto()
    """To be a steward."""
    NOTHING = auto()
    """It is about oneself, or about what everybody may do."""


@dataclass(frozen=True, slots=True)
class Line:
    """A command that can be typed, for a bin whose code stands for `{bin}`, and what it needs.

    `at_home`: it names nothing that another server could lack, so in any server it does what it says.
    """

    typed: str
    needs: Needs
    at_home: bool = False


SETTING = (
    "/bin share bin:B-3 with:@Ash",
    "/pair setup dams:1 unmated from B-3 sires:1 from B-3 bin:B-3",
    "/brood log of:P-1 scored:6 het frost 17 wild",
    "/find log bin:B-3 trait:frost same:same animal:female",
)
"""What Moss does before anybody else types a line: B-3 then has a co-keeper, and P-1 and P-1.1 stand in it."""

LINES = {
    "brood keep": Line("/brood keep brood:P-1.1 keep:1 het frost", Needs.TEND),
    "brood list": Line("/brood list of:P-1", Needs.READ),
    "brood log": Line("/brood log of:P-1 scored:5 het frost 5 wild", Needs.TEND),
    "brood score": Line("/brood score brood:P-1.1 scored:5 het frost 17 wild", Needs.TEND),
    "brood show": Line("/brood show brood:P-1.1", Needs.READ),
    "find list": Line("/find list bin:{bin}", Needs.READ),
    "find log": Line("/find log bin:{bin} trait:dusk animal:female", Needs.TEND),
    "find show": Line("/find show find:1", Needs.READ),
    "line family": Line("/line family bin:{bin}", Needs.READ),
    "line mates": Line("/line mates bin:{bin}", Needs.READ),
    "line warn": Line("/line warn note:5 %", Needs.STEWARD, at_home=True),
    "pair end": Line("/pair end pairing:P-1", Needs.TEND),
    "pair gravid": Line("/pair gravid pairing:P-1", Needs.TEND),
    "pair list": Line("/pair list", Needs.NOTHING, at_home=True),
    "pair out": Line("/pair out pairing:P-1", Needs.TEND),
    "pair setup": Line("/pair setup dams:1 unmated from {bin} sires:1 from {bin} bin:{bin}", Needs.TEND),
    "pair show": Line("/pair show pairing:P-1", Needs.READ),
    "pair young": Line("/pair young pairing:P-1", Needs.TEND),
    "bin open": Line("/bin open species:Armadillidium nasatum parents:{bin}", Needs.READ),
    "bin show": Line("/bin show bin:{bin}", Needs.READ),
    "bin labels": Line("/bin labels bins:{bin}", Needs.READ),
    "bin list": Line("/bin list whose:all", Needs.NOTHING),
    "bin backup": Line("/bin backup bin:{bin} of:B-4", Needs.TEND),
    "bin batch": Line("/bin batch batch:oak", Needs.NOTHING, at_home=True),
    "bin hold": Line("/bin hold bin:{bin} reason:another reason", Needs.TEND),
    "bin litter": Line("/bin litter bin:{bin} batch:oak", Needs.TEND),
    "bin look": Line("/bin look bin:{bin} saw:clean", Needs.TEND),
    "bin quarantine": Line("/bin quarantine bin:{bin}", Needs.TEND),
    "bin release": Line("/bin release bin:{bin}", Needs.TEND),
    "bin stray": Line("/bin stray bin:{bin} what:the lid was off", Needs.TEND),
    "bin temperature": Line("/bin temperature bin:{bin} reading:22 C", Needs.TEND),
    "bin history": Line("/bin history bin:{bin}", Needs.READ),
    "bin split": Line("/bin split bin:{bin} number:3", Needs.TEND),
    "bin merge": Line("/bin merge bin:{bin} into:{bin}", Needs.TEND),
    "bin move": Line("/bin move bin:{bin} shelf:window", Needs.TEND),
    "bin close": Line("/bin close bin:{bin} reason:another reason when:2199-01-01", Needs.TEND),
    "bin share": Line("/bin share bin:{bin} with:@Tamsin", Needs.SHARE),
    "bin unshare": Line("/bin unshare bin:{bin} with:@Wren", Needs.SHARE),
    "bin privacy": Line("/bin privacy bin:{bin} private:notes", Needs.HIDE),
    "care add": Line("/care add bin:{bin} task:recount day:Friday time:18:00 zone:Europe/Lisbon", Needs.TEND),
    "care away": Line("/care away until:tomorrow", Needs.NOTHING),
    "care end": Line("/care end task:999999", Needs.NOTHING),
    "care list": Line("/care list", Needs.NOTHING, at_home=True),
    "care pause": Line("/care pause task:999999", Needs.NOTHING),
    "care resume": Line("/care resume task:all", Needs.NOTHING, at_home=True),
    "care today": Line("/care today", Needs.NOTHING, at_home=True),
    "count chart": Line("/count chart bin:{bin}", Needs.READ),
    "count log": Line("/count log bin:{bin} count:12", Needs.TEND),
    "help": Line("/help", Needs.NOTHING, at_home=True),
    "keeper show": Line("/keeper show", Needs.NOTHING, at_home=True),
    "keeper set": Line("/keeper set units:metric", Needs.NOTHING, at_home=True),
    "keeper server": Line("/keeper server prefix:HL-", Needs.STEWARD, at_home=True),
    "keeper erase": Line("/keeper erase", Needs.NOTHING, at_home=True),
    "odds": Line("/odds cross:{bin} x wild", Needs.READ),
    "photo describe": Line("/photo describe number:999999 shows:pale", Needs.NOTHING),
    "photo file": Line("/photo file photo:tests/support/odd.jpg of:{bin}", Needs.TEND),
    "photo list": Line("/photo list of:{bin}", Needs.READ),
    "photo show": Line("/photo show number:999999", Needs.NOTHING),
    "records audit": Line("/records audit bin:{bin}", Needs.READ),
    "records undo": Line("/records undo change:999999", Needs.NOTHING),
    "species reset": Line("/species reset species:Porcellio scaber", Needs.STEWARD, at_home=True),
    "species set": Line("/species set species:Porcellio scaber sex:ZZ/ZW", Needs.STEWARD, at_home=True),
    "species show": Line("/species show species:Porcellio scaber", Needs.NOTHING, at_home=True),
    "trait change": Line("/trait change name:frost symbol:Fr", Needs.AUTHOR),
    "trait combine": Line("/trait combine name:slate traits:frost, ember way:9:7", Needs.NOTHING),
    "trait compare": Line("/trait compare first:frost second:ember", Needs.NOTHING),
    "trait define": Line("/trait define name:dusk shows:recessive", Needs.NOTHING, at_home=True),
    "trait distance": Line("/trait distance cross:frost ember x wild observed:3 frost", Needs.NOTHING),
    "trait evidence": Line("/trait evidence name:frost", Needs.READ),
    "trait guide add": Line("/trait guide add name:frost call:shows it photo:999999", Needs.AUTHOR),
    "trait guide order": Line("/trait guide order name:frost order:2 1", Needs.AUTHOR),
    "trait guide remove": Line("/trait guide remove name:frost place:1", Needs.AUTHOR),
    "trait guide score": Line("/trait guide score name:frost", Needs.NOTHING),
    "trait guide show": Line("/trait guide show name:frost", Needs.NOTHING),
    "trait follow": Line("/trait follow name:frost", Needs.AUTHOR),
    "trait link": Line("/trait link traits:frost, ember distance:10", Needs.NOTHING),
    "trait list": Line("/trait list", Needs.NOTHING),
    "trait part": Line("/trait part relation:frost", Needs.NOTHING),
    "trait priors": Line("/trait priors name:frost priors:recessive 40", Needs.STEWARD),
    "trait series": Line("/trait series order:frost > ember", Needs.NOTHING),
    "trait unfollow": Line("/trait unfollow name:frost", Needs.AUTHOR),
    "trait show": Line("/trait show name:frost", Needs.NOTHING),
}
"""Of each command a line, by its words. A line does not rest on another's having been typed."""


def every_command() -> set[str]:
    """The words of every command that can be typed."""
    return {words for command in discover().commands for words in _words(command, ())}


def _words(command: Command, above: tuple[str, ...]) -> list[str]:
    path = (*above, command.name)
    if isinstance(command, app_commands.Group):
        return [words for each in command.commands for words in _words(each, path)]
    return [" ".join(path)]
