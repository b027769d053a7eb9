"""Readings in, what they mean for spinning out.

Pure reckoning: ratios, bands, twist, whirls. It knows nothing of pictures and never imports
``whirlwise.vision`` or ``whirlwise.cli``. Every function takes numbers that are known exactly (``float``)
or with an uncertainty (:class:`uncertainties.UFloat`) and carries the uncertainty, with its correlations,
through to first order (JCGM 100:2008, 5.1 and 5.2).
"""
