"""How sewn canvas is tried: what its seams are, how their strength is looked at, how water is put on them."""

from enum import StrEnum

from app.trade.canvas.sewn import CUP, GRAB, STRIP


class SeamClass(StrEnum):
    """What the seams of walls and roof are: classes of ISO 4916, types of ASTM D6193.

    Sources, read: ISO 4916:1991 classes 1 superimposed, 2 lapped, 3 bound, at garmentsdoctor.com (type of
    seam used in garments industry); SSa and LSa as seam types, A-A-52109 2.2. LSb, LSc, BSc: from memory.
    """

    FELLED = "felled"
    LAPPED = "lapped"
    BOUND = "bound"
    PLAIN = "plain"

    @property
    def word(self) -> str:
        """The seam in words, with its class and type."""
        return {
            "felled": "Lapped and felled, two rows (ISO 4916 class 2, LSc)",
            "lapped": "Lapped, edges raw or folded once, for film and vinyl (class 2, LSa, LSb)",
            "bound": "Bound, for edges and screens (class 3, BSc)",
            "plain": "Plain, one row (class 1, SSa)",
        }[self]


class Stitch(StrEnum):
    """The stitch of the seams, a type of ISO 4915.

    Sources, read: 301, 304 and 401 at apparelscience.com (ISO stitch types 300-400), 101 for basting at
    ecoursesonline.iasri.res.in (stitch types). 516: from memory.
    """

    LOCK = "301"
    ZIGZAG = "304"
    CHAIN = "401"
    SAFETY = "516"
    SINGLE = "101"

    @property
    def word(self) -> str:
        """The stitch in words, with its type."""
        return {
            "301": "Lockstitch (ISO 4915 301)",
            "304": "Zigzag lockstitch (304)",
            "401": "Two-thread chain (401)",
            "516": "Overedge with safety stitch (516)",
            "101": "One-thread chain (101)",
        }[self]


class Seams(StrEnum):
    """How the strength of the seams was looked at."""

    HAND = "hand"
    STRIP = "strip"
    GRAB = "grab"

    @property
    def word(self) -> str:
        """The way in words, with its standard."""
        return {
            "hand": "Pulled by hand (common practice)",
            "strip": f"Strip test, {STRIP}",
            "grab": f"Grab test, {GRAB}",
        }[self]

    @property
    def standard(self) -> str:
        """Its standard; empty by hand."""
        return {"strip": STRIP, "grab": GRAB}.get(self, "")


class Water(StrEnum):
    """How water was put on it."""

    SPRAY = "spray"
    CUP = "cup"
    RATING = "iso4920"
    ISO = "iso811"
    AATCC = "aatcc127"

    @property
    def word(self) -> str:
        """The way in words, with its standard."""
        return {
            "spray": "Hung and sprayed (common practice)",
            "cup": f"Cup of 500 ml over a seam for 5 min, {CUP}",
            "iso4920": "Spray rating of a cutting, ISO 4920",
            "iso811": "Hydrostatic head of a cutting, ISO 811",
            "aatcc127": "Hydrostatic head of a cutting, AATCC 127",
        }[self]

    @property
    def head(self) -> str:
        """The standard of its hydrostatic head; empty where it is another test."""
        return {"iso811": "ISO 811", "aatcc127": "AATCC 127"}.get(self, "")
