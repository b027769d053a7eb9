"""What a person reads: tables, sentences, pictures with what was found drawn in."""
