"""Facts that the reckoning and the explanations rest on, each with its source."""

from typing import Final

#: By definition (international yard and pound agreement of 1959).
MM_PER_INCH: Final = 25.4
CM_PER_INCH: Final = MM_PER_INCH / 10
MM_PER_YARD: Final = 914.4

#: A single drive band usually slips between these, in percent. Creep is typically 0.5-1 % (ISO 5292, through
#: a drive maker's glossary) and textbook examples take up to 4 %; for a wheel: common practice, no source.
USUAL_SLIP_PERCENT: Final = (0.0, 2.0)

#: In double drive, while yarn is held back, flyer and bobbin turn together, so one groove slips by the whole
#: difference of the two ratios, in percent. Common practice, no source.
DOUBLE_DRIVE_SLIP_PERCENT: Final = (15.0, 40.0)
