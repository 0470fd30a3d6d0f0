"""Every dimension with its sum: the same words as `why`, in fewer rows."""

from pathlib import Path

from ringwright.lang.book.sums import sums_of
from ringwright.lang.components.project import reader
from ringwright.lang.design.why import why
from ringwright.lang.pipeline import compile_spec

HERON = Path(__file__).parents[3] / "specs" / "marsh-heron"


def test_every_dimension_has_its_sum_as_why_says_it() -> None:
    compiled = compile_spec("marsh-heron.wright", reader(HERON))
    design = compiled.design
    assert design is not None
    found = {each.name: each for each in sums_of(design, compiled.project.sources)}
    assert set(found) == set(design.values)
    middle = found["cowl.mid.length"]
    assert middle.value == "29.475 mm ± 0.313 mm"
    assert middle.rows == (
        "(cowl.overall - cowl.back.length - cowl.drum.length) / 2",
        "(103.75 - 4.8 - 40) / 2 mm",
    )
    assert found["station.F1.x"].why == "measured, line 13 of marsh-heron.wright"
    for name, each in found.items():
        if name in design.solution.because and each.rows:

            def shown(of: str, value: float) -> str:
                return design.about.shown(value, design.dimensions.get(of, design.dimensions[name]))  # noqa: B023

            told = why(design.solution, name, compiled.project.sources, shown)
            assert all(row in told for row in each.rows), name
