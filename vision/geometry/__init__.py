"""One camera, one band plane, circles in parallel planes: pure geometry, no pixels are read here."""
