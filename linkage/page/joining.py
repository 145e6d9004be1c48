"""The viewer's modules as one script, for a page that may ask for nothing, not even its own files.

Every module becomes a function that returns what it exports, called once, in the order of the
imports; an import takes from that. Comments on lines of their own are left out. Only what is
written here is understood: anything else that looks like an import or an export is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

_COMMENT = re.compile(r"^ *(?:/\*\*(?:(?!\*/).)*\*/|//[^\n]*)\n", re.MULTILINE | re.DOTALL)
_NAMES = r"\s*\w+(?:,\s*\w+)*,?\s*"
_IMPORT = re.compile(rf'^import \{{({_NAMES})\}} from "\./(\w+)\.mjs";$', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:class|const|function) (\w+))", re.MULTILINE)
_REFUSED = re.compile(r"\bimport\b|\bexport\b|</script")


def joined(modules: Mapping[str, str], entry: str, name: str) -> str:
    """Return a script, one expression, whose value is what a module exports.

    `modules`: their text, by name. `entry`: the module to begin at. `name`: what it exports.

    Raises
    ------
    ValueError
        A module is missing, or imports itself by way of others, or does not export what is taken
        from it, or holds what is not understood.
    """
    scripts: dict[str, str] = {}
    _add(modules, entry, name, scripts, ())
    return f'(() => {{\n"use strict";\n{"".join(scripts.values())}return ${entry}.{name};\n}})()'


def _add(
    modules: Mapping[str, str],
    module: str,
    wanted: str,
    scripts: dict[str, str],
    above: tuple[str, ...],
) -> None:
    """Put a module after those that it imports from, where it is not there yet."""
    way = " > ".join((*above, module))
    if module in above:
        raise ValueError(f"{way}: a module imports itself")
    if module not in modules:
        raise ValueError(f"{way}: there is no such module")
    text = _COMMENT.sub("", modules[module])
    exports = _EXPORT.findall(text)
    missing = set(re.findall(r"\w+", wanted)) - set(exports)
    if missing:
        raise ValueError(f"{way}: does not export {', '.join(sorted(missing))}")
    if module in scripts:
        return
    for names, other in _IMPORT.findall(text):
        _add(modules, other, names, scripts, (*above, module))
    body = _EXPORT.sub("", _IMPORT.sub(r"const {\1} = $\2;", text))
    refused = _REFUSED.search(body)
    if refused:
        line = body[body.rfind("\n", 0, refused.start()) + 1 :].partition("\n")[0]
        raise ValueError(f"{way}: not understood: {line.strip()}")
    scripts[module] = (
        f"const ${module} = (() => {{\n{body}return {{ {', '.join(exports)} }};\n}})();\n"
    )
