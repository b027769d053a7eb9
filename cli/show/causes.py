"""What usually makes a band slip, and from where a wheel was filmed."""

from typing import Final, Literal, TypeAlias

#: Looking into the orifice, as the spinner does, or from behind it.
Side: TypeAlias = Literal["orifice", "behind"]

CAUSES: Final = (
    "What usually makes a band slip (common practice, no source): it is too slack; band or groove is glazed, "
    "oily or damp; a bearing of the flyer runs dry or the brake pulls hard; the band is badly seated, or has "
    "a knot. Tighten it a little first, and measure again."
)
