"""The questions, in measuring order: the performer, the box, the hold, the arm, the puppet, the place."""

from __future__ import annotations

from dataclasses import dataclass

from sightline.figure.measures import MEASURES
from sightline.form.question import ARM_LIMB, ARM_OPENING, Question, at
from sightline.form.venues import venue_marks

ARMS = (("left arm", "Left arm"), ("right arm", "Right arm"))
WALLS = (
    ("left", "Left side"), ("right", "Right side"), ("bottom", "Underneath"), ("front", "Front (audience side)"),
    ("back", "Back (performer's side)"), ("top", "Top"),
)  # fmt: skip
CONTRASTS = (
    ("matched", "Matched: I must look for them"), ("close", "Close: seen from arm's length"),
    ("visible", "Visible: seen across a room"), ("strong", "Strong: plain to see"), ("stark", "Stark: black on white"),
)  # fmt: skip
WATCHERS = (
    ("seated", "Someone seated"), ("standing", "Someone standing"), ("child", "A standing child"),
    ("floor child", "A child on the floor"), ("wheelchair", "A wheelchair user"), ("phone", "A raised phone"),
    ("camera", "A camera"),
)  # fmt: skip
STATURE = (0.5, 2.5, "0.5 m to 2.5 m")
BODY_MASS = (5.0, 400.0, "5 kg to 400 kg")


@dataclass(frozen=True)
class Section:
    """A heading with its questions. `folded` ones are shown on demand."""

    name: str
    title: str
    lead: str
    questions: tuple[Question, ...]
    folded: bool = False


def _you() -> Section:
    p = "performer"
    return Section("you", "You", "The performer's own body. Left and right are always the performer's.", (
        Question("title", "What is the act called?", "Name of the act", "words", at("title"), picture="title",
                 skip="leave", help="It heads every sheet that is printed."),
        Question("stature", "How tall are you?", "Stature", "length", at(p, "stature"), picture="body-height",
                 bounds=STATURE, help="Barefoot, back to a wall: floor to the top of the head, book held level."),
        Question("hide", "Which arm is hidden?", "Hidden arm", "choice", at(p, "hide", 0), picture="hide",
                 choices=ARMS, also=at("false limbs", ARM_LIMB, "replaces"),
                 help="The real arm that goes through the back of the box. The false arm takes its place."),
        Question("sex", "Which body tables fit you better?", "Body tables", "choice", at(p, "sex"), picture="tables",
                 skip="leave", nothing="Rather not say", choices=(("female", "Women's"), ("male", "Men's")),
                 help="Only used to estimate what nobody measured. Without it, the middle of both is taken."),
        Question("mass", "What do you weigh?", "Your weight", "mass", at(p, "mass"), picture="body-mass",
                 skip="unknown", bounds=BODY_MASS, unit="kg",
                 help="Only used for loads and estimates. Without it, a usual weight for your height is taken."),
    ))  # fmt: skip


def _measured() -> Section:
    questions = tuple(
        Question(f"measured.{key}", key.replace("_", " ").capitalize(), key.replace("_", " ").capitalize(), "length",
                 at("performer", "measured", key), picture=f"body-{key}", skip="leave", help=sentence)
        for key, sentence in MEASURES.items() if key != "height"
    )  # fmt: skip
    lead = "Each one you measure replaces an estimate. Ask somebody to help with the tape; leave out what you like."
    return Section("measured", "Your body sheet (optional)", lead, questions, folded=True)


def _box() -> Section:
    b = ("prop", "box")
    q = Question
    return Section("box", "The box", "Outside sizes, as you hold it.", (
        q("box.width", "How wide is it?", "Width", "length", at(*b, "width"), picture="box-width",
          help="Outside, from your left to your right."),
        q("box.depth", "How deep is it?", "Depth", "length", at(*b, "depth"), picture="box-depth",
          help="Outside, from your belly towards the audience."),
        q("box.height", "How high is it?", "Height", "length", at(*b, "height"), picture="box-height",
          help="Outside, bottom to top edge."),
        q("box.wall", "How thick are its walls?", "Wall thickness", "length", at(*b, "wall"), picture="box-wall",
          skip="unknown", unit="mm", help="The sheet it is made of. Without it, 4 mm is taken."),
        q("box.top", "Is the top open?", "Top", "choice", at(*b, "top"), picture="box-top", skip="leave",
          implied="closed", choices=(("open", "Open"), ("closed", "Closed"))),
        q("box.mass", "What does the empty box weigh?", "Weight of the box", "mass", at(*b, "mass"),
          picture="box-mass", skip="unknown", unit="kg", help="On a kitchen or luggage scale. Only used for loads."),
    ))  # fmt: skip


def _opening() -> Section:
    o = ("prop", "openings", ARM_OPENING)
    q, shape = Question, "opening.shape"
    sized = ("slot", "rectangle")
    return Section("opening", "The opening", "The hole in the back of the box that your real arm goes through.", (
        q(shape, "What shape is it?", "Shape", "choice", at(*o, "shape"), picture="opening-shape", skip="leave",
          implied="round",
          choices=(("round", "Round"), ("slot", "Slot with round ends"), ("rectangle", "Rectangle"))),
        q("opening.diameter", "How wide is the round opening?", "Diameter (round)", "length", at(*o, "diameter"),
          picture="opening-diameter", when=(shape, ("round",)),
          help="A fist passes about 12 to 15 cm (from memory). Try yours with the thumb folded in."),
        q("opening.width", "How wide is the opening?", "Width (slot, rectangle)", "length", at(*o, "width"),
          picture="opening-width", when=(shape, sized), help="From your left to your right."),
        q("opening.height", "How high is the opening?", "Height (slot, rectangle)", "length", at(*o, "height"),
          picture="opening-height", when=(shape, sized)),
        q("opening.across", "How far is its middle to your left?", "Middle, to your left", "offset",
          at(*o, "at", 0), picture="opening-across", skip="leave", blank="0 cm",
          help="From the middle of the back wall. To your right is negative: -3 cm."),
        q("opening.up", "How far is its middle above the wall's middle?", "Middle, up", "offset", at(*o, "at", 1),
          picture="opening-up", skip="leave", blank="0 cm", help="Below the middle is negative."),
    ))  # fmt: skip


def _hold() -> Section:
    a = ("prop", "at")
    q = Question
    return Section("hold", "How it is held", "Stand as you will perform, box in place, and let somebody measure.", (
        q("at.ahead", "How far ahead of you is the box?", "Ahead", "offset", at(*a, "ahead"), picture="at-ahead",
          help="Level, from the middle of your body (between the ankles) to the middle of the box."),
        q("at.up", "How high is the box?", "Height above the floor", "length", at(*a, "up"), picture="at-up",
          help="From the floor to the middle of the box."),
        q("at.left", "How far is it to your left?", "To your left", "offset", at(*a, "left"), picture="at-left",
          skip="unknown", help="From your own middle to the middle of the box. To your right is negative."),
        q("at.tilt", "How much is its front tipped down?", "Tilt", "angle", at(*a, "tilt"), picture="at-tilt",
          skip="unknown", unit="deg", help="0 is level. Tipped up is negative."),
        q("hand", "Where does your visible hand hold it?", "Visible hand on", "choice",
          at("pose", "visible hand", "wall"), picture="visible-hand", choices=WALLS, skip="leave", implied="bottom",
          help="The real hand that everybody may see."),
    ))  # fmt: skip


def _limb() -> Section:
    f = ("false limbs", ARM_LIMB)
    q = Question
    return Section("limb", "The false arm", "The arm that everybody takes for yours.", (
        q("limb.wall", "Which wall does the false hand rest on?", "False hand on", "choice", at(*f, "hand at", "wall"),
          picture="hand-wall", choices=WALLS),
        q("limb.across", "How far across is it?", "Across", "offset", at(*f, "hand at", "at", 0),
          picture="hand-across", skip="leave", blank="0 cm",
          help="From the wall's middle, to your left. On a side wall: towards you. The other way is negative."),
        q("limb.up", "How far up is it?", "Up", "offset", at(*f, "hand at", "at", 1), picture="hand-up", skip="leave",
          blank="0 cm", help="From the wall's middle. On the top or bottom: towards you. Other way: negative."),
        q("limb.elbow", "How far is its elbow bent?", "Elbow bend", "angle", at(*f, "elbow"), picture="hand-elbow",
          skip="unknown", unit="deg", help="0 is straight, 90 is square. Without it, the bend follows from the hand."),
        q("limb.contrast", "How do its seams stand out?", "Seams", "choice", at(*f, "contrast"), picture="seams",
          skip="leave", choices=CONTRASTS, help="By eye, in the light you will perform in."),
    ))  # fmt: skip


def _puppet() -> Section:
    p = ("puppet",)
    q = Question
    return Section("puppet", "The puppet", "What the hidden hand works. The grip is the middle of your fist.", (
        q("grip.left", "How far is the grip to your left?", "Grip, to your left", "offset", at(*p, "grip", 0),
          picture="grip-left", help="From the middle of the box. To your right is negative."),
        q("grip.back", "How far is the grip back towards you?", "Grip, towards you", "offset", at(*p, "grip", 1),
          picture="grip-back", help="From the middle of the box. Away from you is negative."),
        q("grip.up", "How far is the grip up?", "Grip, up", "offset", at(*p, "grip", 2), picture="grip-up",
          help="From the middle of the box. Below it is negative."),
        q("puppet.height", "How tall is the puppet?", "Puppet's height", "length", at(*p, "height"),
          picture="puppet-height", skip="unknown", help="Without it, 22 cm is taken."),
        q("puppet.mass", "What does the puppet weigh?", "Puppet's weight", "mass", at(*p, "mass"),
          picture="puppet-mass", skip="unknown", unit="g",
          help="Every bit counts at the end of a raised arm. Aim at 500 g or less (from memory)."),
    ))  # fmt: skip


def _place() -> Section:
    q = Question
    return Section("place", "Where you perform", "Stage left is your left when you face the audience.", (
        q("venue", "Where is it?", "Venue", "choice", at("venue", "use"), picture="venue",
          skip="leave", choices=tuple((name, f"{said[0]} ({name})") for name, said in venue_marks().items()),
          help="A ready one that is most like yours, to begin with."),
        q("mark.x", "How far is your mark to stage left of the centre?", "Mark, to stage left", "offset",
          at("blocking", "mark", 0), picture="mark-x", skip="leave", blank="0 m", unit="m",
          help="To stage right is negative."),
        q("mark.y", "How far upstage is your mark?", "Mark, upstage", "offset", at("blocking", "mark", 1),
          picture="mark-y", skip="leave", blank="0 m", unit="m",
          help="From the plaster line (the back of the proscenium), or the middle of a pitch. "
               "Towards the audience is negative."),
        q("facing", "Which way do you face?", "Facing", "facing", at("blocking", "facing"), picture="facing",
          skip="leave", unit="deg", help="0 is full front. Positive turns to your own left."),
    ))  # fmt: skip


def _watch() -> Section:
    q = Question
    e = ("eyes", 0)
    return Section("watch", "Who watches", "The venue brings its audience. Here you add what it cannot know.", (
        q("heads", "May people in front be counted on to block the view?", "Heads in front", "choice", at("heads"),
          picture="heads", skip="leave", implied="ignore",
          choices=(("ignore", "No, doubt goes against me"), ("count", "Yes, count their heads"))),
        q("require.seen", "How many seats may see the secret before the plan has failed?", "Seats allowed", "count",
          at("require", "seen"), picture="require", skip="leave", help="0 for none. Leave empty to only be told."),
        q("eye.kind", "Is somebody watching from a place of their own?", "Extra watcher", "choice", at(*e, "kind"),
          picture="eye-kind", skip="leave", nothing="nobody", choices=WATCHERS,
          help="A camera, a child in the aisle, a window. Only one can be asked here; more can go in the file."),
        q("eye.x", "How far to stage left is that eye?", "Eye, to stage left", "offset", at(*e, "at", 0),
          picture="eye-x", when=("eye.kind", tuple(value for value, _ in WATCHERS)), unit="m",
          help="From the same centre as your mark. To stage right is negative."),
        q("eye.y", "How far upstage is that eye?", "Eye, upstage", "offset", at(*e, "at", 1), picture="eye-y",
          when=("eye.kind", tuple(value for value, _ in WATCHERS)), unit="m",
          help="Out in the audience is negative: -5 m."),
        q("eye.up", "How high is that eye above the performing floor?", "Eye, up", "offset", at(*e, "at", 2),
          picture="eye-up", when=("eye.kind", tuple(value for value, _ in WATCHERS)), unit="m"),
    ))  # fmt: skip


def sections() -> tuple[Section, ...]:
    """All sections in measuring order."""
    return (_you(), _measured(), _box(), _opening(), _hold(), _limb(), _puppet(), _place(), _watch())


def questions() -> dict[str, Question]:
    """Every question by its id, in measuring order."""
    return {question.id: question for section in sections() for question in section.questions}
