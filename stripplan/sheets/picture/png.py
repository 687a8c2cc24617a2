"""An SVG of ours as PNG, for messages and programs that show no SVG."""

from __future__ import annotations

from importlib import resources

WIDEST = 10_000
"""Greatest width of a picture [pixels]; a plate is as long as it is wide at most twenty times or so."""
MOST = 50_000_000
"""Most pixels of a picture: what its painter holds in memory is four bytes for each."""


def png(svg: str, *, width: int = 1600) -> bytes:
    """PNG of an SVG text, `width` pixels wide; an animation is shown as the last state that it says.

    Letters are those of the font that comes with the package, so every machine paints the same. ValueError for a
    width that cannot be.
    """
    import resvg_py

    if not 1 <= width <= WIDEST:
        raise ValueError(f"A picture {width} pixels wide cannot be painted; 1 to {WIDEST:,} are possible.")
    fonts = resources.files("stripplan.sheets").joinpath("fonts")
    files = [str(fonts.joinpath(f"DejaVuSansCondensed{weight}.ttf")) for weight in ("", "-Bold")]
    return bytes(
        resvg_py.svg_to_bytes(
            svg_string=svg,
            width=min(width, _width_within(svg)),
            skip_system_fonts=True,
            font_files=files,
            sans_serif_family="DejaVu Sans Condensed",
        )
    )


def _width_within(svg: str) -> int:
    """Greatest width at which the picture has no more than `MOST` pixels.

    >>> _width_within('<svg viewBox="0 0 1000 4000000">')
    111
    """
    _, _, wide, high = (float(each) for each in svg.partition('viewBox="')[2].partition('"')[0].split())
    return max(1, int((MOST * wide / high) ** 0.5))
