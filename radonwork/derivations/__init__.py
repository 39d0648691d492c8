"""Where the formulas come from: beside each module of formulas the module of its derivations, under the same name.

No number takes a derivation to work out, so a module is loaded when one of its derivations is asked for.
"""

import pkgutil
from collections.abc import Mapping
from importlib import import_module

from radonwork.engine.derivation import DERIVATIONS, Derivation
from radonwork.engine.formula import FORMULAS

_MODULES = [found.name for found in pkgutil.iter_modules(__path__)]


def derivation_of(name: str) -> Derivation:
    """The derivation of the formula called `name`, whose own module is loaded. Raises KeyError where it has none."""
    home = FORMULAS[name].function.__module__.rpartition(".")[2]
    if home in _MODULES:
        import_module(f"{__name__}.{home}")
    return DERIVATIONS[name]


def all_derivations() -> Mapping[str, Derivation]:
    """Every derivation there is, by the name of its formula."""
    for module in _MODULES:
        import_module(f"{__name__}.{module}")
    return DERIVATIONS
