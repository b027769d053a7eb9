"""Look for everything of known size that was asked for."""

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

from ..measured import NotMeasured
from ..open.picture import Picture
from . import REFERENCE_KINDS
from .found import Finder, FoundReference, ReferenceKind, ReferenceRequest, Surroundings


@dataclass(frozen=True, slots=True)
class LookedFor:
    """Candidates, and why something that was asked for was not found."""

    found: tuple[FoundReference, ...]
    missing: tuple[NotMeasured, ...]


def look_for(
    picture: Picture,
    surroundings: Sequence[Surroundings],
    requests: Sequence[ReferenceRequest],
    workers: Executor,
) -> LookedFor:
    """Look for each request, in all surroundings where it makes a difference.

    Parameters
    ----------
    picture : Picture
    surroundings : sequence of Surroundings
        One for each way in which the wheel may stand.
    requests : sequence of ReferenceRequest
    workers : Executor
        Runs the searches side by side.
    """
    requests = tuple(dict.fromkeys(requests))
    outcomes = _looked(
        picture, surroundings, [(request, _kind(request).find) for request in requests], workers
    )
    unclear = [
        (request, further)
        for request in requests
        if (further := _kind(request).find_further) is not None
        and not any(isinstance(one, FoundReference) and one.clear for one in outcomes[request])
    ]
    for request, more in _looked(picture, surroundings, unclear, workers).items():
        outcomes[request] += more
    found = {
        request: [one for one in outcomes[request] if isinstance(one, FoundReference)] for request in requests
    }
    # What was found in one way of standing is not missing, whatever the other says.
    reasons = [
        one
        for request in requests
        if not found[request]
        for one in outcomes[request]
        if isinstance(one, NotMeasured)
    ]
    return LookedFor(tuple(one for ones in found.values() for one in ones), tuple(dict.fromkeys(reasons)))


def _kind(request: ReferenceRequest) -> ReferenceKind:
    return REFERENCE_KINDS[request.kind]


def _looked(
    picture: Picture,
    surroundings: Sequence[Surroundings],
    searches: Sequence[tuple[ReferenceRequest, Finder]],
    workers: Executor,
) -> dict[ReferenceRequest, list[FoundReference | NotMeasured]]:
    """What each search brings, in all surroundings where it makes a difference."""
    jobs = [
        (request, find, around)
        for request, find in searches
        for around in (surroundings if _kind(request).needs_plane else surroundings[:1])
    ]
    brought: dict[ReferenceRequest, list[FoundReference | NotMeasured]] = {r: [] for r, _ in searches}
    for (request, _, _), outcome in zip(
        jobs, workers.map(lambda job: job[1](picture, job[2], job[0]), jobs), strict=True
    ):
        brought[request] += outcome
    return brought
