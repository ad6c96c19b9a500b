"""What a wrong ruler means: computed from the paper, so that a reading names its cause."""

from __future__ import annotations

from dataclasses import dataclass

from tiling.paper import PAPERS, Page, Paper

__all__ = ["RulerReading", "fitted", "readings"]

# What printers leave blank at each edge, mm: some 4, some 6.35 (a quarter of an inch), read in makers' manuals and
# driver kits.  "Fit" shrinks a page to what is left.
BLANK = (4.0, 6.35)
COPIED = (0.984, "a copier's 100 %")  # a 16 in ruler came out 15 3/4 in: one published measurement
FEED = 0.02  # in one direction: a laser engine may be off that much by its makers' leave, one published statement
OTHER = {"A4": "letter", "letter": "A4", "A3": "tabloid", "tabloid": "A3"}  # what is loaded by mistake


@dataclass(frozen=True, slots=True, kw_only=True)
class RulerReading:
    """One way to print wrong.

    Attributes:
        shares: least and greatest of what a length comes out as, of its true length.
        cause, cure: in a few words.
        sides: "both" rulers read so, or only "one".
    """

    shares: tuple[float, float]
    cause: str
    cure: str

    def on(self, length: float) -> str:
        """What a ruler of that length reads, mm, in words: one value, or two with "to"."""
        low, high = (f"{round(share * length, 1):g}" for share in self.shares)
        return low if low == high else f"{low} to {high}"


def fitted(page: Paper, onto: Paper, *, blank: float = 0.0) -> float:
    """The scale when a page is fitted to another paper (or its own) whose edges stay blank."""
    return min((onto.width - 2.0 * blank) / page.width, (onto.height - 2.0 * blank) / page.height)


def readings(page: Page) -> tuple[RulerReading, ...]:
    """The usual ways to print wrong on that paper, from the smallest print to the largest."""
    paper = page.paper
    shares = sorted(
        fitted(paper, loaded, blank=blank) for loaded in paper.onto or (paper,) for blank in BLANK
    )
    found = [
        RulerReading(
            shares=(shares[0], shares[-1]),
            cause="both rulers by the same share: Fit or Shrink was chosen",
            cure="choose Actual size or 100 %",
        ),
        RulerReading(
            shares=(COPIED[0], COPIED[0]),
            cause="both by the same share: photocopied",
            cure="print from the file, never copy",
        ),
    ]
    other = OTHER.get(paper.name)
    if other is not None:
        share = fitted(paper, PAPERS[other.lower()])
        found.append(
            RulerReading(
                shares=(share, share),
                cause=f"both by the same share: {paper.name} page fitted to {other} paper",
                cure=f"load {paper.name}, or make the file for {other}",
            )
        )
    return (
        *sorted(found, key=lambda reading: reading.shares),
        RulerReading(
            shares=(1.0 - FEED, 1.0 + FEED),
            cause="one ruler only: the printer's feed",
            cure="try another tray, paper or printer",
        ),
    )
