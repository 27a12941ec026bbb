"""Is an animal that shows a dominant homozygous? What clean young of a wild mate say, with what was thought before."""

from fractions import Fraction

from genetics.errors import OutOfRange
from genetics.limits import YOUNG
from genetics.survival import smallest

HALF = Fraction(1, 2)


def homozygous_after(prior: Fraction, clean: int, shows: Fraction = HALF) -> Fraction:
    """P(homozygous | so many young were scored and all show), by Bayes' theorem, at full penetrance.

    prior: before any young, 0 to 1; a visual young of het × het has 1/3.
    shows: the chance that a young of a het shows; 1/2 with a wild mate. A single young that does not show settles it: het.
    Raises OutOfRange for a number that cannot be.

    >>> [f"{float(homozygous_after(Fraction(1, 3), clean)):.0%}" for clean in (5, 6, 8)]
    ['94%', '97%', '99%']
    """
    _check(prior, shows)
    if not 0 <= clean <= YOUNG:
        raise OutOfRange("young", str(clean), "0", str(YOUNG))
    return prior / (prior + (1 - prior) * shows**clean)


def young_to_prove(prior: Fraction, confidence: Fraction, shows: Fraction = HALF) -> int:
    """The smallest number of young, all showing, after which the animal is homozygous with so much confidence.

    Raises OutOfRange unless 0 < confidence < 1 and prior > 0, and when more than 100,000 would be needed.

    >>> young_to_prove(Fraction(1, 3), Fraction(95, 100)), young_to_prove(Fraction(1, 3), Fraction(99, 100))
    (6, 8)
    """
    _check(prior, shows)
    if prior == 0:
        raise OutOfRange("prior", "0", "above 0", "1")
    if not 0 < confidence < 1:
        raise OutOfRange("confidence", str(confidence), "above 0", "below 1")
    if prior >= confidence:
        return 0
    return smallest(lambda clean: homozygous_after(prior, clean, shows) >= confidence, 1, "young to prove")


def _check(prior: Fraction, shows: Fraction) -> None:
    if not 0 <= prior <= 1:
        raise OutOfRange("prior", str(prior), "0", "1")
    if not 0 <= shows < 1:
        raise OutOfRange("share of a het's young that show", str(shows), "0", "below 1")
