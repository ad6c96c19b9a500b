"""A class set from a design folder and a list of names: patterns in sets, worksheets, their answers, the count."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from patterns.boat import Boat
from patterns.errors import RequestError
from patterns.files.batch import Batch, batch, left_over, put_back, safe_name
from patterns.lesson.answers import write_answers
from patterns.lesson.class_list import Owner, read_class
from patterns.lesson.exercise import Exercise, exercises
from patterns.lesson.grid_picture import grid_room
from patterns.lesson.lesson_plan import Lesson, write_lesson
from patterns.lesson.paper_cost import Price, parse_mass, parse_price, pile_mass
from patterns.lesson.picked import picked_sets
from patterns.lesson.worksheet import batten_words, exercise_title, write_worksheets
from patterns.numeric_errors import no_numeric_errors
from patterns.run.job import ask_of_many, chosen, job_of
from patterns.run.make import Made
from patterns.run.mark import former_of, record_name
from patterns.run.page_request import PageRequest, with_its_bevels
from patterns.run.summary import UNDONE
from patterns.shop.report import counted
from patterns.subject import BoatSubject, Subject, load
from tiling.job import Job
from tiling.paper import Page
from tiling.paper.scale import FULL_SIZE
from tiling.planning.piece_marks import marked_plans
from tiling.planning.plan import Plan
from tiling.planning.reuse import next_record
from tiling.sets import Order, Pack, SetsSummary, write_sets

__all__ = ["CLASS_CAUTIONS", "ClassRequest", "make_class"]

CLASS_LIST = "class.csv"
LONGEST = 60  # bytes of a name in a file's name

CLASS_CAUTIONS = (
    "Let nobody in a class cut, plane or sand unwatched: a person who knows the tools and the rules of the house "
    "is there, and shows each tool before it is used. One at a machine, the others behind a line on the floor.",
    "Knives and trimmers for the paper: a mat below, a steel rule with a guard, cut away from the hand that holds; "
    "a knife that is laid down is closed. Hair and sleeves tied back.",
    "Dust and adhesives: ask for allergies and asthma first, glue and sand where the air is cleared, wash hands.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRequest:
    """What was asked for besides the paper.

    Attributes:
        names: the list; None: ``class.csv`` in the design's folder.
        only: patterns; none: all of them.
        loft: lines of the worksheet; none: the sheer.
        metric: the worksheet is in mm alone.
        order: how sets lie in one file.
        apart: a file for each set.
        owners: only the sets of these, by name or number: spoiled ones to print again.
        price: of one sheet; empty: nothing is said of money.
        mass: of a square metre of paper; empty: nothing is said of its weight.
    """

    names: Path | None = None
    only: tuple[str, ...] = ()
    loft: tuple[str, ...] = ()
    metric: bool = False
    order: Order = "by set"
    apart: bool = False
    owners: tuple[str, ...] = ()
    whole: bool = False
    quick: bool = False
    share: bool = False
    price: str = ""
    mass: str = ""


@with_its_bevels
def make_class(
    folder: Path,
    *,
    request: ClassRequest,
    page_request: PageRequest,
    into: Path | None = None,
    replace_files: bool = False,
    go_on: Callable[[str], bool] = lambda _: False,
    progress: Callable[[int, int], None] | None = None,
) -> Made:
    """Make the class set and write it into one folder.

    ``go_on`` is asked, in words, where one set alone would be thousands of pages.

    Raises:
        DesignError, PatternsError, TilingError: nothing has been written then; a RequestError among them where
            what was asked for, not the design or the list, is at fault.
    """
    page = page_request.page()
    cost = _Cost(
        price=parse_price(request.price) if request.price else None,
        grams=parse_mass(request.mass) if request.mass else 0.0,
        width=page.width,
        height=page.height,
    )
    owners = read_class(request.names or folder / CLASS_LIST)
    again = picked_sets(owners, request.owners)
    with no_numeric_errors():
        subject = load(folder)
        every = subject.patterns(only=request.only)
        picked = chosen(every, request.only)
    job = job_of(
        folder,
        subject,
        every,
        picked,
        request=page_request,
        page=page,
        whole=request.whole,
        quick=request.quick,
        closing=tuple(subject.closing()),
        share=request.share,
    )
    ask_of_many(job, go_on)  # pages of one set: a length in the wrong unit is a slip, many names are none
    job = replace(job, cautions=(*CLASS_CAUTIONS, *job.cautions))
    lofting = _Lofting.of(subject, request, job)
    small = page.scale.in_names
    target = into if into is not None else Path(f"{safe_name(job.title)} class{small}")
    undone = (UNDONE,) if put_back(target) else ()
    job = replace(job, former=former_of(target, page.scale))
    plans = marked_plans(job)
    with batch(target, replace=replace_files) as work, no_numeric_errors():
        maker = _Maker(job=job, plans=plans, owners=owners, request=request, cost=cost, work=work)
        if again:
            words = maker.again(again, progress)
        else:
            if lofting is not None:
                maker.lofting(lofting)
            words = maker.all_sets(progress)
            work.write(record_name(page.scale), next_record(job, plans))
    older = () if again else left_over(target, work.names)
    words += [f"wrote {target / name}" for name in maker.told]
    words += [f"left of an earlier run: {target / name}" for name in older]
    words += subject.closing()
    if not again:
        words.append("Print page 1 of the first pages alone at 100 % and measure its rulers before the rest.")
    return Made(
        folder=target,
        words=(*undone, *words),
        files=tuple(work.names),
        doubts=tuple(subject.closing()),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cost:
    """What the paper costs, as far as it was asked for."""

    price: Price | None
    grams: float
    width: float
    height: float

    def words(self, sheets: int) -> str:
        """Of so many sheets."""
        said = []
        if self.price is not None:
            said.append(f"{self.price.of(sheets)} at {self.price} a sheet")
        if self.grams:
            mass = pile_mass(sheets, width=self.width, height=self.height, grams=self.grams)
            said.append(f"{mass:.3g} kg of {self.grams:g} g/m² paper")
        return f" ({'; '.join(said)})" if said else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lofting:
    """What is lofted by hand."""

    boat: Boat
    exercises: tuple[Exercise, ...]
    page: Page

    @classmethod
    def of(cls, subject: Subject, request: ClassRequest, job: Job) -> _Lofting | None:
        """The lines asked for; None where the design has no table of offsets to loft from."""
        if not isinstance(subject, BoatSubject):
            if request.loft:
                raise RequestError(
                    "--loft: this design has no table of offsets; its patterns alone are printed"
                )
            return None
        page = replace(job.page, scale=FULL_SIZE)  # a grid has scales of its own
        room, tall = grid_room(page)
        found = exercises(subject.boat, request.loft, room=room, tall=tall, metric=request.metric)
        return cls(boat=subject.boat, exercises=found, page=page)


class _Maker:
    """Writes the sets.

    Attributes:
        papers: pages of the worksheet and of the answers, by their files' names.
        told: the files that the run tells of.
    """

    def __init__(
        self,
        *,
        job: Job,
        plans: Sequence[Plan],
        owners: Sequence[Owner],
        request: ClassRequest,
        cost: _Cost,
        work: Batch,
    ) -> None:
        self._job, self._plans, self._owners = job, plans, owners
        self._request, self._cost, self._work = request, cost, work
        self._total = len(owners)
        self._small = job.page.scale.in_names
        self.papers: dict[str, int] = {}
        self.told: list[str] = []

    def lofting(self, lofting: _Lofting) -> None:
        """The worksheets, one after the other, and the answers, once."""
        boat, found, job = lofting.boat, lofting.exercises, self._job
        owners = [owner.name for owner in self._owners for _ in range(owner.worksheets)]
        if owners:
            with self._work.path("worksheets.pdf").open("wb") as stream:
                self.papers["worksheets.pdf"] = write_worksheets(
                    stream, boat, found, page=lofting.page, mark=job.mark, owners=owners,
                    correction=job.correction,
                )  # fmt: skip
        with self._work.path("answers.pdf").open("wb") as stream:
            self.papers["answers.pdf"] = write_answers(
                stream, boat, found, page=lofting.page, mark=job.mark, correction=job.correction,
                        )  # fmt: skip
        with self._work.path("lesson.pdf").open("wb") as stream:
            self.papers["lesson.pdf"] = write_lesson(stream, self._lesson(lofting), page=lofting.page)

    def _lesson(self, lofting: _Lofting) -> Lesson:
        job, found = self._job, lofting.exercises
        return Lesson(
            title=job.title,
            mark=job.mark,
            names=tuple(owner.name for owner in self._owners),
            pages=sum(len(plan.layout.tiles) for plan in self._plans),
            grids=len(found),
            wrong=sum(cross.planted for exercise in found for cross in exercise.crosses),
            angles=any(exercise.seen_from_above for exercise in found),
            bends=tuple(f"{exercise_title(lofting.boat, one)}. {batten_words(one)}" for one in found),
            scale="" if job.page.scale.full else f"scale {job.page.scale.name}",
            cautions=CLASS_CAUTIONS,
        )

    def _packs(self) -> list[Pack]:
        return [Pack(number=number, owner=owner.name) for number, owner in enumerate(self._owners, start=1)]

    def _file(self, number: int) -> str:
        """The name of a set's own file; the number makes each its own, whatever letters the name has."""
        digits = len(str(self._total))
        name = safe_name(self._owners[number - 1].name, longest=LONGEST)
        return f"sets/{number:0{digits}d} {name}{self._small}.pdf"

    def _write(
        self,
        name: str,
        packs: Sequence[Pack],
        *,
        listed: Sequence[Pack] = (),
        progress: Callable[[int, int], None] | None = None,
    ) -> SetsSummary:
        return write_sets(
            self._job,
            self._plans,
            self._work.path(name),
            packs,
            total=self._total,
            order=self._request.order,
            listed=listed,
            remarks=self._remarks,
            progress=progress,
        )

    def again(self, numbers: Sequence[int], progress: Callable[[int, int], None] | None) -> list[str]:
        """Some sets once more, as they were; returns what is to be said."""
        packs = self._packs()
        names = [packs[number - 1].owner for number in numbers]
        file = f"{safe_name('again for ' + ' and '.join(names))}{self._small}.pdf"
        picked = [packs[number - 1] for number in numbers]
        summary = self._write(file, picked, progress=progress)
        self.told.append(file)
        return [f"{self._job.title}: {counted(len(picked), 'set')} again, {summary.each} pages each."]

    def all_sets(self, progress: Callable[[int, int], None] | None) -> list[str]:
        """Every set, and the pages before them; returns what is to be said."""
        packs = self._packs()
        if self._request.apart:
            first = f"first pages{self._small}.pdf"
            summary = self._write(first, (), listed=packs)
            self.told.append(first)
            for done, pack in enumerate(packs, start=1):
                self._write(self._file(pack.number), [pack])
                if progress is not None:
                    progress(done, len(packs))
            self.told.append("sets/")
        else:
            summary = self._write(f"sets{self._small}.pdf", packs, listed=packs, progress=progress)
            self.told.append(f"sets{self._small}.pdf")
        self.told += list(self.papers)
        kinds, scale = counted(len(self._job.pieces), "pattern"), self._job.page.scale
        small = "" if scale.full else f" at scale {scale.words}, NOT FULL SIZE"
        return [
            f"{self._job.title}: {counted(self._total, 'set')} of {kinds}{small}, mark {self._job.mark}.",
            *self._count(summary.first, summary.each),
        ]

    def _remarks(self, first: int, each: int) -> list[str]:
        """What the teacher should know."""
        return [
            *self._count(first, each),
            "Print every set from this file and copy none: copies are seldom true. A pattern has the same shape in "
            "all sets, but the readings and notes on its pages belong to one person: tape together only pages with "
            "the same name.",
        ]

    def _count(self, first: int, each: int) -> list[str]:
        """The sheets, printed on one side, and what they cost."""
        paper = self._job.page.paper.name
        worksheets = sum(owner.worksheets for owner in self._owners)
        own = self.papers.get("worksheets.pdf", 0)
        answers = self.papers.get("answers.pdf", 0)
        lesson = self.papers.get("lesson.pdf", 0)
        sheets = first + self._total * each + worksheets * own + answers + lesson
        parts = [f"{counted(self._total, 'set')} of {each}"]
        parts += [f"{counted(worksheets, 'worksheet')} of {own}"] if own else []
        parts += [f"{first} first pages", *([f"{answers} of answers"] if answers else [])]
        parts += [f"{lesson} of the lesson"] if lesson else []
        return [f"Sheets of {paper}: {', '.join(parts)}: {sheets} in all{self._cost.words(sheets)}."]
