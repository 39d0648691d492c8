"""One house, from its first radon test to a proven fix, with every number's equation, inputs and source."""

__version__ = "0.1.0"
