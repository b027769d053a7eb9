"""Where the wheel, its band and its turning parts are in a picture or a clip."""
