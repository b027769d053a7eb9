"""Pictures and clips with known truth: the tour shows them and the tests measure them."""
