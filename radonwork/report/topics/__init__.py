"""What a topic tells beyond its formulas, a module each, named by the key of the topic."""
