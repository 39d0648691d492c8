"""A template as DXF, in millimetres: what is cut, what is marked and edges on layers of their own, words on a fourth."""

import io

import ezdxf
from ezdxf.enums import TextEntityAlignment
from ezdxf.units import MM

from radonwork.drawings.templates import Round, Stroke, Template

LAYERS = {"cut": "CUT", "mark": "MARK", "edge": "EDGE"}
_ALIGNED = {
    "start": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "end": TextEntityAlignment.RIGHT,
}


def template_dxf(template: Template) -> bytes:
    """The whole template, however large, as the text of a DXF file."""
    drawing = ezdxf.new("R2010", units=MM)
    for layer in (*LAYERS.values(), "WORDS"):
        drawing.layers.add(layer)
    space = drawing.modelspace()
    for shape in template.shapes:
        if isinstance(shape, Round):
            x, y = shape.centre
            space.add_circle((1000 * x, 1000 * y), 500 * shape.diameter, {"layer": LAYERS[shape.look]})
        elif isinstance(shape, Stroke):
            points = [(1000 * x, 1000 * y) for x, y in shape.points]
            closed = points[0] == points[-1] and len(points) > 2
            where = {"layer": LAYERS[shape.look]}
            space.add_lwpolyline(points[:-1] if closed else points, close=closed, dxfattribs=where)
        else:
            words = space.add_text(shape.text, height=3, dxfattribs={"layer": "WORDS"})
            words.set_placement((1000 * shape.at[0], 1000 * shape.at[1]), align=_ALIGNED[shape.anchor])
    out = io.StringIO()
    drawing.write(out)
    return out.getvalue().encode("utf-8")
