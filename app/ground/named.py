"""The list of what is wrong, first on a refused page: each line names its field by the field's own label.

Labels stand further down on the page than the list, so they are put into it once the page is filled.
"""

import re
from collections.abc import Iterator

_LINE = re.compile(r'<a href="#([^"]+)" data-named>([^<]*)</a>')
_TAG = re.compile(r"<[^>]*>")
_LABELS = (
    re.compile(r'<(?:input|select|textarea)\b[^>]*\bid="([^"]+)"[^>]*\baria-label="([^"]*)"'),
    re.compile(r'<label\b[^>]*>\s*<input\b[^>]*\bid="([^"]+)"[^>]*>(.*?)</label>', re.DOTALL),
    re.compile(r'<fieldset\b[^>]*\bid="([^"]+)"[^>]*>\s*<legend\b[^>]*>(.*?)</legend>', re.DOTALL),
    re.compile(r'<label\b[^>]*\bfor="([^"]+)"[^>]*>(.*?)</label>', re.DOTALL),
)


def named(page: str) -> str:
    """A filled page whose list of faults names the fields: `Model year: This is not a number`.

    A line that says its field already, or whose field has no label, stays as it is.
    """
    if " data-named>" not in page:
        return page
    labels = dict(_labels(page))
    return _LINE.sub(lambda line: f'<a href="#{line[1]}">{_said(labels.get(line[1], ""), line[2])}</a>', page)


def _labels(page: str) -> Iterator[tuple[str, str]]:
    for way in _LABELS:
        yield from ((found[1], " ".join(_TAG.sub(" ", found[2]).split())) for found in way.finditer(page))


def _said(label: str, says: str) -> str:
    return says if label.lower() in says.lower() else f"{label}: {says}"
