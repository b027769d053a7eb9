"""People in front: commands, words, tables and pictures. Holds no measuring and no reckoning of its own."""
