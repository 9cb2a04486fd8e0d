"""Reading an end as people write it: "25 mm ISO socket", "1/2 in BSP female", "13 mm hose"."""

from __future__ import annotations

import re
from typing import Final

from tankwright.catalogue.pipes import bore_of
from tankwright.finding import Finding, Severity
from tankwright.takeoff.end_model import End, Form, families, family_of
from tankwright.units import Metre, convert

_LONGEST: Final = 80
_FRACTION: Final = r"\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?"
_SIZE: Final = re.compile(rf"(?:dn ?(?P<dn>\d{{1,3}})\b|(?P<number>{_FRACTION}) ?(?P<unit>mm|in)(?![a-z]))")
_THREAD: Final = re.compile(
    rf"(?:(?P<before>\bbsp ?(?:g|rp|rc|r|pp|pt|p|t)?|\bnpt|\bght|\b(?:g|rp|rc|r)) ?"
    rf"(?P<size_after>{_FRACTION})(?: ?in\b)?"
    rf"|(?P<size>{_FRACTION}) ?(?:in)? ?(?P<after>bsp ?(?:g|rp|rc|r|pp|pt|p|t)?\b|npt\b|ght\b|(?:g|rp|rc|r)\b))"
)
_THREAD_SIZES: Final = ("1/8", "1/4", "3/8", "1/2", "3/4", "1", "1 1/4", "1 1/2", "2")
_DECIMAL: Final = r"\d+(?:\.\d+)?"
_SAID: Final = r"(?: ?(?:od|id|bore))?"
# in inches only "x" parts the two diameters: 1/4 in is a quarter
_TUBE_BOTH: Final = re.compile(
    rf"({_DECIMAL})(?: ?mm)?{_SAID} ?[x/] ?({_DECIMAL}) ?(mm)\b|({_FRACTION})(?: ?in)?{_SAID} ?x ?({_FRACTION}) ?(in)\b"
)
_FAMILY_WORDS: Final = (
    (r"1477", "AS/NZS 1477"), (r"1260", "AS/NZS 1260"), (r"1254", "AS 1254"), (r"1329", "EN 1329"),
    (r"1401", "EN 1401"), (r"\b(?:sch|schedule|sched|astm|d ?1785|3505)", "ASTM"),
    (r"\b(?:1452|4985|161|iso)\b", "ISO"), (r"uk compression|uk waste", "UK waste"), (r"uk push", "UK push-fit"),
    (r"uk solvent|5255|1455|\bsolvent\b", "UK solvent"), (r"sdr|4130|11922", "PE SDR"),
    (r"\b(?:pe|ldpe|polyethylene|irrigation)\b", "PE"),
)  # fmt: skip
_FORMS: Final[tuple[tuple[str, Form], ...]] = (
    (r"compression", "compression socket"),
    (r"push-?fit (?:socket|fitting|end)|(?<!uk )push-?fit$|grommet", "push-fit socket"),
    (r"\bsocket", "socket"), (r"\bbarb|\btail", "barb"), (r"\bsaddle", "saddle"), (r"\b(?:wall|side)\b", "wall"),
)  # fmt: skip
FORMS_WANTED: Final = (
    'a size, its standard and what the end is: "25 mm ISO socket", "1/2 in BSP G female", "13 mm barb", "13 mm hose", '
    '"50 mm EN 1329 pipe", "4/6 mm tube"'
)


def read_end(text: str) -> End | Finding:
    """The end a text names, or a finding that says what is missing and what to try.

    >>> read_end("25 mm ISO socket").words, read_end("G 1/2 female").words, read_end("13 mm hose").words
    ('25 mm ISO socket', '1/2 in BSP G female', '13 mm hose')
    >>> read_end("20 mm AS/NZS 1477 socket").words
    '3/4 in ASTM socket'
    >>> read_end("20 mm").text
    'says no standard'
    """
    plain = _plain(text)
    if not plain or len(plain) > _LONGEST:
        return _slip("FIT-01", text, "is no end of a pipe, hose or fitting")
    if (re.search(r"\b(?:hose|tail)\b", plain) and "garden hose thread" not in plain) or _is_barb_of_hose(
        plain
    ):
        return _hose(text, plain)
    plain = plain.replace("garden hose thread", "ght")
    if re.search(r"\btub(?:e|ing)\b|\bairline\b", plain):
        return _tube(text, plain)
    if thread := _THREAD.search(plain):
        return _thread(text, plain, thread)
    found = _SIZE.search(plain)
    if found is None:
        return _slip("FIT-01", text, "has no size with its unit")
    rest = plain[: found.start()] + " " + plain[found.end() :]
    size = _size_text(found)
    name = next((family for pattern, family in _FAMILY_WORDS if re.search(pattern, rest)), "")
    if not name:
        return _which_standard(text, size)
    form: Form = next((form for pattern, form in _FORMS if re.search(pattern, rest.strip())), "plain end")
    return _of_family(text, name, size, form, bore_of(text))


def pipe_end(text: str) -> End | Finding:
    """The cut end of a pipe as a plan writes it, its bore from `catalogue.pipes`; a finding when it is not there.

    >>> end = pipe_end("50 mm ISO PN6")
    >>> end.words, round(end.inner * 1000, 2)
    ('50 mm ISO plain end', 46.35)
    """
    pipe = bore_of(text)
    if pipe is None:
        read = read_end(text)
        if isinstance(read, Finding) or read.form == "plain end":
            return read
        return _slip("FIT-04", text, f"is a {read.form}, not a pipe")
    system, size = family_of(pipe.standard, pipe.size)
    return End(system, size, "plain end", pipe.outer_diameter, pipe.bore, families()[system].material)


def _plain(text: str) -> str:
    swapped = text.casefold().replace(",", ".")
    for sign, plain in (
        ("½", " 1/2"),
        ("¼", " 1/4"),
        ("¾", " 3/4"),
        ("⅜", " 3/8"),
        ("⅛", " 1/8"),
        ("ø", " "),
    ):
        swapped = swapped.replace(sign, plain)
    swapped = re.sub(r"″|”|''|\"|\binch(?:es)?\b", " in ", swapped)
    swapped = re.sub(r"(\d)-(\d+/\d)", r"\1 \2", swapped)
    return " ".join(swapped.split())


def _is_barb_of_hose(plain: str) -> bool:
    return "barb" in plain and not any(re.search(pattern, plain) for pattern, _ in _FAMILY_WORDS)


def _size_text(found: re.Match[str]) -> str:
    if found["dn"]:
        return f"{int(found['dn'])} mm"
    number = found["number"]
    return f"{number if '/' in number else format(float(number), 'g')} {found['unit']}"


def _metres(size: str) -> Metre:
    number, unit = size.rsplit(" ", 1)
    total = 0.0
    for part in number.split():
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1) if float(bottom or 1) else 0.0
    return convert(total, unit, "m")


def _hose(text: str, plain: str) -> End | Finding:
    found = _SIZE.search(plain)
    if found is None or not 0.0005 < _metres(_size_text(found)) < 0.2:
        return _slip("FIT-01", text, "has no bore with its unit", attempt='"13 mm hose" or "13 mm barb"')
    form: Form = "barb" if re.search(r"barb|tail", plain) else "hose"
    size = _size_text(found)
    return End("hose", size, form, inner=_metres(size))


def _tube(text: str, plain: str) -> End | Finding:
    """A tube is named by both diameters, or by one that is said to be the bore or the outside."""
    push = "push" in plain
    if both := _TUBE_BOTH.search(plain):
        first, second, unit = (part for part in both.groups() if part)
        small, large = sorted((first, second), key=lambda one: _metres(f"{one} {unit}"))
        size = f"{small}{'/' if unit == 'mm' else ' x '}{large} {unit}"
        outer, inner = _metres(f"{large} {unit}"), _metres(f"{small} {unit}")
        return End("tube", size, "push-fit socket" if push else "tube", outer=outer, inner=inner)
    found = _SIZE.search(plain)
    if found is None:
        return _slip("FIT-01", text, "has no size with its unit", attempt='"4/6 mm tube"')
    size = _size_text(found)
    if push or re.search(r"\bod\b|outside|outer", plain):
        return End("tube", f"{size} OD", "push-fit socket" if push else "tube", outer=_metres(size))
    if re.search(r"\b(?:id|bore|inside|inner)\b", plain):
        return End("tube", f"{size} bore", "tube", inner=_metres(size))
    return _slip(
        "FIT-02", text, "does not say whether that is its bore or its outside",
        attempt=f'"{size} bore tube", "{size} OD tube", or both: "4/6 mm tube"',
    )  # fmt: skip


_LETTERS: Final = {
    "bsp": "BSP", "bspp": "BSP G", "bsppp": "BSP G", "bspt": "BSP R", "bsppt": "BSP R", "bspg": "BSP G", "g": "BSP G",
    "bspr": "BSP R", "r": "BSP R", "bsprp": "BSP Rp", "rp": "BSP Rp", "bsprc": "BSP Rc", "rc": "BSP Rc", "npt": "NPT",
    "ght": "GHT",
}  # fmt: skip


def _thread(text: str, plain: str, found: re.Match[str]) -> End | Finding:
    letters = (found["before"] or found["after"]).replace(" ", "")
    number = found["size_after"] or found["size"]
    system = _LETTERS[letters]
    sizes = ("3/4",) if system == "GHT" else _THREAD_SIZES
    if number not in sizes:
        wanted = ", ".join(f"{size} in" for size in sizes)
        return _slip("FIT-03", text, f"is no size of {system} in the table", wanted=wanted)
    male = bool(re.search(r"\b(?:male|external|m)\b", plain))
    female = bool(re.search(r"\b(?:female|internal|f|socket)\b", plain))
    if system == "BSP R" and female and not male and "t" in letters:
        system = "BSP Rc"  # a tapered thread inside is called Rc
    always: Form | None = {"BSP R": "male", "BSP Rp": "female", "BSP Rc": "female"}.get(system)  # type: ignore[assignment]
    said: Form | None = None if male == female else "male" if male else "female"
    form = said or always
    if form is None:
        return _slip(
            "FIT-04", text, "does not say whether the thread is outside or inside",
            attempt=f'"{number} in {system} male" or "{number} in {system} female"',
        )  # fmt: skip
    if always and form != always:
        other = "Rp (parallel) or Rc (tapered)" if always == "male" else "R (tapered) or G (parallel)"
        return _slip("FIT-04", text, f"cannot be: {system} is always {always}; {form} is {other}")
    material = next(
        (name for name in ("PVC", "ABS", "PP", "PE", "brass", "steel") if name.casefold() in plain), ""
    )
    return End(system, f"{number} in", form, material=material)


def _of_family(text: str, name: str, size: str, form: Form, pipe: object) -> End | Finding:
    if name == "UK waste":  # compression waste takes solvent-weld and push-fit pipe
        sizes = families()["UK solvent"].sizes
        if size not in sizes:
            return _slip("FIT-03", text, "is no size of UK waste", wanted=", ".join(sizes))
        return End(name, size, "compression socket", material="PP")
    if name == "AS/NZS 1477" and ("AS/NZS 1477", size) in families()["ASTM"].others:
        name, size = "ASTM", families()["ASTM"].others["AS/NZS 1477", size]
    family = families()[name]
    if size not in family.sizes:
        return _slip("FIT-03", text, f"is no size of {name} in the table", wanted=", ".join(family.sizes))
    if form == "socket" and not family.weld:
        form = "push-fit socket"  # the only socket such pipe has
    inner = getattr(pipe, "bore", None) if form == "plain end" else None
    return End(name, size, form, family.sizes[size], inner, family.material)


def _which_standard(text: str, size: str) -> Finding:
    having = [f'"{size} {name} pipe"' for name, family in families().items() if size in family.sizes]
    having += [
        f'"{size} {standard} pipe"' for (standard, known) in families()["ASTM"].others if known == size
    ]
    return _slip(
        "FIT-02", text, "says no standard", attempt=", ".join(having) or f'"{size} hose", "{size} barb"'
    )


def _slip(code: str, text: str, what: str, *, wanted: str = FORMS_WANTED, attempt: str = "") -> Finding:
    shown = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
    return Finding(
        code=code, severity=Severity.PROBLEM, subject=f'end "{shown}"', text=what, found=f'"{shown}"', wanted=wanted,
        attempt=attempt,
    )  # fmt: skip
