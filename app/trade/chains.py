"""Safety chains: breaking strength from grade and size, and what the law wants of them."""

from collections.abc import Sequence
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

CHAIN_RULE = Source("49 CFR", "393.70(d)")
CHAIN_CAUTION = (
    "Each weakest part counts: link, hook, eye, weld. Crossed below the tongue, to the frame, hooks with "
    "latches. Local law may ask each chain for the whole weight."
)

# Working load limit in lb by grade and size: 49 CFR 393.108. Breaking strength is that × the grade's factor.
WORKING_LOAD = {
    (30, "1/4"): 1300,
    (30, "5/16"): 1900,
    (30, "3/8"): 2650,
    (30, "7/16"): 3700,
    (30, "1/2"): 4500,
    (43, "1/4"): 2600,
    (43, "5/16"): 3900,
    (43, "3/8"): 5400,
    (43, "7/16"): 7200,
    (43, "1/2"): 9200,
    (70, "1/4"): 3150,
    (70, "5/16"): 4700,
    (70, "3/8"): 6600,
    (70, "7/16"): 8750,
    (70, "1/2"): 11300,
}
FACTOR = {30: 4, 43: 3, 70: 4}


def breaking_strength(grade: int, size: str) -> Decimal:
    """Breaking strength of a chain in lb, from its grade mark and size. Source: 49 CFR 393.108.

    Raises Impossible for a chain outside the table: an unmarked one is grade 30.
    """
    if (grade, size) not in WORKING_LOAD:
        raise Impossible(
            f"Grade {grade} chain of {size} in is not in the table", "30, 43 or 70; 1/4 to 1/2 in"
        )
    return Decimal(WORKING_LOAD[grade, size] * FACTOR[grade])


def chain_strength(chains: Sequence[Quantity], gross_rating: Quantity) -> Worked[Decimal]:
    """Breaking strength of all chains together in lb, against the trailer's gross rating.

    `chains`: for each, the weakest part's breaking strength (not its working load). None at all is held.
    Source: 49 CFR 393.70(d) for the sum, state law (each) as printed.
    """
    strengths = tuple(above_zero("Chain", each, "lb") for each in chains)
    rating = above_zero("Gross rating", gross_rating, "lb")
    return Worked(
        name="chain strength",
        value=sum(strengths, Decimal(0)),
        says=says(sum(strengths, Decimal(0)), "lb"),
        unit="lb",
        formula="breaking strength of each chain's weakest part, added",
        inputs=(
            *(Input(f"chain {n}", str(each)) for n, each in enumerate(chains, 1)),
            Input("gross rating", str(gross_rating)),
        ),
        limit=f"together at least {gross_rating}; each at least that in many states",
        verdict=_chains(strengths, rating),
        source=CHAIN_RULE,
        caution=CHAIN_CAUTION,
    )


def _chains(strengths: tuple[Decimal, ...], rating: Decimal) -> Verdict:
    if not strengths:
        return Verdict(Grade.DNT, "no safety chain")
    if sum(strengths) < rating:
        return Verdict(Grade.DNT, "all chains together break under the gross rating")
    if len(strengths) == 1:
        return Verdict(Grade.NEEDS, "one chain only: local law decides", By.TOWING)
    if min(strengths) < rating:
        return Verdict(Grade.NEEDS, "only the total reaches the gross rating: local law decides", By.TOWING)
    return Verdict(Grade.SOUND, "each chain reaches the gross rating")
