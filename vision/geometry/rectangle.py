"""How well four corners make a rectangle of a given shape."""

import numpy as np
from numpy.typing import NDArray

from .camera import Points


def shape_misfit(corners: Points, width: float, height: float) -> NDArray[np.float64]:
    """Root mean square distance of corners (..., 4, 2) from the nearest rectangle of the shape, as a share.

    The rectangle may be turned, moved and enlarged freely; the share is that of half its diagonal.

    Parameters
    ----------
    corners : (..., 4, 2) array
        In order round the rectangle, the first side being the one of the given width. Either sense.
    width, height : float

    Returns
    -------
    (...) array

    Notes
    -----
    The least-squares similarity in closed form: in complex numbers z -> a z + b is linear in a and b.
    """
    model = np.array([-1 - 1j, 1 - 1j, 1 + 1j, -1 + 1j])
    model = width * model.real + 1j * height * model.imag
    seen = corners[..., 0] + 1j * corners[..., 1]
    seen = seen - seen.mean(axis=-1, keepdims=True)
    explained = np.maximum(np.abs(seen @ model), np.abs(seen @ model.conj())) ** 2
    total = np.sum(np.abs(seen) ** 2, axis=-1)
    return np.asarray(np.sqrt(np.maximum(1 - explained / (np.vdot(model, model).real * total), 0.0)))
