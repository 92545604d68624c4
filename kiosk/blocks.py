"""What a page is made of: frozen, comparable values, drawn by :mod:`kiosk.widgets.body`. No Kivy.

Whatever has a ``name`` can be touched; the name comes back to the page that showed it.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.glue_views import BoardsView, WidthView
from kiosk.grain import GrainView
from kiosk.views import BandView, ChartView, FigureView
from kiosk.words import Words


@dataclass(frozen=True, slots=True)
class Button:
    """``word`` is a verdict's, whose vial stands before the text; ``note`` a quiet second line."""

    name: str
    text: str
    note: str = ""
    chosen: bool = False
    enabled: bool = True
    word: str = ""
    lean: str = "none"


@dataclass(frozen=True, slots=True)
class Heading:
    """What the column is about."""

    text: str


@dataclass(frozen=True, slots=True)
class Line:
    """A paragraph, in as many lines as it needs."""

    text: str
    strong: bool = False
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt somebody, said beside the figure: ``heading`` is the word "Caution"."""

    heading: str
    text: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Figures side by side, each over what it is."""

    facts: tuple[FigureView, ...]


@dataclass(frozen=True, slots=True)
class TableRow:
    """``label`` left and quiet, ``value`` right; touched where it has a name."""

    label: str
    value: str
    name: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under each other; as many as there is room for, around the chosen one, with a way to the others."""

    key: str
    rows: tuple[TableRow, ...]


@dataclass(frozen=True, slots=True)
class QuestionRow:
    """A question with its answer: vial, what is asked, figure and limit, and the verdict's word at the right."""

    name: str
    word: str
    lean: str
    title: str
    line: str
    said: str


@dataclass(frozen=True, slots=True)
class Questions:
    """Under each other, paged."""

    key: str
    rows: tuple[QuestionRow, ...]


@dataclass(frozen=True, slots=True)
class AnswerRow:
    """Something that is asked about: ``line`` says how it stands, up to three buttons are its answers."""

    title: str
    line: str
    buttons: tuple[Button, ...]


@dataclass(frozen=True, slots=True)
class AnswerRows:
    """Under each other, in two columns where there is room, paged."""

    key: str
    rows: tuple[AnswerRow, ...]


@dataclass(frozen=True, slots=True)
class Choices:
    """Buttons in a grid over all the room there is, paged where that is too little. ``key`` is another one whenever the
    choice is another, so that it begins on its first page."""

    key: str
    buttons: tuple[Button, ...]


@dataclass(frozen=True, slots=True)
class Pad:
    """A number being entered: what stands there, its unit, other units to switch to (name, text), and quick values
    (fractions of an inch, usual sizes). Touches come as ``pad:7``, ``pad:.``, ``pad:back`` and the buttons' names."""

    key: str
    shown: str
    unit: str
    point: str
    units: tuple[Button, ...] = ()
    quick: tuple[Button, ...] = ()
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Keyboard:
    """A name being typed: ``shown`` so far. Touches come as ``key:a``, ``key:space``, ``key:back``."""

    key: str
    shown: str


@dataclass(frozen=True, slots=True)
class CardView:
    """A lot at a glance."""

    name: str
    title: str
    tag: str
    word: str
    lean: str
    verdict: str
    left: str
    right: str
    grain: GrainView | None = None


@dataclass(frozen=True, slots=True)
class Cards:
    """Cards in a grid over all the room there is, in pages. ``words`` are the key's of their end grains, and those that
    say by which factor a page draws its cups."""

    key: str
    cards: tuple[CardView, ...]
    words: Words | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """Something drawn: over the room that is left, or ``high`` body sizes high. With ``words`` a section says below it
    how many times its cup is drawn."""

    view: ChartView | GrainView | BoardsView | WidthView
    high: float = 0.0
    words: Words | None = None


@dataclass(frozen=True, slots=True)
class Ruler:
    """A line as long as that on the panel itself, in whole centimetres up to 100 mm."""

    mm: float


Block = (
    Heading
    | Line
    | Caution
    | Facts
    | Table
    | Questions
    | AnswerRows
    | Choices
    | Pad
    | Keyboard
    | Cards
    | Picture
    | Ruler
)


@dataclass(frozen=True, slots=True)
class Column:
    """Blocks below each other on one panel; ``bare`` ones stand on the ground itself."""

    blocks: tuple[Block, ...]
    share: float = 1.0
    bare: bool = False


@dataclass(frozen=True, slots=True)
class PageView:
    """Columns side by side (below each other where the window is upright), under them ``notes`` (a quiet line) and the
    deeds. ``band`` takes the place of the shop's own while the page is open."""

    columns: tuple[Column, ...]
    deeds: tuple[Button, ...] = ()
    note: str = ""
    band: BandView | None = None
