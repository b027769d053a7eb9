"""Look for everything of known size that was asked for."""

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

from ..measured import NotMeasured
from ..open.picture import Picture
from . import REFERENCE_KINDS
from .found import FoundReference, ReferenceRequest, Surroundings


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
    jobs = [
        (REFERENCE_KINDS[request.kind].find, around, request)
        for request in dict.fromkeys(requests)
        for around in (surroundings if REFERENCE_KINDS[request.kind].needs_plane else surroundings[:1])
    ]
    outcomes = list(workers.map(lambda job: job[0](picture, *job[1:]), jobs))
    found: dict[ReferenceRequest, list[FoundReference]] = {request: [] for request in requests}
    missing: dict[ReferenceRequest, list[NotMeasured]] = {request: [] for request in requests}
    for (_, _, request), outcome in zip(jobs, outcomes, strict=True):
        found[request] += [one for one in outcome if isinstance(one, FoundReference)]
        missing[request] += [one for one in outcome if isinstance(one, NotMeasured)]
    # What was found in one way of standing is not missing, whatever the other says.
    reasons = [reason for request in found if not found[request] for reason in missing[request]]
    return LookedFor(tuple(one for ones in found.values() for one in ones), tuple(dict.fromkeys(reasons)))
