"""What a kept wheel tells, what is added to it and taken back, and what it is handed on as."""

import base64
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from ....calc.comparing import compared
from ....calc.quantity import Quantity
from ....vision.open.picture import open_picture
from ...given.making import cadence_range, ratio_range
from ...given.numbers import drafting_cm_per_min, plain_number
from ...given.whirl import whirl_label
from ...given.yarn import twist_use
from ...keep.adding import check_id, now
from ...keep.changes import Entry, TakeBack, Withdraw
from ...keep.entries import KeptReading
from ...keep.entries_text import reading_of_document, session_of_document
from ...keep.facts import sha256_of
from ...keep.head_numbers import pair_typed, reading_of_head
from ...keep.kept import UNNAMED_WHIRL, KeptWheel
from ...keep.known_wheel import KnownWheel, known_of
from ...keep.store import change_wheel, read_wheel
from ...keep.telling import ToldWheel, tell
from ...show.compare_words import ComparisonTold, compare_answer
from ...show.history_words import step_words
from ...show.ladder_plot import LadderShown, ladder_figure
from ...show.language import SAID
from ...show.lengths import Lengths
from ...show.plot import drawing
from ...show.quarrels import quarrels
from ...show.report import ReportAsked, wheel_report
from ...show.report_contents import Report, ReportPicture
from ...show.report_page import report_page
from ...show.report_pictures import picture_of
from ...show.report_ratios import ladder_of_wheel, lead_sentences, next_section, ratio_section
from ...show.report_readings import caution_section, reading_section, session_section
from ...show.svg import inline_svg
from ...show.units import Units
from ...show.wheel_export import wheel_as_csv, wheel_as_json
from ...trouble import WrongUsageError
from ..media import READING
from ..translating.documents import report_said
from ..translating.folder import language_in
from ..wheels import MEDIA, REPORT
from ..words import words
from ..worker import Json, Tell
from .contents import answer_told, report_told, section_told, sentences, without_styles
from .named import in_the_persons_words

#: A cadence that many keep, and what they change it by in comfort (common practice, no source).
USUAL_CADENCE: Final = "54-66"


def show(order: Json, tell_progress: Tell) -> Json:
    """Tell all that is known of ``wheels[0]``, in ``units``."""
    wheel = order["wheels"][0]
    with in_the_persons_words(wheel):
        kept = _read(wheel)
        told, known = _told(wheel, kept)
    return shown(kept, told, known, _units(order))


def shown(kept: KeptWheel, told: ToldWheel, known: KnownWheel, units: Units) -> Json:
    """Give a wheel: sentences, sections, what it rests on, and the steps by which it came to be."""
    lengths, ladder = Lengths("in" if units == "imperial" else "mm"), ladder_of_wheel(known)
    sections = []
    if told.used:
        sections += [ratio_section(told, ladder, None, lengths), next_section(known, ladder, None, lengths)]
        sections += [reading_section(told)]
    if told.sessions:
        sections.append(session_section(told))
    steps = len(kept.steps)
    entries: list[Entry] = [*kept.readings, *kept.sessions]
    if entries:
        sections.append(caution_section(told))
    return {
        "says": sentences(lead_sentences(told)) if told.used else [],
        "quarrels": sentences(quarrels(told)),
        "sections": [section_told(each) for each in sections],
        "entries": [
            {"id": each.id, "kind": each.kind, "title": _title(each), "taken": each.taken[:10]}
            for each in entries
        ],
        "steps": [
            {"number": number, "when": kept.steps[number - 1].when, "did": step_words(kept, number)}
            for number in range(1, steps + 1)
        ],
        "undo": kept.last_to_undo(),
        "restore": kept.last_undone(),
        "taken_back": _taken_back_words(kept),
    }


def _taken_back_words(kept: KeptWheel) -> str | None:
    """What was done in the step that was taken back last; None if it cannot be brought back."""
    number = kept.last_undone()
    if number is None:
        return None
    steps = [each.step for each in kept.steps[number - 1].changes if isinstance(each, TakeBack)]
    return ", ".join(step_words(kept, step) for step in steps)


def _title(entry: Entry) -> str:
    return entry.title if isinstance(entry, KeptReading) else entry.file


def add(order: Json, tell_progress: Tell) -> Json:
    """Add to ``wheels[0]`` reading ``number`` of ``media.measured``, of which ``of`` is the kind.

    ``label`` names the whirl that carried the band, where the wheel has several; ``head`` names the
    accelerating head whose own wheel and whirl are seen, where the wheel has one.
    """
    wheel, medium = order["wheels"][0], order["media"]["measured"]
    with in_the_persons_words(wheel, medium):
        entry = _entry(Path(medium["folder"]), str(order.get("of")), order.get("number"))
        label = whirl_label(str(order["label"])) if order.get("label") else None
        pair = pair_typed(str(order["head"]) if order.get("head") else None, label=label)
        if isinstance(entry, KeptReading):
            reading = entry.reading if label is None else entry.reading.renamed(UNNAMED_WHIRL, label)
            if pair.head:
                reading = reading_of_head(reading, pair.head)
            entry = replace(entry, reading=reading)
        outcome = _put(Path(wheel["file"]), entry)
    folder = Path(wheel["folder"]) / MEDIA
    folder.mkdir(exist_ok=True)
    (folder / medium["id"]).touch()
    return outcome


def _entry(folder: Path, kind: str, number: object) -> Entry:
    """Read what was kept beside a picture or clip; kind and number are checked before they name a file."""
    name = f"{kind}-{number}.json"
    if kind not in ("reading", "rhythm") or not READING.fullmatch(name) or not (folder / name).is_file():
        raise WrongUsageError(words()("wheels.reading_gone"))
    document = json.loads((folder / name).read_text(encoding="utf-8")).get("kept")
    if document is None:
        raise WrongUsageError(words()("wheels.nothing_to_add"))
    read: Callable[[Any, str], Entry] = reading_of_document if kind == "reading" else session_of_document
    return read(document, name)


def _put(file: Path, entry: Entry) -> Json:
    outcome: Json = {}

    def change(wheel: KeptWheel) -> KeptWheel:
        changed, added, replaced = wheel.with_reading(entry, now())
        outcome.update(id=added.id, replaced=replaced)
        return changed

    change_wheel(file, change)
    return outcome


def withdraw(order: Json, tell_progress: Tell) -> Json:
    """Let ``entry`` count no more."""
    name = str(order.get("entry"))

    def change(wheel: KeptWheel) -> KeptWheel:
        check_id(wheel, name, "withdraw")
        return wheel.with_step(now(), Withdraw(name))

    return _changed(order, change)


def undo(order: Json, tell_progress: Tell) -> Json:
    """Take back step ``step``, the last one that counts as the person saw it."""
    return _changed(order, lambda wheel: _taken_back(wheel, wheel.last_to_undo(), order.get("step")))


def restore(order: Json, tell_progress: Tell) -> Json:
    """Bring back what step ``step`` took back."""
    return _changed(order, lambda wheel: _taken_back(wheel, wheel.last_undone(), order.get("step")))


def _taken_back(wheel: KeptWheel, last: int | None, seen: object) -> KeptWheel:
    # In another tab something may have been done since; what is taken back is only what was seen.
    if last is None or last != seen:
        raise WrongUsageError(words()("wheels.changed_meanwhile"))
    return wheel.with_step(now(), TakeBack(last))


def _changed(order: Json, change: Callable[[KeptWheel], KeptWheel]) -> Json:
    wheel = order["wheels"][0]
    with in_the_persons_words(wheel):
        change_wheel(Path(wheel["file"]), change, make=False)
    return {}


def export(order: Json, tell_progress: Tell) -> Json:
    """Give ``wheels[0]`` as a file to hand on: ``as`` is ``csv`` or ``json``."""
    wheel = order["wheels"][0]
    with in_the_persons_words(wheel):
        kept = _read(wheel)
        told, _ = _told(wheel, kept)
    csv = order.get("as") == "csv"
    content = wheel_as_csv(told) if csv else wheel_as_json(kept, told)
    return {
        "type": "text/csv" if csv else "application/json",
        "content": base64.b64encode(content).decode("ascii"),
    }


def report(order: Json, tell_progress: Tell) -> Json:
    """Write the report of ``wheels[0]``, with its pictures, and say what it lacks."""
    wheel = order["wheels"][0]
    with in_the_persons_words(wheel):
        kept = _read(wheel)
        told, known = _told(wheel, kept)
        asked = _asked(order, wheel, told)
        made = report_told(wheel_report(told, known, asked), asked.day)
    place = Path(wheel["folder"]) / REPORT
    making = place.with_suffix(".making")
    making.write_text(_report_text(made, order.get("language")), encoding="utf-8")
    making.replace(place)
    return {"hints": list(made.hints)}


def _report_text(made: Report, folder: str | None) -> str:
    """Write a report in the language of a folder, or in English."""
    if not folder:
        return report_page(made)
    return report_page(report_said(made, SAID.get()), language_in(Path(folder)).words("page.language"))


def _asked(order: Json, wheel: Json, told: ToldWheel) -> ReportAsked:
    given = _filled_in(order)
    return ReportAsked(
        name=wheel["name"],
        day=date.today().isoformat(),
        use=twist_use("wool", "knitting"),
        units=_units(order),
        cadence_per_min=plain_number(given["cadence"], "--cadence", example="65")
        if "cadence" in given
        else None,
        drafting_cm_per_min=drafting_cm_per_min(given["drafting"], "--drafting")
        if "drafting" in given
        else None,
        wish=ratio_range(given["wish"], "--wish") if "wish" in given else None,
        pictures=_pictures(wheel, told),
    )


def _pictures(wheel: Json, told: ToldWheel) -> list[ReportPicture]:
    """Pictures that are still kept and whose readings still count."""
    counted = {each.sha256: each.id for each in told.used}
    found = []
    for medium in wheel["media"]:
        if medium["kind"] != "picture":
            continue
        reading = counted.get(sha256_of(Path(medium["file"])))
        if reading is not None:
            pixels = open_picture(Path(medium["file"])).bgr
            found.append(picture_of(pixels, f"{medium['name']}, read as {reading}"))
    return found


def compare(order: Json, tell_progress: Tell) -> Json:
    """Set ``wheels`` side by side, at the cadence and for the wished range of ratios that are ``given``."""
    given = _filled_in(order)
    with in_the_persons_words():
        feet = cadence_range(given.get("cadence", USUAL_CADENCE), "--cadence")
        wished = ratio_range(given["wish"], "--wish") if "wish" in given else None
    wheels: dict[str, dict[str, Quantity]] = {}
    for wheel in order["wheels"]:
        with in_the_persons_words(wheel):
            _, known = _told(wheel, _read(wheel))
        if not known.ratios:
            raise WrongUsageError(words()("wheels.no_ratio", name=wheel["name"]))
        name = wheel["name"] if wheel["name"] not in wheels else f"{wheel['name']} ({len(wheels) + 1})"
        wheels[name] = known.ratios
    if len(wheels) < 2:
        raise WrongUsageError(words()("wheels.two_or_more"))
    side_by_side = compared(wheels, cadence=feet, wish=wished)
    told = ComparisonTold(side_by_side, feet, wished, None, _units(order))
    with drawing():
        figure = ladder_figure([LadderShown(w.name, w.ladder, w.add_ons) for w in side_by_side], wished)
        described = "; ".join(
            f"{w.name} {w.ladder.lowest.value:.3g} to {w.ladder.highest.value:.3g}" for w in side_by_side
        )
        svg = inline_svg(
            figure,
            name="compared",
            title="Ratios as the rungs of ladders, side by side",
            description=described,
        )
    answer = answer_told("", compare_answer(told))
    # A terminal's table has room for the beginning of a name only.
    for row, compared_wheel in zip(answer["tables"][0]["rows"], told.order, strict=True):
        row[0] = compared_wheel.name
    return {**answer, "drawing": without_styles(svg)}


def _read(wheel: Json) -> KeptWheel:
    path = Path(wheel["file"])
    return read_wheel(path) if path.exists() else KeptWheel()


def _told(wheel: Json, kept: KeptWheel) -> tuple[ToldWheel, KnownWheel]:
    told = tell(wheel["name"], kept)
    return told, known_of(wheel["name"], kept, told)


def _filled_in(order: Json) -> dict[str, str]:
    """What stands in the fields, without those that hold nothing but spaces."""
    typed = {name: str(value or "").strip() for name, value in order.get("given", {}).items()}
    return {name: text for name, text in typed.items() if text}


def _units(order: Json) -> Units:
    return "imperial" if order.get("units") == "imperial" else "metric"
