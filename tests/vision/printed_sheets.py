"""Our reference sheet off the printer: the page's file, drawn by a PDF library, before a pinhole camera."""

from functools import cache

import cv2
import numpy as np
import pypdfium2
from tests.vision.drawn_pictures import Bgr, Points, light_of, srgb_of

from whirlwise.cli.show.sheet_pdf import sheet_pdf
from whirlwise.vision.references.sheet_layout import SHEETS, SheetLayout

LAYOUTS = {layout.paper: layout for layout in SHEETS}
#: Fineness in which pages are drawn; ISO 32000-1: a unit of the page is 1/72 inch.
DOTS_PER_MM = 12.0


@cache
def page(paper: str) -> Bgr:
    """The page as printed, DOTS_PER_MM fine."""
    document = pypdfium2.PdfDocument(sheet_pdf(LAYOUTS[paper]))
    drawn = document[0].render(scale=DOTS_PER_MM * 25.4 / 72).to_numpy()
    return np.ascontiguousarray(drawn[..., :3])


def dots_from_mm(points_mm: Points, layout: SheetLayout) -> Points:
    """Where places on paper (x right, y up) are on the drawn page, pixel centres at whole numbers."""
    upright = np.array([0.0, layout.page_mm[1]]) + points_mm * [1.0, -1.0]
    return np.asarray(upright * DOTS_PER_MM - 0.5)


def photographed(
    paper: str, corners_px: Points, size: tuple[int, int], ground: Bgr | None = None, blur_px: float = 0.7
) -> Bgr:
    """The page with its corners (clockwise from the upper left) at these pixels, averaged over pixels."""
    fine = 4
    height, width = page(paper).shape[:2]
    edges = np.array([[-0.5, -0.5], [width - 0.5, -0.5], [width - 0.5, height - 0.5], [-0.5, height - 0.5]])
    targets = (corners_px + 0.5) * fine - 0.5
    matrix = cv2.getPerspectiveTransform(edges.astype(np.float32), targets.astype(np.float32))
    large = (size[0] * fine, size[1] * fine)
    seen = cv2.warpPerspective(page(paper), matrix, large, flags=cv2.INTER_AREA)
    shown = cv2.warpPerspective(np.full((height, width), 255, np.uint8), matrix, large)
    share = cv2.resize(shown, size, interpolation=cv2.INTER_AREA)[..., None] / 255.0
    averaged = cv2.resize(seen, size, interpolation=cv2.INTER_AREA).astype(float)
    behind = np.full((size[1], size[0], 3), 120.0) if ground is None else ground.astype(float)
    # Grey values of paper and ink; between them, and in the blur, it is light that is averaged.
    paper_light, ink_light = light_of(np.array([235.0, 40.0]))
    printed = ink_light + averaged / np.maximum(share, 1e-6) * (paper_light - ink_light) / 255
    whole = share * printed + (1 - share) * light_of(behind)
    blurred = np.rint(srgb_of(np.asarray(cv2.GaussianBlur(whole, (0, 0), blur_px))))
    return np.asarray(np.clip(blurred, 0, 255), dtype=np.uint8)
